"""What the trade calls a print: one table, each name with its definition, its source and its test."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from printcheck.advice.case import EQUAL, THIN, Case
from printcheck.advice.classes import SMALL_MM
from printcheck.core.colour import lab_of
from printcheck.core.measurement import SLANT_DEG, Bar, PrintName

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

FD = "Fairchild's Dictionary of Textiles (from memory)"
RD = "Reader's Digest Complete Guide to Sewing; Shaeffer, Fabric Sewing Guide (from memory)"
CP = "common practice"
PNW = "PNW 187, Sewing with Stripes, Checks, and Plaids"
SUIT = "Dress Like a Man"
VFG = "Vintage Fashion Guild fabric resource; figures from memory"
PRESS = "The Press (Christchurch), 5 July 1978"
KIGHT = "Kight, A Field Guide to Fabric Design, p. 26"

PIN_LINE_MM = 1.6  # 1/16 in
CHALK_LINE_MM = 3.2  # 1/8 in
CHALK_PITCH_MM = (10.0, 30.0)
EVEN_BAR_MM = (3.0, 12.0)
AWNING_BAR_MM = 25.0
PIN_DOT_MM = 3.0
COIN_DOT_MM = 20.0
STRIPE_EQUAL = 0.2  # bar and gap of an even stripe differ by less
PALE = 75.0  # CIELAB lightness from which a ground counts as light
NEUTRAL = 18.0  # CIELAB chroma below which it counts as white or cream in a photo
SAME_COLOUR = 12.0  # Delta E: two bars of one dye, woven or printed unevenly, stay below
OPEN_GROUND = 2.0  # times the line, that the ground between pin stripes is at least


@dataclass(frozen=True)
class Name:
    """One row: the name, what it means, who says so, and how it is told."""

    name: str
    text: str
    means: str
    source: str
    applies: Callable[[Case], bool]


def _between(value: float | None, low: float, high: float) -> bool:
    return value is not None and low <= value <= high


def _two(bars: Sequence[Bar]) -> tuple[float, float] | None:
    """Narrow and wide bar of a sequence of two, in mm or in whatever unit was measured."""
    widths = sorted(bar.width_mm if bar.width_mm is not None else bar.width_px or 0.0 for bar in bars)
    return (widths[0], widths[1]) if len(widths) == 2 and widths[1] > 0 else None


def _is_even(bars: Sequence[Bar], share: float) -> bool:
    two = _two(bars)
    return two is not None and two[1] - two[0] <= share * (two[0] + two[1]) / 2


def _line(c: Case) -> float | None:
    """Width of the line of a two-tone stripe on open ground."""
    two = _two(c.bars.bars) if c.bars else None
    return two[0] if two and two[1] >= OPEN_GROUND * two[0] else None


def _stripe(c: Case) -> bool:
    return c.build == "stripe"


def _even_bar(c: Case) -> float | None:
    """Wider bar of an even two-tone stripe."""
    two = _two(c.bars.bars) if c.bars and _is_even(c.bars.bars, STRIPE_EQUAL) else None
    return two[1] if two else None


def _uneven_stripe(c: Case) -> bool:
    return _stripe(c) and c.bars is not None and len(c.bars.bars) > 2 and not c.even


def _crossed(c: Case) -> bool:
    return c.build == "crossed"


def _lines_cross(c: Case) -> bool:
    """Thin lines both ways on one ground: the widest bar is the ground's, and the others are lines."""
    bars = c.bars
    if bars is None or not bars.bars_along:
        return False
    return all(_lines(sequence) for sequence in (bars.bars, bars.bars_along))


def _lines(sequence: Sequence[Bar]) -> bool:
    """Whether every bar is either a line or ground, the two in turn."""
    widths = [bar.width_mm or bar.width_px or 0.0 for bar in sequence]
    pairs = len(widths) // 2
    odd, even = widths[::2], widths[1::2]
    thin, wide = (odd, even) if sum(odd) < sum(even) else (even, odd)
    return len(widths) % 2 == 0 and max(thin) <= THIN * (sum(widths) / pairs) and min(wide) > 0


def _line_colours(c: Case) -> int:
    """Colours of the lines on the ground, over both directions."""
    found: list[tuple[float, float, float]] = []
    for sequence in (c.bars.bars, c.bars.bars_along) if c.bars else ():
        wide = sum(bar.width_mm or bar.width_px or 0.0 for bar in sequence[::2])
        other = sum(bar.width_mm or bar.width_px or 0.0 for bar in sequence[1::2])
        for bar in sequence[1::2] if wide > other else sequence[::2]:
            lab = lab_of(bar.colour)
            if all(_apart(lab, seen) > 2 * SAME_COLOUR for seen in found):
                found.append(lab)
    return len(found)


def _even_check(c: Case) -> bool:
    bars = c.bars
    return bars is not None and all(_is_even(s, EQUAL) for s in (bars.bars, bars.bars_along))


def _with_white(c: Case) -> bool:
    return any(_is_white(lab_of(bar.colour)) for bar in c.all_bars)


def _is_white(lab: tuple[float, float, float]) -> bool:
    return lab[0] >= PALE and (lab[1] ** 2 + lab[2] ** 2) ** 0.5 <= NEUTRAL


def _apart(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    return math.dist(one, other)


def _plaid_of_two(c: Case) -> bool:
    """Two bars each way, or more of one and the same colour beside the ground."""
    return c.bars is not None and max(len(c.bars.bars), len(c.bars.bars_along)) <= 2


def _dot(c: Case) -> float | None:
    return c.figure_mm if c.dots else None


NAMES: tuple[Name, ...] = (
    Name("plain", "plain cloth", "no figure above weave and shading", CP, lambda c: c.plain),
    Name(
        "border", "border print", "a band that comes again along itself, unlike the cloth beside it", PRESS,
        lambda c: c.border,
    ),
    Name(
        "diagonal-stripe", "diagonal stripe", f"a stripe over {SLANT_DEG:.0f} degrees off both edges", RD,
        lambda c: _stripe(c) and c.slanting,
    ),
    Name(
        "pin-stripe", "pin stripe", "lines up to 1/16 in (1.6 mm) on open ground", SUIT,
        lambda c: _stripe(c) and _between(_line(c), 0, PIN_LINE_MM),
    ),
    Name(
        "pencil-stripe", "pencil or chalk stripe",
        "lines of 1/16 to 1/8 in (1.6 to 3.2 mm) on open ground, 10 to 30 mm apart", SUIT,
        lambda c: _stripe(c) and _between(_line(c), PIN_LINE_MM, CHALK_LINE_MM)
        and _between(c.pitch_mm, *CHALK_PITCH_MM),
    ),
    Name(
        "fine-stripe", "fine stripe", "two equal bars under 3 mm", CP,
        lambda c: _stripe(c) and _between(_even_bar(c), 0, EVEN_BAR_MM[0]),
    ),
    Name(
        "wide-stripe", "wide even stripe", "as an even stripe, bars of 12 to 25 mm", CP,
        lambda c: _stripe(c) and _between(_even_bar(c), EVEN_BAR_MM[1], AWNING_BAR_MM),
    ),
    Name(
        "awning-stripe", "awning stripe", "as an even stripe, bars over 25 mm (1 in)", FD,
        lambda c: _stripe(c) and (_even_bar(c) or 0) > AWNING_BAR_MM,
    ),
    Name(
        "even-stripe", "even stripe", "two colours, bar and gap equal within a fifth, bars of 3 to 12 mm", FD,
        lambda c: _stripe(c) and _between(_even_bar(c), *EVEN_BAR_MM),
    ),
    Name(
        "uneven-stripe", "uneven stripe", "bars that do not read the same to the left and to the right", PNW,
        _uneven_stripe,
    ),
    Name(
        "multi-stripe", "multi-stripe", "three or more bars, the same read from either side", RD,
        lambda c: _stripe(c) and c.bars is not None and len(c.bars.bars) > 2,
    ),
    Name("stripe", "stripe", "bars that run one way", CP, _stripe),
    Name(
        "trellis", "trellis", "lines that run two ways on the slant and join into a net on open ground", FD,
        lambda c: (_crossed(c) and c.slanting and _lines_cross(c)) or (c.net and c.diamonds),
    ),
    Name(
        "tattersall", "tattersall check", "thin lines of two or more colours crossing on a light ground", FD,
        lambda c: _crossed(c) and _lines_cross(c) and _line_colours(c) > 1 and _with_white(c),
    ),
    Name(
        "windowpane", "windowpane check", "thin lines crossing, each up to a sixth of the repeat", FD,
        lambda c: _crossed(c) and _lines_cross(c),
    ),
    Name(
        "even-gingham", "even gingham", "equal bars both ways in one colour and white: three tones", FD,
        lambda c: _crossed(c) and _even_check(c) and _with_white(c),
    ),
    Name(
        "even-check", "even check", "equal bars both ways in two colours", FD,
        lambda c: _crossed(c) and _even_check(c),
    ),
    Name(
        "check", "check", "two bars each way, crossing", FD,
        lambda c: _crossed(c) and (c.bars is None or _plaid_of_two(c)),
    ),
    Name(
        "even-plaid", "even plaid", "several bars both ways that mirror about a line across and along", RD,
        lambda c: _crossed(c) and c.even,
    ),
    Name("uneven-plaid", "uneven plaid", "no mirror line across, along, or both", RD, _crossed),
    Name(
        "harlequin", "harlequin check", "diamonds of two colours in turn", CP,
        lambda c: (c.build == "squares" or (c.in_order and not c.net)) and c.diamonds and not _square(c),
    ),
    Name(
        "checkerboard", "checkerboard", "squares of two colours in turn, no third tone", CP,
        lambda c: c.build == "squares",
    ),
    Name(
        "herringbone", "herringbone", "slant strokes in columns of alternate slant, broken where they turn",
        FD, lambda c: c.broken,
    ),
    Name("chevron", "chevron", "bands that turn at sharp points", FD, lambda c: c.build == "zigzag"),
    Name(
        "pin-dot", "pin dot", "round, regular, up to 3 mm", VFG, lambda c: _between(_dot(c), 0, PIN_DOT_MM)
    ),
    Name("coin-dot", "coin dot", "round, regular, over 20 mm", VFG, lambda c: (_dot(c) or 0) > COIN_DOT_MM),
    Name("polka-dot", "polka dot", "round figures of one size and colour, 3 to 20 mm", VFG, lambda c: c.dots),
    Name(
        "animal-skin", "animal skin print", "spots, patches or bands, no two alike, in few earthy tones", FD,
        lambda c: c.hide,
    ),
    Name(
        "ditsy", "ditsy print", "small figures up to 1/2 in (12.7 mm) in no rows, facing many ways", VFG,
        lambda c: c.figures and not c.rows and not c.one_way and _between(c.figure_mm, 0, SMALL_MM),
    ),
    Name(
        "large-motif", "large-scale motif print", "a figure over 75 mm (3 in), or a repeat over 300 mm", CP,
        lambda c: c.large and not c.in_order,
    ),
    Name(
        "rows-of-figures", "rows of figures", "figures that line up level", RD,
        lambda c: c.rows and (c.one_way or not c.in_order),
    ),
    Name(
        "tossed-figures", "tossed figures", "separate figures lying at many angles", CP,
        lambda c: c.figures and c.tossed and not (c.in_order or (c.bunched and c.spaced)),
    ),
    Name(
        "geometric-figures", "spaced geometric", "closed forms in order with ground between", CP,
        lambda c: c.figures and c.in_order,
    ),
    Name(
        "spaced-motif", "spaced motif print", "separate figures, gaps as wide as the figure or wider", KIGHT,
        lambda c: c.spaced,
    ),
    Name("tile", "geometric tile print", "closed shapes that tile the cloth", CP, lambda c: c.in_order),
    Name(
        "all-over", "all-over print", "ground seen little, no row or column stands out", KIGHT, lambda _: True
    ),
)  # fmt: skip


def _square(c: Case) -> bool:
    """Diamonds whose two diagonals are alike: squares stood on a corner."""
    across, along = c.repeat.across_mm, c.repeat.along_mm
    return not across or not along or abs(across / along - 1) <= DIAMOND


DIAMOND = 0.05  # by which the diagonals of a diamond differ at least


def name_of(case: Case) -> PrintName:
    """Return the first name of the table that fits."""
    row = next(row for row in NAMES if row.applies(case))
    return PrintName(row.name, row.text)
