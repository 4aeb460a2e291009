"""Objects of known size, one file each, all giving the same thing: a :class:`~.common.Sighting`."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from printcheck.errors import NoAnswerError
from printcheck.photo.reference import given
from printcheck.photo.reference.common import Sighting
from printcheck.scaling import Corners, Given, PhotoWidth, Reference, ScaleRequest, Span

if TYPE_CHECKING:
    from printcheck.cloth import Picture

    Finder = Callable[[Picture, Reference], list[Sighting]]

# kind -> file of this folder with find(picture, request); loaded only when asked for
FINDERS = {
    "card": "card",
    "sheet": "sheet",
    "rect": "sheet",
    "coin": "coin",
    "rule": "rule",
    "board": "board",
    "auto": "auto",
}
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
    found = finder(request.kind)(picture, request)
    if not found:
        raise no_reference(picture, request)
    return found[0]


def finder(kind: str) -> Finder:
    """The ``find`` function of the file for this kind of object."""
    found: Finder = importlib.import_module(f"printcheck.photo.reference.{FINDERS[kind]}").find
    return found


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
