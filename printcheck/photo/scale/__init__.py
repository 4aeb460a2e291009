"""Objects of known size, one file each, all giving the same thing: a :class:`~.common.Sighting`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.core.request import Corners, Given, PhotoWidth, Reference, ScaleRequest, Span
from printcheck.photo.scale import given
from printcheck.photo.scale.registry import finder
from printcheck.photo.scale.sighting import Sighting

if TYPE_CHECKING:
    from printcheck.core.handover import Picture

NAMES = {
    "card": "a bank card",
    "rule": "a tape measure or ruler",
    "board": "a printed scale card",
    "auto": "a card, a printed scale card, a tape or any other object of known size",
}
OPTIONS = "--photo-width, --span, --corners or --mm-per-px"


def sight(picture: Picture, request: ScaleRequest) -> Sighting:
    """The scale asked for, or the best sighting of the object asked for.

    Raises
    ------
    InputError
        If the request cannot be met by this photo (points outside it, corners that are no rectangle).
    NoAnswerError
        ``no-reference`` if the object is not in sight.
    """
    if isinstance(request, Given):
        return given.given(request, picture)
    if isinstance(request, PhotoWidth):
        return given.photo_width(request, picture)
    if isinstance(request, Span):
        return given.span(request, picture)
    if isinstance(request, Corners):
        return given.corners(request, picture)
    assert isinstance(request, Reference), "told by the print, or by the edges of the cloth"
    found = finder(request.kind)(picture, request)
    if not found:
        raise no_reference(picture, request)
    return found[0]


def no_reference(picture: Picture, request: Reference) -> NoAnswerError:
    """The answer when nothing of known size is in sight, with what else could be done."""
    what = NAMES.get(request.kind) or {
        "sheet": f"a sheet of {request.name} paper",
        "rect": f"a rectangle of {request.width_mm or 0:g} x {request.height_mm or 0:g} mm",
    }.get(request.kind, f"a coin ({request.name})")
    return NoAnswerError(
        "no-reference",
        f"{picture.facts.file}: {what} was looked for and not found with enough certainty to measure by.",
        "Lay the object flat on the cloth, wholly in view and clear of other things, and photograph it from "
        f"straight above without glare; or state the scale with {OPTIONS}.",
    )
