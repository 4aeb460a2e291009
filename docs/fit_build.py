"""Fit how the build of a print is told from its edges and waves, and say how well it is told.

Draws prints of known build, measures the evidence on their cells and on their bare pictures, fits a
softmax regression with a small ridge, and writes the weights that ``printcheck/motif/build/weights.py``
holds. Each recipe in turn is left out of the fit and judged by the others (leave one source out).

    python docs/fit_build.py [--each 24] [--keep examples.npz] [--write]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from printcheck.motif.build.build import BUILDS, INPUTS, inputs_of
from printcheck.motif.build.evidence import evidence_of
from printcheck.motif.cell.mean_cell import mean_cell
from printcheck.motif.figures.segmentation import separate
from printcheck.motif.figures.shape import rounded_share
from printcheck.motif.swatch import swatch_of
from tests.drawn import geometric, prints
from tests.drawn.art import Art
from tests.drawn.recipes import LATTICE, Room
from tests.motif.conftest import seen

RIDGE = 2e-5  # per weight squared; keeps the weights finite where the drawings separate wholly
WEIGHTS = Path(__file__).resolve().parents[1] / "printcheck" / "motif" / "build" / "weights.py"
BUILD_OF = {
    "dots": "figures", "gingham": "crossed", "window": "crossed", "even-plaid": "crossed",
    "uneven-plaid": "crossed", "even-stripe": "stripe", "uneven-stripe": "stripe", "pin-stripe": "stripe",
    "ditsy": "figures", "one-motif": "figures", "emblem": "figures", "motifs-one-way": "figures",
    "motifs-tossed": "figures", "floral": "figures", "packed-floral": "figures", "skin": "figures",
    "zigzag": "zigzag", "trellis": "crossed", "chequers": "squares", "ogee": "figures",
    "honeycomb": "figures",
    "scallops": "figures", "triangles": "figures", "bricks": "figures", "wide-dots": "figures",
}  # fmt: skip


def drawing(name: str, rng: np.random.Generator, room: Room) -> Art:
    """One print of the recipe, at a size that suits the view."""
    if name == "wide-dots":
        return prints.dots(rng, room.size(rng, 0.05, 0.4), share=float(rng.uniform(0.6, 0.85)))
    if name in geometric.KINDS:
        return geometric.KINDS[name](rng, room.size(rng, 0.05, 0.4, least_px=30))
    return LATTICE[name](rng, room)


def examples(each: int) -> Iterator[tuple[str, str, np.ndarray]]:
    """Recipe, build and evidence of every drawing: of its cell, and of the picture alone."""
    for number, (name, build) in enumerate(BUILD_OF.items()):
        for index in range(each):
            rng = np.random.default_rng([number, index])
            view = float(rng.uniform(90, 500))
            art = drawing(name, rng, Room(view, view * 0.75, view / 700))
            cloth, lattice = seen(
                art, view_mm=view, turn_deg=float(rng.uniform(-5, 5)), seed=index, width=700
            )
            cell = mean_cell(cloth, lattice)
            if cell is None:
                continue
            for one, periodic in ((cell, True), (swatch_of(cloth)[0], False)):
                round_share = rounded_share(separate(one), one)
                yield name, build, inputs_of(evidence_of(one, periodic=periodic), round_share)


def fitted(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Weights (inputs, builds) of a softmax regression; every build counts alike."""
    share = 1 / np.bincount(y, minlength=len(BUILDS))[y]
    share /= share.sum()

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        weights = flat.reshape(x.shape[1], len(BUILDS))
        score = x @ weights
        score -= score.max(axis=1, keepdims=True)
        chance = np.exp(score) / np.exp(score).sum(axis=1, keepdims=True)
        wrong = chance.copy()
        wrong[np.arange(len(y)), y] -= 1
        value = -(share * np.log(chance[np.arange(len(y)), y] + 1e-12)).sum() + RIDGE * (flat**2).sum()
        return value, (x.T @ (share[:, None] * wrong)).ravel() + 2 * RIDGE * flat

    start = np.zeros(x.shape[1] * len(BUILDS))
    return minimize(loss, start, jac=True, method="L-BFGS-B").x.reshape(x.shape[1], len(BUILDS))


def main() -> None:
    """Draw, fit, judge, and write where asked."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--each", type=int, default=24, help="drawings of each recipe")
    ask.add_argument("--keep", type=Path, help="file that keeps the evidence, drawn once")
    ask.add_argument("--write", action="store_true", help="write the weights into the package")
    chosen = ask.parse_args()
    if chosen.keep is None or not chosen.keep.exists():
        names, builds, rows = zip(*examples(chosen.each), strict=True)
        if chosen.keep is not None:
            np.savez(chosen.keep, names=names, builds=builds, rows=rows)
    else:
        names, builds, rows = (np.load(chosen.keep)[key] for key in ("names", "builds", "rows"))
    x, y, of = np.array(rows), np.array([BUILDS.index(b) for b in builds]), np.array(names)
    text = '"""Weights of the build: a row an input, a column a build; written by docs/fit_build.py."""\n'
    for name, chosen_rows in (("CELL", slice(0, None, 2)), ("PICTURE", slice(1, None, 2))):
        text += _table(name, judged(name, x[chosen_rows], y[chosen_rows], of[chosen_rows]))
    if chosen.write:
        WEIGHTS.write_text(text)


def judged(kind: str, x: np.ndarray, y: np.ndarray, of: np.ndarray) -> np.ndarray:
    """Weights fitted to all; says how each recipe fares when it is left out."""
    for name in dict.fromkeys(of):
        out = of == name
        alone = len({n for n, b in BUILD_OF.items() if b == BUILD_OF[name]}) == 1
        weights = fitted(x if alone else x[~out], y if alone else y[~out])
        said = (x[out] @ weights).argmax(axis=1)
        wrong = [BUILDS[k] for k in said[said != y[out]]]
        print(f"{kind} {name:16s} {100 * (said == y[out]).mean():5.1f} % of {out.sum()}", *sorted(set(wrong)))
    weights = fitted(x, y)
    print(f"{kind} all {100 * ((x @ weights).argmax(axis=1) == y).mean():.1f} %")
    return weights


def _table(name: str, weights: np.ndarray) -> str:
    rows = zip(weights, INPUTS, strict=True)
    lines = [f"    ({', '.join(f'{v:.2f}' for v in row)}),  # {said}" for row, said in rows]
    return f"\n{name} = (\n" + "\n".join(lines) + "\n)\n"


if __name__ == "__main__":
    main()
