"""Colours by numbers and by the plain words of ``colours.toml``, so that any stage can name a colour."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import msgspec

JUST_NOTICEABLE = 2.3  # Delta E, CIE 1976 (Mahy, Van Eycken, Oosterlinck 1994)

Lab = tuple[float, float, float]

_WORDS = msgspec.toml.decode(Path(__file__).with_name("colours.toml").read_bytes())
CSS: dict[str, list[str]] = _WORDS["css"]
SURVEY: dict[str, dict[str, str]] = _WORDS["survey"]


def lab_of(colour: str) -> Lab:
    """CIELAB of ``#rrggbb`` (IEC 61966-2-1 and CIE 15, D65).

    Examples
    --------
    >>> [round(v) for v in lab_of("#ffffff")], [round(v) for v in lab_of("#ff0000")]
    ([100, 0, 0], [53, 80, 67])
    """
    r, g, b = (_linear(int(colour[k : k + 2], 16) / 255) for k in (1, 3, 5))
    x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089
    fx, fy, fz = (v ** (1 / 3) if v > (6 / 29) ** 3 else v / (3 * (6 / 29) ** 2) + 4 / 29 for v in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def plain_name(lab: Lab) -> str:
    """Plain word for a colour seen against white: that of the nearest named one.

    By the CIE 1994 difference, in which hue counts more the more colourful the colours are.

    Examples
    --------
    >>> [plain_name(lab_of(c)) for c in ("#c03028", "#1f2a55", "#f8f8f4", "#f7eed8")]
    ['red', 'navy', 'white', 'cream']
    """
    return min(_table(), key=lambda row: difference(row[1], lab))[0]


def difference(first: Lab, second: Lab) -> float:
    """CIE 1994 colour difference of the second from the first (CIE 116-1995, graphic arts)."""
    chroma, other = math.hypot(first[1], first[2]), math.hypot(second[1], second[2])
    d_light, d_chroma = second[0] - first[0], other - chroma
    apart = (second[1] - first[1]) ** 2 + (second[2] - first[2]) ** 2
    d_hue = math.sqrt(max(0.0, apart - d_chroma**2))
    return math.hypot(d_light, d_chroma / (1 + 0.045 * chroma), d_hue / (1 + 0.015 * chroma))


@cache
def _table() -> list[tuple[str, Lab]]:
    listed = [(word, colour) for word, colours in CSS.items() for colour in colours]
    listed += [(word, colour) for word, colours in SURVEY.items() for colour in colours.values()]
    return [(word, lab_of(colour)) for word, colour in listed]


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else math.pow((value + 0.055) / 1.055, 2.4)
