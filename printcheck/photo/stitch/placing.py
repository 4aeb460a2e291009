"""All photos of one cloth laid together: of the places that pairs allow, those that hold all at once.

Two equally good places of a photo differ by a shift under which the print in their overlap repeats; the
other photos then decide, since every overlap that a layout implies must show the same cloth. Layouts are
grown photo by photo and the best few are kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from printcheck.photo.stitch.guesses import LEAST_OVERLAP
from printcheck.photo.stitch.pairwise import (
    AS_GOOD,
    Place,
    judged,
    overlapping,
    places,
    same_place,
)
from printcheck.photo.stitch.view import Matrix, View, moved

NEIGHBOURS = 3  # photos before and after in the files' order that one is tried on first
ALL_PAIRS = 5  # photos up to which every pair is tried at once
KEPT = 6  # layouts kept while they grow
USUAL_OVERLAP = 0.35  # of the smaller picture: how people take them
CONTRADICTED = 3.0  # cost of an overlap that shows other cloth, in units of one whole picture of odd overlap
ODD = 10.0  # cost of an overlap of which all looks otherwise, in the same units: a tenth is one whole picture
ASIDE = 0.5  # cost of lying off the line of a row or a column by a picture's side, in the same units
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
    cost : float
    doubtful : tuple of int
        Views of which an overlap shows other cloth.
    found : tuple of Join
        Every sound place of its views on one another, those that it does not take as well.
    """

    moves: dict[int, Matrix]
    joins: tuple[Join, ...] = ()
    cost: float = 0.0
    doubtful: tuple[int, ...] = ()
    found: tuple[Join, ...] = ()


def laid_together(views: Sequence[View], progress: Callable[[int], None] = lambda placed: None) -> Layout:
    """The layout of views, the first one's pixels its frame, that all overlaps bear out best.

    Views that lie on no other are left out of its ``moves``.
    """
    pairs = _Pairs(views)
    layouts = [Layout({0: np.eye(3)})]
    reach = len(views) if len(views) <= ALL_PAIRS else NEIGHBOURS
    while len(layouts[0].moves) < len(views):
        grown = [one for layout in layouts for one in _grown(layout, pairs, reach)]
        if not grown and reach < len(views):
            reach = len(views)
            continue
        if not grown:
            break
        layouts = _fewest(grown, views)
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


class _Pairs:
    """Places of pairs of views, found when they are first asked for."""

    def __init__(self, views: Sequence[View]) -> None:
        self.views = views
        self._found: dict[tuple[int, int], list[Place]] = {}

    def places(self, new: int, old: int) -> list[Place]:
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
        """Every place found of the layout's views on one another."""
        return tuple(
            Join(new, old, place)
            for (new, old), found in self._found.items()
            if {new, old} <= layout.moves.keys()
            for place in found
        )

    def at(self, new: int, old: int, move: Matrix) -> Place | None:
        """What two views say of a movement; None where they hardly overlap."""
        views = self.views[new], self.views[old]
        if overlapping(*views, move) < LEAST_OVERLAP:
            return None
        known = (p for p in self.places(new, old) if same_place(p.move, move, *views))
        return next(known, None) or judged(*views, move)


def _grown(layout: Layout, pairs: _Pairs, reach: int) -> list[Layout]:
    """The layout with one view more, for every view and place that an overlap offers."""
    found: list[Layout] = []
    for new in range(len(pairs.views)):
        if new in layout.moves:
            continue
        for old, move in layout.moves.items():
            if abs(new - old) <= reach:
                offered = [place for place in pairs.places(new, old) if pairs.bears(place)]
                found += [_with(layout, pairs, new, move @ place.move) for place in offered]
    return found


def _with(layout: Layout, pairs: _Pairs, new: int, move: Matrix) -> Layout:
    joins, wrong = [], False
    for old, there in layout.moves.items():
        place = pairs.at(new, old, np.linalg.inv(there) @ move)
        if place is None:
            continue
        joins.append(Join(new, old, place))
        wrong |= not pairs.bears(place)
    share = max((join.place.overlap for join in joins), default=0.0)
    odd = max((join.place.odd for join in joins), default=0.0)
    cost = layout.cost + abs(share - USUAL_OVERLAP) + _aside(pairs.views, layout, new, move)
    cost += CONTRADICTED * wrong + ODD * odd
    doubtful = (*layout.doubtful, new) if wrong else layout.doubtful
    return Layout({**layout.moves, new: move}, (*layout.joins, *joins), cost, doubtful)


def _aside(views: Sequence[View], layout: Layout, new: int, move: Matrix) -> float:
    """How far a view lies out of the row and the column of the nearest one.

    People move on along the cloth or across it; where the print allows several places that tells them apart.
    """
    middle = moved(np.array([views[new].whole]) / 2, move)[0]
    others = [moved(np.array([views[n].whole]) / 2, place)[0] for n, place in layout.moves.items()]
    apart = np.abs(np.array(others) - middle) / views[0].whole
    return ASIDE * float(apart[np.hypot(*apart.T).argmin()].min())


def _fewest(grown: list[Layout], views: Sequence[View]) -> list[Layout]:
    """The best few layouts, no two with the same views at the same places."""
    kept: list[Layout] = []
    for layout in sorted(grown, key=lambda one: one.cost):
        alike = (
            other.moves.keys() == layout.moves.keys()
            and all(
                np.allclose(other.moves[n][:2, 2], layout.moves[n][:2, 2], atol=20.0) for n in layout.moves
            )
            for other in kept
        )
        if not any(alike):
            kept.append(layout)
        if len(kept) == KEPT:
            break
    return kept
