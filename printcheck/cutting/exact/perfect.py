"""Layouts without waste: the lowest gap of the cloth is filled from its left corner, or there is none.

Where the pieces' area is exactly the width times the length asked for, every layout of that length fills
the cloth, so the lowest, leftmost corner that is still open holds the corner of some piece. That tree is
small, and lattice classes make it smaller: an answer, or a proof that there is none, where the general
solver gropes.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.demand.families import Classes, classes_of
from printcheck.cutting.demand.lattice_steps import Steps
from printcheck.cutting.exact.bounds import Grid, best_reach
from printcheck.cutting.search.effort import Effort

SEED = 3  # any number: the same search each time
LUCK = (0.4, 1.6)  # factor of a part's area in the order of trying
FIRST_NODES = 500  # nodes of the first tree; a tree that goes wrong early is best left soon
MORE_NODES = 1.3  # growth from tree to tree, so that the last one is searched to its end
COUNTED, NODE_LOOKS = 256, 0.8  # nodes between two looks at the effort, and looks for a node
CLASS_MM = 1e-3  # mm: a place this near to its class is in it


@dataclass
class _Tree:
    """The open search: sizes in units, the skyline, and what is laid."""

    demand: Demand
    grid: Grid
    classes: Classes
    room: int
    target: int
    widths: list[int]
    heights: list[int]
    order: list[int]
    twin: list[int]
    kin: list[list[int]]
    effort: Effort
    laid: dict[int, tuple[int, int]] = field(default_factory=dict)
    nodes: int = 0
    most_nodes: int = 0
    given_up: bool = False


def without_waste(
    demand: Demand, grid: Grid, target: int, *, effort: Effort
) -> tuple[bool, tuple[Spot, ...]]:
    """Whether the search was finished, and a layout of ``target`` units without waste where it found one."""
    classes, rng = classes_of(demand), random.Random(SEED)
    limit = float(FIRST_NODES)
    while effort.left:
        tree = _tree(demand, grid, classes, target, rng, effort)
        tree.most_nodes = int(limit)
        if _fill(tree, [(0, 0, tree.room)]):
            unit = grid.unit_mm
            corners = (tree.laid[n] for n in range(len(tree.widths)))
            return True, tuple(Spot(x * unit, y * unit) for x, y in corners)
        if not tree.given_up:
            return True, ()
        limit *= MORE_NODES
    return False, ()


def _tree(
    demand: Demand, grid: Grid, classes: Classes, target: int, rng: random.Random, effort: Effort
) -> _Tree:
    """A fresh tree; large parts come first, a little shuffled, since luck in the first few decides."""
    widths = [grid.size(p.width_mm) for p in demand.parts]
    heights = [grid.size(p.length_mm) for p in demand.parts]
    luck = [rng.uniform(*LUCK) for _ in widths]
    order = sorted(range(len(widths)), key=lambda n: (-widths[n] * heights[n] * luck[n], n))
    twin = _twins(demand, widths, heights, order)
    kin = _kin(classes, len(widths))
    room = grid.room(demand.width_mm)
    return _Tree(demand, grid, classes, room, target, widths, heights, order, twin, kin, effort)


def _kin(classes: Classes, count: int) -> list[list[int]]:
    """For each part the others of any family of its own."""
    families = [f.of for f in (classes.full, classes.rows, classes.columns)]
    return [[m for m in range(count) if m != n and any(f[m] == f[n] for f in families)] for n in range(count)]


def fits_without_waste(demand: Demand, grid: Grid, target: int) -> bool:
    """Whether a layout of ``target`` units would leave no waste at all."""
    if not grid.exact or any(part.fixed_x_mm is not None for part in demand.parts):
        return False
    if demand.ties and not demand.steps.in_columns:
        return False
    if any(tie.axes.rows_alone for tie in demand.ties) and demand.steps.level_mm is None:
        return False
    area = sum(grid.size(p.width_mm) * grid.size(p.length_mm) for p in demand.parts)
    return area == target * grid.room(demand.width_mm)


def _twins(demand: Demand, widths: list[int], heights: list[int], order: list[int]) -> list[int]:
    """For each untied part the equal one that must be laid before it, -1 for none."""
    tied = {n for tie in demand.ties for n in (tie.first, tie.second)}
    last: dict[tuple[int, int], int] = {}
    twin = [-1] * len(widths)
    for n in order:
        if n not in tied:
            twin[n] = last.get((widths[n], heights[n]), -1)
            last[widths[n], heights[n]] = n
    return twin


def _fill(tree: _Tree, skyline: list[tuple[int, int, int]]) -> bool:
    """Fill on from a skyline of ``(y, left, right)``, lowest gap first."""
    if len(tree.laid) == len(tree.widths):
        return True
    tree.nodes += 1
    tree.effort.spend(NODE_LOOKS)
    if tree.nodes > tree.most_nodes or (tree.nodes % COUNTED == 0 and not tree.effort.left):
        tree.given_up = True
    if tree.given_up:
        return False
    y, left, right = min(skyline)
    rest = [n for n in tree.order if n not in tree.laid]
    across = [tree.widths[n] for n in rest if y + tree.heights[n] <= tree.target]
    if best_reach(across, right - left) < right - left:
        return False
    if best_reach([tree.heights[n] for n in rest], tree.target - y) < tree.target - y:
        return False
    for n in rest:
        if not _may_stand(tree, n, (left, y), right - left):
            continue
        tree.laid[n] = (left, y)
        if _fill(tree, _raised(skyline, (y, left, right), tree.widths[n], tree.heights[n])):
            return True
        del tree.laid[n]
    return False


def _may_stand(tree: _Tree, n: int, corner: tuple[int, int], gap: int) -> bool:
    if tree.widths[n] > gap or corner[1] + tree.heights[n] > tree.target:
        return False
    if tree.twin[n] >= 0 and tree.twin[n] not in tree.laid:
        return False
    return _in_class(tree, n, *corner)


def _raised(
    skyline: list[tuple[int, int, int]], gap: tuple[int, int, int], width: int, height: int
) -> list[tuple[int, int, int]]:
    y, left, right = gap
    pieces = [s for s in skyline if s != gap]
    pieces.append((y + height, left, left + width))
    if left + width < right:
        pieces.append((y, left + width, right))
    pieces.sort(key=lambda s: s[1])
    merged = [pieces[0]]
    for piece in pieces[1:]:
        if piece[0] == merged[-1][0]:
            merged[-1] = (piece[0], merged[-1][1], piece[2])
        else:
            merged.append(piece)
    return merged


def _in_class(tree: _Tree, n: int, x: int, y: int) -> bool:
    """Whether a place keeps every tie to parts laid already."""
    steps = tree.demand.steps
    for m in tree.kin[n]:
        if m in tree.laid:
            mx, my = tree.laid[m]
            if not _keeps(tree, steps, (n, m), (x - mx, y - my)):
                return False
    return True


def _keeps(tree: _Tree, steps: Steps, pair: tuple[int, int], apart: tuple[int, int]) -> bool:
    """Whether two parts so far apart keep every family they share."""
    (n, m), classes = pair, tree.classes
    dx, dy = (units * tree.grid.unit_mm for units in apart)
    full, rows, columns = classes.full, classes.rows, classes.columns
    if full.of[n] == full.of[m]:
        gap = (dx - full.at[n][0] + full.at[m][0], dy - full.at[n][1] + full.at[m][1])
        if not _on_lattice(steps, gap):
            return False
    level = steps.level_mm if rows.of[n] == rows.of[m] else None
    if level and not _whole(dy - rows.at[n][1] + rows.at[m][1], level):
        return False
    upright = steps.column_mm if columns.of[n] == columns.of[m] else None
    return not upright or _whole(dx - columns.at[n][0] + columns.at[m][0], upright)


def _on_lattice(steps: Steps, gap: tuple[float, float]) -> bool:
    assert steps.column_mm is not None and steps.row_mm is not None
    k = round(gap[0] / steps.column_mm)
    if abs(gap[0] - k * steps.column_mm) > CLASS_MM:
        return False
    return _whole(gap[1] - k * steps.drop_mm, steps.row_mm)


def _whole(value: float, step: float) -> bool:
    return abs(value - step * round(value / step)) <= CLASS_MM
