"""All photos of one cloth laid together: of the places that pairs allow, those that hold all at once.

Two equally good places of a photo differ by a shift under which the print in their overlap repeats; the
other photos then decide, since every overlap that a layout implies must show the same cloth. Layouts are
grown photo by photo and the best few are kept, each with its cost: minus the log of its odds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from printcheck.photo.stitch.adjust import adjusted
from printcheck.photo.stitch.guesses import LEAST_OVERLAP
from printcheck.photo.stitch.pairwise import (
    USUAL_OVERLAP,
    Place,
    fitted,
    judged,
    overlapping,
    places,
    same_place,
    unusual,
)
from printcheck.photo.stitch.planar_pose import Link
from printcheck.photo.stitch.view import Matrix, View, moved

NEIGHBOURS = 3  # photos before and after in the files' order that one is tried on first
ALL_PAIRS = 5  # photos up to which every pair is tried at once
KEPT = 6  # layouts kept while they grow
SAME_PX = 20.0  # of the first view: nearer places are one
UNUSUAL = 10.0  # cost of lying a photo's side from where photos usually lie
NOISE = 2.0  # times the lower quartile of what is left between pictures: as usual
UNSEEN = (
    1.0  # CIELAB squared: broad light is taken off each photo by itself, and no eye sees what that leaves
)
ALIKE = 0.03  # of a patch's own variance: what lens, light and pulled cloth leave of it
SAID = 0.6  # of a patch, by what is left of it, on the edge of telling nothing
WEIGHT = 15.0  # nats that an overlap says for each step of its patches' mean
ENOUGH = 60  # patches for the whole weight: what is printed twice looks alike however much of it is seen


@dataclass(frozen=True)
class Layout:
    """Views laid together.

    Parameters
    ----------
    moves : dict of int to (3, 3) float64
        From each placed view's whole pixels to the first one's.
    links : tuple of Link
        What every overlap that it implies shows in common.
    shares : tuple of float
        How much each added view shares with the one that it lies on most.
    cost : float
    misfits : dict of int to float
        What the overlaps of each added view say against it, as minus the log of its odds.
    sigma_px : dict of int to float
        One sigma of where each view's middle lies, pixels of the first view.
    """

    moves: dict[int, Matrix]
    links: tuple[Link, ...] = ()
    shares: tuple[float, ...] = ()
    cost: float = 0.0
    misfits: dict[int, float] = field(default_factory=dict)
    sigma_px: dict[int, float] = field(default_factory=dict)


def laid_together(pairs: Pairs, progress: Callable[[int], None] = lambda placed: None) -> list[Layout]:
    """The likeliest layouts of views, the first one's pixels their frame, the best first.

    Views that lie on no other are left out of their ``moves``.
    """
    views = pairs.views
    layouts = [Layout({0: np.eye(3)})]
    reach = len(views) if len(views) <= ALL_PAIRS else NEIGHBOURS
    while len(layouts[0].moves) < len(views):
        grown = _grown(layouts, pairs, reach)
        if not grown and reach < len(views):
            reach = len(views)
            continue
        if not grown:
            break
        layouts = grown
        progress(len(layouts[0].moves))
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
        self._noise = math.inf  # CIELAB squared, the least that is left between two photos anywhere
        self._judged: dict[tuple[int, int], list[tuple[Matrix, Place | None]]] = {}

    def between(self, new: int, old: int) -> int:
        """How many photos on one view was taken after, or before, the other."""
        return abs(self._rank[new] - self._rank[old])

    def places(self, new: int, old: int) -> list[Place]:
        """Every sound place of one view on another that was found."""
        if (new, old) not in self._found:
            found = places(self.views[new], self.views[old])
            self._found[new, old], self._found[old, new] = found, [place.back() for place in found]
            self._noise = min([self._noise, *(place.quarter_left for place in found)])
        return self._found[new, old]

    def misfit(self, place: Place) -> float:
        """Minus the log of the odds that two views show one cloth at a place, not what looks like it."""
        left = place.residuals / (UNSEEN + NOISE * self._noise + ALIKE * place.energies)
        return WEIGHT * min(1.0, len(left) / ENOUGH) * float(np.log1p(left**2).mean() - SAID)

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
    """The best few layouts of one view more, at the places that overlaps offer.

    Overlaps that show other cloth only add to the cost, so the likeliest places are asked for them first.
    """
    found = [
        (layout, new, there @ place.move, place)
        for layout in layouts
        for new in set(range(len(pairs.views))) - layout.moves.keys()
        for old, there in layout.moves.items()
        if pairs.between(new, old) <= reach
        for place in pairs.places(new, old)
    ]  # all of them before any is judged: what noise leaves is read off all
    offered = []
    for layout, new, move, place in found:
        cost = layout.cost + _unusual(layout, pairs, new, move)
        offered.append((cost + pairs.misfit(place), cost, layout, new, move))
    offered.sort(key=lambda one: one[0])
    kept: list[Layout] = []
    for least, cost, layout, new, move in offered:
        if len(kept) >= KEPT and least >= kept[KEPT - 1].cost:
            break
        if not any(_same({**layout.moves, new: move}, other.moves) for other in kept):
            grown = _with(layout, pairs, new, move, cost)
            kept += [grown] if grown.misfits[new] < 0 else []
            kept.sort(key=lambda one: one.cost)
    return kept[:KEPT]


def _shares(layout: Layout, pairs: Pairs, new: int, move: Matrix) -> dict[int, float]:
    """How much the view shares there with each that lies in the layout."""
    views, moves = pairs.views, layout.moves.items()
    return {old: overlapping(views[new], views[old], np.linalg.inv(there) @ move) for old, there in moves}


def _unusual(layout: Layout, pairs: Pairs, new: int, move: Matrix) -> float:
    shares = _shares(layout, pairs, new, move)
    old = max(shares, key=lambda n: shares[n])
    usual = float(np.mean([USUAL_OVERLAP, *layout.shares]))
    return UNUSUAL * unusual(
        pairs.views[new], pairs.views[old], np.linalg.inv(layout.moves[old]) @ move, usual
    )


def _with(layout: Layout, pairs: Pairs, new: int, move: Matrix, cost: float) -> Layout:
    """The layout with one view more; ``cost`` is that of taking it there, whatever it shows."""
    said, links = [], list(layout.links)
    for old, there in layout.moves.items():
        place = pairs.at(new, old, np.linalg.inv(there) @ move)
        if place is not None:
            said.append(pairs.misfit(place))
            links.append(replace(place.link, new=new, old=old))
    misfit = min(said, default=0.0) + sum(max(0.0, one) for one in said)
    moves, sigma_px = adjusted(pairs.views, {**layout.moves, new: move}, links)
    return Layout(
        moves,
        tuple(links),
        (*layout.shares, max(_shares(layout, pairs, new, move).values())),
        cost + misfit,
        {**layout.misfits, new: misfit},
        sigma_px,
    )


def _same(one: Mapping[int, Matrix], other: Mapping[int, Matrix]) -> bool:
    """Whether two layouts have the same views at the same places."""
    return one.keys() == other.keys() and all(
        np.allclose(one[n][:2, 2], other[n][:2, 2], atol=SAME_PX) for n in one
    )
