"""All photos of one cloth laid together: of the places that pairs allow, those that hold all at once.

Two equally good places of a photo differ by a shift under which the print in their overlap repeats; the
other photos then decide, since every overlap that a layout implies must show the same cloth. Layouts are
grown photo by photo and the best few are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from printcheck.photo.stitch.guesses import LEAST_OVERLAP
from printcheck.photo.stitch.pairwise import (
    AS_GOOD,
    USUAL_OVERLAP,
    Place,
    judged,
    overlapping,
    places,
    same_place,
    unusual,
)
from printcheck.photo.stitch.view import Matrix, View

NEIGHBOURS = 3  # photos before and after in the files' order that one is tried on first
ALL_PAIRS = 5  # photos up to which every pair is tried at once
KEPT = 6  # layouts kept while they grow
SAME_PX = 20.0  # of the first view: nearer places are one
CONTRADICTED = 3.0  # cost of an overlap that shows other cloth, in units of one whole picture of odd overlap
ODD = 50.0  # cost of an overlap of which all looks otherwise, in the same units: one motif is a hundredth
COPY_LAB = 0.3  # CIELAB on small copies: writing a photo again changes it by less, a hand's tremor by more


@dataclass(frozen=True)
class Join:
    """An overlap of the layout: which two views, and what they say of it."""

    new: int
    old: int
    place: Place


@dataclass(frozen=True)
class Layout:
    """Views laid together.

    Parameters
    ----------
    moves : dict of int to (3, 3) float64
        From each placed view's whole pixels to the first one's.
    joins : tuple of Join
        Every overlap that it implies.
    shares : tuple of float
        How much each added view shares with the one that it lies on most.
    cost : float
    doubtful : tuple of int
        Views of which an overlap shows other cloth.
    found : tuple of Join
        Every sound place of its views on one another, those that it does not take as well.
    """

    moves: dict[int, Matrix]
    joins: tuple[Join, ...] = ()
    shares: tuple[float, ...] = ()
    cost: float = 0.0
    doubtful: tuple[int, ...] = ()
    found: tuple[Join, ...] = ()


def laid_together(pairs: Pairs, progress: Callable[[int], None] = lambda placed: None) -> Layout:
    """The layout of views, the first one's pixels its frame, that all overlaps bear out best.

    Views that lie on no other are left out of its ``moves``.
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
    return replace(layouts[0], found=pairs.all_of(layouts[0]))


def copies(views: Sequence[View]) -> list[tuple[int, int]]:
    """Pairs (copy, original) of views that are one photo, however it was written."""
    return [
        (new, old)
        for new in range(len(views))
        for old in range(new)
        if views[new].slid.lab.shape == views[old].slid.lab.shape
        and float(np.abs(views[new].slid.lab - views[old].slid.lab).mean()) < COPY_LAB
    ]


class Pairs:
    """Places of pairs of views, found when they are first asked for."""

    def __init__(self, views: Sequence[View]) -> None:
        self.views = views
        self._found: dict[tuple[int, int], list[Place]] = {}
        self._judged: dict[tuple[int, int], list[tuple[Matrix, Place | None]]] = {}

    def places(self, new: int, old: int) -> list[Place]:
        """Every sound place of one view on another that was found."""
        if (old, new) in self._found:
            return [place.back() for place in self._found[old, new]]
        if (new, old) not in self._found:
            self._found[new, old] = places(self.views[new], self.views[old])
        return self._found[new, old]

    @property
    def least(self) -> float:
        """The least residual of any pair: what noise and the cloth's own lie leave."""
        return min((p.residual for found in self._found.values() for p in found), default=0.0)

    def bears(self, place: Place) -> bool:
        """Whether two views show the same cloth there, as nearly as any two do."""
        return place.sound and place.residual - place.scatter <= AS_GOOD**2 * self.least

    def all_of(self, layout: Layout) -> tuple[Join, ...]:
        """Every place found of the layout's views on one another that the two bear out."""
        return tuple(
            Join(new, old, place)
            for (new, old), found in self._found.items()
            if {new, old} <= layout.moves.keys()
            for place in found
            if self.bears(place)
        )

    def at(self, new: int, old: int, move: Matrix) -> Place | None:
        """What two views say of a movement; None where they hardly overlap."""
        views = self.views[new], self.views[old]
        if overlapping(*views, move) < LEAST_OVERLAP:
            return None
        asked = self._judged.setdefault((new, old), [])
        for known, place in (*((p.move, p) for p in self.places(new, old)), *asked):
            if same_place(known, move, *views):
                return place
        asked.append((move, judged(*views, move)))
        return asked[-1][1]


def _grown(layouts: Sequence[Layout], pairs: Pairs, reach: int) -> list[Layout]:
    """The best few layouts of one view more, at the places that overlaps offer.

    Overlaps that show other cloth only add to the cost, so the likeliest places are asked for them first.
    """
    offered: list[tuple[float, Layout, int, Matrix]] = []
    for layout in layouts:
        for new in set(range(len(pairs.views))) - layout.moves.keys():
            for old, there in layout.moves.items():
                for place in pairs.places(new, old) if abs(new - old) <= reach else ():
                    if pairs.bears(place):
                        move = there @ place.move
                        offered.append((layout.cost + _unusual(layout, pairs, new, move), layout, new, move))
    offered.sort(key=lambda one: one[0])
    kept: list[Layout] = []
    for cost, layout, new, move in offered:
        if len(kept) >= KEPT and cost >= kept[KEPT - 1].cost:
            break
        if not any(_same({**layout.moves, new: move}, other.moves) for other in kept):
            kept.append(_with(layout, pairs, new, move, cost))
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
    return unusual(pairs.views[new], pairs.views[old], np.linalg.inv(layout.moves[old]) @ move, usual)


def _with(layout: Layout, pairs: Pairs, new: int, move: Matrix, cost: float) -> Layout:
    """The layout with one view more, its cost raised by what the overlaps say against it."""
    at = ((old, pairs.at(new, old, np.linalg.inv(there) @ move)) for old, there in layout.moves.items())
    joins = [Join(new, old, place) for old, place in at if place is not None]
    wrong = any(not pairs.bears(join.place) for join in joins)
    cost += CONTRADICTED * wrong + ODD * max((join.place.odd for join in joins), default=0.0)
    return Layout(
        {**layout.moves, new: move},
        (*layout.joins, *joins),
        (*layout.shares, max(_shares(layout, pairs, new, move).values())),
        cost,
        (*layout.doubtful, new) if wrong else layout.doubtful,
    )


def _same(one: Mapping[int, Matrix], other: Mapping[int, Matrix]) -> bool:
    """Whether two layouts have the same views at the same places."""
    return one.keys() == other.keys() and all(
        np.allclose(one[n][:2, 2], other[n][:2, 2], atol=SAME_PX) for n in one
    )
