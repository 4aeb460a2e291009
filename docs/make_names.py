"""Write docs/names.md: which names are told apart, on prints drawn for the purpose.

    python docs/make_names.py           renew the table (about two minutes)

Every print is drawn anew, photographed on the table with noise, weave and uneven light, and named from its
true lattice: what is judged is the naming, not the search for the repeat (docs/accuracy.md has that). The
weights of the build were fitted to other seeds (docs/fit_build.py).
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from printcheck.advice import judge  # noqa: E402
from printcheck.core.lattice import Lattice  # noqa: E402
from printcheck.core.measurement import Repeat  # noqa: E402
from printcheck.motif import mean_cell, read_print  # noqa: E402
from tests.drawn import bars, geometric, motifs, prints  # noqa: E402
from tests.drawn.art import Art, Cell  # noqa: E402
from tests.motif.conftest import seen  # noqa: E402

PAGE = ROOT / "docs" / "names.md"
Rng = np.random.Generator
INK, PAPER, RED, GREEN = (90, 50, 30), (240, 244, 246), (40, 40, 190), (70, 110, 40)  # BGR
HEAD = """# Which names are told, and how surely

Written by `docs/make_names.py`. Every name of [verdicts.md](verdicts.md) that a print's structure decides is
drawn in three sizes, straight and turned on the table, and named again.

**Not told, because structure does not show it**
- *Floral, conversational, paisley*: what a figure is. A flower and a star of petals have one structure; a
  teacher looks. The print is named by how its figures lie (spaced, tossed, in rows, large-scale).
- *Animal skin*: blotches in no order are called all-over or tossed; a hide is known by its kind of blotch.
- *A border in a print*: a band is called a border where it lies on plain ground, or beside a print whose
  repeat is found in a part of the photo; else the print with the repeat is named, and the answer says that
  the rest looks otherwise. Whether such bands come again further on the cloth no photo of one can show.
- *Twill, tweed and other weaves*: seen by the thread, not by the print.
"""


def lines(
    width: float, pitch: float, *inks: tuple[int, int, int]
) -> list[tuple[float, tuple[int, int, int]]]:
    return [part for ink in inks for part in ((width, ink), (pitch - width, PAPER))]


def equal(width: float, first: tuple[int, int, int] = INK) -> list[tuple[float, tuple[int, int, int]]]:
    return [(width, first), (width, PAPER)]


def both(sequence: list[tuple[float, tuple[int, int, int]]]) -> Art:
    return bars.check("drawn", sequence, sequence)


def dots(diameter: float, pitch: float) -> Art:
    return prints.dots(np.random.default_rng(3), pitch, share=diameter / pitch)


DRAWN: dict[str, Callable[[Rng, float], tuple[Art, float]]] = {
    "pin-stripe": lambda r, s: (bars.stripe("drawn", lines(1.2, 9 * s, INK)), 90 * s),
    "pencil-stripe": lambda r, s: (bars.stripe("drawn", lines(2.4, 16 * s, INK)), 120 * s),
    "fine-stripe": lambda r, s: (bars.stripe("drawn", equal(2.0 * s)), 50),
    "even-stripe": lambda r, s: (bars.stripe("drawn", equal(6 * s)), 100),
    "wide-stripe": lambda r, s: (bars.stripe("drawn", equal(16 * s)), 200),
    "awning-stripe": lambda r, s: (bars.stripe("drawn", equal(36 * s)), 400),
    "diagonal-stripe": lambda r, s: (bars.stripe("drawn", equal(6 * s), angle_deg=40), 100),
    "uneven-stripe": lambda r, s: (prints.stripe(r, 40 * s, even=False), 200),
    "multi-stripe": lambda r, s: (
        bars.stripe("drawn", [(6 * s, INK), (4 * s, PAPER), (3 * s, RED), (4 * s, PAPER)]),
        120,
    ),
    "even-gingham": lambda r, s: (both(equal(7 * s)), 100),
    "check": lambda r, s: (both([(6 * s, INK), (14 * s, PAPER)]), 140),
    "windowpane": lambda r, s: (both(lines(2.5, 36 * s, INK)), 220),
    "tattersall": lambda r, s: (both(lines(2.5, 22 * s, INK, RED)), 220),
    "even-plaid": lambda r, s: (both([(12 * s, INK), (5 * s, GREEN), (8 * s, PAPER), (5 * s, GREEN)]), 200),
    "uneven-plaid": lambda r, s: (both([(12 * s, INK), (5 * s, GREEN), (8 * s, PAPER), (6 * s, RED)]), 200),
    "checkerboard": lambda r, s: (geometric.chequers(r, 24 * s), 160),
    "harlequin": lambda r, s: (geometric.argyle(r, 30 * s), 200),
    "trellis": lambda r, s: (geometric.trellis(r, 34 * s), 220),
    "chevron": lambda r, s: (geometric.zigzag(r, 34 * s), 220),
    "herringbone": lambda r, s: (geometric.herringbone(r, 14 * s), 140),
    "pin-dot": lambda r, s: (dots(2.4, 9 * s), 70),
    "polka-dot": lambda r, s: (dots(10 * s, 24 * s), 160),
    "coin-dot": lambda r, s: (dots(30 * s, 56 * s), 300),
    "ditsy": lambda r, s: (motifs.ditsy(r, Cell(56, 62), flower_mm=8), 170),
    "rows-of-figures": lambda r, s: (motifs.one_motif(r, Cell(46 * s, 52 * s)), 240),
    "tossed-figures": lambda r, s: (motifs.figures_print(r, Cell(110 * s, 118 * s), heads="tossed"), 330),
    "tile": lambda r, s: (geometric.honeycomb(r, 30 * s), 200),
}
SIZES, TURNS = (0.8, 1.0, 1.25), (2.0, 30.0)


def _on_the_axes(repeat: Repeat) -> Repeat:
    """The repeat with its shortest crosswise and lengthwise translations, as the search tells them."""
    if len(repeat.basis_mm) < 2:
        return repeat
    across, along = (Lattice(repeat.basis_mm).shortest_along_axis(axis) for axis in (0, 1))
    return replace(repeat, across_mm=across, along_mm=along)


def named() -> Iterator[tuple[str, float, str]]:
    """Name drawn, how far the cloth was turned, and the name told."""
    for name, draw in DRAWN.items():
        for n, size in enumerate(SIZES):
            for turn in TURNS:
                art, view = draw(np.random.default_rng(50 + n), size)
                cloth, lattice = seen(art, view_mm=view, turn_deg=turn, seed=70 + n, width=700)
                lattice = replace(lattice, repeat=_on_the_axes(lattice.repeat))
                facts = read_print(cloth, lattice, cell := mean_cell(cloth, lattice))
                told = judge(lattice.repeat, facts, cell).print_name
                yield name, turn, told.name if told else "none"


def table(found: list[tuple[str, float, str]]) -> str:
    """One row to a name: how often it was told, and what was told instead."""
    rows = ["| drawn | told | of | told instead |", "| --- | --- | --- | --- |"]
    for name in DRAWN:
        told = [other for drawn, _, other in found if drawn == name]
        wrong = Counter(other for other in told if other != name)
        instead = ", ".join(f"{other} {count}" for other, count in wrong.most_common())
        rows.append(f"| {name} | {told.count(name)} | {len(told)} | {instead} |")
    right = sum(drawn == other for drawn, _, other in found)
    return "\n".join([*rows, "", f"Right: {right} of {len(found)}."]) + "\n"


def main() -> None:
    """Renew the page."""
    argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    ).parse_args()
    PAGE.write_text(f"{HEAD}\n## Drawn and named\n{table(list(named()))}", encoding="utf-8")


if __name__ == "__main__":
    main()
