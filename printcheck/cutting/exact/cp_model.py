"""The constraint model of one demand: rectangles that do not overlap, tied through lattice steps.

For every two parts at least one of left, right, above, below holds. That they are spelt out, and not
left to a two-dimensional rule, lets the vertical pair carry rounded steps: parts of one family can only
stand whole rows apart, so what lies below starts at the next row, not at the next millimetre.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ortools.sat.python import cp_model

from printcheck.cutting.demand.demands import Demand, Tie
from printcheck.cutting.demand.families import Classes, classes_of, least_step
from printcheck.cutting.demand.lattice_steps import Equation
from printcheck.cutting.exact.bounds import Grid, rules_of
from printcheck.cutting.exact.lanes import crossings, lanes_of

FINE = 10_000  # parts of a unit that a lattice step is rounded to: steps are seldom whole units
FINE_SLANTED = 1_000_000  # the same where an equation mixes both axes, multiplied by whole lengths
ROUNDING_UNITS = 1.0  # units: two positions rounded down differ from the truth by less than this
UP_ROUNDING_UNITS = 0.5  # units: answers that must hold as they stand are held tighter


@dataclass
class Model:
    """A CP-SAT model and its variables, positions in units of the grid."""

    demand: Demand
    grid: Grid
    horizon: int
    cp: cp_model.CpModel
    widths: list[int]
    heights: list[int]
    room: int
    length: Any
    x: list[Any] = field(default_factory=list)
    y: list[Any] = field(default_factory=list)
    turned: dict[int, Any] = field(default_factory=dict)
    rows: list[Any] = field(default_factory=list)
    columns: list[Any] = field(default_factory=list)


def build(
    demand: Demand,
    grid: Grid,
    horizon: int,
    *,
    turning: bool = False,
) -> Model:
    """Build the model for layouts no longer than ``horizon`` units.

    ``turning``: groups may turn; a rectangle alone looks the same turned, so only tied groups count.
    """
    cp = cp_model.CpModel()
    model = Model(
        *(demand, grid, horizon, cp),
        widths=[grid.size(p.width_mm) for p in demand.parts],
        heights=[grid.size(p.length_mm) for p in demand.parts],
        room=grid.room(demand.width_mm),
        length=cp.new_int_var(0, horizon, "length"),
    )
    _add_positions(model, turning)
    _add_ties(model)
    _add_cumulatives(model)
    _add_pairs(model)
    _add_lanes(model)
    _add_symmetry(model)
    return model


def _add_positions(model: Model, turning: bool) -> None:
    demand, cp = model.demand, model.cp
    if turning:
        model.turned = {group: cp.new_bool_var(f"turned{group}") for group in demand.turnable}
    for n, part in enumerate(demand.parts):
        low, high = 0, max(0, model.room - model.widths[n])
        if part.fixed_x_mm is not None:
            low = high = min(high, model.grid.room(part.fixed_x_mm))
        model.x.append(cp.new_int_var(low, high, f"x{n}"))
        model.y.append(cp.new_int_var(0, max(0, model.horizon - model.heights[n]), f"y{n}"))
        cp.add(model.y[n] + model.heights[n] <= model.length)


def _add_ties(model: Model) -> None:
    for n, tie in enumerate(model.demand.ties):
        equations = model.demand.steps.equations(tie.kind)
        counts = _step_counts(model, equations, n)
        for equation in equations:
            _add_equation(model, tie, equation, counts)


def _step_counts(model: Model, equations: Sequence[Equation], n: int) -> list[tuple[Any, int]]:
    """Whole-number unknowns of one tie with the most each can be, by what the cloth can hold."""
    if not equations:
        return []
    unit = model.grid.unit_mm
    reach = (model.room + 2 * max(model.widths), model.horizon + 2 * max(model.heights))
    counts = []
    for k in range(len(equations[0].steps_mm)):
        sizes = [(abs(e.steps_mm[k]), reach[0] * abs(e.across) + reach[1] * abs(e.along)) for e in equations]
        # the axis on which this step is longest bounds it; a mixed basis gets the sum of both reaches
        step, span = max(sizes, key=lambda pair: pair[0])
        most = math.ceil((span if len(equations) == 1 else sum(reach)) * unit / step) + 1
        counts.append((model.cp.new_int_var(-most, most, f"k{n}_{k}"), most))
    return counts


def _add_equation(model: Model, tie: Tie, equation: Equation, counts: list[tuple[Any, int]]) -> None:
    grid, unit = model.grid, model.grid.unit_mm
    fine = (
        1 if grid.exact else FINE if equation.across in (0, 1) and equation.along in (0, 1) else FINE_SLANTED
    )
    terms: list[Any] = []
    for end, at, sign in ((tie.first, tie.at_first, 1), (tie.second, tie.at_second, -1)):
        part = model.demand.parts[end]
        upright, upside = part.point(at, False), part.point(at, True)
        for axis, share in enumerate((equation.across, equation.along)):
            if share:
                place = (model.x, model.y)[axis][end]
                straight = round(fine * share * upright[axis] / unit)
                terms += [sign * round(fine * share) * place, sign * straight]
                if part.group in model.turned:
                    more = round(fine * share * upside[axis] / unit) - straight
                    terms.append(sign * more * model.turned[part.group])
    terms += [
        -round(fine * step / unit) * k for step, (k, _) in zip(equation.steps_mm, counts, strict=True) if step
    ]
    offset = equation.across * tie.offset_mm[0] + equation.along * tie.offset_mm[1]
    terms.append(-round(fine * offset / unit))
    if grid.exact:
        model.cp.add(sum(terms) == 0)
        return
    rounding = UP_ROUNDING_UNITS if grid.up else ROUNDING_UNITS * (abs(equation.across) + abs(equation.along))
    # every rounded coefficient is off by half a part at most, times its count; so is every point
    coarse = sum(most for _, most in counts) // 2 + len(terms)
    coarse += model.room + model.horizon if fine == FINE_SLANTED else 0
    miss = math.ceil(fine * (rounding + tie.slack_of(equation) / unit)) + coarse
    model.cp.add_linear_constraint(sum(terms), -miss, miss)


def _add_cumulatives(model: Model) -> None:
    cp = model.cp
    model.rows = [
        cp.new_fixed_size_interval_var(model.y[n], height, f"row{n}")
        for n, height in enumerate(model.heights)
    ]
    for scale in rules_of(model.widths, model.heights, model.room):
        cp.add_cumulative(model.rows, scale.sizes, scale.capacity)
    model.columns = [
        cp.new_fixed_size_interval_var(model.x[n], width, f"column{n}")
        for n, width in enumerate(model.widths)
    ]
    cp.add_cumulative(model.columns, model.heights, model.length)
    for scale in rules_of(model.heights, model.widths, model.horizon):
        cp.add_cumulative(model.columns, scale.sizes, scale.capacity)


def _add_pairs(model: Model) -> None:
    demand, cp = model.demand, model.cp
    states = [classes_of(demand)]
    if model.turned:
        states = _turned_states(demand, list(model.turned))
    count = len(demand.parts)
    for i in range(count):
        for j in range(i + 1, count):
            ways = []
            if model.widths[i] + model.widths[j] <= model.room:
                for left, right in ((i, j), (j, i)):
                    ways.append(cp.new_bool_var(f"left{left}_{right}"))
                    cp.add(model.x[left] + model.widths[left] <= model.x[right]).only_enforce_if(ways[-1])
            for upper, lower in ((i, j), (j, i)):
                ways.append(cp.new_bool_var(f"above{upper}_{lower}"))
                step = model.heights[upper]
                if not model.grid.up:
                    least_mm = min(least_step(demand, state, upper, lower) for state in states)
                    step = max(step, model.grid.size(least_mm))
                cp.add(model.y[upper] + step <= model.y[lower]).only_enforce_if(ways[-1])
            cp.add_bool_or(ways)


def _add_lanes(model: Model) -> None:
    """Choose a lane for every part, where there is so little to waste that lanes are left."""
    cp = model.cp
    lanes = lanes_of(model.widths, model.heights, model.room, model.horizon)
    if all(len(own) == 1 for own in lanes):
        return
    stands = []
    for n, own in enumerate(lanes):
        stands.append([cp.new_bool_var(f"lane{n}_{k}") for k in range(len(own))])
        cp.add_exactly_one(stands[n])
        for lane, here in zip(own, stands[n], strict=True):
            cp.add_linear_constraint(model.x[n], lane.low, lane.high).only_enforce_if(here)
    for line in crossings(lanes, model.widths):
        cp.add(sum(model.heights[n] * stands[n][k] for n, k in line) <= model.length)


def _turned_states(demand: Demand, groups: list[int]) -> list[Classes]:
    """Families by seams alone, with no group turned and with all turned.

    Within a group these are the two states there are. Ties that join groups, which may be turned
    differently, are left out.
    """
    group = [part.group for part in demand.parts]
    seams = replace(demand, ties=tuple(t for t in demand.ties if group[t.first] == group[t.second]))
    return [classes_of(seams), classes_of(seams, dict.fromkeys(groups, True))]


def _add_symmetry(model: Model) -> None:
    """Order equal free parts; without ties the largest part lies in the left upper quarter."""
    demand, cp = model.demand, model.cp
    tied = {n for tie in demand.ties for n in (tie.first, tie.second)}
    last: dict[tuple[int, int, float | None], int] = {}
    for n, part in enumerate(demand.parts):
        if n in tied:
            continue
        key = (model.widths[n], model.heights[n], part.fixed_x_mm)
        if key in last:
            before, stride = last[key], model.room + 1
            cp.add(model.y[before] * stride + model.x[before] <= model.y[n] * stride + model.x[n])
        last[key] = n
    if not demand.ties and all(part.fixed_x_mm is None for part in demand.parts):
        sizes = list(zip(model.widths, model.heights, strict=True))
        largest = max(range(len(sizes)), key=lambda n: sizes[n][0] * sizes[n][1])
        if sizes.count(sizes[largest]) == 1:  # among equal parts the order above already breaks the symmetry
            cp.add(2 * model.x[largest] + model.widths[largest] <= model.room)
            cp.add(2 * model.y[largest] + model.heights[largest] <= model.length)
