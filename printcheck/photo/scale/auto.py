"""Look for every object of known size, take the best, and hold any second one against it."""

from __future__ import annotations

import importlib
import math
from dataclasses import replace
from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.objects import OBJECTS, KnownObject, known_object
from printcheck.core.request import Reference
from printcheck.photo.scale.registry import finder
from printcheck.photo.scale.sighting import Sighting, centre_px

if TYPE_CHECKING:
    from printcheck.core.handover import Picture

DISAGREE_SIGMAS = 3.0  # joint sigmas of scale at which two objects are said to disagree
LEAST_DISAGREEMENT = 0.01  # share: less is not worth a remark
SHEET_SEEN = 0.9  # evidence at which a sheet of unknown size is spoken of


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """Sightings of all kinds, best first, the first holding what the second says of it."""
    seen: list[Sighting] = []
    refused: list[NoAnswerError] = []
    for row in (row for row in OBJECTS.values() if row.auto):
        seen += _found(row, picture, request, refused)
    if not seen:
        if refused:
            raise refused[0]
        _speak_of_sheet(picture)
        _speak_of_coin(picture)
        return []
    seen.sort(key=lambda sighting: (-sighting.evidence, sighting.relative_error))
    if len(seen) == 1:
        return seen
    other = next((sighting for sighting in seen[1:] if sighting.source != seen[0].source), seen[1])
    return [_held_against(seen[0], other, picture), *seen[1:]]


def _found(
    row: KnownObject, picture: Picture, request: Reference, refused: list[NoAnswerError]
) -> list[Sighting]:
    """Sightings of one kind; a refusal with a reason of its own is kept in case nothing else is seen."""
    try:
        found: list[Sighting] = finder(row)(picture, request)
    except NoAnswerError as error:
        if error.code == "two-objects-disagree":
            raise
        refused.append(error)
        return []
    return found


def _held_against(best: Sighting, other: Sighting, picture: Picture) -> Sighting:
    """The best sighting with a remark on whether another object gives the same scale.

    Where it does not, one of them is not what it seems: half of what lies between them is in the error.
    """
    at = centre_px(picture)
    apart = abs(math.log(best.mm_per_px(at) / other.mm_per_px(at)))
    joint = math.hypot(best.relative_error, other.relative_error)
    code = "scale-two-objects-agree"
    if apart > max(LEAST_DISAGREEMENT, DISAGREE_SIGMAS * joint):
        code = "scale-two-objects-disagree"
        best = replace(best, relative_error=math.hypot(best.relative_error, apart / 2))
    second = f"another {other.object}" if other.object == best.object else other.object
    return best.with_findings(finding(code, first=best.object, second=second, percent=max(0.1, 100 * apart)))


def _speak_of_sheet(picture: Picture) -> None:
    """Say that a sheet lies there whose size cannot be seen, which is better than saying nothing."""
    try:
        found = finder(known_object("A4"))(picture, Reference("A4", "A4"))
    except NoAnswerError:
        return
    if found and found[0].evidence >= SHEET_SEEN:
        raise NoAnswerError(
            "sheet-size-unknown",
            f"{picture.facts.file}: a sheet of paper seems to lie on the cloth, but A4, A5 and A6 have the "
            "same shape, so its size cannot be seen.",
            "Name its size with --reference A4, A5 or A6.",
        )


def _speak_of_coin(picture: Picture) -> None:
    """Say that a coin lies there which nobody named."""
    if importlib.import_module("printcheck.photo.scale.coin.find_coin").coin_outlines(picture):
        raise NoAnswerError(
            "coin-not-named",
            f"{picture.facts.file}: a coin seems to lie on the cloth, but nothing in a photo tells its size.",
            "Say which one with --reference coin:NAME, such as coin:2euro, or give its diameter, such as "
            "coin:23.25mm.",
        )
