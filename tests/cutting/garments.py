"""Garment outlines of our own, drawn from a few measures: invented, in millimetres, allowances included.

Three garments of the kinds a nesting is usually tried on: trousers (long smooth legs), a shirt (many
small pieces), and swimwear (deeply curved pieces). Seam points lie 15 mm inside the edge.
"""

from __future__ import annotations

import math

from printcheck.core.plan import Cloth, Piece, Project, Seam, SeamEnd
from printcheck.project.outline.polygon import shape_of_points
from printcheck.project.pieces import copies_of

ALLOWANCE = 15.0


def bezier(p0, p1, p2, p3, steps=10):
    """Points of a cubic curve behind its start."""
    out = []
    for k in range(1, steps + 1):
        t = k / steps
        u = 1 - t
        out.append(
            tuple(
                u**3 * a + 3 * u * u * t * b + 3 * u * t * t * c + t**3 * d
                for a, b, c, d in zip(p0, p1, p2, p3, strict=True)
            )
        )
    return out


def leg(hip, knee, hem, hook, rise, length):
    """Half of a pair of trousers: side seam on the left, centre on the right."""
    w = hip + hook
    crotch = (w, rise)
    left_knee = (w - knee) / 2 - 10
    left_hem = (w - hem) / 2 - 10
    points = [(18.0, 0.0), (hip - 12.0, 12.0)]
    points += bezier(points[-1], (hip, rise * 0.6), (hip + hook * 0.2, rise * 0.95), crotch)
    points += bezier(
        crotch, (w - 30, rise + 120), (left_knee + knee + 8, rise + 180), (left_knee + knee, rise + 300)
    )
    points += [(left_hem + hem, length), (left_hem, length), (left_knee, rise + 300)]
    points += bezier(
        (left_knee, rise + 300), (left_knee - 12, rise + 120), (0.0, rise * 0.8), (0.0, rise * 0.6)
    )
    return tuple(points)


def body(half, length, neck, drop, shoulder, arm):
    """A shirt's back, whole: symmetric about its middle."""
    side = half
    right = [(neck, 0.0), (shoulder, 42.0)]
    right += bezier((shoulder, 42.0), (shoulder - 32, arm * 0.55), (side - 40, arm - 4), (side, arm))
    right += [(side + 8, length)]
    top = bezier((-neck, 0.0), (-neck * 0.6, drop), (neck * 0.6, drop), (neck, 0.0))
    left = [(-x, y) for x, y in reversed(right)]
    return (*left[:-1], (-neck, 0.0), *top[:-1], *right)


def front(half, length, neck, drop, shoulder, arm, facing):
    """A shirt's left front: side on the left, centre and facing on the right."""
    right = [(neck, 0.0), (shoulder, 42.0)]
    right += bezier((shoulder, 42.0), (shoulder - 42, arm * 0.55), (half - 48, arm - 4), (half, arm))
    right += [(half + 8, length)]
    curve = bezier((-facing, drop), (neck * 0.3, drop), (neck, drop * 0.7), (neck, 0.0))
    ring = [(-facing, length), (-facing, drop), *curve[:-1], *right]
    return tuple((-x, y) for x, y in ring)


def sleeve(wide, cap, length, cuff):
    left = bezier((0.0, cap), (wide * 0.22, cap - 4), (wide * 0.25, 0.0), (wide / 2, 0.0))
    right = bezier((wide / 2, 0.0), (wide * 0.75, 0.0), (wide * 0.80, cap - 8), (wide, cap))
    inset = (wide - cuff) / 2
    return ((0.0, cap), *left, *right, (wide - inset, length), (inset, length))


def collar(wide, high):
    end = wide + 18.0
    top = bezier((0.0, high * 0.3), (wide * 0.3, 0.0), (wide * 0.7, 0.0), (wide, high * 0.3))
    foot = bezier((end, high), (wide * 0.7, high * 0.72), (wide * 0.3, high * 0.72), (-18.0, high))
    return (*top, (end, high), *foot, (0.0, high * 0.3))


def brief(wide, high, bridge):
    """A swimsuit's lower half: straight at the waist, deeply scooped at the legs."""
    half = wide / 2
    right = bezier((half, high * 0.30), (half * 0.45, high * 0.42), (bridge, high * 0.62), (bridge, high))
    return ((-half, 0.0), (half, 0.0), (half, high * 0.30), *right, (-bridge, high),
            *[(-x, y) for x, y in reversed(right[:-1])], (-half, high * 0.30))  # fmt: skip


def cup(wide, high):
    tip, corner = (wide * 0.62, 0.0), (wide, high * 0.8)
    left = bezier((0.0, high), (wide * 0.05, high * 0.4), (wide * 0.5, high * 0.1), tip)
    right = bezier(tip, (wide * 0.75, high * 0.3), (wide, high * 0.5), corner)
    return (*left, *right, *bezier(corner, (wide * 0.7, high * 1.05), (wide * 0.3, high * 1.08), (0.0, high)))


def strip(wide, long):
    return ((0.0, 0.0), (wide, 0.0), (wide, long), (0.0, long))


# name: usable width, shapes (each cut twice; the second is the mirror image where marked)
TROUSERS = (1500.0, [
    ("front", leg(250, 225, 205, 48, 270, 1060), True),
    ("back", leg(270, 250, 225, 105, 300, 1080), True),
    ("front small", leg(215, 200, 185, 42, 245, 930), True),
    ("back small", leg(235, 220, 200, 92, 270, 950), True),
    ("fly", collar(150, 60), False),
    ("pocket", cup(170, 190), True),
    ("bag", brief(180, 240, 60), True),
    ("band", strip(62, 420), False),
    ("loop", strip(35, 240), False),
])  # fmt: skip
SHIRT = (1501.0, [
    ("back", body(270, 640, 80, 24, 205, 235), False),
    ("front", front(255, 650, 75, 95, 200, 240, 40), True),
    ("sleeve", sleeve(400, 120, 300, 350), True),
    ("collar", collar(380, 75), False),
    ("stand", collar(400, 45), False),
    ("yoke", collar(390, 120), False),
    ("pocket", cup(130, 145), True),
    ("placket", strip(40, 330), False),
])  # fmt: skip
SWIM = (1438.0, [
    ("brief front", brief(360, 270, 45), False),
    ("brief back", brief(400, 310, 55), False),
    ("cup", cup(190, 170), True),
    ("lining", cup(170, 150), True),
    ("side", leg(120, 90, 70, 25, 90, 460), True),
    ("top", sleeve(330, 80, 190, 260), False),
    ("wing", cup(250, 120), True),
    ("strap", strip(32, 420), False),
    ("tie", collar(300, 40), False),
    ("gusset", brief(140, 150, 30), False),
])  # fmt: skip
GARMENTS = {"trousers": TROUSERS, "shirt": SHIRT, "swim": SWIM}


def garment(name: str, *, matched: bool = True) -> Project:
    """Two of each shape; every second pair of equal shapes matched both ways at its middle."""
    width, shapes = GARMENTS[name]
    pieces: list[Piece] = []
    seams = []
    for number, (what, ring, mirror) in enumerate(shapes):
        shape = shape_of_points(tuple((float(x), float(y)) for x, y in ring), place=what)
        piece = Piece(what, shape.width_mm, shape.length_mm, shape.outline)
        copies = copies_of(piece, count=2, alternate=mirror)
        pieces += copies
        if matched and number % 2 == 0:
            seams.append(side_seam(copies[0], copies[1]))
    return Project(name, Cloth(width), tuple(pieces), tuple(seams))


def side_seam(one: Piece, two: Piece) -> Seam:
    """Right side of the first to the left side of the second, at mid height."""
    return Seam((SeamEnd(one.name, edge(one, right=True)), SeamEnd(two.name, edge(two, right=False))))


def edge(piece: Piece, *, right: bool) -> tuple[float, float]:
    y = piece.length_mm / 2
    ring = piece.outline
    crossings = []
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (ay > y) != (by > y):
            crossings.append(ax + (y - ay) / (by - ay) * (bx - ax))
    x = max(crossings) - ALLOWANCE if right else min(crossings) + ALLOWANCE
    return (math.floor(x * 10) / 10, y)
