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
from printcheck.core.request import PhotoWidth  # noqa: E402
from printcheck.motif import mean_cell, read_print  # noqa: E402
from printcheck.pipeline import Options, measure_photo  # noqa: E402
from tests.drawn import Camera, bars, figures, geometric, motifs, photograph, prints  # noqa: E402
from tests.drawn.art import Art, Cell  # noqa: E402
from tests.drawn.stamps import Stamp, stamped  # noqa: E402
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
- *Whose hide it is*: two in three hides are named an animal skin print where their repeat is not in view (and
  fewer than one in a hundred other prints: accuracy/builds.md); leopard or giraffe is not said. Where the
  repeat is known, and of the third, the name says how the marks lie: tossed, large-scale, all-over.
- *A border in a print*: a band is called a border where it lies on plain ground, or beside a print whose
  repeat is found in a part of the photo (table below); else the print is named by what is seen, and the
  answer says that it repeats along one direction. Whether such bands come again further on the cloth no
  photo of one can show.
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
FIELDS = {
    "plain ground": (None, 0), "discs in rows": ("disc", 0), "discs in half-drop": ("disc", 0.5),
    "flowers": ("petals", 0), "leaves": ("leaf", 0), "strewn flowers": ("petals", None),
}  # fmt: skip
EACH, FAR_MM = 3, 900.0  # of each field; to the next border, which no photo reaches
FIGURES: dict[str, figures.Figure] = {
    "disc": figures.disc(), "petals": figures.petals(5), "leaf": figures.leaf(),
}  # fmt: skip


def border(rng: Rng, kind: str, pitch: float, fits: int) -> Art:
    """A row of roses beside a field of small figures, of which so many fit two roses."""
    name, drop = FIELDS[kind]
    middle, stamps = FAR_MM / 2, []
    for at in (0.0, pitch):
        stamps.append(Stamp(figures.rose(), (at + pitch / 2, middle), 0.8 * pitch, (RED, GREEN)))
        stamps.append(Stamp(figures.leaf(), (at, middle), 0.35 * pitch, (GREEN,)))
    step = 2 * pitch / fits
    for row, down in enumerate(np.arange(middle - (pitch + step) / 2, 0, -step) if name else ()):
        for k in range(fits):
            lies = (k + row % 2 * (drop or 0)) * step, float(down)
            off = rng.uniform(-0.2, 0.2, 2) * step if drop is None else (0.0, 0.0)
            turn = float(rng.uniform(0, 360)) if drop is None else 0.0
            at_mm = (lies[0] + off[0]) % (2 * pitch), lies[1] + off[1]
            stamps.append(Stamp(FIGURES[name], at_mm, step / 2, ((RED, GREEN)[row % 2],) * 2, turn))
    return stamped(("border", kind), Cell(2 * pitch, FAR_MM), stamps, PAPER, way="one-way")


def bordered() -> Iterator[tuple[str, float, str]]:
    """Field beside a border, error of the repeat along it (a share), and the name told: the whole measure."""
    for number, kind in enumerate(FIELDS):
        for index in range(EACH):
            rng = np.random.default_rng([number, index])
            pitch, fits = float(rng.uniform(40, 75)), int(rng.choice([3, 4, 5, 6, 7]))
            view = pitch * float(rng.uniform(4, 6))
            look = (40.0, FAR_MM / 2 - float(rng.uniform(0.12, 0.25)) * view)
            camera = Camera(
                view_mm=view, size_px=(1200, 900), look_mm=look, turn_deg=float(rng.uniform(-6, 6))
            )
            rgb = np.ascontiguousarray(photograph(border(rng, kind, pitch, fits), camera).bgr[:, :, ::-1])
            found = measure_photo(rgb, Options(PhotoWidth(view))).measurement
            every = found.repeat.across_mm or 0.0
            true = pitch if FIELDS[kind][0] is None or fits % 2 == 0 else 2 * pitch
            yield kind, abs(every / true - 1), found.print_name.name if found.print_name else "none"


def border_table(found: list[tuple[str, float, str]]) -> str:
    """One row to a field: how often the border was named, its repeat told, and what was named instead."""
    rows = ["| beside the border | border named | repeat within 1 % | of | named instead |"]
    rows.append("| --- | --- | --- | --- | --- |")
    for kind in FIELDS:
        here = [(error, name) for field, error, name in found if field == kind]
        instead = ", ".join(sorted({name for _, name in here if name != "border"}))
        named = sum(name == "border" for _, name in here)
        rows.append(f"| {kind} | {named} | {sum(e <= 0.01 for e, _ in here)} | {len(here)} | {instead} |")
    return "\n".join(rows) + "\n"


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
    page = f"{HEAD}\n## Drawn and named\n{table(list(named()))}"
    page += f"\n## Borders, drawn and measured\n{border_table(list(bordered()))}"
    PAGE.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()
