"""Six projects of ordinary garments and furnishings as rectangles; sizes are our own assumptions.

Seam points lie on the stitching line, 15 mm inside the cut edge.
"""

from __future__ import annotations

from printcheck.core.plan import Cloth, MatchKind, Piece, Project, Seam, SeamEnd

IN_MM = 15  # common practice: seam allowance of 1.5 cm
Size = tuple[int, int]
Side = tuple[str, str, int, MatchKind]


def project(name: str, width: int, sizes: dict[str, Size], sides: list[Side]) -> Project:
    """Seams join the right side of the first piece to the left side of the second, so far from its foot."""
    pieces = tuple(Piece(part, w, h) for part, (w, h) in sizes.items())
    seams = []
    for first, second, up, kind in sides:
        right = (float(sizes[first][0] - IN_MM), float(sizes[first][1] - up))
        left = (float(IN_MM), float(sizes[second][1] - up))
        seams.append(Seam((SeamEnd(first, right), SeamEnd(second, left)), kind))
    return Project(name, Cloth(width), pieces, tuple(seams))


def skirt() -> Project:
    sizes = {"front": (620, 740), "back#1": (330, 740), "back#2": (330, 740), "band": (780, 90)}
    sizes |= {"pocket#1": (180, 220), "pocket#2": (180, 220), "flounce": (1380, 260)}
    sides: list[Side] = [("front", "back#1", 300, "both"), ("back#1", "back#2", 300, "both")]
    return project("skirt", 1400, sizes, [*sides, ("back#2", "front", 300, "level")])


def trousers() -> Project:
    sizes: dict[str, Size] = {}
    for n in (1, 2):
        sizes |= {f"front#{n}": (330, 1080), f"back#{n}": (400, 1080), f"facing#{n}": (150, 120)}
        sizes |= {f"pocket#{n}": (180, 280)}
    sizes |= {"band": (900, 100), "loop": (400, 60)}
    sides: list[Side] = [("front#1", "front#2", 700, "both"), ("back#1", "back#2", 700, "both")]
    sides += [("front#1", "back#1", 300, "level"), ("front#2", "back#2", 300, "level")]
    return project("trousers", 1480, sizes, sides)


def shirt() -> Project:
    sizes: dict[str, Size] = {"back": (620, 760), "yoke#1": (500, 130), "yoke#2": (500, 130)}
    for n in (1, 2):
        sizes |= {f"front#{n}": (340, 760), f"sleeve#{n}": (520, 600), f"cuff#{n}": (270, 130)}
        sizes |= {f"collar#{n}": (450, 80), f"stand#{n}": (450, 50)}
    sizes |= {"pocket": (140, 160), "placket": (60, 300)}
    sides: list[Side] = [("front#1", "front#2", 300, "both"), ("front#2", "back", 250, "level")]
    sides += [("back", "front#1", 250, "level"), ("sleeve#1", "front#1", 200, "level")]
    return project("shirt", 1480, sizes, sides)


def dress() -> Project:
    sizes: dict[str, Size] = {"bodice": (480, 440), "skirt front": (640, 680)}
    for n in (1, 2):
        sizes |= {f"back#{n}": (260, 440), f"skirt back#{n}": (360, 680), f"sleeve#{n}": (440, 420)}
        sizes |= {f"facing#{n}": (300, 90), f"pocket#{n}": (170, 300)}
    sizes |= {"collar": (420, 90)}
    sides: list[Side] = [("skirt front", "skirt back#1", 300, "both")]
    sides += [("skirt back#1", "skirt back#2", 300, "both"), ("back#1", "back#2", 200, "both")]
    return project("dress", 1300, sizes, [*sides, ("bodice", "back#1", 150, "level")])


def cushions(covers: int = 4) -> Project:
    sizes: dict[str, Size] = {}
    for n in range(1, covers + 1):
        sizes |= {f"front#{n}": (440, 440), f"back#{n}": (440, 300), f"flap#{n}": (440, 230)}
    sides: list[Side] = [(f"back#{n}", f"flap#{n}", 100, "upright") for n in range(1, covers + 1)]
    sides += [(f"front#{n}", f"back#{n}", 100, "level") for n in range(1, covers + 1)]
    return project("cushions", 1370, sizes, sides)


def curtains() -> Project:
    sizes: dict[str, Size] = {}
    for n in (1, 2):
        sizes |= {f"full#{n}": (1400, 2600), f"half#{n}": (700, 2600), f"heading#{n}": (1400, 120)}
        sizes |= {f"tie#{n}": (600, 140)}
    sides: list[Side] = [("full#1", "half#1", 1000, "both"), ("half#2", "full#2", 1000, "both")]
    return project("curtains", 1400, sizes, sides)


GARMENTS = (skirt, trousers, shirt, dress, cushions, curtains)
