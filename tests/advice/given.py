"""Prints as the tables are asked about them: measured facts of known kind and size."""

from __future__ import annotations

from dataclasses import replace

from printcheck.advice.case import Case
from printcheck.core.measurement import (
    Bar,
    Build,
    Direction,
    Motif,
    PrintFacts,
    Repeat,
    StripeOrCheck,
    Structure,
    Way,
)

INK, WHITE, RED = "#203060", "#f6f4ee", "#b02020"


def repeat(across: float | None, along: float | None, **more: object) -> Repeat:
    """A straight repeat."""
    basis = ((across or 0.0, 0.0), (0.0, along or 0.0))
    return replace(Repeat("lattice", "straight", 0.0, across, along, basis, 0.1, 0.9, 5.0), **more)


def stripe(
    *widths: float, angle_deg: float = 0.0, crosswise: bool = False, even: bool = True, colours: int = 2
) -> Case:
    """A stripe of these bars."""
    inks = (INK, WHITE, RED)[:colours]
    bars = tuple(Bar(w, inks[k % len(inks)]) for k, w in enumerate(widths))
    pitch = sum(widths)
    found = StripeOrCheck("stripe", None if crosswise else even, even if crosswise else None, bars)
    lattice = Repeat("stripe", "stripe", None, pitch, None, ((0.0, pitch) if crosswise else (pitch, 0.0),))
    way: Way = "two-way" if even else "one-way"
    structure = Structure("stripe", angle_deg=angle_deg, crosswise=crosswise)
    return Case(lattice, PrintFacts(Motif(), Direction(way, 1.0), found, structure=structure))


def check(
    across: tuple[float, ...], along: tuple[float, ...] | None = None, *, even: bool = True,
    colours: tuple[str, ...] = (INK, WHITE), angle_deg: float = 0.0,
) -> Case:  # fmt: skip
    """Bars both ways."""
    along = across if along is None else along
    warp, weft = (
        tuple(Bar(w, colours[k % len(colours)]) for k, w in enumerate(widths)) for widths in (across, along)
    )
    family = "check" if max(len(warp), len(weft)) <= 2 else "plaid"
    found = StripeOrCheck(family, even, True, warp, weft, angle_deg=angle_deg)
    facts = PrintFacts(
        Motif(), Direction("four-way" if even else "one-way", 1.0), found,
        structure=Structure("crossed", angle_deg=angle_deg),
    )  # fmt: skip
    return Case(repeat(sum(across), sum(along)), facts)


def built(
    build: Build, across: float, along: float | None = None, *, angle_deg: float = 0.0, jump: float = 0.0
) -> Case:
    """Squares in turn, or zigzags."""
    structure = Structure(
        build, angle_deg=angle_deg, symmetry=1.0, jump=jump, two_sided=0.95, side_deg=angle_deg
    )
    found = repeat(across, along or across)
    if build == "squares" and not angle_deg:  # two squares stand in the smallest unit
        found = replace(found, basis_mm=((across / 2, (along or across) / 2), (0.0, along or across)))
    return Case(found, PrintFacts(Motif(), Direction("two-way", 1.0), structure=structure))


def figures(
    size: float, pitch: float, *, way: Way | None = "tossed", count: int = 5, gap: float | None = None,
    round_share: float = 0.0, symmetry: float = 0.3, rows: float | None = None, cover: float = 0.2,
    hide: bool = False,
) -> Case:  # fmt: skip
    """Separate figures of one size."""
    gap = pitch - size if gap is None else gap
    motif = Motif(size, size, count, cover, gap, (), size)
    structure = Structure(
        "figures", symmetry=symmetry, round_share=round_share, one_colour=0.95, row_pitch_mm=rows,
        ending_share=1.0, cover=cover, hide=hide,
    )  # fmt: skip
    return Case(repeat(pitch, pitch), PrintFacts(motif, Direction(way, 1.0), structure=structure))


def dots(diameter: float, pitch: float) -> Case:
    """Round spots, one to a square repeat."""
    return figures(diameter, pitch, way="four-way", count=1, round_share=1.0, symmetry=1.0, rows=pitch)


def packed(
    pitch: float, *, way: Way | None = "tossed", symmetry: float = 0.3, cover: float = 0.8,
    two_sided: float = 0.3, side_deg: float = 0.0, along: float | None = None,
) -> Case:  # fmt: skip
    """No figure stands apart."""
    structure = Structure(
        "figures", symmetry=symmetry, ending_share=0.1, cover=cover, two_sided=two_sided,
        side_deg=side_deg,
    )  # fmt: skip
    motif = Motif(correlation_length_mm=pitch / 10)
    facts = PrintFacts(motif, Direction(way, 1.0), structure=structure)
    return Case(repeat(pitch, along or pitch), facts)


def plain() -> Case:
    """No print."""
    return Case(Repeat("none"), PrintFacts(Motif(), Direction("two-way", 1.0, "plain")))


def border(every: float) -> Case:
    """A band that repeats along itself, with ground beside it."""
    found = Repeat(
        "beyond-photo", across_mm=every, error_mm=0.1, confidence=0.9, at_least_mm=200.0, border=True
    )
    structure = Structure("figures", cover=0.1)
    return Case(found, PrintFacts(Motif(), Direction("one-way", 1.0), structure=structure))
