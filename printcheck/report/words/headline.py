"""The print in one line: its name, the size that people quote with that name, and its colours."""

from __future__ import annotations

import math
from collections import Counter

from printcheck.core.errors import listed
from printcheck.core.measurement import Measurement
from printcheck.core.units import UnitSystem
from printcheck.report.words.quantities import short, together

OVERLAP = 0.15  # by which two sizes may differ and still be said as one
LEVEL_SQUARES = 1.5  # smallest units in the repeat: one where squares stand on a corner, two where level
MOST_COLOURS = 3  # in one line
ROUGHLY = 0.05  # of the cloth looked at: a bound is said no finer


def headline(m: Measurement, units: UnitSystem) -> str:
    """Name of the print with the size that goes with it, as in "Even gingham, 6 mm squares"."""
    body = ", ".join(filter(None, (kind_of_print(m), _size_of(m, units), _colours(m))))
    return f"{body[0].upper()}{body[1:]}."


def kind_of_print(m: Measurement) -> str:
    """Name of the print alone, as in "even gingham"."""
    return (m.print_name and m.print_name.text) or "print"


def _colours(m: Measurement) -> str:
    counted = Counter(colour.name for colour in m.colours)
    names = [f"shades of {name}" if times > 1 else name for name, times in counted.items()]
    more = ["more"] if len(names) > MOST_COLOURS else []
    return f"in {listed(names[:MOST_COLOURS] + more)}" if names else ""


def _error(m: Measurement, mm: float) -> float:
    """Error of a length on the cloth: its share of the repeat's, a pixel at least."""
    lengths = (m.repeat.across_mm, m.repeat.along_mm)
    longest = max((known for known in lengths if known is not None), default=0.0)
    share = (m.repeat.error_mm or 0.0) / longest if longest else 0.0
    return max(share * mm, m.scale.mm_per_px if m.scale is not None else 0.0)


def _size_of(m: Measurement, units: UnitSystem) -> str:
    """The size people quote with this name; empty where none is known."""
    name = m.print_name.name if m.print_name is not None else ""
    if "plain" in m.classes or m.scale is None:
        return ""
    bars = m.stripe_or_check
    if name in ("even-gingham", "even-check") and bars is not None:
        return _squares(
            m, [b.width_mm or 0.0 for b in bars.bars], [b.width_mm or 0.0 for b in bars.bars_along], units
        )
    if name in ("checkerboard", "harlequin") and m.repeat.lattice is not None:
        return _in_turn(m, m.repeat.lattice.area_mm2, units)
    if "stripe" in m.classes:
        return _stripes(m, units)
    whole = m.repeat.known or "dot" in name  # else larger figures may run out of the photo
    if whole and m.motif.width_mm is not None and m.motif.height_mm is not None and name != "tile":
        return _figures(m, name, units)
    return _repeats(m, units)


def _in_turn(m: Measurement, area_mm2: float, units: UnitSystem) -> str:
    """Squares or diamonds of two colours in turn, two to the smallest unit of the print.

    Standing on the cloth's axes they are halves of its crosswise by lengthwise repeat; standing on a corner
    that repeat is their diagonals.
    """
    across, along = m.repeat.across_mm, m.repeat.along_mm
    if across and along and across * along > LEVEL_SQUARES * area_mm2:
        return _squares(m, [across / 2], [along / 2], units)
    if across and along and abs(across - along) > OVERLAP / 3 * max(across, along):
        wide, tall = together((across, along), units, _error(m, across))
        return f"{wide} by {tall} diamonds"
    side = math.sqrt(area_mm2 / 2)
    return _squares(m, [side], [side], units)


def _squares(m: Measurement, across: list[float], along: list[float], units: UnitSystem) -> str:
    wide, tall = sum(across) / len(across), sum(along) / len(along)
    error = _error(m, wide)
    if abs(wide - tall) <= OVERLAP * max(wide, tall):
        return f"{short((wide + tall) / 2, units, error)} squares"
    both = together((wide, tall), units, error)
    return f"{both[0]} by {both[1]} oblongs"


def _stripes(m: Measurement, units: UnitSystem) -> str:
    found = m.stripe_or_check
    pitch = sum(bar.width_mm or 0.0 for bar in found.bars) if found is not None else 0.0
    if found is None or not pitch:
        return ""
    if len(found.bars) != 2:
        return f"repeating every {short(pitch, units, _error(m, pitch))}"
    thin, wide = sorted(bar.width_mm or 0.0 for bar in found.bars)
    error = max(_error(m, thin), *(bar.error_mm or 0.0 for bar in found.bars))
    if wide - thin <= 2 * OVERLAP * wide:
        return f"{short((thin + wide) / 2, units, error)} bars"
    both = together((thin, wide), units, error)
    return f"{both[0]} and {both[1]} bars"


def _figures(m: Measurement, name: str, units: UnitSystem) -> str:
    width, height, gap = m.motif.width_mm or 0.0, m.motif.height_mm or 0.0, m.motif.gap_mm
    if "dot" in name:
        if gap is None:
            return f"{short(width, units, _error(m, width))} dots"
        both = together((width, gap), units, _error(m, width))
        return f"{both[0]} dots {both[1]} apart"
    both = together((width, height), units, _error(m, width))
    return f"the largest figure {both[0]} by {both[1]}"


def _repeats(m: Measurement, units: UnitSystem) -> str:
    """The repeat, or how far the photo saw none."""
    sides = [(mm, way) for mm, way in ((m.repeat.across_mm, "across"), (m.repeat.along_mm, "along")) if mm]
    error = m.repeat.error_mm or 0.0
    if not sides:
        least = m.repeat.at_least_mm
        beyond = m.repeat.kind == "beyond-photo" and least is not None
        return f"its repeat longer than {short(least, units, ROUGHLY * least)}" if beyond and least else ""
    lengths = together([mm for mm, _ in sides], units, error)
    if len(sides) == 2 and abs(sides[0][0] - sides[1][0]) <= 2 * error:
        return f"repeating every {short((sides[0][0] + sides[1][0]) / 2, units, error)}"
    parts = [f"{length} {way}" for length, (_, way) in zip(lengths, sides, strict=True)]
    return f"repeating every {listed(parts)}"
