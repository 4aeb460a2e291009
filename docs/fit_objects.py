"""Fit the classifiers of objects of known size, and show what each feature is worth.

    python docs/fit_objects.py [--shapes coin]

Fits one logistic classifier for each shape (or some) to what ``docs/gather_objects.py`` gathered, writes
``photo/scale/fitted.toml``, and prints how each source fares when it is left out, and without each feature.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from printcheck.photo.scale.logistic import FITTED as NOW  # noqa: E402

STORE = ROOT / "build" / "objects" / "seen.jsonl"
FITTED = ROOT / "printcheck" / "photo" / "scale" / "fitted.toml"
RIDGE = 0.0015  # of the squared weights of standardised features, against the loss of a photo
FALSE_RATE = {
    "round": 0.01,
    "paper": 0.02,
    "any": 0.02,
    "coin": 0.02,
}  # of photos, of anything but the object
# ln odds lost, at least, for ten degrees of tilt without EXIF: a telephone aslant then looks like a card
STEEP_UNSTATED = -2.5
NAMED = 0.8  # evidence from which an object that was named is taken, set at the false rate
# whether more of a feature speaks for the object (1) or against it (-1); others are not asked
EITHER = {
    **dict.fromkeys(("misfit", "strained", "steep", "steep unstated", "rough"), -1),
    **dict.fromkeys(("around", "beyond", "through", "hidden", "hidden long"), -1),
    **dict.fromkeys(("cover", "support", "unlike", "corners unlike", "once", "border", "open side"), 1),
}
SIGNS = {
    "round": EITHER | {"corners": 1},
    "paper": EITHER | {"corners": -1, "plain": 1, "light": 1, "tint": -1},
    "any": EITHER | {"corners": 1},
    "coin": {
        **dict.fromkeys(("cover", "relief", "apart"), 1),
        **dict.fromkeys(("busy", "tint", "hue off", "hidden", "oval"), -1),
    },
}
BOUND = {1: (0.0, None), -1: (None, 0.0)}


@dataclass(frozen=True)
class Rows:
    """Candidates of one shape.

    Features (N, K) by name, whether each is the object, and the photo of each (N,); of each photo its
    source, and whether the object is in it.
    """

    names: tuple[str, ...]
    x: np.ndarray
    own: np.ndarray
    photo: np.ndarray
    source: np.ndarray
    there: np.ndarray

    def of(self, photos: np.ndarray) -> Rows:
        """Those of some of the photos."""
        kept = np.isin(self.photo, photos)
        return Rows(self.names, self.x[kept], self.own[kept], self.photo[kept], self.source, self.there)

    def without(self, name: str) -> Rows:
        """The same without a feature."""
        kept = [k for k, other in enumerate(self.names) if other != name]
        names = tuple(self.names[k] for k in kept)
        return Rows(names, self.x[:, kept], self.own, self.photo, self.source, self.there)


def rows_of(shape: str) -> Rows:
    """What was gathered for a shape; ``any`` is every sharp-cornered one, its look not asked about."""
    lines = [json.loads(line) for line in STORE.open()]
    lines = [r for r in lines if r["shape"] == shape or (shape == "any" and r["shape"] == "paper")]
    key, names = "any" if shape == "any" else "x", tuple(SIGNS[shape])
    found = [
        ([row[key][name] for name in names], row["own"], n)
        for n, r in enumerate(lines)
        for row in r["found"]
        if row["own"] is not None
    ]
    x, own, photo = (np.array(part) for part in zip(*found, strict=True))
    source, there = np.array([r["source"] for r in lines]), np.array([r["there"] for r in lines])
    return Rows(names, x, own.astype(bool), photo, source, there)


def counted(rows: Rows) -> np.ndarray:
    """(N,) how much each counts: a photo's object, and all else in it, count alike in every photo."""
    group = 2 * rows.photo + rows.own
    return np.asarray(1 / np.bincount(group)[group])


def fitted(rows: Rows, shape: str, start: np.ndarray | None = None) -> np.ndarray:
    """Constant and weights of least logistic loss, with a ridge and the signs; from a ``start`` sooner."""
    mean, spread = rows.x.mean(0), rows.x.std(0) + 1e-6
    x = np.concatenate([np.ones((len(rows.x), 1)), (rows.x - mean) / spread], 1)
    ridge = RIDGE * len(np.unique(rows.photo))
    weight = counted(rows)
    side = np.where(rows.own, 1.0, -1.0)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        z = side * (x @ w)
        slope = -weight * side / (1 + np.exp(np.clip(z, -500, 500)))
        value = float(weight @ np.logaddexp(0, -z)) + ridge * float(w[1:] @ w[1:])
        return value, x.T @ slope + 2 * ridge * np.concatenate([[0], w[1:]])

    bounds = [BOUND[SIGNS[shape][name]] for name in rows.names]
    if "steep unstated" in rows.names:
        at = rows.names.index("steep unstated")
        bounds[at] = (None, STEEP_UNSTATED * spread[at])
    first = (
        np.zeros(len(mean) + 1)
        if start is None
        else np.array([start[0] + start[1:] @ mean, *start[1:] * spread])
    )
    best = minimize(loss, first, jac=True, bounds=[(None, None), *bounds])
    weights = best.x[1:] / spread
    return np.concatenate([[best.x[0] - weights @ mean], weights])


def left_out(rows: Rows, shape: str) -> np.ndarray:
    """(N,) ln odds of every candidate, fitted on the other sources; drawn corpora are two parts by number."""
    score, whole = np.zeros(len(rows.x)), fitted(rows, shape)
    fold = np.array([s if not s.startswith("drawn") else f"{s} {n % 2}" for n, s in enumerate(rows.source)])
    for one in np.unique(fold):
        rest, here = np.flatnonzero(fold != one), np.isin(rows.photo, np.flatnonzero(fold == one))
        weights = fitted(rows.of(rest), shape, whole)
        score[here] = weights[0] + rows.x[here] @ weights[1:]
    return score


def best_of_photos(rows: Rows, score: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(photos,) highest ln odds of the object itself, and of anything else."""
    best = np.full((2, len(rows.source)), -np.inf)
    for own in (0, 1):
        np.maximum.at(best[own], rows.photo[rows.own == bool(own)], score[rows.own == bool(own)])
    return best[1], best[0]


def threshold(other: np.ndarray, there: np.ndarray, shape: str) -> float:
    """Ln odds that anything exceeds in the false rate of the photos without the object."""
    false = other[np.isfinite(other) & ~there]
    return float(np.quantile(false, 1 - FALSE_RATE[shape], method="higher"))


def table(rows: Rows, shape: str) -> float:
    """Print how each source fares left out; the threshold is given back."""
    own, other = best_of_photos(rows, left_out(rows, shape))
    least = threshold(other, rows.there, shape)
    print(f"\n## {shape}: taken from ln odds {least:.1f}\n")
    print("| source | with it | found | wrong | without it | taken |")
    print("| --- | --- | --- | --- | --- | --- |")
    photos = np.unique(rows.photo)
    for source in [*sorted(set(rows.source[photos])), ""]:
        here = photos[(rows.source[photos] == source) | (source == "")]
        there = rows.there[here]
        right = (own[here] > np.maximum(other[here], least)) & there
        false = other[here] > np.maximum(own[here], least)
        print(
            f"| {source or 'all'} | {there.sum()} | {right.sum()} | {(false & there).sum()} | "
            f"{(~there).sum()} | {(false & ~there).sum()} |"
        )
    return least


def ablation(rows: Rows, shape: str) -> None:
    """Print what leaving out each feature costs: objects found at the same false rate, and logistic loss.

    Every source is left out in turn.
    """
    weight = counted(rows) / counted(rows).sum()
    print("\n| without | found | loss |\n| --- | --- | --- |")
    for name in ["", *rows.names]:
        score = left_out(rows.without(name), shape)
        own, other = best_of_photos(rows, score)
        found = int((own > np.maximum(other, threshold(other, rows.there, shape))).sum())
        loss = float(weight @ np.logaddexp(0, -np.where(rows.own, 1, -1) * score))
        print(f"| {name or '(nothing)'} | {found} | {loss:.4f} |")


def main() -> None:
    """Fit the shapes, print their tables, and write the weights and what the objects show on average."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--shapes", default=",".join(SIGNS), help="with commas; the others stay as they are")
    weights_of = dict(NOW)
    for shape in parser.parse_args().shapes.split(","):
        rows = rows_of(shape)
        least = table(rows, shape)
        ablation(rows, shape)
        weights = fitted(rows, shape)
        constant = float(weights[0]) + math.log(NAMED / (1 - NAMED)) - max(0.0, least)
        usual = rows.x[rows.own].mean(0)
        each = zip(rows.names, weights[1:].tolist(), usual.tolist(), strict=True)
        weights_of[shape] = {"constant": (constant, 1.0)} | {name: (w, mean) for name, w, mean in each}
    text = "# Weights of the classifiers of objects, made by docs/fit_objects.py: not to be edited.\n"
    text += "# Of each feature its weight in the ln odds, and what the objects themselves show on average.\n"
    for shape, of_feature in weights_of.items():
        text += f"\n[{shape}]\n"
        text += "".join(f'"{n}" = [{round(w, 3)}, {round(m, 3)}]\n' for n, (w, m) in of_feature.items())
    FITTED.write_text(text)


if __name__ == "__main__":
    main()
