"""Bounds and proofs for layouts of rectangles, by questions to the constraint solver.

Questions with a target length ("is there a layout of at most L?") are answered far sooner than the solver
closes in by itself: a refused target is a bound, and an answer is a shorter layout. The solver searches by
the clock of its own work, the same on any machine.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait

from ortools.sat.python import cp_model

from printcheck.core.plan import EPS_MM
from printcheck.cutting.demand.demands import PROOF_MM, Demand, Spot
from printcheck.cutting.exact.bounds import Grid, cheap_bound_mm, grid_for, scaled_bound_mm
from printcheck.cutting.exact.cp_model import Model, build
from printcheck.cutting.exact.perfect import fits_without_waste, without_waste
from printcheck.cutting.search.compact import Packing, pressed
from printcheck.cutting.search.effort import LOOKS_PER_S, SOLVER_SHARE
from printcheck.cutting.search.state import Search

WORKERS = 2
SEED = 7  # any number: the same search each time
NO_WASTE_SHARE = 0.5  # of the effort, where a layout without waste is thinkable
RELAXED_SHARE, RELAXED_S = 0.15, 2.0  # of the effort, and at most s, for a relaxation of outlines
GAP_SHARES = (0.6, 0.3, 0.1, 0.0)  # targets, as shares of the gap: the easy side first
FIRST_QUESTION_S, MORE_SECONDS = 0.5, 2.0  # s for each question, and the factor where none is answered
SHORTEST_CALL_S = 0.02  # s: less is not worth starting the solver
GRACE_S = 0.5  # s: how long past its time the solver is left alone before it is told to stop


def first_bounds(search: Search) -> None:
    """Bounds found without search."""
    bound = search.bound_mm
    if not search.turning:
        bound = max(bound, cheap_bound_mm(search.demand))
    search.bound_mm = scaled_bound_mm(search.demand, grid_for(search.demand), bound)


def without_waste_step(search: Search) -> None:
    """Where the bound would leave no waste, fill the cloth to it or refute it."""
    grid = grid_for(search.demand)
    target = _bound_units(search, grid)
    target += target * grid.unit_mm < search.bound_mm - PROOF_MM
    if search.turning or not fits_without_waste(search.demand, grid, target):
        return
    part = search.effort.part(NO_WASTE_SHARE * search.effort.seconds)
    finished, spots = without_waste(search.demand, grid, target, effort=part)
    search.effort.take_back(part)
    if spots:
        search.note(Packing(target * grid.unit_mm, spots))
    elif finished:
        _lift(search, grid, target + 1)


def close(search: Search, between: Callable[[float], None]) -> None:
    """Ask for targets between bound and length until they meet: a refused target is the new bound.

    Questions get more time once none is answered; ``between`` then looks for shorter layouts for as long.
    """
    seconds = FIRST_QUESTION_S
    if search.best is None:
        _find_any(search)
    if search.goes_on:
        _ask(search, 0.0, seconds)
    while search.goes_on and search.best is not None:
        if not any(_ask(search, share, seconds) for share in GAP_SHARES):
            _minimise(search, seconds)
            between(seconds)
            seconds *= MORE_SECONDS


def _minimise(search: Search, seconds: float) -> None:
    """Let the solver close in by itself, from the best layout known."""
    grid, best = grid_for(search.demand), search.best
    if best is None or not search.goes_on:
        return
    model = build(search.demand, grid, _horizon(search, grid), turning=search.turning)
    model.cp.minimize(model.length)
    model.cp.add(model.length >= _bound_units(search, grid))
    for spot, x, y, part in zip(best.spots, model.x, model.y, search.demand.parts, strict=True):
        model.cp.add_hint(x, grid.room(spot.x_mm))
        model.cp.add_hint(y, grid.room(spot.y_mm))
        if part.group in model.turned:
            model.cp.add_hint(model.turned[part.group], spot.turned)
    status, solver = run(search, model.cp, seconds)
    if status == cp_model.INFEASIBLE:
        _note_infeasible(search)
        return
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)
    _lift(search, grid, solver.best_objective_bound)


def fits(demand: Demand, room_mm: float, search: Search) -> bool:
    """Whether a layout is found that needs no more than a length of cloth; nothing is turned."""
    model = build(demand, grid_for(demand), grid_for(demand).room(room_mm))
    status, solver = run(search, model.cp, search.effort.seconds)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)
    return search.length_mm <= room_mm + PROOF_MM


def _ask(search: Search, share: float, seconds: float) -> bool:
    """Ask for a target at a share of the gap; whether there was an answer."""
    grid = grid_for(search.demand)
    low, high = _bound_units(search, grid), _horizon(search, grid)
    target = min(low + math.floor(share * (high - low)), high - 1)
    if target < low or not search.goes_on:
        return False
    model = build(search.demand, grid, target, turning=search.turning)
    status, solver = run(search, model.cp, seconds)
    if status == cp_model.INFEASIBLE:
        _lift(search, grid, target + 1)
    elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        _take(search, model, solver)
    return status != cp_model.UNKNOWN


def _find_any(search: Search) -> None:
    """Find a layout where none is known: with sizes rounded down, and up if none of those stretches."""
    for up in (False, True):
        grid = grid_for(search.demand, up=up)
        model = build(search.demand, grid, _horizon(search, grid), turning=search.turning)
        model.cp.minimize(model.length)
        status, solver = run(search, model.cp, search.effort.seconds_left / (1 if up else 2))
        if status == cp_model.INFEASIBLE and not up:
            _note_infeasible(search)
        elif status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            _take(search, model, solver)
            if not up:
                _lift(search, grid, solver.best_objective_bound)
        if search.best is not None or search.impossible or grid.exact:
            return


def _note_infeasible(search: Search) -> None:
    """Within the horizon nothing: the layout known is best, or there is none at all."""
    if search.best is not None:
        search.bound_mm = search.length_mm
    else:
        search.impossible = True


def _take(search: Search, model: Model, solver: cp_model.CpSolver) -> None:
    """Keep the solver's layout, at its true sizes."""
    unit, parts = model.grid.unit_mm, search.demand.parts
    turned = {group: bool(solver.value(literal)) for group, literal in model.turned.items()}
    spots = [
        Spot(solver.value(x) * unit, solver.value(y) * unit, turned.get(part.group, False))
        for x, y, part in zip(model.x, model.y, parts, strict=True)
    ]
    if model.grid.exact or model.grid.up:
        length = max(s.y_mm + p.length_mm for s, p in zip(spots, parts, strict=True))
        search.note(Packing(length, tuple(spots)))
    search.note(pressed(search.demand, spots, effort=search.effort))


def run(
    search: Search, model: cp_model.CpModel, seconds: float
) -> tuple[cp_model.CpSolverStatus, cp_model.CpSolver]:
    """Run the solver within its effort; it is told to stop should it overrun, or on an interrupt."""
    seconds = max(SHORTEST_CALL_S, min(seconds, search.effort.seconds_left))
    ceiling = max(SHORTEST_CALL_S, search.effort.stop - time.monotonic())
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.interleave_search = True  # the same answer whichever worker is the faster
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = seconds * SOLVER_SHARE
    solver.parameters.max_time_in_seconds = ceiling
    solver.parameters.catch_sigint_signal = False  # it would end this question alone, and the search go on
    with ThreadPoolExecutor(1) as pool:  # so that an interrupt is seen while the solver works
        answer = pool.submit(solver.solve, model)
        try:
            wait([answer], timeout=ceiling + GRACE_S)
        finally:
            if not answer.done():
                solver.stop_search()
        status = answer.result()
    search.effort.spend(LOOKS_PER_S * solver.response_proto.deterministic_time / SOLVER_SHARE)
    return status, solver


def _lift(search: Search, grid: Grid, bound_units: float) -> None:
    """Raise the bound; a whole number of units, so a fraction counts as the next."""
    search.bound_mm = max(search.bound_mm, math.ceil(bound_units - EPS_MM) * grid.unit_mm)


def _bound_units(search: Search, grid: Grid) -> int:
    """Bound in whole units: no layout is shorter, so none on the grid is shorter than this rounded down."""
    return max(0, math.floor(search.bound_mm / grid.unit_mm + EPS_MM))


def _horizon(search: Search, grid: Grid) -> int:
    """Greatest length worth looking at, in units."""
    if search.best is not None:
        return grid.room(search.length_mm)
    rows = 2 * (search.demand.steps.row_mm or 0.0)
    longest = sum(p.length_mm + rows for p in search.demand.parts)
    return grid.room(longest) + 2 * len(search.demand.parts)
