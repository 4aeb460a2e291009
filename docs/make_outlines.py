"""Tables of cutting layouts by true outlines: without a print, and matched on several repeats.

Run it as ``python docs/make_outlines.py`` to print them; ``make_cutting_table.py`` takes the first two in,
``docs/outlines.md`` has the third. Some seven minutes at most.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))


from printcheck.core.lattice import Lattice
from printcheck.core.plan import Print
from printcheck.cutting import plan_length
from printcheck.project import built_in, refitted
from tests.cutting.garments import GARMENTS, garment

SECONDS = 20.0
REPEATS_MM = (50, 100, 200, 300)
KINDS = ("a-line-skirt", "trousers", "dress", "blouse")
KIND_REPEATS_MM = (50, 200)
PLAIN_CLOTH = Print(None, "none", "one-way", "none")


def free_rows(seconds: float = SECONDS) -> list[str]:
    """Layouts without a print."""
    rows = ["| garment (pieces) | turned freely | one way up | bound |", "| --- | --- | --- | --- |"]
    for name in GARMENTS:
        project = garment(name, matched=False)
        plan = plan_length(project, PLAIN_CLOTH, seconds=seconds)
        rows.append(
            f"| {name} ({len(project.pieces)}) | {plan.plain.length_mm:.0f} | {plan.one_way.length_mm:.0f} "
            f"| {plan.plain.bound_mm:.0f} |"
        )
    return rows


def matched_rows(seconds: float = SECONDS, repeats: Sequence[int] = REPEATS_MM) -> list[str]:
    """Matched layouts on straight repeats."""
    rows = [
        "| garment | repeat | turned freely | one way up | matched | over one way up | s |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name in GARMENTS:
        for repeat in repeats:
            print_ = Print(Lattice.of_steps(repeat, repeat), "straight", "one-way", "docs")
            began = time.monotonic()
            plan = plan_length(garment(name), print_, seconds=seconds)
            took = time.monotonic() - began
            assert plan.matched is not None
            free, matched = plan.one_way.length_mm, plan.matched.length_mm
            rows.append(
                f"| {name} | {repeat} | {plan.plain.length_mm:.0f} | {free:.0f} | {matched:.0f} "
                f"| {100 * (matched / free - 1):.1f} % | {took:.1f} |"
            )
    return rows


def kind_rows(seconds: float = SECONDS) -> list[str]:
    """Built-in clothes at their own sizes, with what no layout goes below."""
    rows = [
        "| kind | repeat | one way up | matched | over one way up | no layout below |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for kind in KINDS:
        for repeat in KIND_REPEATS_MM:
            print_ = Print(Lattice.of_steps(repeat, repeat), "straight", "one-way", "docs")
            plan = plan_length(refitted(built_in(kind, {}), print_=print_), print_, seconds=seconds)
            assert plan.matched is not None
            free, matched = plan.one_way.length_mm, plan.matched.length_mm
            rows.append(
                f"| {kind} | {repeat} | {free:.0f} | {matched:.0f} | {100 * (matched / free - 1):.1f} % "
                f"| {plan.matched.bound_mm:.0f}{', proved' if plan.matched.proved else ''} |"
            )
    return rows


def main() -> None:
    print("\n".join([*free_rows(), "", *matched_rows(), "", *kind_rows()]))


if __name__ == "__main__":
    main()
