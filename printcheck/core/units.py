"""Lengths, sizes and shares as people write them, turned into millimetres and fractions, and back.

Inside printcheck a length is always a float in millimetres. A bare number is refused: the commonest
way to buy the wrong length of cloth is to mix inches with centimetres.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from printcheck.core.errors import InputError

UnitSystem = Literal["metric", "imperial"]

INCH_MM = 25.4  # exact, international yard and pound agreement of 1959
YARD_MM = 36 * INCH_MM
MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": INCH_MM,
    "inch": INCH_MM,
    "inches": INCH_MM,
    '"': INCH_MM,
    "ft": 12 * INCH_MM,
    "yd": YARD_MM,
    "yard": YARD_MM,
    "yards": YARD_MM,
}
KNOWN_UNITS = "mm, cm, m, in, ft or yd"
LONGEST_MM = 1e7  # mm: ten kilometres of cloth; anything longer is a slip of the keyboard

_NUMBER = r"(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d*)?|\.\d+)"
_UNIT = "|".join(sorted((re.escape(u) for u in MM_PER_UNIT), key=len, reverse=True))
_LENGTH = re.compile(rf"\s*([-+]?)\s*({_NUMBER})\s*({_UNIT})?\s*", re.IGNORECASE)
_SIZE = re.compile(rf"\s*({_NUMBER})\s*({_UNIT})?\s*[x\u00d7]\s*({_NUMBER})\s*({_UNIT})?\s*", re.IGNORECASE)
_SHARE = re.compile(r"\s*([-+]?\d+(?:\.\d*)?)\s*%\s*")


def parse_length(text: object, *, place: str = "length") -> float:
    """Millimetres from a number with a unit.

    Parameters
    ----------
    text : object
        Such as ``"64mm"``, ``"6.4 cm"``, ``"2 1/2 in"``, ``'3/8"'`` or ``"0.75 yd"``. Anything that is
        not text (a bare number from a file) is refused.
    place : str, keyword-only
        Where the text stands, for the message.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    InputError
        If there is no unit, no number, or the number is not finite.

    Examples
    --------
    >>> parse_length("6.4 cm"), parse_length("2 1/2 in"), parse_length('3/8"')
    (64.0, 63.5, 9.524999999999999)
    """
    match = _LENGTH.fullmatch(text) if isinstance(text, str) else None
    if match is None or match[3] is None:
        raise InputError(
            "length-without-unit",
            f"{place}: {_shown(text)} is not a length with a unit.",
            f"Write a number with {KNOWN_UNITS}, such as 64mm, 6.4 cm or 2 1/2 in.",
        )
    value = _number(match[2], place) * MM_PER_UNIT[match[3].lower()]
    return _bounded(-value if match[1] == "-" else value, text, place)


def parse_positive_length(text: object, *, place: str = "length") -> float:
    """Millimetres from a number with a unit, refusing zero and less."""
    value = parse_length(text, place=place)
    if value <= 0:
        raise InputError(
            "length-not-positive",
            f"{place}: {_shown(text)} is not more than zero.",
            "Give a length greater than zero.",
        )
    return value


def parse_size(text: object, *, place: str = "size") -> tuple[float, float]:
    """Millimetres of a width and a height written ``64mm x 64mm`` or ``105x148mm``.

    A unit behind the second number alone holds for both.

    Examples
    --------
    >>> parse_size("105x148mm"), parse_size("64mm x 6.4cm")
    ((105.0, 148.0), (64.0, 64.0))
    """
    match = _SIZE.fullmatch(text) if isinstance(text, str) else None
    if match is None or match[4] is None:
        raise InputError(
            "size-without-unit",
            f"{place}: {_shown(text)} is not a width and a height with a unit.",
            f"Write two numbers with {KNOWN_UNITS}, such as 105x148mm.",
        )
    first, second = match[2] or match[4], match[4]
    width = parse_positive_length(f"{match[1]} {first}", place=place)
    return width, parse_positive_length(f"{match[3]} {second}", place=place)


def parse_share(text: object, *, place: str = "share", at_most: float = 0.5) -> float:
    """Fraction from a per cent such as ``"4 %"``, from 0 up to ``at_most``.

    Examples
    --------
    >>> parse_share("4 %")
    0.04
    """
    match = _SHARE.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        raise InputError(
            "share-without-percent",
            f"{place}: {_shown(text)} is not a per cent.",
            'Write a number with %, such as "4 %".',
        )
    value = float(match[1]) / 100
    if not 0 <= value <= at_most:
        raise InputError(
            "share-out-of-range",
            f"{place}: {_shown(text)} lies outside 0 % to {100 * at_most:g} %.",
            "Give what the maker of the cloth states, or what a washed sample showed.",
        )
    return value


def parse_fraction(text: object, *, place: str = "fraction") -> float:
    """Number from ``"1/3"``, ``"0.25"`` or a plain number; no unit."""
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        text = repr(text)
    if not isinstance(text, str) or re.fullmatch(rf"\s*{_NUMBER}\s*", text) is None:
        raise InputError(
            "not-a-number",
            f"{place}: {_shown(text)} is not a number or a fraction.",
            "Write a number such as 0.5 or 1/3.",
        )
    return _number(text, place)


def format_length(mm: float, units: UnitSystem = "metric") -> str:
    """Text of a length: mm below 10 cm and cm above; or inches to the nearest eighth.

    Examples
    --------
    >>> format_length(64.04), format_length(1234.5), format_length(63.5, "imperial")
    ('64.0 mm', '123.5 cm', '2 1/2 in')
    """
    if units == "imperial":
        return f"{_eighths(mm / INCH_MM)} in"
    return f"{mm:.1f} mm" if abs(mm) < 100 else f"{mm / 10:.1f} cm"


def format_buy(mm: float, units: UnitSystem = "metric") -> str:
    """Text of a length to buy: metres, or yards to the nearest eighth above.

    Examples
    --------
    >>> format_buy(3100), format_buy(3100, "imperial")
    ('3.10 m', '3 1/2 yd')
    """
    if units == "imperial":
        return f"{_eighths(math.ceil(mm / YARD_MM * 8 - 1e-9) / 8)} yd"
    return f"{mm / 1000:.2f} m"


def _eighths(value: float) -> str:
    share = Fraction(round(abs(value) * 8), 8)
    whole, rest = divmod(share, 1)
    sign = "-" if value < 0 and share else ""
    if not rest:
        return f"{sign}{whole}"
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def _number(text: str, place: str) -> float:
    try:
        return float(sum(Fraction(part) for part in text.split()))
    except ZeroDivisionError:
        raise InputError(
            "division-by-zero", f"{place}: {text!r} divides by zero.", "Correct the fraction."
        ) from None


def _bounded(mm: float, text: object, place: str) -> float:
    if not math.isfinite(mm) or abs(mm) > LONGEST_MM:
        raise InputError(
            "length-out-of-range",
            f"{place}: {_shown(text)} is longer than ten kilometres.",
            "Check the unit.",
        )
    return mm


def _shown(text: object) -> str:
    return repr(text if len(str(text)) <= 40 else str(text)[:37] + "...")
