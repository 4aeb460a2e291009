"""Look for every object of known size, take the best, and hold any second one against it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.core.findings import finding
from printcheck.core.handover import Picture
from printcheck.photo.scale import chessboard
from printcheck.photo.scale.coin.find_coin import coin_outline_px
from printcheck.photo.scale.doubts import place_of, points_of
from printcheck.photo.scale.rectangle import select
from printcheck.photo.scale.rule import find_rule
from printcheck.photo.scale.sighting import Sighting, centre_px

if TYPE_CHECKING:
    from printcheck.core.request import Reference

DISAGREE_SIGMAS = 3.0  # joint sigmas of scale at which two objects are said to disagree
LEAST_DISAGREEMENT = 0.01  # share: less is not worth a remark


def find(picture: Picture, request: Reference) -> list[Sighting]:
    """Sightings of all kinds, best first, the first holding what the second says of it."""
    refused: list[NoAnswerError] = []
    seen: list[Sighting] = []
    for search in (chessboard.find, find_rule.find):
        seen += _found(partial(search, picture, request), refused)
    seen += _found(partial(select.unnamed, picture, thorough=not seen), refused)
    if not seen:
        if refused:
            raise refused[0]
        _speak_of_coin(picture)
        return []
    seen.sort(key=lambda sighting: (-sighting.evidence, sighting.relative_error))
    if len(seen) == 1:
        return seen
    other = next((sighting for sighting in seen[1:] if sighting.source != seen[0].source), seen[1])
    return [_held_against(seen[0], other, picture), *seen[1:]]


def held_against_card(stated: Sighting, picture: Picture) -> Sighting:
    """A scale that was stated in words, with a remark where a card in the photo agrees or does not."""
    cards = _found(partial(select.unnamed, picture), [])
    return _held_against(stated, cards[0], picture) if cards else stated


def _found(search: Callable[[], list[Sighting]], refused: list[NoAnswerError]) -> list[Sighting]:
    """Sightings of one kind; a refusal with a reason of its own is kept in case nothing else is seen."""
    try:
        return search()
    except NoAnswerError as error:
        if error.code == "two-objects-disagree":
            raise
        refused.append(error)
        return []


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


def _speak_of_coin(picture: Picture) -> None:
    """Say that a coin lies there which nobody named."""
    outline = coin_outline_px(picture)
    if outline is not None:
        raise NoAnswerError(
            "coin-not-named",
            f"{picture.facts.file}: a coin seems to lie near the {place_of(outline, picture)} of the "
            "photo, but nothing in a photo tells its size.",
            "Say which one with --reference coin:NAME, such as coin:2euro, or give its diameter, such as "
            "coin:23.25mm.",
            outline_px=points_of(outline),
        )
