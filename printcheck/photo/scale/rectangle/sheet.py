"""A sheet of paper of a standard size (ISO 216, US Letter), or any flat rectangle of stated size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printcheck.core.request import SHEETS_MM
from printcheck.photo.scale.rectangle.known import Kind
from printcheck.photo.scale.rectangle.select import LookedFor, look_for
from printcheck.photo.scale.sighting import Sighting

if TYPE_CHECKING:
    from printcheck.core.handover import Picture
    from printcheck.core.request import Reference

SMALL_SHEET_MM, SMALL_TOLERANCE_MM, LARGE_TOLERANCE_MM = 150.0, 1.5, 2.0  # ISO 216
PAPER_MM = 0.1  # thickness of paper
STATED_TOLERANCE_MM = 0.5  # how well a user measures a rectangle


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """The sheet or rectangle in the photo; see :mod:`printcheck.photo.scale.sighting` for the terms."""
    if request.kind == "sheet":
        return look_for(picture, LookedFor("sheet", (sheet(request.name),), named=True))
    width, height = request.width_mm or 0.0, request.height_mm or 0.0
    long, short = max(width, height), min(width, height)
    kind = Kind(
        f"{width:g} x {height:g} mm rectangle",
        long,
        short,
        thick_mm=PAPER_MM,
        size_sigma=STATED_TOLERANCE_MM / short,
        any_corner=True,
    )
    return look_for(picture, LookedFor("rect", (kind,), named=True))


def sheet(name: str) -> Kind:
    """A standard sheet, with the standard's tolerance taken as three sigma."""
    sides = SHEETS_MM[name]
    tolerance = SMALL_TOLERANCE_MM if max(sides) <= SMALL_SHEET_MM else LARGE_TOLERANCE_MM
    sigma = tolerance / 3 / max(sides)
    return Kind(f"{name} sheet", max(sides), min(sides), thick_mm=PAPER_MM, size_sigma=sigma, paper=True)
