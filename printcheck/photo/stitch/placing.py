"""All photos of one cloth laid together: of the places that pairs allow, those that hold all at once.

Two equally good places of a photo differ by a shift under which the print in their overlap repeats; the
other photos then decide, since every overlap that a layout implies must show the same cloth. Layouts are
grown photo by photo and the best few are kept, each with its cost: minus the log of its odds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from printcheck.photo.stitch.guesses import LEAST_OVERLAP
from printcheck.photo.stitch.pairwise import Place, fitted, judged, overlapping, places, same_place
from printcheck.photo.stitch.planar_pose import fitted_poses, pose_near
from printcheck.photo.stitch.view import Matrix, View, moved

NEIGHBOURS = 3  # photos before and after in the files' order that one is tried on first
ALL_PAIRS = 5  # photos up to which every pair is tried at once
KEPT = 8  # layouts kept while they grow
SAME_PX = 20.0  # of the first view: nearer places are one
MISFIT = 0.002  # of the longest side, one sigma: what lens and pulled cloth leave between two photos
# Nats, fitted by docs/fit_several.py: what an overlap costs were all of its worst patch unlike, and wins for
# being one. Of like flowers with an odd one the mean over all patches hardly tells one place from the next.
WORST, OVERLAPS = 22.8, 10.6


@dataclass(frozen=True)
class Layout:
    """Views laid together.

    Parameters
    ----------
    moves : dict of int to (3, 3) float64
        From each placed view's whole pixels to the first one's.
    overlaps : dict of (int, int) to Place
        What the views of every overlap that it implies show in common, the later placed first.
    sigma_px : dict of int to float
        One sigma of where each view's middle lies, pixels of the first view, in the way in which it is told
        best: along stripes it is not told, and matters not.
    """

    moves: dict[int, Matrix]
    overlaps: dict[tuple[int, int], Place] = field(default_factory=dict)
    sigma_px: dict[int, float] = field(default_factory=dict)

    @cached_property
    def misfits(self) -> dict[int, float]:
        """What speaks against each added view, as minus the log of its odds."""
        said = dict.fromkeys(self.moves.keys() - {0}, 0.0)
        for (new, _), place in self.overlaps.items():
            said[new] += WORST * place.worst - OVERLAPS
        return said

    @cached_property
    def cost(self) -> float:
        """Minus the log of its odds."""
        return sum(self.misfits.values())


def laid_together(pairs: Pairs, progress: Callable[[int], None] = lambda placed: None) -> list[Layout]:
    """The likeliest layouts of views, the first one's pixels their frame, the best first.

    Views that lie on no other are left out of their ``moves``.
    """
    views = pairs.views
    layouts = [Layout({0: np.eye(3)})]
    reach = len(views) if len(views) <= ALL_PAIRS else NEIGHBOURS
    while len(layouts[0].moves) < len(views):
        grown = _grown(layouts, pairs, reach)
        if grown:
            layouts = grown
            progress(len(layouts[0].moves))
        elif reach < len(views):
            reach = len(views)
        else:
            break
    return layouts


def alternatives(
    views: Sequence[View], layouts: Sequence[Layout]
) -> Iterator[tuple[dict[int, Matrix], float]]:
    """Other ways to lie: shifts (2,) of views, pixels of the first, and the probability of each layout."""
    odds = np.exp([layouts[0].cost - layout.cost for layout in layouts])
    for layout, share in zip(layouts[1:], odds[1:] / odds.sum(), strict=True):
        middles = {n: np.array([views[n].whole]) / 2 for n in layout.moves}
        shifts = {
            n: (moved(middles[n], move) - moved(middles[n], layouts[0].moves[n]))[0]
            for n, move in layout.moves.items()
        }
        elsewhere = {n: shift for n, shift in shifts.items() if np.hypot(*shift) > SAME_PX}
        if elsewhere:  # else it is the best layout with its photos tilted a little otherwise
            yield elsewhere, float(share)


class Pairs:
    """Places of pairs of views, found when they are first asked for.

    Parameters
    ----------
    views : sequence of View
    order : sequence of int, optional
        The views as they were taken, one after the other; as they come where it is not given.
    """

    def __init__(self, views: Sequence[View], order: Sequence[int] = ()) -> None:
        self.views = views
        self._rank = {n: rank for rank, n in enumerate(order or range(len(views)))}
        self._found: dict[tuple[int, int], list[Place]] = {}
        self._judged: dict[tuple[int, int], list[tuple[Matrix, Place | None]]] = {}

    def between(self, new: int, old: int) -> int:
        """How many photos on one view was taken after, or before, the other."""
        return abs(self._rank[new] - self._rank[old])

    def places(self, new: int, old: int) -> list[Place]:
        """Every sound place of one view on another that was found."""
        if (new, old) not in self._found:
            found = places(self.views[new], self.views[old])
            self._found[new, old], self._found[old, new] = found, [place.back() for place in found]
        return self._found[new, old]

    def at(self, new: int, old: int, move: Matrix) -> Place | None:
        """What two views say of a movement; None where they hardly overlap."""
        views = self.views[new], self.views[old]
        if overlapping(*views, move) < LEAST_OVERLAP:
            return None
        asked = self._judged.setdefault((new, old), [])
        for known, place in (*((p.move, p) for p in self.places(new, old)), *asked):
            if same_place(known, move, *views):
                return place
        near = fitted(*views, move)
        if near is None or not same_place(near.move, move, *views):
            near = judged(*views, move)
        asked.append((move, near))
        return near


def _grown(layouts: Sequence[Layout], pairs: Pairs, reach: int) -> list[Layout]:
    """The best few layouts of one view more, at the places that overlaps offer."""
    grown = [
        (layout, _with(layout, pairs, new, there @ place.move))
        for layout in layouts
        for new in set(range(len(pairs.views))) - layout.moves.keys()
        for old, there in layout.moves.items()
        if pairs.between(new, old) <= reach
        for place in pairs.places(new, old)
    ]
    kept: list[Layout] = []
    for before, layout in sorted(grown, key=lambda one: one[1].cost):
        if layout.cost < before.cost and not any(_same(layout.moves, other.moves) for other in kept):
            kept.append(_adjusted(layout, pairs.views))
        if len(kept) == KEPT:
            break
    return kept


def _with(layout: Layout, pairs: Pairs, new: int, move: Matrix) -> Layout:
    """The layout with one view more."""
    overlaps = dict(layout.overlaps)
    for old, there in layout.moves.items():
        place = pairs.at(new, old, np.linalg.inv(there) @ move)
        if place is not None:
            overlaps[new, old] = place
    return Layout({**layout.moves, new: move}, overlaps)


def _adjusted(layout: Layout, views: Sequence[View]) -> Layout:
    """All overlaps of the layout brought to agree."""
    starts = {n: pose_near(move, views[n].whole) for n, move in layout.moves.items()}
    links = [
        replace(place.link, new=new, old=old)
        for (new, old), place in layout.overlaps.items()
        if len(place.link.pairs)
    ]
    poses, covariance = fitted_poses(starts, links, MISFIT * max(views[0].whole))
    blocks = [covariance[k + 4 : k + 6, k + 4 : k + 6] for k in range(0, len(covariance), 6)]
    sigma_px = np.sqrt(2 * np.abs(np.linalg.eigvalsh(blocks)[:, 0]))
    return replace(
        layout,
        moves={n: pose.move for n, pose in poses.items()},
        sigma_px=dict(zip(sorted(starts), map(float, sigma_px), strict=True)),
    )


def _same(one: Mapping[int, Matrix], other: Mapping[int, Matrix]) -> bool:
    """Whether two layouts have the same views at the same places."""
    return one.keys() == other.keys() and all(
        np.allclose(one[n][:2, 2], other[n][:2, 2], atol=SAME_PX) for n in one
    )
