"""Tables of cutting layouts by true outlines: against the engine alone, and matched on several repeats.

Run it as ``python docs/make_outlines.py`` to print them; ``make_cutting_table.py`` takes them in. Some six
minutes on an idle machine.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from printcheck.cutting.search.matched_outlines import Matching, glue_once
from printcheck.cutting.search.nesting import nested

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting import plan_length
from printcheck.cutting.demand.demands import Demand, demands_of
from printcheck.cutting.shape.simplify import shape_of
from tests.cutting.garments import GARMENTS, garment

SECONDS = 10.0
REPEATS_MM = (50, 100, 200, 300)
GLUED_REPEATS_MM = (100, 300)
WORKERS = 2
ENGINE_SEEDS = (1, 2, 3)  # the engine's answers differ by a per cent or two from seed to seed
PLAIN_CLOTH = Print(None, "none", "one-way", "none")


def engine_mm(demand: Demand, seconds: float, seed: int) -> float:
    """Length that the nesting engine alone gives with both cores, in mm."""
    parts = demand.parts
    spots = nested(
        [shape_of(p.width_mm, p.length_mm, p.outline).ring for p in parts],
        [p.may_turn for p in parts],
        width_mm=demand.width_mm,
        seconds=round(seconds),
        seed=seed,
        workers=WORKERS,
    )
    assert spots is not None
    return max(s.y_mm + p.length_mm for s, p in zip(spots, parts, strict=True))


def glued_mm(demand: Demand, seconds: float) -> float:
    """Length of matched layouts made by nesting glued pairs alone, their steps searched over, in mm."""
    search = Matching(demand, time.monotonic() + seconds)
    rng = random.Random(1)
    while search.left > 0:
        glue_once(search, rng)
    return search.best.length_mm if search.best is not None else float("nan")


def free_rows(seconds: float = SECONDS) -> list[str]:
    """Layouts without a print, against the engine alone: half the time for each of the two."""
    rows = [
        "| garment (pieces) | turned freely | engine alone | one way up | engine alone | bound |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for name in GARMENTS:
        project = garment(name, matched=False)
        plan = plan_length(project, PLAIN_CLOTH, seconds=seconds)
        demands = demands_of(project, PLAIN_CLOTH)
        alone = [
            [engine_mm(demand, seconds / 2, seed) for seed in ENGINE_SEEDS]
            for demand in (demands.plain, demands.one_way)
        ]
        rows.append(
            f"| {name} ({len(project.pieces)}) | {plan.plain.length_mm:.0f} | {_spread(alone[0])} "
            f"| {plan.one_way.length_mm:.0f} | {_spread(alone[1])} | {plan.plain.bound_mm:.0f} |"
        )
    return rows


def _spread(lengths: Sequence[float]) -> str:
    return f"{sum(lengths) / len(lengths):.0f} ({min(lengths):.0f} to {max(lengths):.0f})"


def matched_rows(seconds: float = SECONDS, repeats: Sequence[int] = REPEATS_MM) -> list[str]:
    """Matched layouts on straight repeats, against glued pairs alone."""
    rows = [
        "| garment | repeat | turned freely | one way up | matched | over one way up | glued alone | s |",
        "| --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name in GARMENTS:
        for repeat in repeats:
            print_ = Print(Lattice.of_steps(repeat, repeat), "straight", "one-way", "docs")
            began = time.monotonic()
            plan = plan_length(garment(name), print_, seconds=seconds)
            took = time.monotonic() - began
            demand = demands_of(garment(name), print_).matched
            assert demand is not None and plan.matched is not None
            glued = f"{glued_mm(demand, seconds):.0f}" if repeat in GLUED_REPEATS_MM else "-"
            free, matched = plan.one_way.length_mm, plan.matched.length_mm
            rows.append(
                f"| {name} | {repeat} | {plan.plain.length_mm:.0f} | {free:.0f} | {matched:.0f} "
                f"| {100 * (matched / free - 1):.1f} % | {glued} | {took:.1f} |"
            )
    return rows


def main() -> None:
    print("\n".join([*free_rows(), "", *matched_rows()]))


if __name__ == "__main__":
    main()
