"""Numbers as a report says them: lengths with their errors, shares, money."""

from __future__ import annotations

import math
from collections.abc import Sequence

from printcheck.core.colour import lab_of, plain_name
from printcheck.core.units import INCH_MM, UnitSystem, format_buy, format_length
from printcheck.report.words.content import shown_name

SIXTEENTH_MM = INCH_MM / 16  # below this a length rounds to no eighth of an inch at all
LONGEST_CURRENCY = 8  # letters: a code or a short word
FOOT_M = 12 * INCH_MM / 1000
SHADES_APART = 4.6  # CIELAB lightness, twice the just noticeable: shades that people tell apart
WHOLE_MM = 10.0  # from here a length is said in whole millimetres
STEPS_MM = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)  # one of these, no finer than the error
WHOLE_CM_MM = 100.0  # from here on lengths are said in centimetres (units.format_length)


def size(mm: float, units: UnitSystem) -> str:
    """Length as text; one too small for eighths of an inch is said to be so, never ``0 in``.

    Examples
    --------
    >>> size(64, "metric"), size(64, "imperial"), size(1.2, "imperial")
    ('64.0 mm', '2 1/2 in', 'under 1/8 in')
    """
    if units == "imperial" and 0 < abs(mm) < SIXTEENTH_MM:
        return "under 1/8 in"
    return format_length(mm, units)


def tape(mm: float, units: UnitSystem) -> str:
    """Length as it is read off a tape: all of a layout in centimetres, or in inches.

    Examples
    --------
    >>> tape(9.8, "metric"), tape(720, "metric"), tape(64, "imperial")
    ('1.0 cm', '72.0 cm', '2 1/2 in')
    """
    return f"{mm / 10:.1f} cm" if units == "metric" else size(mm, units)


def tape_or_dash(mm: float | None, units: UnitSystem) -> str:
    """Length as it is read off a tape; a dash where there is none."""
    return "-" if mm is None else tape(mm, units)


def sized(mm: float | None, px: float | None, units: UnitSystem) -> str:
    """Length as text, in pixels of the photo where its scale is not known.

    Examples
    --------
    >>> sized(64, 320, "metric"), sized(None, 320.4, "metric")
    ('64.0 mm', '320 px')
    """
    if mm is not None:
        return size(mm, units)
    return "unknown" if px is None else f"{px:.0f} px"


def distance(metres: float, units: UnitSystem) -> str:
    """How far off somebody stands: metres, or feet to the nearest half.

    Examples
    --------
    >>> distance(1.5, "metric"), distance(1.5, "imperial")
    ('1.5 m', '5 ft')
    """
    return f"{metres:g} m" if units == "metric" else f"{max(0.5, round(metres / FOOT_M * 2) / 2):g} ft"


def short(mm: float, units: UnitSystem, error_mm: float | None = None) -> str:
    """Length without needless digits and no finer than its error: 19 mm, 4.5 mm, 12 cm, 3/4 in.

    Examples
    --------
    >>> [short(mm, "metric") for mm in (4.46, 19.2, 126.0)], short(82.3, "metric", 1.1)
    (['4.5 mm', '19 mm', '12.6 cm'], '82 mm')
    """
    return together((mm,), units, error_mm)[0]


def together(lengths_mm: Sequence[float], units: UnitSystem, error_mm: float | None = None) -> list[str]:
    """Lengths of one sentence, all in one unit.

    Examples
    --------
    >>> together((88.0, 126.0), "metric"), together((88.0,), "imperial"), together((64.0, 79.0), "metric", 4)
    (['8.8 cm', '12.6 cm'], ['3 1/2 in'], ['65 mm', '80 mm'])
    """
    if units == "imperial":
        return [size(mm, units) for mm in lengths_mm]
    finest = next((step for step in STEPS_MM if step >= (error_mm or 0.0)), STEPS_MM[-1])
    in_cm = max(lengths_mm, default=0) >= WHOLE_CM_MM
    found = []
    for mm in lengths_mm:
        step = max(finest, 1.0 if mm >= WHOLE_MM else 0.1)
        rounded = round(mm / step) * step
        text = f"{rounded / 10:.1f}" if in_cm else f"{rounded:.1f}"
        found.append(f"{text.removesuffix('.0')} {'cm' if in_cm else 'mm'}")
    return found


def with_error(mm: float, error_mm: float | None, units: UnitSystem) -> str:
    """Length and its error (one sigma), the error rounded up so that it never promises too much.

    Examples
    --------
    >>> with_error(64, 0.42, "metric"), with_error(640, 2.2, "metric"), with_error(64, 0.4, "imperial")
    ('64.0 mm ± 0.5 mm', '64.0 cm ± 0.3 cm', '2 1/2 in ± under 1/8 in')
    """
    if error_mm is None or not math.isfinite(error_mm):
        return size(mm, units)
    return f"{size(mm, units)} ± {error_text(error_mm, units, mm)}"


def error_text(error_mm: float, units: UnitSystem, beside_mm: float | None = None) -> str:
    """An error, rounded up, in the unit of the length it stands beside or, by itself, in its own."""
    if units == "imperial":
        eighths = math.ceil(error_mm / (INCH_MM / 8) - 1e-9)
        return "under 1/8 in" if eighths <= 1 else format_length(eighths * INCH_MM / 8, units)
    step = 0.1 if abs(error_mm if beside_mm is None else beside_mm) < WHOLE_CM_MM else 1.0
    rounded = max(step, math.ceil(error_mm / step - 1e-9) * step)
    return f"{rounded:.1f} mm" if step < 1 else f"{rounded / 10:.1f} cm"


def give_or_take(error_mm: float, beside: str, units: UnitSystem) -> str:
    """An error, rounded up, in the unit of the length it stands beside.

    Examples
    --------
    >>> give_or_take(0.42, "64 mm", "metric"), give_or_take(2.2, "64 cm", "metric")
    ('0.5 mm', '0.3 cm')
    >>> give_or_take(0.42, "2 1/2 in", "imperial")
    'less than 1/8 in'
    """
    if units == "imperial":
        return error_text(error_mm, units).replace("under", "less than")
    if beside.endswith(" cm"):
        return f"{max(1, math.ceil(error_mm - 1e-9)) / 10:g} cm"
    return f"{max(1, math.ceil(10 * error_mm - 1e-9)) / 10:g} mm"


def box(width_mm: float, height_mm: float, units: UnitSystem) -> str:
    """Width by height, with the axis each lies on."""
    return f"{size(width_mm, units)} across by {size(height_mm, units)} along"


def percent(share: float) -> str:
    """Share as a per cent with a sensible number of digits.

    Examples
    --------
    >>> percent(0.4), percent(0.0042)
    ('40 %', '0.4 %')
    """
    value = 100 * share
    return f"{value:.0f} %" if abs(value) >= 10 or value == 0 else f"{value:.1f} %"


def money(amount: float | None, currency: str) -> str:
    """Amount with its currency; a dash where there is no price."""
    return "-" if amount is None else f"{amount:.2f} {shown_name(currency, LONGEST_CURRENCY)}".strip()


def buy(mm: float | None, units: UnitSystem) -> str:
    """Length to buy; a dash where there is none."""
    return "-" if mm is None else format_buy(mm, units)


def degrees(value: float) -> str:
    """Whole degrees, tenths below ten."""
    return f"{value:.0f} degrees" if abs(value) >= 10 else f"{value:.1f} degrees"


def colour_name(code: str) -> str:
    """Everyday name of an sRGB colour ``#rrggbb``; anything else comes back as it is.

    Examples
    --------
    >>> colour_name("#c03028"), colour_name("#f8f8f4"), colour_name("?")
    ('red', 'white', '?')
    """
    try:
        return plain_name(lab_of(code))
    except ValueError:
        return code


def told_apart(codes: Sequence[str]) -> list[str]:
    """Names of colours in one list; two shades with one name are told as the lighter and the darker.

    Examples
    --------
    >>> told_apart(["#3e556b", "#6190ad", "#c03028"])
    ['blue (darker)', 'blue (lighter)', 'red']
    >>> told_apart(["#404040", "#303030", "#404040"])
    ['dark grey (lighter)', 'dark grey (darker)', 'dark grey (lighter)']
    """
    names = [colour_name(code) for code in codes]
    lightness = {code: lab_of(code)[0] for code, name in zip(codes, names, strict=True) if name != code}
    found = []
    for code, name in zip(codes, names, strict=True):
        alike = [lightness[c] for c, n in zip(codes, names, strict=True) if n == name and c in lightness]
        apart = max(alike, default=0.0) - min(alike, default=0.0)
        lighter = apart > SHADES_APART and lightness[code] > (max(alike) + min(alike)) / 2
        shade = "" if apart <= SHADES_APART else " (lighter)" if lighter else " (darker)"
        found.append(f"{name}{shade}")
    return found
