"""Colours by numbers and by plain words. Plain Python, so that any stage can name a colour."""

from __future__ import annotations

import math
from functools import cache

Lab = tuple[float, float, float]

NAMED: dict[str, tuple[str, ...]] = {
    "white": ("#ffffff", "#fffafa", "#f5f5f5", "#f8f8ff"),
    "cream": ("#fffff0", "#faf0e6", "#fdf5e6", "#fffacd", "#fff8dc", "#faebd7"),
    "beige": ("#f5f5dc", "#f5deb3", "#ffe4c4"),
    "tan": ("#d2b48c", "#deb887"),
    "light grey": ("#d3d3d3", "#dcdcdc", "#c0c0c0"),
    "grey": ("#a9a9a9", "#808080", "#778899", "#708090"),
    "dark grey": ("#696969", "#2f4f4f"),
    "black": ("#000000",),
    "red": ("#ff0000", "#dc143c", "#b22222", "#cd5c5c"),
    "dark red": ("#800000", "#8b0000"),
    "orange": ("#ffa500", "#ff8c00", "#ff4500"),
    "coral": ("#ff7f50", "#fa8072", "#ffa07a", "#f08080", "#ff6347"),
    "peach": ("#ffdab9", "#ffdead"),
    "yellow": ("#ffff00", "#ffd700"),
    "light yellow": ("#f0e68c", "#ffffe0", "#fafad2"),
    "mustard": ("#daa520", "#b8860b"),
    "brown": ("#a0522d", "#8b4513", "#a52a2a", "#d2691e", "#cd853f"),
    "olive": ("#808000", "#6b8e23", "#bdb76b", "#556b2f"),
    "green": ("#008000", "#228b22", "#2e8b57", "#3cb371", "#32cd32"),
    "dark green": ("#006400",),
    "lime green": ("#00ff00", "#7fff00", "#adff2f", "#9acd32"),
    "light green": ("#90ee90", "#98fb98", "#8fbc8f"),
    "teal": ("#008080", "#008b8b", "#5f9ea0"),
    "turquoise": ("#40e0d0", "#00ced1", "#48d1cc", "#20b2aa", "#00ffff"),
    "light blue": ("#add8e6", "#b0e0e6", "#87ceeb", "#b0c4de", "#afeeee"),
    "blue": ("#0000ff", "#0000cd", "#4169e1", "#1e90ff", "#4682b4", "#6495ed", "#00bfff"),
    "navy": ("#000080", "#191970", "#00008b"),
    "lilac": ("#e6e6fa", "#d8bfd8", "#dda0dd"),
    "purple": ("#800080", "#663399", "#8a2be2", "#9370db", "#9932cc", "#ba55d3", "#6a5acd"),
    "dark purple": ("#4b0082", "#483d8b", "#8b008b"),
    "pink": ("#ffc0cb", "#ffb6c1", "#db7093", "#bc8f8f"),
    "bright pink": ("#ff69b4", "#ff1493", "#ff00ff", "#c71585"),
}
"""Plain words, each with the CSS colours it stands for (W3C, CSS Color Module Level 4, named colours)."""


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
    return [(word, lab_of(colour)) for word, colours in NAMED.items() for colour in colours]


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else math.pow((value + 0.055) / 1.055, 2.4)
