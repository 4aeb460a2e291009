"""Matched layouts of outlines: three ways to a sound layout, then one layout bettered step by step.

* **snapped**: a free layout, each tied part moved to the nearest match, overlaps pressed apart;
* **glued**: parts joined at chosen lattice steps, nested as one outline by the engine;
* **boxes**: parts laid as boxes on their lattice classes, then pressed together by their outlines.

What stands is loosened and pressed again with one part moved elsewhere, as long as there is time.
"""

from __future__ import annotations

import math
import random
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.exact.positions import keeps_ties
from printcheck.cutting.search.compact import WIDE_REACH_MM, Pressed, pressed
from printcheck.cutting.search.greedy import greedy
from printcheck.cutting.search.joined_parts import STEPS_KEPT, Body, glued, joints
from printcheck.cutting.search.nesting import nested
from printcheck.cutting.search.rectangle_search import shortest
from printcheck.cutting.search.snap import snapped

STRETCHES = (0.0, 0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4)  # free layouts drawn out before they are snapped
GLUE_SECONDS = 1  # s a run: enough to tell good steps from bad ones, and the engine's shortest
BOX_SECONDS, BOX_SHARE = 1.0, 0.1  # s, and of the time: boxes gain little after that
LEAST_BOX_S = 0.05  # s: an answer, however little time there is
BOX_HOPE = 0.05  # boxes this much longer than another first layout are not worth pressing together
GLUE_OVERRUN_S = 1.0  # s: the engine's overrun, so that the last run ends in time
GLUE_HOPE = 0.04  # a run this much longer than the best layout is the last: other steps gain less
LOOSE_SHARE = 0.15  # of joints left to be snapped behind the nesting
CHANGED_JOINTS = 2  # joints changed at once, at most
PROOF_MM = 0.1  # mm: length and bound this near are one
GAIN_MM = 1e-6  # mm: shorter by less is not shorter
PRESS_ROUNDS = 30  # rounds: snapped layouts take longer to come apart


@dataclass
class Matching:
    """The best matched layout so far, shared by the threads that look for it."""

    demand: Demand
    stop: float
    free: Sequence[tuple[Spot, ...]] = ()
    turning: bool = False
    bound_mm: float = 0.0  # no layout is shorter
    best: Pressed | None = None
    picks: list[int | None] = field(default_factory=list)
    tried_tightest: bool = False
    told: Callable[[Pressed], None] | None = None  # of every better layout, that another process may know
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def left(self) -> float:
        """Seconds left; none once the shortest is found."""
        if self.best is not None and self.best.length_mm <= self.bound_mm + PROOF_MM:
            return 0.0
        return self.stop - time.monotonic()

    def note(self, found: Pressed | None, picks: Sequence[int | None] | None = None) -> bool:
        """Keep a layout if it is sound and the shortest so far."""
        if found is None or not found.sound or not keeps_ties(self.demand, found.spots):
            return False
        with self.lock:
            better = self.best is None or found.length_mm < self.best.length_mm - GAIN_MM
            if better:
                self.best = found
            if picks is not None and (better or not self.picks):
                self.picks = list(picks)
            told = self.told
        if better and told is not None:
            told(found)
        return better


def snap_all(matching: Matching) -> None:
    """Snap the free layouts, drawn out more and more until one comes apart; the first however late."""
    for stretch in STRETCHES:
        for n, spots in enumerate(matching.free):
            if matching.left <= 0 and (n or stretch):
                return
            drawn = _drawn_out(spots, stretch)
            if matching.note(settled(matching.demand, drawn, deadline=matching.stop)):
                return


def lay_first(matching: Matching) -> None:
    """First layouts: outlines laid piece by piece, and the shortest layout of their boxes, pressed together.

    Boxes are solved far sooner than outlines, and what they waste is often less than a first layout does.
    """
    demand, seconds = matching.demand, min(BOX_SECONDS, max(LEAST_BOX_S, BOX_SHARE * matching.left))
    answer = greedy(demand, seconds=seconds)
    if answer is not None:
        matching.note(settled(demand, answer[1], deadline=matching.stop))
    boxes = replace(demand, parts=tuple(replace(part, outline=()) for part in demand.parts))
    found = shortest(boxes, seconds=seconds, bound_mm=matching.bound_mm)
    if found.spots and (matching.best is None or found.length_mm < matching.best.length_mm * (1 + BOX_HOPE)):
        matching.note(settled(demand, found.spots, deadline=matching.stop))


def glue_on(matching: Matching, rng: random.Random, *, stop: float) -> None:
    """Nest glued bodies with ever new lattice steps while a run ends by ``stop``; till the end if need be.

    On some garments gluing wastes so much that no choice of steps makes up for it: then it is given up.
    """
    run = GLUE_SECONDS + GLUE_OVERRUN_S
    while matching.left > run and (matching.best is None or stop - time.monotonic() > run):
        length = glue_once(matching, rng)
        best = matching.best
        if length is None or (best is not None and length > best.length_mm * (1 + GLUE_HOPE)):
            return


def glue_once(matching: Matching, rng: random.Random) -> float | None:
    """Nest bodies glued at the best steps known, one or two of them changed; the tightest for a start.

    Returns
    -------
    float or None
        Length in mm, infinite where these steps gave no layout; None where nothing can be glued.
    """
    count = len(joints(matching.demand))
    picks = _changed(matching, count, rng)
    bodies = glued(matching.demand, picks)
    if bodies is None:
        return math.inf if count else None
    turning = matching.turning and rng.random() < _TURNING_SHARE
    seed = rng.randrange(2**31)
    spots = nest_bodies(matching, bodies, seed=seed, turning=turning)
    found = None if spots is None else settled(matching.demand, spots, deadline=matching.stop)
    matching.note(found, picks)
    return found.length_mm if found is not None and found.sound else math.inf


_TURNING_SHARE = 0.6  # of the runs, where the print lets pieces turn


def nest_bodies(
    matching: Matching, bodies: Sequence[Body], *, seed: int, turning: bool
) -> tuple[Spot, ...] | None:
    """Nest bodies as single outlines and give back the places of their parts."""
    demand = matching.demand
    spots = nested(
        [b.ring for b in bodies],
        [b.may_turn and turning for b in bodies],
        width_mm=demand.width_mm,
        seconds=GLUE_SECONDS,
        seed=seed,
        wanted=lambda: matching.left > 0,
    )
    if spots is None:
        return None
    placed: dict[int, Spot] = {}
    for body, spot in zip(bodies, spots, strict=True):
        for n, (x, y) in zip(body.parts, body.at, strict=True):
            part = demand.parts[n]
            if spot.turned:
                x, y = body.width_mm - x - part.width_mm, body.length_mm - y - part.length_mm
            placed[n] = Spot(spot.x_mm + x, spot.y_mm + y, spot.turned)
    return tuple(placed[n] for n in range(len(demand.parts)))


def settled(
    demand: Demand,
    spots: Sequence[Spot],
    *,
    rounds: int = PRESS_ROUNDS,
    reach: float = WIDE_REACH_MM,
    deadline: float = math.inf,
) -> Pressed | None:
    """Snap a layout to the lattice and press it."""
    moved, counts = snapped(demand, _held(demand, spots))
    return pressed(demand, moved, counts, rounds=rounds, reach=reach, deadline=deadline)


def pressed_to_match(demand: Demand, spots: Sequence[Spot]) -> Pressed | None:
    """Snap a layout and press it; None where it does not come out sound and matched."""
    found = settled(demand, spots)
    return found if found is not None and found.sound and keeps_ties(demand, found.spots) else None


def drawn_to(matching: Matching, spots: Sequence[Spot], length_mm: float) -> tuple[Spot, ...]:
    """Draw a free layout out to a length and snap it to the lattice, overlapping as it may."""
    now = max(s.y_mm + p.length_mm for s, p in zip(spots, matching.demand.parts, strict=True))
    stretch = max(0.0, length_mm / now - 1)
    return snapped(matching.demand, _held(matching.demand, _drawn_out(spots, stretch)))[0]


def _held(demand: Demand, spots: Sequence[Spot]) -> list[Spot]:
    """Hold parts against the border of a border print."""
    return [
        spot if part.fixed_x_mm is None else replace(spot, x_mm=part.fixed_x_mm)
        for spot, part in zip(spots, demand.parts, strict=True)
    ]


def _drawn_out(spots: Sequence[Spot], stretch: float) -> list[Spot]:
    return [replace(spot, y_mm=spot.y_mm * (1 + stretch)) for spot in spots]


def _changed(matching: Matching, count: int, rng: random.Random) -> list[int | None]:
    """Picks of the best layout with one or two joints changed; the tightest steps for a start."""
    with matching.lock:
        picks: list[int | None] = list(matching.picks)
        tried, matching.tried_tightest = matching.tried_tightest, True
    if not tried or count == 0:
        return [0] * count
    picks = picks or [0] * count
    for joint in rng.sample(range(count), min(count, rng.randint(1, CHANGED_JOINTS))):
        picks[joint] = None if rng.random() < LOOSE_SHARE else rng.randrange(STEPS_KEPT)
    return picks
