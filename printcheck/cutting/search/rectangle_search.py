"""The search for one demand's shortest layout, and the bound that says how good it is.

Cheap bounds first, a layout laid down greedily, a relaxation that looks only along the cloth, then
questions with a target length ("is there a layout of at most L?") that the solver answers far sooner
than it closes in by itself, and last a plain minimisation from the best layout known.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from printcheck.cutting.demand.demands import PROOF_MM, Demand, Spot
from printcheck.cutting.demand.integer_grid import Grid, grid_for
from printcheck.cutting.exact.bounds import cheap_bound_mm, scaled_bound_mm
from printcheck.cutting.exact.cp_model import Model, build
from printcheck.cutting.exact.perfect import fits_without_waste, without_waste
from printcheck.cutting.exact.positions import keeps_ties, polished
from printcheck.cutting.search.greedy import greedy

WORKERS = 2
SEED = 7  # any number: the same search each time
GREEDY_SHARE = 0.1  # of the time, and at most a second: it gains little after that
GREEDY_SECONDS = 1.0
MANY_PARTS = 24  # from here on the solver seldom betters a layout laid greedily, so more time goes there
MANY_GREEDY_SHARE = 0.4
NO_WASTE_SHARE = 0.35  # of the time, where a layout without waste is thinkable
RELAXED_SHARE = 0.15
RELAXED_SECONDS = 2.0
QUESTION_SHARE = 1 / 9  # of the time for each question
GAP_SHARES = (0.0, 0.6, 0.35, 0.15)  # targets, as shares of the gap: the easy side first
MOST_SILENT = 2  # questions without an answer before minimising instead
MINIMISE_SHARE = 0.6  # of what is left then; the rest lifts the bound
CLOSING_SHARE = 0.5  # of the gap and of the time left, for each last question
SHORTEST_CALL_S = 0.02  # s: less is not worth starting the solver
GRACE_S = 0.5  # s: how long past its time the solver is left alone before it is told to stop


@dataclass
class Found:
    """The best layout so far and the bound so far, in mm."""

    length_mm: float = math.inf
    spots: tuple[Spot, ...] = ()
    bound_mm: float = 0.0
    impossible: bool = False

    @property
    def proved(self) -> bool:
        """Whether length and bound meet."""
        return self.length_mm - self.bound_mm <= PROOF_MM


@dataclass
class Search:
    """One search: the demand, its grid, the clock and what is found."""

    demand: Demand
    seconds: float
    turning: bool
    grid: Grid
    found: Found = field(default_factory=Found)
    began: float = field(default_factory=time.monotonic)

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.seconds - (time.monotonic() - self.began)

    def note(self, length_mm: float, spots: Sequence[Spot]) -> None:
        """Keep a layout if it is the shortest so far; one that meets its ties only nearly is stretched."""
        found: tuple[float, Sequence[Spot]] | None = (length_mm, spots)
        if not keeps_ties(self.demand, spots):
            found = polished(self.demand, spots)
        if found is not None and found[0] < self.found.length_mm - 1e-9 and keeps_ties(self.demand, found[1]):
            self.found.length_mm, self.found.spots = found[0], tuple(found[1])


def shortest(
    demand: Demand,
    *,
    seconds: float,
    turning: bool = False,
    bound_mm: float = 0.0,
    start: tuple[float, tuple[Spot, ...]] | None = None,
    tick: Callable[[float], None] | None = None,
) -> Found:
    """Search for the shortest layout of a demand.

    Parameters
    ----------
    demand : Demand
        Rectangles only; the outline of a part is not looked at.
    seconds : float
        Wall-clock limit.
    turning : bool
        Whether tied groups may turn.
    bound_mm : float
        A bound known already (a demand with fewer ties gives one).
    start : (length_mm, spots), optional
        A layout known already.
    tick : callable, optional
        Told the share of the time used, between steps.
    """
    search = Search(demand, seconds, turning, grid_for(demand))
    search.found.bound_mm = bound_mm
    if start is not None:
        search.note(*start)
    if not turning:
        bound_mm = max(bound_mm, cheap_bound_mm(demand))
    search.found.bound_mm = scaled_bound_mm(demand, search.grid, bound_mm)
    _first_layout(search)
    for step in (
        _no_waste_step,
        _greedy_step,
        _relaxed_step,
        _question_step,
        _minimise_step,
        _rounded_up_step,
        _closing_step,
    ):
        if search.found.impossible or search.found.proved or search.left <= SHORTEST_CALL_S:
            break
        step(search)
        if tick is not None:
            tick(min(1.0, 1 - search.left / seconds))
    search.found.bound_mm = min(search.found.bound_mm, search.found.length_mm)
    return search.found


def fitting(demand: Demand, room_mm: float, *, seconds: float) -> float | None:
    """Length of a layout that needs no more than a length of cloth; None where none was found in time.

    Nothing is turned, so where a print lets tied pieces turn, some layouts are not looked for.
    """
    if cheap_bound_mm(demand) > room_mm + PROOF_MM:
        return None
    search = Search(demand, seconds, False, grid_for(demand))
    _first_layout(search)
    if search.found.length_mm > room_mm:
        model = build(demand, search.grid, search.grid.room(room_mm))
        status, solver = _run(model, seconds)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            _take(search, model, solver)
    return search.found.length_mm if search.found.length_mm <= room_mm + PROOF_MM else None


def _first_layout(search: Search) -> None:
    """A layout before anything else, however little time there is."""
    answer = greedy(search.demand, seconds=0.0)
    if answer is not None:
        search.note(*answer)


def _greedy_step(search: Search) -> None:
    many = len(search.demand.parts) >= MANY_PARTS
    share = MANY_GREEDY_SHARE * search.left if many else min(GREEDY_SECONDS, GREEDY_SHARE * search.seconds)
    answer = greedy(search.demand, seconds=share, bound_mm=search.found.bound_mm, turning=search.turning)
    if answer is not None:
        search.note(*answer)


def _no_waste_step(search: Search) -> None:
    """Where the bound would leave no waste, fill the cloth to it or refute it."""
    target = _bound_units(search)
    target += target * search.grid.unit_mm < search.found.bound_mm - PROOF_MM
    if search.turning or not fits_without_waste(search.demand, search.grid, target):
        return
    limit = min(NO_WASTE_SHARE * search.seconds, search.left)
    finished, spots = without_waste(search.demand, search.grid, target, seconds=limit)
    if spots:
        search.note(target * search.grid.unit_mm, spots)
    elif finished:
        _lift(search, target + 1)


def _relaxed_step(search: Search) -> None:
    """Lift the bound by the relaxation that looks only along the cloth."""
    horizon = _horizon(search)
    model = build(search.demand, search.grid, horizon, turning=search.turning, along_only=True)
    model.cp.minimize(model.length)
    limit = min(RELAXED_SECONDS, RELAXED_SHARE * search.seconds, search.left)
    status, solver = _run(model, limit)
    if status == cp_model.INFEASIBLE:
        _note_infeasible(search)
    elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.UNKNOWN):
        _lift(search, solver.best_objective_bound)


def _question_step(search: Search) -> None:
    """Ask for targets between bound and length; a refused target is the new bound."""
    silent = 0
    for share in GAP_SHARES:
        if search.found.proved or silent >= MOST_SILENT:
            return
        silent += not _ask(search, share, QUESTION_SHARE * search.seconds)


def _ask(search: Search, share: float, seconds: float) -> bool:
    """Ask for a target at a share of the gap; whether there was an answer."""
    low, high = _bound_units(search), _horizon(search)
    target = min(low + math.floor(share * (high - low)), high - 1)
    limit = min(seconds, search.left)
    if target < low or limit <= SHORTEST_CALL_S:
        return False
    model = build(search.demand, search.grid, target, turning=search.turning)
    status, solver = _run(model, limit)
    if status == cp_model.INFEASIBLE:
        _lift(search, target + 1)
    elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)
    return status != cp_model.UNKNOWN


def _minimise_step(search: Search) -> None:
    """Minimise from the best layout known."""
    model = build(search.demand, search.grid, _horizon(search), turning=search.turning)
    model.cp.minimize(model.length)
    model.cp.add(model.length >= _bound_units(search))
    _hint(search, model)
    status, solver = _run(model, search.left * (MINIMISE_SHARE if search.found.spots else 1.0))
    if status == cp_model.INFEASIBLE:
        _note_infeasible(search)
        return
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)
    _lift(search, solver.best_objective_bound)


def _closing_step(search: Search) -> None:
    """Close in on what is left of the gap: half-way while there are answers, nearer the bound if not."""
    share = CLOSING_SHARE
    while search.found.spots and not search.found.proved and search.left > SHORTEST_CALL_S:
        answered = _ask(search, share, CLOSING_SHARE * search.left + SHORTEST_CALL_S)
        share = CLOSING_SHARE if answered else share / 2
        if _horizon(search) - _bound_units(search) < 1:
            return


def _rounded_up_step(search: Search) -> None:
    """Solve with sizes rounded up where no rounded-down layout would stretch to its true sizes."""
    if search.found.spots or search.grid.exact or search.left <= SHORTEST_CALL_S:
        return
    grid = grid_for(search.demand, up=True)
    model = build(search.demand, grid, _horizon(search), turning=search.turning)
    model.cp.minimize(model.length)
    status, solver = _run(model, search.left)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)


def _note_infeasible(search: Search) -> None:
    """Within the horizon nothing: the layout known is best, or there is none at all."""
    if search.found.spots:
        search.found.bound_mm = search.found.length_mm
    else:
        search.found.impossible = True


def _take(search: Search, model: Model, solver: cp_model.CpSolver) -> None:
    """Keep the solver's layout, at its true sizes."""
    unit = search.grid.unit_mm
    parts = search.demand.parts
    turned = {group: bool(solver.value(literal)) for group, literal in model.turned.items()}
    spots = [
        Spot(solver.value(x) * unit, solver.value(y) * unit, turned.get(part.group, False))
        for x, y, part in zip(model.x, model.y, parts, strict=True)
    ]
    if model.grid.exact or model.grid.up:
        length = max(s.y_mm + p.length_mm for s, p in zip(spots, parts, strict=True))
        search.note(length, spots)
    found = polished(search.demand, spots)
    if found is not None:
        search.note(*found)


def _run(model: Model, seconds: float) -> tuple[cp_model.CpSolverStatus, cp_model.CpSolver]:
    """Run the solver within its time; it is told to stop should it overrun, or on an interrupt."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = SEED
    solver.parameters.max_time_in_seconds = max(SHORTEST_CALL_S, seconds)
    solver.parameters.catch_sigint_signal = False  # it would end this question alone, and the search go on
    with ThreadPoolExecutor(1) as pool:  # so that an interrupt is seen while the solver works
        answer = pool.submit(solver.solve, model.cp)
        try:
            wait([answer], timeout=seconds + GRACE_S)
        finally:
            if not answer.done():
                solver.stop_search()
        return answer.result(), solver


def _hint(search: Search, model: Model) -> None:
    for spot, x, y, part in zip(search.found.spots, model.x, model.y, search.demand.parts, strict=False):
        model.cp.add_hint(x, search.grid.room(spot.x_mm))
        model.cp.add_hint(y, search.grid.room(spot.y_mm))
        if part.group in model.turned:
            model.cp.add_hint(model.turned[part.group], spot.turned)


def _lift(search: Search, bound_units: float) -> None:
    """Raise the bound; a whole number of units, so a fraction counts as the next."""
    units = math.ceil(bound_units - 1e-6)
    search.found.bound_mm = max(search.found.bound_mm, units * search.grid.unit_mm)


def _bound_units(search: Search) -> int:
    """Bound in whole units: no layout is shorter, so none on the grid is shorter than this rounded down."""
    return max(0, math.floor(search.found.bound_mm / search.grid.unit_mm + 1e-6))


def _horizon(search: Search) -> int:
    """Greatest length worth looking at, in units."""
    if search.found.spots:
        return search.grid.room(search.found.length_mm)
    rows = 2 * (search.demand.steps.row_mm or 0.0) if search.demand.steps else 0.0
    longest = sum(p.length_mm + rows for p in search.demand.parts)
    return search.grid.room(longest) + 2 * len(search.demand.parts)
