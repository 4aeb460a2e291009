"""Which file finds which kind of object of known size."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from printcheck.core.handover import Picture
    from printcheck.core.objects import KnownObject
    from printcheck.core.request import Reference
    from printcheck.photo.scale.sighting import Sighting

    Finder = Callable[[Picture, Reference], list[Sighting]]


def finder(row: KnownObject) -> Finder:
    """The ``find`` function for this kind of object; its file is loaded only when asked for."""
    found: Finder = importlib.import_module(f"printcheck.photo.scale.{row.finder}").find
    return found
