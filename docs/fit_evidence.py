"""Fit the weights of ``printcheck/repeat/odds.py``, and judge them on sources that they were not fitted to.

    python docs/fit_evidence.py gather FOLDER --out rows.jsonll    # a folder of pictures with truth.json
    python docs/fit_evidence.py drawn CORPUS --out rows.jsonll     # a corpus of tests.drawn, or "second"
    python docs/fit_evidence.py fit rows.jsonl ...                 # weights, leave one source out, ablation

``truth.json`` maps each picture to ``basis_mm`` (two vectors, one, or none), ``args`` (the scale option and
its value) and ``source``; ``also_mm`` may list other accepted answers.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent / "making"))

import compare

from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo
from printcheck.repeat import confidence, decide, find_lattice, search
from printcheck.repeat.cells.superlattice import Satellite
from printcheck.repeat.odds import odds_of, wave_features

Row = dict[str, Any]
RIDGE = 2.0  # of the weights, in units of each feature's own spread
WHOLE = 0.13  # of a step: labels on folded cloth are known to a few per cent
FOLDS = 5  # of a source that is half of all rows, which else could not be left out


def gather(path: Path, truth: dict[str, Any], source: str) -> Row:
    """Find the lattice of one picture; features of every decision on the way, with what was right."""
    rows: Row = {"waves": [], "answers": []}
    larger, stands = decide._larger, search.stands

    def noted_larger(evidence: decide.Evidence) -> tuple[Satellite, float] | None:
        rows["waves"] += list(_waves(evidence, truth["basis_mm"]))
        return larger(evidence)

    def noted_stands(evidence: decide.Evidence) -> bool:
        basis = decide.square_period(evidence.fit.basis)[None] if evidence.stripe else evidence.fit.basis
        ratio = 1.0 if evidence.bent is None else evidence.bent.ratio
        right = _right(truth, (basis * evidence.view.mm_per_px * ratio).tolist())
        rows["answers"].append({"x": confidence.features_of(evidence), "y": right})
        return stands(evidence)

    decide._larger, search.stands = noted_larger, noted_stands
    try:
        option, value = truth["args"]
        scale = one_scale(**{option[2:].replace("-", "_"): value})
        repeat = find_lattice(flatten_photo(path, scale)).repeat
    finally:
        decide._larger, search.stands = larger, stands
    right = any(
        _right(truth, got)
        for got in ([list(v) for v in repeat.basis_mm], [list(v) for v in repeat.raw_basis_mm])
    )
    return rows | {
        "name": path.name, "source": source, "family": truth.get("family", source), "right": right,
        "kind": repeat.kind, "confidence": repeat.confidence, "true": truth["basis_mm"],
        "got": [list(v) for v in repeat.basis_mm],
    }  # fmt: skip


def _right(truth: dict[str, Any], got: list[list[float]]) -> bool:
    accepted = [truth["basis_mm"], *truth.get("also_mm", [])]
    return any(compare.repeat_verdict(true, got)[0] == "right" for true in accepted)


def _waves(evidence: decide.Evidence, true: list[list[float]]) -> Iterator[Row]:
    """Waves of a lattice that the true one is part of, and whether the true one is part of the larger too."""
    basis = evidence.fit.basis * evidence.view.mm_per_px
    if len(true) != (1 if evidence.stripe else 2):
        return
    if evidence.stripe:
        times = np.hypot(*true[0]) / np.hypot(*decide.square_period(basis))
        steps = np.array([[times, 0.0]])
    else:
        steps = np.array(true) @ np.linalg.inv(basis)
    whole = np.round(steps)
    if np.abs(steps - whole).max() > WHOLE * max(1.0, np.abs(whole).max() / 3) or not whole.any():
        return
    for wave in evidence.satellites:
        kept = bool(((whole @ np.array(wave.wave)) % wave.factor == 0).all())
        x = wave_features(wave, explained=evidence.fit.explained)
        yield {"x": x, "y": kept, "periods": wave.periods}


def fit(rows: list[Row], names: list[str]) -> dict[str, float]:
    """Logistic regression with a ridge on standardised features (Newton steps)."""
    x = np.array([[row["x"][name] for name in names] for row in rows])
    y = np.array([float(row["y"]) for row in rows])
    w = np.array([row.get("weight", 1.0) for row in rows])
    spread = np.where(x.std(axis=0) > 0, x.std(axis=0), 1.0)
    z, beta = x / spread, np.zeros(len(names))
    ridge = RIDGE * np.array([0.0 if name == "one" else 1.0 for name in names])
    for _ in range(50):
        p = 1 / (1 + np.exp(-np.clip(z @ beta, -30, 30)))
        slope = z.T @ (w * (y - p)) - ridge * beta
        curve = (z * (w * p * (1 - p))[:, None]).T @ z + np.diag(ridge + 1e-6)
        beta = beta + np.clip(np.linalg.solve(curve, slope), -2, 2)
    return {name: round(float(b / s), 3) for name, b, s in zip(names, beta, spread, strict=True)}


def folds(pictures: list[Row]) -> list[str]:
    """The fold of each picture: its source; the largest sources are cut into several."""
    sources = [picture["source"] for picture in pictures]
    large = {s for s in sources if sources.count(s) > len(sources) / 3}
    return [f"{s} {n % FOLDS}" if s in large else s for n, s in enumerate(sources)]


def judged(pictures: list[Row], what: str, names: list[str]) -> list[tuple[Row, Row, float]]:
    """Each row with its picture and the probability from weights that its source had no part in."""
    of = folds(pictures)
    found = []
    for left_out in sorted(set(of)):
        known = [
            row
            for picture, fold in zip(pictures, of, strict=True)
            if fold != left_out
            for row in picture[what]
        ]
        weights = fit(known, names)
        for picture, fold in zip(pictures, of, strict=True):
            if fold == left_out:
                found += [(picture, row, odds_of(weights, row["x"])) for row in picture[what]]
    return found


def score(found: list[tuple[Row, Row, float]]) -> tuple[float, float]:
    """Share decided rightly at one half, and the mean logarithm of the probability given to the truth."""
    y = np.array([row["y"] for _, row, _ in found])
    p = np.clip([p for *_, p in found], 1e-4, 1 - 1e-4)
    return float(((p > 0.5) == y).mean()), float(np.log(np.where(y, p, 1 - p)).mean())


def report(pictures: list[Row], what: str) -> None:
    """Weights, score on sources left out, and what each feature wins there."""
    rows = [row for picture in pictures for row in picture[what]]
    names = list(rows[0]["x"])
    print(f"## {what}: {len(rows)} decisions, {sum(row['y'] for row in rows)} true")
    for name, weight in fit(rows, names).items():
        print(f'    "{name}": {weight},')
    found = judged(pictures, what, names)
    whole = score(found)
    print(f"\nOn sources left out: {100 * whole[0]:.1f} % right, mean log probability {whole[1]:.4f}\n")
    print("| without | % right | log probability lost |\n| --- | ---: | ---: |")
    for name in names[1:]:
        less = score(judged(pictures, what, [other for other in names if other != name]))
        print(f"| {name} | {100 * less[0]:.1f} | {whole[1] - less[1]:.4f} |")
    for low, high in ((0, 0.3), (0.3, 0.5), (0.5, 0.8), (0.8, 0.9), (0.9, 1.01)):
        inside = [row["y"] for _, row, p in found if low <= p < high]
        if inside:
            print(f"probability {low} to {min(high, 1)}: {sum(inside)} of {len(inside)} true")


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("gather", "drawn", "fit"))
    parser.add_argument("given", nargs="+")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--number", type=int, default=26)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--start", type=int, default=0)
    options = parser.parse_args()
    if options.what == "fit":
        lines = [line for name in options.given for line in Path(name).read_text().splitlines()]
        pictures = [json.loads(line) for line in lines]
        for what in ("waves", "answers"):
            report(pictures, what)
        return
    with options.out.open("a") as rows:
        for row in _pictures(options):
            rows.write(json.dumps(row, default=float) + "\n")
            rows.flush()


def _pictures(options: argparse.Namespace) -> Iterator[Row]:
    if options.what == "gather":
        for folder in map(Path, options.given):
            truths = json.loads((folder / "truth.json").read_text())
            names = np.random.default_rng(0).permutation(sorted(truths))  # half of a run is a fair sample
            for name in map(str, names[options.start :: options.every]):
                row = gather(folder / name, truths[name], truths[name].get("source", folder.name))
                print(
                    name,
                    row["family"],
                    "right" if row["right"] else "WRONG",
                    row["kind"],
                    f"{row['confidence']:.2f}",
                    flush=True,
                )
                yield row
        return
    from tests.drawn import corpus

    with tempfile.TemporaryDirectory() as folder:
        for name in options.given:
            for scene in corpus(name, options.number, options.seed):
                truth = {
                    "basis_mm": [list(v) for v in scene.truth.basis_mm],
                    "args": scene.args,
                    "family": scene.kind,
                }
                yield gather(scene.photo.write(Path(folder) / scene.name), truth, name)


if __name__ == "__main__":
    main()
