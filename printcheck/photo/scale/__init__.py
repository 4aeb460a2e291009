"""Objects of known size, one file each, all giving the same thing: a :class:`~.sighting.Sighting`."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Picture
from printcheck.core.reference.objects import known_object
from printcheck.core.request import Corners, Given, PhotoWidth, Reference, ScaleRequest, Span
from printcheck.photo.scale import given
from printcheck.photo.scale.sighting import Sighting

if TYPE_CHECKING:
    from collections.abc import Callable

    from printcheck.core.reference.objects import KnownObject

    Finder = Callable[[Picture, Reference], list[Sighting]]

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
    found = finder(known_object(request.kind))(picture, request)
    if not found:
        raise no_reference(picture, request)
    return found[0]


def no_reference(picture: Picture, request: Reference) -> NoAnswerError:
    """The answer when nothing of known size is in sight, with what else could be done."""
    what = known_object(request.kind).words
    if request.name != request.kind and request.name not in what:
        what = f"{what} ({request.name})"
    return NoAnswerError(
        "no-reference",
        f"{picture.facts.file}: {what} was looked for and not found with enough certainty to measure by.",
        "Lay the object flat on the cloth, wholly in view and clear of other things, and photograph it from "
        "straight above without glare, so near that it is at least a tenth as long as the photo; or state "
        f"the scale with {OPTIONS}.",
    )


def finder(row: KnownObject) -> Finder:
    """The ``find`` function for this kind of object; its file is loaded only when asked for."""
    found: Finder = importlib.import_module(f"printcheck.photo.scale.{row.finder}").find
    return found
