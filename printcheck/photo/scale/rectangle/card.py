"""A card of the size of bank cards (ISO/IEC 7810 ID-1), lying on the cloth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printcheck.core.request import ID1_CARD_MM
from printcheck.photo.scale.rectangle.known import Kind
from printcheck.photo.scale.rectangle.select import LookedFor, look_for
from printcheck.photo.scale.sighting import Sighting

if TYPE_CHECKING:
    from printcheck.core.handover import Picture
    from printcheck.core.request import Reference

CORNER_MM = 3.18  # radius; ISO/IEC 7810 allows 2.88 to 3.48
THICK_MM = 0.76  # ISO/IEC 7810, +/- 0.08
SIZE_SIGMA = 0.0008  # share: the standard's tolerance of +/- 0.13 mm on 85.60, taken as two sigma

CARD = Kind("ID-1 card", *ID1_CARD_MM, corner_mm=CORNER_MM, thick_mm=THICK_MM, size_sigma=SIZE_SIGMA)


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """The card in the photo; see :mod:`printcheck.photo.scale.sighting` for the terms."""
    return look_for(picture, LookedFor("card", (CARD,), named=request.kind == "card"))
