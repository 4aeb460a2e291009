"""Fit how the build of a print is told from its edges and waves, and say how well it is told.

    python docs/fit_build.py gather [--real FOLDER] --out rows.jsonl
    python docs/fit_build.py fit rows.jsonl

``gather`` draws prints of known build and measures the evidence on their cells and on bare pictures, which
may show a part of a repeat; a FOLDER of real pictures holds one folder for each sort in ``SORT``. ``fit``
finds the weights of ``printcheck/motif/build/weights.toml``, a softmax regression with a small ridge for the
build and a logistic one for hides, and writes them and docs/accuracy/builds.md: each recipe and real cloth
judged by weights that knew nothing of it.
"""

from __future__ import annotations

import argparse
import json
import sys
import zlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from fit_plain import garment
from making.tables import share, table
from numpy.typing import NDArray
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from printcheck.core.handover import FlatCloth, MeanCell
from printcheck.core.measurement import PhotoFacts, Scale
from printcheck.motif.build import hide
from printcheck.motif.build.build import BUILDS, INPUTS, inputs_of
from printcheck.motif.build.evidence import evidence_of
from printcheck.motif.cell.mean_cell import mean_cell
from printcheck.motif.figures.segmentation import separate
from printcheck.motif.figures.shape import rounded_share
from printcheck.motif.whole_picture import swatch_of
from printcheck.photo.decode import open_picture
from tests.drawn import geometric, hides, prints
from tests.drawn.art import Art
from tests.drawn.recipes import LATTICE, Room
from tests.motif.conftest import seen

FOLDED = 1 / 3  # of the pictures
WORN = 0.8  # of the print's own spread: the strongest folds drawn
RIDGE = {"CELL": 2e-5, "PICTURE": 2e-4}  # per weight squared: what single pictures show is less clean
SORT = {
    "checkered": "crossed",
    "dotted": "figures",
    "floral": "figures",
    "striped": "stripe",
    "zig zag": "zigzag",
}
EACH = {"CELL": 24, "PICTURE": 34}  # drawings of each recipe; pictures are seen in more ways
HIDES, HIDE_PX = 102, 450  # of each way of drawing them; side
HIDE_PITCH = (0.06, 0.3)  # of the side, from mark to mark
HIDE_RIDGE = 1e-3  # per weight squared, in units of each input's spread
SHOWN = (0.07, 1.0)  # of the drawing's width: a picture shows a part of a repeat, or many
PARTS = 8  # of the real cloths, left out in turn
HERE = Path(__file__).resolve().parents[1]
MADE = """# Weights of how a print is built, made by docs/fit_build.py: not to be edited.
# Of each input its weight in the scores of stripe, crossed, squares, zigzag, figures; of hides in one score.
"""
WEIGHTS = HERE / "printcheck" / "motif" / "build" / "weights.toml"
TABLE = HERE / "docs" / "accuracy" / "builds.md"
ABOUT = """## The build of a print

Whether a print is of stripes, bars that cross, squares, zigzags or figures, told by one score on its edges \
and waves, from the mean cell or, where no repeat was found, from the picture. Made by `docs/fit_build.py`: \
each drawn recipe, and in eight parts each real cloth (close-up photos of Medeiros et al., ASSETS 2017, \
without those that other tables judge), told by weights that knew nothing of it. A recipe that is the only \
one of its build stays in.

"""
ABOUT_HIDES = """
## The marks of a hide

Told from a picture without a known repeat by a score on its edges, waves, tones and colours, from a \
probability of 0.95. Hides are drawn two ways that share no code, each judged by weights that knew the other \
alone; real cloth (none of it a hide) and every other recipe are left out likewise. Zigzags, dots and \
chequers in a hide's colours are the likeliest to be taken for one; where many of their repeats are in view \
the repeat is found, and nobody asks.

"""
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


def drawn(kind: str) -> Iterator[dict[str, object]]:
    """Recipe, build and evidence of every drawing: of its cell, or of a picture that may be smaller."""
    periodic = kind == "CELL"
    for number, (name, build) in enumerate(BUILD_OF.items()):
        for index in range(EACH[kind]):
            rng = np.random.default_rng([number, index])
            view = float(rng.uniform(90, 500))
            art = drawing(name, rng, Room(view, view * 0.75, view / 700))
            turn = float(rng.uniform(-5, 5) if periodic else rng.uniform(-45, 45))
            near = 1.0 if periodic else float(np.exp(rng.uniform(*np.log(SHOWN))))
            cloth, lattice = seen(
                art, view_mm=near * view, turn_deg=turn, seed=index, width=700 if periodic else 450
            )
            row = {"kind": kind, "of": name, "build": build}
            if not periodic:
                yield row | both(worn(rng, swatch_of(cloth)[0]))
            elif (one := mean_cell(cloth, lattice)) is not None:
                yield row | {"x": evidence(one, periodic=True)}


def hides_drawn() -> Iterator[dict[str, object]]:
    """The same of pictures of hides, drawn two ways, and of blotches that are none."""
    for number, (way, kinds) in enumerate(hides.WAYS.items()):
        for index in range(HIDES * (2 if kinds is hides.NO_HIDES else 1)):
            rng = np.random.default_rng([number, index])
            pitch = HIDE_PX * np.exp(rng.uniform(*np.log(HIDE_PITCH)))
            bgr = hides.photographed(rng, list(kinds.values())[index % len(kinds)](rng, HIDE_PX, pitch))
            yield {"kind": "HIDE", "of": way} | both(worn(rng, swatch_of(pictured(bgr))[0]))


def pictured(bgr: NDArray[np.uint8], name: str = "drawn") -> FlatCloth:
    """A picture as the cloth it shows."""
    height, width = bgr.shape[:2]
    facts, scale = PhotoFacts(name, width, height), Scale("given", 1.0, 0.001)
    return FlatCloth(bgr, np.ones((height, width), bool), 1.0, np.eye(3), facts, scale)


def real(folder: Path) -> Iterator[dict[str, object]]:
    """The same of real pictures."""
    for path in sorted(path for sort in SORT for path in (folder / sort).glob("*")):
        cloth = pictured(open_picture(path).bgr, path.name)
        part = zlib.crc32(garment(path.name).encode()) % PARTS
        row = {"kind": "PICTURE", "of": f"real {path.parent.name}", "part": part}
        yield row | {"build": SORT[path.parent.name]} | both(swatch_of(cloth)[0])


def evidence(cell: MeanCell, periodic: bool) -> list[float]:
    """Inputs of the score."""
    row = inputs_of(evidence_of(cell, periodic=periodic), rounded_share(separate(cell), cell))
    return [float(value) for value in row]


def both(swatch: MeanCell) -> dict[str, list[float]]:
    """Inputs of the two scores that a picture is asked for."""
    hidden = hide.inputs_of(evidence_of(swatch, periodic=False), swatch.lab)
    return {"x": evidence(swatch, periodic=False), "hide": [float(value) for value in hidden]}


def fitted(x: np.ndarray, y: np.ndarray, real: np.ndarray, ridge: float) -> np.ndarray:
    """Weights (inputs, builds) of a softmax regression; builds count alike, drawn and real pictures too."""
    weight = np.zeros(len(y))
    for source in np.unique(real):
        here = real == source
        counts = np.bincount(y[here], minlength=len(BUILDS))
        weight[here] = 1 / counts[y[here]] / (counts > 0).sum()
    weight /= weight.sum()

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        weights = flat.reshape(x.shape[1], len(BUILDS))
        score = x @ weights
        score -= score.max(axis=1, keepdims=True)
        chance = np.exp(score) / np.exp(score).sum(axis=1, keepdims=True)
        wrong = chance.copy()
        wrong[np.arange(len(y)), y] -= 1
        value = -(weight * np.log(chance[np.arange(len(y)), y] + 1e-12)).sum() + ridge * (flat**2).sum()
        return value, (x.T @ (weight[:, None] * wrong)).ravel() + 2 * ridge * flat

    start = np.zeros(x.shape[1] * len(BUILDS))
    return minimize(loss, start, jac=True, method="L-BFGS-B").x.reshape(x.shape[1], len(BUILDS))


def fit(kind: str, rows: list[dict[str, object]]) -> tuple[np.ndarray, str]:
    """Weights fitted to all, and the table of how each recipe and sort fares when it is left out."""
    x = np.array([row["x"] for row in rows])
    y = np.array([BUILDS.index(row["build"]) for row in rows])
    of, real = np.array([row["of"] for row in rows]), np.array(["part" in row for row in rows])
    fold = np.array([str(row.get("part", row["of"])) for row in rows])
    said = np.zeros(len(y), int)
    for out in np.unique(fold):
        here = fold == out
        alone = len({n for n, b in BUILD_OF.items() if b == BUILD_OF.get(out)}) == 1
        kept = np.ones(len(y), bool) if alone else ~here
        said[here] = (x[here] @ fitted(x[kept], y[kept], real[kept], RIDGE[kind])).argmax(axis=1)
    lines = []
    for name in dict.fromkeys(of):
        here = of == name
        told = [BUILDS[k] for k in np.unique(said[here & (said != y)])]
        lines.append([name, here.sum(), share(list(said[here] == y[here])), ", ".join(told)])
    text = f"{'From the cell' if kind == 'CELL' else 'From the picture'}:\n\n"
    return fitted(x, y, real, RIDGE[kind]), text + table(("print", "n", "right %", "told instead"), lines)


def fit_hide(rows: list[dict[str, object]]) -> tuple[np.ndarray, str]:
    """Weights of the score for hides, and the table of what is named one when its recipe is left out."""
    rows = [row for row in rows if "hide" in row and row["of"] != "skin"]  # drawn in colours of no hide
    x, of = np.array([row["hide"] for row in rows]), np.array([row["of"] for row in rows])
    fold = np.array([str(row.get("part", row["of"])) for row in rows])
    y = np.isin(of, ("hide grown", "hide set out"))
    told = np.zeros(len(y), bool)
    for out in np.unique(fold):
        here = fold == out
        told[here] = x[here] @ logistic(x[~here], y[~here]) >= np.log(hide.TOLD / (1 - hide.TOLD))
    lines = [[name, (of == name).sum(), share(list(told[of == name]))] for name in dict.fromkeys(of)]
    shares = f"Of the hides {100 * told[y].mean():.0f} %, of all others {100 * told[~y].mean():.1f} %.\n\n"
    return logistic(x, y), ABOUT_HIDES + shares + table(("print", "n", "named a hide %"), lines)


def logistic(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Weights (inputs,) of a logistic regression; those that are and those that are not count alike."""
    weight, spread = np.where(y, 0.5 / y.sum(), 0.5 / (~y).sum()), np.where(x.std(0) > 0, x.std(0), 1.0)

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        score = x / spread @ flat
        ridge = HIDE_RIDGE * np.r_[0, flat[1:]]
        value = float(weight @ (np.logaddexp(0, score) - y * score) + ridge @ flat)
        return value, (x / spread).T @ (weight * (1 / (1 + np.exp(-score)) - y)) + 2 * ridge

    return minimize(loss, np.zeros(x.shape[1]), jac=True, method="L-BFGS-B").x / spread


def toml_table(name: str, inputs: tuple[str, ...], weights: NDArray[np.float64]) -> str:
    """Table of weights, a row an input."""
    rows = (
        f'"{said}" = [{", ".join(f"{v:.2f}" for v in row)}]'
        for said, row in zip(inputs, weights, strict=True)
    )
    return f"\n[{name}]\n" + "\n".join(rows) + "\n"


def main() -> None:
    """Gather, or fit and write."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    steps = ask.add_subparsers(dest="step", required=True)
    step = steps.add_parser("gather")
    step.add_argument("--real", type=Path)
    step.add_argument("--out", type=Path, required=True)
    steps.add_parser("fit").add_argument("rows", type=Path)
    asked = ask.parse_args()
    cv2.setNumThreads(1)
    if asked.step == "gather":
        with asked.out.open("a") as out:
            for rows in (
                drawn("CELL"), drawn("PICTURE"), hides_drawn(), real(asked.real) if asked.real else (),
            ):  # fmt: skip
                out.writelines(json.dumps(row) + "\n" for row in rows)
        return
    rows = [json.loads(line) for line in asked.rows.read_text().splitlines()]
    fitted, parts = MADE, []
    for kind in EACH:
        weights, text = fit(kind, [row for row in rows if row["kind"] == kind])
        fitted += toml_table(kind, INPUTS, weights)
        parts.append(text)
    weights, text = fit_hide(rows)
    fitted += toml_table("HIDE", hide.INPUTS, weights[:, None])
    parts.append(text)
    WEIGHTS.write_text(fitted)
    TABLE.write_text(ABOUT + "\n".join(parts))


if __name__ == "__main__":
    main()
