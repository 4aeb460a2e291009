"""A photo in which nothing of known size is seen: laid flat at a usual scale, to be told in pixels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import Picture
from printcheck.core.request import ClothWidth, MotifIs, Reference, RepeatIs, ScaleRequest
from printcheck.core.system.limits import check_scale
from printcheck.photo.scale import sight
from printcheck.photo.scale.sighting import Sighting, centre_px, untilted

USUAL_VIEW_MM = 400.0  # the long side of a photo of a swatch or a listing shows 20 to 80 cm; common practice
SEEN_BUT_UNNAMED = {"sheet-size-unknown": "scale-sheet-unnamed", "coin-not-named": "scale-coin-unnamed"}


def sight_if_any(picture: Picture, request: ScaleRequest, *, selvedge: str = "vertical") -> Sighting:
    """The scale asked for; where any object would do and none is seen, a sighting without a scale.

    Raises
    ------
    InputError
        If the request cannot be met by this photo.
    NoAnswerError
        If an object was named, or the cloth's width, and it is not in sight.
    """
    if isinstance(request, (RepeatIs, MotifIs)):  # the print itself will tell
        return unscaled(picture)
    try:
        if isinstance(request, ClothWidth):
            from printcheck.photo.scale.auto import held_against_card  # all finders of objects with it
            from printcheck.photo.scale.cloth_width import cloth_width

            sighting = held_against_card(cloth_width(request, picture, selvedge=selvedge), picture)
        else:
            sighting = sight(picture, request)
        check_scale(sighting.mm_per_px(centre_px(picture)), picture.facts.file)
        return sighting
    except NoAnswerError as error:
        if not (isinstance(request, Reference) and request.kind == "auto"):
            raise
        return replace(
            unscaled(picture).with_findings(finding(SEEN_BUT_UNNAMED.get(error.code, "scale-none"))),
            outline_px=np.array(error.outline_px) if error.outline_px else None,
        )


def unscaled(picture: Picture) -> Sighting:
    """Sighting of a photo straight from above that shows as much as such photos usually do."""
    mm_per_px = USUAL_VIEW_MM / max(picture.facts.width_px, picture.facts.height_px)
    return Sighting("given", "", untilted(mm_per_px), 0.0, scale_known=False)
