"""Lengths of three garments' outlines, free and matched on prints of several repeats, as a table."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "cutting"))

from garments import GARMENTS, garment

from printcheck.cutting import plan_length
from printcheck.lattice import Lattice
from printcheck.plan import Print

REPEATS_MM = (50, 100, 200, 300)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    seconds = parser.parse_args().seconds
    print("| garment | repeat | plain | one-way | matched | extra over one-way | bound |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for name in GARMENTS:
        for repeat in REPEATS_MM:
            print_ = Print(Lattice.of_steps(repeat, repeat), "straight", "one-way", "docs")
            plan = plan_length(garment(name), print_, seconds=seconds)
            matched = plan.matched.length_mm if plan.matched else float("nan")
            extra = 100 * (matched / plan.one_way.length_mm - 1)
            print(
                f"| {name} | {repeat} | {plan.plain.length_mm:.0f} | {plan.one_way.length_mm:.0f} | "
                f"{matched:.0f} | {extra:.1f} % | {plan.plain.bound_mm:.0f} |",
                flush=True,
            )


if __name__ == "__main__":
    main()
