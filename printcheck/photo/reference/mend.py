"""A side that contradicts the other three is looked for again where they say that it must be.

A stripe, a shadow or a printed line that crosses a side at a small angle can outdo part of it, so that
the fitted line starts on the object's edge and ends off it. The other three sides and the known size
tell where the fourth lies to a pixel or two; there a narrow search finds it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.photo.reference.evidence import UNLIKE_WITHOUT_PLACE, ln_odds
from printcheck.photo.reference.pose import project
from printcheck.photo.reference.rectangle import Candidate, Scene, SeenSides, measured, posed
from printcheck.photo.reference.sides import HIDDEN_PX

if TYPE_CHECKING:
    from printcheck.cloth import Floats

CONTRADICTION = 3.0  # misfit of 2 degrees of freedom that one true rectangle in five would exceed
LEAST_COVER, LEAST_HINT = 0.6, 0.5  # of candidates worth the second search; true ones have more
MOST_MENDED = 8  # candidates, the best supported
MOST_LOST = 0.03  # of the weakest side's support: a much weaker line that fits better is not the true edge
NEAR_PX = (3.5, 2.5)  # reach of the second search to either side: stripes and shadows lie farther off


def mended(scene: Scene, found: list[Candidate]) -> list[Candidate]:
    """The same candidates, each with the better of its sides and those that three of them lead to."""
    worth = [i for i, candidate in enumerate(found) if _is_worth(candidate)]
    worth.sort(key=lambda i: -float(found[i].support.mean()) - found[i].hint)
    out = list(found)
    for i in worth[:MOST_MENDED]:
        out[i] = _mended(scene, found[i])
    return out


def _is_worth(candidate: Candidate) -> bool:
    return (
        candidate.misfit > CONTRADICTION
        and not candidate.missing
        and candidate.weakest_cover > LEAST_COVER
        and candidate.hint > LEAST_HINT
    )


def _mended(scene: Scene, candidate: Candidate) -> Candidate:
    again = measured(scene, candidate.kind, _by_three(scene, candidate), NEAR_PX)
    least = float(candidate.support.min()) - MOST_LOST
    as_good = [each for each in again if each.support.min() >= least]
    return max((candidate, *as_good), key=lambda each: ln_odds(each, UNLIKE_WITHOUT_PLACE))


def _by_three(scene: Scene, candidate: Candidate) -> Floats:
    """(4, 4, 2) corners as each three of the sides have them."""
    ends = np.repeat(candidate.sides.ends, 4, axis=0)
    sigma = np.repeat(candidate.sides.sigma, 4, axis=0)
    sigma[np.arange(4), np.arange(4)] = HIDDEN_PX
    corners = np.repeat(candidate.corners[None], 4, axis=0)
    pairs = posed(scene, candidate.kind, SeenSides(ends, sigma), corners)
    numbers = np.stack([pair[0].numbers for pair in pairs])
    return project(numbers, candidate.kind.plane, scene.camera.centre_px)
