"""What a teacher of sewing matches, print by print and seam by seam: one table with its sources."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.advice.case import LARGE_FIGURE_MM, Case
from printcheck.advice.names import CP, PNW, PRESS, RD
from printcheck.core.measurement import Needs, Place, SeamPlace

if TYPE_CHECKING:
    from collections.abc import Callable

CS = "Shaeffer, Fabric Sewing Guide (from memory)"
ND = "The New Dressmaker (Butterick 1921)"
SMALL_STRIPE_MM = 6.0  # 1/4 in: between 4 and 8 mm teachers differ
SMALL_CHECK_MM = 12.7  # 1/4 in bars: between 8 and 14 mm teachers differ
SMALL_DOT_MM, NEAR_DOTS_MM, BOLD_DOT_MM, FAR_DOTS_MM = 6.0, 15.0, 15.0, 35.0
SMALL_FIGURE_MM, NEAR_ROWS_MM, FAR_ROWS_MM = 20.0, 15.0, 40.0
TOSSED_MM = 60.0
SMALL_TILE_MM = 16.0  # between 10 and 25 mm teachers differ


@dataclass(frozen=True)
class Match:
    """One row: which prints, what their seams need, and who says so."""

    code: str
    means: str
    needs: Needs
    source: str
    applies: Callable[[Case], bool]


def _up_to(value: float | None, limit: float) -> bool:
    return value is not None and value <= limit


def _over(value: float | None, limit: float) -> bool:
    return value is not None and value > limit


def _stripe(c: Case) -> bool:
    return c.build == "stripe"


def fine_stripe(c: Case) -> bool:
    """A stripe too fine to match."""
    return _up_to(c.pitch_mm, SMALL_STRIPE_MM) or _up_to(c.bar_mm, SMALL_STRIPE_MM / 2)


def _barred(c: Case) -> bool:
    return c.build in ("crossed", "squares")


def _gap(c: Case) -> float | None:
    return c.facts.motif.gap_mm


MATCHES: tuple[Match, ...] = (
    Match("plain", "plain cloth", "none", CP, lambda c: c.plain),
    Match("border", "a border: at one height round the hem", "level", PRESS, lambda c: c.border),
    Match("tone-on-tone", "contrast up to twice the just noticeable", "none", CP, lambda c: c.contrast_low),
    Match(
        "small-stripe", "a stripe with a pitch up to 6 mm, or no bar over 3 mm", "none", CP,
        lambda c: _stripe(c) and fine_stripe(c),
    ),
    Match(
        "diagonal", "a stripe on the slant: each seam can be met in one direction at most", "both", RD,
        lambda c: _stripe(c) and c.slanting,
    ),
    Match("cross-stripe", "a stripe across the cloth", "level", PNW, lambda c: _stripe(c) and c.crosswise),
    Match("length-stripe", "a stripe along the cloth", "upright", PNW, _stripe),
    Match(
        "small-check", "gingham, checks, squares and plaids with a repeat up to 12.7 mm (bars of 1/4 in)",
        "none", CP, lambda c: _barred(c) and _up_to(c.pitch_mm, SMALL_CHECK_MM),
    ),
    Match("check", "larger checks, squares and plaids", "both", RD, _barred),
    Match(
        "small-zigzag", "chevrons and herringbones with a repeat up to 12.7 mm, as small checks", "none", CP,
        lambda c: c.build == "zigzag" and _up_to(c.pitch_mm, SMALL_CHECK_MM),
    ),
    Match(
        "herringbone", "herringbones: the columns, as a stripe along the cloth", "upright", CP,
        lambda c: c.broken,
    ),
    Match("chevron", "larger chevrons and zigzags", "both", RD, lambda c: c.build == "zigzag"),
    Match(
        "small-dots", "dots up to 6 mm with gaps up to 15 mm", "none", CP,
        lambda c: c.dots and _up_to(c.figure_mm, SMALL_DOT_MM) and _up_to(_gap(c), NEAR_DOTS_MM),
    ),
    Match(
        "bold-dots", "dots over 15 mm, or further apart than 35 mm", "level", CP,
        lambda c: c.dots and (_over(c.figure_mm, BOLD_DOT_MM) or _over(c.pitch_mm, FAR_DOTS_MM)),
    ),
    Match("dots", "dots between", "none", CP, lambda c: c.dots),
    Match(
        "large-figures", "figures over 75 mm (3 in)", "both", RD,
        lambda c: c.build == "figures" and _over(c.figure_mm, LARGE_FIGURE_MM) and not c.in_order,
    ),
    Match(
        "near-rows", "figures in rows or a grid with a repeat up to 15 mm", "none", CP,
        lambda c: c.figures and c.ordered and _up_to(c.pitch_mm, NEAR_ROWS_MM),
    ),
    Match(
        "small-rows", "figures up to 20 mm in rows or a grid with a repeat up to 40 mm", "none", CP,
        lambda c: c.figures and c.ordered and _up_to(c.figure_mm, SMALL_FIGURE_MM)
        and _up_to(c.pitch_mm, FAR_ROWS_MM),
    ),
    Match("rows", "larger figures in rows or a grid", "level", RD, lambda c: c.figures and c.ordered),
    Match(
        "small-tiles", "tiles, nets and trellises with a repeat up to 16 mm", "none", CP,
        lambda c: c.in_order and _up_to(c.pitch_mm, SMALL_TILE_MM),
    ),
    Match("tiles", "larger tiles, nets and trellises", "both", CP, lambda c: c.in_order),
    Match(
        "bunches", "figures that gather so that they stand out at a hand's breadth", "level", RD,
        lambda c: c.build == "figures" and c.facts.clump is not None,
    ),
    Match(
        "tossed", "figures at many angles, up to 60 mm or packed", "none", CS,
        lambda c: c.tossed and not (c.spaced and _over(c.figure_mm, TOSSED_MM)),
    ),
    Match(
        "small-all-over", "figures up to 25 mm in no rows, or too close to part and hardly a pattern", "none",
        CP, lambda c: c.fine and not (c.one_way and c.known),
    ),
    Match("others", "all other prints: the rows at least", "level", RD, lambda _: True),
)  # fmt: skip

PLACES: dict[str, tuple[tuple[Place, Needs, str], ...]] = {
    "none": (),
    "diagonal": (("centre-front", "both", RD), ("centre-back", "both", RD)),
    "border": (
        ("centre-front", "level", PRESS),
        ("centre-back", "level", PRESS),
        ("side", "level", PRESS),
        ("hem", "level", PRESS),
    ),
    "level": (
        ("centre-front", "level", CP),
        ("centre-back", "level", CP),
        ("side", "level", ND),
        ("sleeve", "level", "from memory: the front notch of the armhole first"),
        ("pocket", "level", CP),
        ("hem", "level", CP),
    ),
    "upright": (
        ("centre-front", "upright", RD),
        ("centre-back", "upright", RD),
        ("pocket", "upright", RD),
        ("collar", "upright", RD),
        ("waistband", "upright", CP),
    ),
    "both": (
        ("centre-front", "both", ND),
        ("centre-back", "both", ND),
        ("side", "level", ND),
        ("sleeve", "level", RD),
        ("pocket", "both", RD),
        ("collar", "upright", RD),
        ("waistband", "upright", CP),
        ("hem", "level", CP),
    ),
}
"""What to match at each place of a garment, by what is needed or by the code of a row of its own.

A place that is not named needs nothing.
"""


def match_of(case: Case) -> Match:
    """Return the first row of the table that fits."""
    return next(row for row in MATCHES if row.applies(case))


def places_of(row: Match) -> tuple[SeamPlace, ...]:
    """What to match of such a print, place by place."""
    return tuple(SeamPlace(place, match) for place, match, _ in PLACES.get(row.code, PLACES[row.needs]))
