"""Fit how the build of a print is told from its edges and waves, and say how well it is told.

Draws prints of known build, measures the evidence on their cells and on their bare pictures, fits a
softmax regression with a small ridge, and writes the weights that ``printcheck/motif/build/weights.py``
holds. Each recipe in turn is left out of the fit and judged by the others (leave one source out).

    python docs/fit_build.py [--each 24] [--only PICTURE] [--write]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from printcheck.core.handover import MeanCell
from printcheck.motif.build.build import BUILDS, INPUTS, inputs_of
from printcheck.motif.build.evidence import evidence_of
from printcheck.motif.build.weights import CELL, PICTURE
from printcheck.motif.cell.mean_cell import mean_cell
from printcheck.motif.figures.segmentation import separate
from printcheck.motif.figures.shape import rounded_share
from printcheck.motif.whole_picture import swatch_of
from tests.drawn import geometric, prints
from tests.drawn.art import Art
from tests.drawn.recipes import LATTICE, Room
from tests.motif.conftest import seen

FOLDED = 1 / 3  # of the pictures
WORN = 0.8  # of the print's own spread: the strongest folds drawn
RIDGE = {"CELL": 2e-5, "PICTURE": 2e-4}  # per weight squared: what single pictures show is less clean
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


def worn(rng: np.random.Generator, swatch: MeanCell) -> MeanCell:
    """The picture with a smooth random field over it, as folds and a fuzzy print leave: up to as strong."""
    lab = swatch.lab - swatch.lab.mean(axis=(0, 1))
    spread = float(np.sqrt((lab**2).sum(axis=2).mean()))
    strength = rng.uniform(0, WORN) if rng.random() < FOLDED else 0.0
    field = cv2.GaussianBlur(rng.normal(size=lab.shape[:2]), (0, 0), float(rng.uniform(3, 40)))
    lab[..., 0] += field / field.std() * spread * strength
    return replace(swatch, lab=(lab + swatch.lab.mean(axis=(0, 1))).astype(np.float32))


def examples(each: int, periodic: bool) -> Iterator[tuple[str, str, np.ndarray]]:
    """Recipe, build and evidence of every drawing: of its cell, or of a picture that may be smaller."""
    for number, (name, build) in enumerate(BUILD_OF.items()):
        for index in range(each):
            rng = np.random.default_rng([number, index])
            view = float(rng.uniform(90, 500))
            art = drawing(name, rng, Room(view, view * 0.75, view / 700))
            turn = float(rng.uniform(-5, 5) if periodic else rng.uniform(-45, 45))
            near = 1.0 if periodic else float(rng.uniform(0.25, 1.0))
            cloth, lattice = seen(
                art, view_mm=near * view, turn_deg=turn, seed=index, width=700 if periodic else 450
            )
            one = mean_cell(cloth, lattice) if periodic else worn(rng, swatch_of(cloth)[0])
            if one is not None:
                round_share = rounded_share(separate(one), one)
                yield name, build, inputs_of(evidence_of(one, periodic=periodic), round_share)


def fitted(x: np.ndarray, y: np.ndarray, ridge: float) -> np.ndarray:
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
        value = -(share * np.log(chance[np.arange(len(y)), y] + 1e-12)).sum() + ridge * (flat**2).sum()
        return value, (x.T @ (share[:, None] * wrong)).ravel() + 2 * ridge * flat

    start = np.zeros(x.shape[1] * len(BUILDS))
    return minimize(loss, start, jac=True, method="L-BFGS-B").x.reshape(x.shape[1], len(BUILDS))


def main() -> None:
    """Draw, fit, judge, and write where asked."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--each", type=int, default=24, help="drawings of each recipe")
    ask.add_argument("--only", choices=("CELL", "PICTURE"), help="fit one of the two, and leave the other")
    ask.add_argument("--write", action="store_true", help="write the weights into the package")
    chosen = ask.parse_args()
    text = '"""Weights of the build: a row an input, a column a build; written by docs/fit_build.py."""\n'
    for name, kept in (("CELL", CELL), ("PICTURE", PICTURE)):
        fits = chosen.only in (None, name)
        text += _table(name, fit(name, chosen.each) if fits else np.array(kept))
    if chosen.write:
        WEIGHTS.write_text(text)


def fit(kind: str, each: int) -> np.ndarray:
    """Weights from fresh drawings."""
    names, builds, rows = zip(*examples(each, kind == "CELL"), strict=True)
    return judged(kind, np.array(rows), np.array([BUILDS.index(b) for b in builds]), np.array(names))


def judged(kind: str, x: np.ndarray, y: np.ndarray, of: np.ndarray) -> np.ndarray:
    """Weights fitted to all; says how each recipe fares when it is left out."""
    for name in dict.fromkeys(of):
        out = of == name
        alone = len({n for n, b in BUILD_OF.items() if b == BUILD_OF[name]}) == 1
        weights = fitted(x if alone else x[~out], y if alone else y[~out], RIDGE[kind])
        said = (x[out] @ weights).argmax(axis=1)
        wrong = [BUILDS[k] for k in said[said != y[out]]]
        print(f"{kind} {name:16s} {100 * (said == y[out]).mean():5.1f} % of {out.sum()}", *sorted(set(wrong)))
    weights = fitted(x, y, RIDGE[kind])
    print(f"{kind} all {100 * ((x @ weights).argmax(axis=1) == y).mean():.1f} %")
    return weights


def _table(name: str, weights: np.ndarray) -> str:
    rows = zip(weights, INPUTS, strict=True)
    lines = [f"    ({', '.join(f'{v:.2f}' for v in row)}),  # {said}" for row, said in rows]
    return f"\n{name} = (\n" + "\n".join(lines) + "\n)\n"


if __name__ == "__main__":
    main()
