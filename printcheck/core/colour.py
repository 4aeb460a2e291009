"""Colours by numbers and by plain words. Plain Python, so that any stage can name a colour."""

from __future__ import annotations

import math
from functools import cache

JUST_NOTICEABLE = 2.3  # Delta E, CIE 1976 (Mahy, Van Eycken, Oosterlinck 1994)

Lab = tuple[float, float, float]

CSS: dict[str, tuple[str, ...]] = {
    "white": ("#ffffff", "#fffafa", "#f5f5f5", "#f8f8ff"),
    "cream": ("#fffff0", "#faf0e6", "#fdf5e6", "#fffacd", "#fff8dc", "#faebd7", "#ffffe0", "#fafad2"),
    "beige": ("#f5f5dc", "#f5deb3", "#ffe4c4"),
    "tan": ("#d2b48c", "#deb887"),
    "light grey": ("#d3d3d3", "#dcdcdc", "#c0c0c0"),
    "grey": ("#a9a9a9", "#808080"),
    "blue grey": ("#778899", "#708090"),
    "dark grey": ("#696969", "#2f4f4f"),
    "black": ("#000000",),
    "red": ("#ff0000", "#dc143c", "#b22222", "#cd5c5c", "#a52a2a"),
    "dark red": ("#800000", "#8b0000"),
    "rust": ("#d2691e", "#a0522d"),
    "orange": ("#ffa500", "#ff8c00", "#ff4500"),
    "coral": ("#ff7f50", "#fa8072", "#ffa07a", "#f08080", "#ff6347"),
    "peach": ("#ffdab9", "#ffdead"),
    "yellow": ("#ffff00", "#ffd700"),
    "light yellow": ("#f0e68c",),
    "mustard": ("#daa520", "#b8860b"),
    "brown": ("#8b4513", "#cd853f"),
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
    "dark purple": ("#4b0082", "#8b008b"),
    "pink": ("#ffc0cb", "#ffb6c1", "#db7093", "#bc8f8f"),
    "bright pink": ("#ff69b4", "#ff1493", "#ff00ff", "#c71585"),
}
"""Plain words, each with the CSS colours it stands for (W3C, CSS Color Module Level 4, named colours).

CSS calls #a52a2a brown; its hue and chroma are those of the reds about it."""

SURVEY: dict[str, dict[str, str]] = {
    "white": {"white": "#ffffff"},
    "cream": {
        "cream": "#ffffc2",
        "ivory": "#ffffcb",
        "off white": "#ffffe4",
        "eggshell": "#ffffd4",
        "ecru": "#feffca",
    },
    "beige": {"beige": "#e6daa6"},
    "tan": {"tan": "#d1b26f", "taupe": "#b9a281", "sand": "#e2ca76"},
    "light grey": {"light grey": "#d8dcd6", "silver": "#c5c9c7"},
    "grey": {"grey": "#929591", "medium grey": "#7d7f7c", "steel grey": "#6f828a"},
    "blue grey": {"blue grey": "#607c8e", "slate": "#516572", "slate grey": "#59656d"},
    "dark grey": {"dark grey": "#363737", "charcoal": "#343837", "charcoal grey": "#3c4142"},
    "black": {"black": "#000000"},
    "red": {"red": "#e50000", "bright red": "#ff000d", "scarlet": "#be0119"},
    "dark red": {
        "dark red": "#840000",
        "maroon": "#650021",
        "burgundy": "#610023",
        "deep red": "#9a0200",
        "wine": "#80013f",
    },
    "rust": {"rust": "#a83c09", "terracotta": "#ca6641", "brick": "#a03623", "burnt orange": "#c04e01"},
    "orange": {"orange": "#f97306", "dark orange": "#c65102", "bright orange": "#ff5b00"},
    "coral": {"coral": "#fc5a50", "salmon": "#ff796c"},
    "peach": {"peach": "#ffb07c", "light peach": "#ffd8b1"},
    "yellow": {"yellow": "#ffff14", "bright yellow": "#fffd01"},
    "light yellow": {"light yellow": "#fffe7a", "pale yellow": "#ffff84"},
    "mustard": {"mustard": "#ceb301", "gold": "#dbb40c", "ochre": "#bf9005"},
    "brown": {"brown": "#653700", "light brown": "#ad8150", "medium brown": "#7f5112"},
    "dark brown": {"dark brown": "#341c02", "chocolate brown": "#411900"},
    "olive": {"olive": "#6e750e", "olive green": "#677a04", "khaki": "#aaa662"},
    "green": {"green": "#15b01a", "grass green": "#3f9b0b", "emerald": "#01a049", "kelly green": "#02ab2e"},
    "dark green": {"dark green": "#033500", "forest green": "#06470c", "bottle green": "#044a05"},
    "lime green": {"lime green": "#89fe05", "lime": "#aaff32"},
    "light green": {"light green": "#96f97b", "pale green": "#c7fdb5", "mint": "#9ffeb0", "sage": "#87ae73"},
    "teal": {"teal": "#029386", "dark teal": "#014d4e"},
    "turquoise": {"turquoise": "#06c2ac", "aqua": "#13eac9"},
    "light blue": {
        "light blue": "#95d0fc",
        "pale blue": "#d0fefe",
        "sky blue": "#75bbfd",
        "baby blue": "#a2cffe",
    },
    "blue": {
        "blue": "#0343df",
        "royal blue": "#0504aa",
        "denim": "#3b638c",
        "cobalt": "#1e488f",
        "dusty blue": "#5a86ad",
    },
    "navy": {
        "navy": "#01153e",
        "navy blue": "#001146",
        "dark blue": "#00035b",
        "marine": "#042e60",
        "midnight blue": "#020035",
    },
    "lilac": {"lilac": "#cea2fd", "lavender": "#c79fef"},
    "purple": {"purple": "#7e1e9c", "violet": "#9a0eea"},
    "dark purple": {"dark purple": "#35063e", "plum": "#580f41", "eggplant": "#380835"},
    "pink": {
        "pink": "#ff81c0",
        "light pink": "#ffd1df",
        "dusty pink": "#d58a94",
        "rose pink": "#f7879a",
        "pale pink": "#ffcfdc",
    },
    "bright pink": {
        "bright pink": "#fe01b1",
        "hot pink": "#ff028d",
        "magenta": "#c20078",
        "fuchsia": "#ed0dd9",
    },
}
"""The same words, with the colours that 222,500 people gave these names (R. Munroe, Color Survey
Results, 2010; CC0)."""


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
