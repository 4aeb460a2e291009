"""Write docs/accuracy/cutting.md: how good and how quick the cutting layouts are.

Run it as ``python docs/make_cutting_table.py`` on an idle machine; it takes some twelve minutes. Rectangles:
the trade's check values, perfect packings with planted seams, the built-in kinds, six garments on ten
prints, growing numbers of pieces. Outlines: without a print, and matched.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import make_outlines  # noqa: E402

from printcheck.core.lattice import Lattice  # noqa: E402
from printcheck.core.plan import Cloth, LengthPlan, Piece, Print, Project, Seam, SeamEnd  # noqa: E402
from printcheck.cutting import plan_length  # noqa: E402
from printcheck.project import built_in, refitted  # noqa: E402
from printcheck.project.kinds import KINDS  # noqa: E402
from tests.cutting.planted import LATTICES, cut_up, planted  # noqa: E402
from tests.cutting.rectangle_garments import GARMENTS  # noqa: E402
from tests.cutting.test_trade_tables import HALF_DROP, STRAIGHT, panels  # noqa: E402

HEAD = """# Cutting layouts: length, proof and time

Written by `docs/make_cutting_table.py`. Two solver workers, at most {seconds:g} s for the three layouts
of a project together unless said otherwise. Wall-clock seconds. This run had {cores:.1f} cores on average
where it could use two: with less, fewer rows are proved in the time. Lengths in mm.

"""
OUT = ROOT / "docs" / "accuracy" / "cutting.md"
SECONDS = 10.0
PRINTS = [
    (a, b, drop) for a, b in ((40, 40), (64, 64), (120, 90), (320, 320), (640, 530)) for drop in (0.0, 0.5)
]


KIND_PRINTS = [(64, 64, 0.0), (64, 64, 0.5), (320, 320, 0.0)]


def trade_rows(seconds: float) -> list[str]:
    rows = ["| row | best by arithmetic | found | proved | seconds |", "| --- | --- | --- | --- | --- |"]
    for name, length, repeat, count, best in [*STRAIGHT, *HALF_DROP]:
        drop = 0.5 if name.startswith("H") else 0.0
        began = time.monotonic()
        plan = plan_length(*panels(length, count, repeat, drop), seconds=seconds)
        took = time.monotonic() - began
        assert plan.matched is not None
        rows.append(f"| {name} | {best:.1f} | {plan.matched.length_mm:.1f} | {_proved(plan)} | {took:.1f} |")
    return rows


def planted_rows(seconds: float) -> list[str]:
    rows = [
        "| pieces | limit, s | solved to the planted length | median s | longest s |",
        "| --- | --- | --- | --- | --- |",
    ]
    for count, tens, seeds in ((6, 1, 12), (9, 1, 12), (12, 1, 24), (16, 3, 24), (20, 3, 4)):
        limit = tens * seconds
        times, good = [], 0
        for seed in range(seeds):
            project, print_, best = planted(seed, count)
            began = time.monotonic()
            plan = plan_length(project, print_, seconds=limit)
            times.append(time.monotonic() - began)
            good += plan.matched is not None and abs(plan.matched.length_mm - best) < 0.1
        middle = statistics.median(times)
        rows.append(f"| {count} | {limit:g} | {good} of {seeds} | {middle:.1f} | {max(times):.1f} |")
    return rows


def kind_rows(seconds: float) -> tuple[list[str], str]:
    rows = [
        "| kind (pieces) | print, mm | plain | matched | bound | proved | seconds |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    near = 0
    for kind in KINDS:
        for across, along, drop in KIND_PRINTS:
            print_ = _print(Lattice.of_steps(across, along, drop))
            project = refitted(built_in(kind, {}), print_=print_)
            began = time.monotonic()
            plan = plan_length(project, print_, seconds=seconds)
            took = time.monotonic() - began
            name = f"{across} x {along}{' half-drop' if drop else ''}"
            start = f"| {kind} ({len(project.pieces)}) | {name} | {plan.plain.length_mm:.0f} "
            if plan.matched is None:
                rows.append(start + f"| - | - | - | {took:.1f} |")
                continue
            length, bound = plan.matched.length_mm, plan.matched.bound_mm
            near += length - bound <= 0.01 * bound
            rows.append(start + f"| {length:.0f} | {bound:.0f} | {_proved(plan)} | {took:.1f} |")
    return rows, f"{near} of {len(rows) - 2} proved or within 1 % of their bound."


def garment_rows(seconds: float) -> tuple[list[str], str]:
    rows = [
        "| garment (pieces) | print, mm | plain | matched | bound | proved | seconds |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    proved, gaps = 0, []
    for garment in GARMENTS:
        for across, along, drop in PRINTS:
            project = garment()
            began = time.monotonic()
            plan = plan_length(project, _print(Lattice.of_steps(across, along, drop)), seconds=seconds)
            took = time.monotonic() - began
            name = f"{across} x {along}{' half-drop' if drop else ''}"
            assert plan.matched is not None
            length, bound = plan.matched.length_mm, plan.matched.bound_mm
            proved += plan.matched.proved
            gaps.append(100 * (length - bound) / length)
            start = f"| {project.name} ({len(project.pieces)}) | {name} | {plan.plain.length_mm:.0f} "
            rows.append(start + f"| {length:.0f} | {bound:.0f} | {_proved(plan)} | {took:.1f} |")
    words = (
        f"Proved {proved} of {len(gaps)}; mean gap {statistics.mean(gaps):.2f} %, largest {max(gaps):.1f} %."
    )
    return rows, words


def growing(count: int) -> tuple[Project, Print]:
    """Pieces of many sizes, half of them joined in pairs."""
    rng = random.Random(count)
    pieces = tuple(
        Piece(f"p#{n}", float(w), float(h))
        for n, (_, _, w, h) in enumerate(cut_up(rng, 1400, 150 * count, count))
    )
    seams = tuple(
        Seam((SeamEnd(f"p#{n}", (75.0, 40.0)), SeamEnd(f"p#{n + 1}", (15.0, 40.0))))
        for n in range(0, count - 1, 4)
    )
    return Project(f"{count} pieces", Cloth(1400), pieces, seams), _print(LATTICES[1])


def growing_rows(seconds: float) -> list[str]:
    rows = [
        "| pieces | plain (bound) | matched (bound) | gap % | proved | seconds |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for count in (4, 8, 12, 16, 20, 30, 40, 60):
        began = time.monotonic()
        plan = plan_length(*growing(count), seconds=seconds)
        took = time.monotonic() - began
        assert plan.matched is not None
        gap = 100 * (plan.matched.length_mm / plan.matched.bound_mm - 1)
        plain, matched = (f"{x.length_mm:.0f} ({x.bound_mm:.0f})" for x in (plan.plain, plan.matched))
        rows.append(f"| {count} | {plain} | {matched} | {gap:.1f} | {_proved(plan)} | {took:.1f} |")
    return rows


def _print(lattice: Lattice) -> Print:
    return Print(lattice, "straight", "one-way", "project")


def _lines(rows: list[str]) -> str:
    return "\n".join(rows)


def _proved(plan: LengthPlan) -> str:
    return "yes" if plan.matched is not None and plan.matched.proved else "no"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--seconds", type=float, default=SECONDS, help="for each project; fewer to try it out"
    )
    parser.add_argument("--out", type=Path, default=OUT)
    asked = parser.parse_args()
    write(asked.out, asked.seconds)


def write(out: Path, seconds: float) -> None:
    """Run everything and write the page."""
    began, cpu = time.monotonic(), sum(os.times()[:4])
    parts = [rectangles(seconds), outlines(seconds)]
    cores = (sum(os.times()[:4]) - cpu) / (time.monotonic() - began)  # the second process included
    text = HEAD.format(seconds=seconds, cores=cores) + "".join(parts)
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(text, encoding="utf-8")


def rectangles(seconds: float) -> str:
    """Sections on pieces that are rectangles."""
    trade, planted_, growing_ = trade_rows(seconds), planted_rows(seconds), growing_rows(seconds)
    kinds, of_kinds = kind_rows(seconds)
    garments, of_garments = garment_rows(seconds)
    return f"""## The trade's check values

Straight drops (A) and half-drops (H); the best length follows from arithmetic.

{_lines(trade)}

## Perfect packings with planted seams

A full rectangle cut into pieces, most of them joined in pairs by seams that match in that layout: the area
proves the best length.

{_lines(planted_)}

## The built-in kinds

At their own sizes, on one-way prints. {of_kinds}

{_lines(kinds)}

## Six garments on ten prints

Sizes are our own assumptions (`tests/cutting/rectangle_garments.py`), one-way prints. {of_garments}

{_lines(garments)}

## Growing numbers of pieces

A rectangle of 1400 mm by 150 mm a piece cut up, every fourth piece joined to its neighbour, on a print of
120 x 90 mm.

{_lines(growing_)}

"""


def outlines(seconds: float) -> str:
    """Sections on pieces that are true outlines."""
    free, matched = make_outlines.free_rows(seconds), make_outlines.matched_rows(seconds)
    return f"""## Outlines without a print

Three garments of our own (`tests/cutting/garments.py`), two of each shape.

{_lines(free)}

## Outlines matched

Every second pair of equal shapes matched both ways, nothing turned, on straight prints.

{_lines(matched)}
"""


if __name__ == "__main__":
    main()
