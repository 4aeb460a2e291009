"""Which file finds which kind of object of known size."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from printcheck.core.handover import Picture
    from printcheck.core.request import Reference
    from printcheck.photo.scale.sighting import Sighting

    Finder = Callable[[Picture, Reference], list[Sighting]]

# kind -> file of this folder with find(picture, request); loaded only when asked for
FINDERS = {
    "card": "rectangle.card",
    "sheet": "rectangle.sheet",
    "rect": "rectangle.sheet",
    "coin": "coin.find_coin",
    "rule": "rule.find_rule",
    "board": "chessboard",
    "auto": "auto",
}


def finder(kind: str) -> Finder:
    """The ``find`` function of the file for this kind of object."""
    found: Finder = importlib.import_module(f"printcheck.photo.scale.{FINDERS[kind]}").find
    return found
