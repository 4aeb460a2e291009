"""Count what figures without a head say of a print's way where its repeat is not seen.

A leaf has an axis and no head. Its best like lies parallel in prints that are in order, and only by chance
in strewn ones. Draws both kinds larger than the view, and prints for each recipe the share of the leaves
whose like lies parallel, and the odds of ordered against strewn that a parallel and a turned one give, with
the recipe left out.

    python docs/fit_way.py [--each 8]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from printcheck.motif.figures.segmentation import separate
from printcheck.motif.no_lattice import uncut
from printcheck.motif.way.headings import headings_of
from printcheck.motif.whole_picture import swatch_of
from tests.drawn import colours, figures, prints
from tests.drawn.art import Art, Cell
from tests.drawn.empty import scatter
from tests.drawn.motifs import mirrored_sprigs, spread
from tests.drawn.stamps import Stamp, stamped
from tests.motif.conftest import seen

Rng = np.random.Generator
CELL = Cell(200.0, 220.0)


def leaves(rng: Rng, turns: Callable[[], float]) -> Art:
    """Leaves of many sizes among blooms, each turned as asked."""
    ground, inks = colours.scheme(rng, 4, "normal")
    sizes = [*rng.uniform(40, 60, 3), *rng.uniform(16, 36, 12)]
    stamps = [
        Stamp(
            figures.petals(int(rng.integers(5, 9))) if k < 3 else figures.leaf(),
            at,
            size,
            (inks[k % 4], inks[1]),
            turns(),
        )
        for k, (at, size) in enumerate(zip(spread(rng, CELL, sizes), sizes, strict=True))
    ]
    return stamped(("leaves", "blooms"), CELL, stamps, ground, way=None)


def _one_lean(rng: Rng) -> Art:
    lean = rng.uniform(0, 180)
    return leaves(rng, lambda: float(rng.normal(lean, 4)))


def _two_leans(rng: Rng) -> Art:
    lean = rng.uniform(10, 80)
    return leaves(rng, lambda: float(rng.choice([-1, 1]) * rng.normal(lean, 4)))


ORDERED: dict[str, Callable[[Rng], Art]] = {
    "one lean": _one_lean,
    "mirrored leans": _two_leans,
    "damask": lambda rng: mirrored_sprigs(rng, CELL),
}
STREWN: dict[str, Callable[[Rng], Art]] = {
    "leaves": lambda rng: leaves(rng, lambda: float(rng.uniform(0, 360))),
    "floral": lambda rng: prints.floral(rng, CELL),
    "ditsy": lambda rng: prints.ditsy(rng, CELL, flower_mm=float(rng.uniform(10, 30))),
    "scatter": lambda rng: scatter(rng, 200, spot_mm=float(rng.uniform(10, 30))),
}


def counted(draw: Callable[[Rng], Art], each: int, number: int) -> np.ndarray:
    """How many leaves with a like were seen, and how many of them lay parallel to it."""
    found = np.zeros(2)
    for index in range(each):
        rng = np.random.default_rng([number, index])
        turn, view = float(rng.uniform(-4, 4)), float(rng.uniform(150, 250))
        cloth, _ = seen(draw(rng), view_mm=view, turn_deg=turn, seed=index, width=500)
        swatch, inside = swatch_of(cloth)
        headings = headings_of(swatch, uncut(separate(swatch), inside), smallest=0.0)
        found += (headings.with_axis, headings.parallel)
    return found


def main() -> None:
    """Draw, count and say."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--each", type=int, default=8, help="drawings of each recipe")
    each = ask.parse_args().each
    counts = {
        name: counted(draw, each, number) for number, (name, draw) in enumerate((ORDERED | STREWN).items())
    }
    for left_out, (seen_with_like, parallel) in [*counts.items(), ("none", np.zeros(2))]:
        shares = []
        for group in (ORDERED, STREWN):
            total, lying = sum(count for name, count in counts.items() if name in group and name != left_out)
            shares.append((lying + 1) / (total + 2))  # of a finite count: none is never
        odds = f"parallel {shares[0] / shares[1]:.1f}, turned {(1 - shares[0]) / (1 - shares[1]):.2f}"
        print(f"{left_out:15s} {parallel:.0f} of {seen_with_like:.0f} parallel; odds without it: {odds}")


if __name__ == "__main__":
    main()
