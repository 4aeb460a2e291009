"""Random projects for laws and for the independent checker: any lattice, seam, place, way and washing."""

from __future__ import annotations

import math

from hypothesis import strategies as st

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Place, Print, Project, Seam, SeamEnd

whole = st.integers(60, 700).map(float)
sizes = st.one_of(whole, whole, st.floats(60, 700).map(lambda v: round(v, 1)), st.floats(60.0, 700.0))
steps = st.one_of(st.integers(20, 400).map(float), st.floats(20.0, 400.0))
drops = st.one_of(st.sampled_from((0.0, 0.0, 0.5, 0.5, 1 / 3, 0.25, 2 / 5)), st.floats(0.05, 0.95))


@st.composite
def lattices(draw: st.DrawFn) -> Lattice | None:
    kind = draw(st.sampled_from(("lattice",) * 6 + ("none", "upright", "level", "slanting", "askew")))
    a, b = draw(steps), draw(steps)
    if kind == "none":
        return None
    if kind == "upright":
        return Lattice(((a, 0.0),))
    if kind == "level":
        return Lattice(((0.0, b),))
    if kind == "slanting":
        return Lattice(((a, b),))
    if kind == "askew":
        turn = math.radians(draw(st.floats(0.5, 20)))
        c, s = math.cos(turn), math.sin(turn)
        return Lattice(((a * c, a * s), (-b * s, b * c)))
    return Lattice.of_steps(a, b, draw(drops))


@st.composite
def projects(draw: st.DrawFn) -> tuple[Project, Print]:
    cloth = Cloth(
        width_mm=draw(st.sampled_from((900.0, 1120.0, 1400.0, 1503.7))),
        selvedge_mm=draw(st.sampled_from((0.0, 10.0))),
        shrink_along=draw(st.sampled_from((0.0, 0.03, 0.055))),
        shrink_across=draw(st.sampled_from((0.0, 0.02))),
        sold_by_mm=100.0,
        price=draw(st.sampled_from((None, 12.5))),
    )
    count = draw(st.integers(1, 7))
    pieces = []
    for n in range(count):
        width = cloth.usable_width_mm if draw(st.integers(0, 9)) == 0 else draw(sizes)
        turn = draw(st.sampled_from(("half", "half", "none")))
        pieces.append(Piece(f"p#{n}", width, draw(sizes), mirrored=draw(st.booleans()), turn=turn))
    seams = tuple(draw(_seam(pieces)) for _ in range(draw(st.integers(0, 4)) if count > 1 else 0))
    places = tuple(draw(_place(pieces)) for _ in range(draw(st.sampled_from((0, 0, 0, 1, 2)))))
    print_ = Print(
        draw(lattices()),
        "straight",
        draw(st.sampled_from(("one-way", "one-way", "two-way", "four-way", "tossed"))),
        "project",
        motif_width_mm=30.0,
        motif_height_mm=20.0,
        error_share=draw(st.sampled_from((0.0, 0.0, 0.004))),
        needs=draw(st.sampled_from((None, "none", "level", "upright", "both"))),
        border=draw(st.sampled_from((False,) * 9 + (True,)))
        and all(p.length_mm <= cloth.usable_width_mm for p in pieces),
    )
    return Project("random", cloth, tuple(pieces), seams, places), print_


@st.composite
def _seam(draw: st.DrawFn, pieces: list[Piece]) -> Seam:
    one, two = draw(st.permutations(range(len(pieces))))[:2]
    kind = draw(st.sampled_from(("both", "both", "level", "upright")))
    return Seam(
        (
            SeamEnd(pieces[one].name, draw(_at(pieces[one]))),
            SeamEnd(pieces[two].name, draw(_at(pieces[two]))),
        ),
        kind,
    )


@st.composite
def _at(draw: st.DrawFn, piece: Piece) -> tuple[float, float]:
    shares = st.sampled_from((0.0, 0.1, 0.25, 0.5, 1.0))
    return (round(draw(shares) * piece.width_mm, 3), round(draw(shares) * piece.length_mm, 3))


@st.composite
def _place(draw: st.DrawFn, pieces: list[Piece]) -> Place:
    piece = draw(st.sampled_from(pieces))
    return Place(piece.name, draw(_at(piece)), draw(st.sampled_from(("motif", "between"))))
