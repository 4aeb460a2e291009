"""Fit the weights of ``printcheck/repeat/odds.py``, and judge them on sources that they were not fitted to.

    python docs/fit_evidence.py gather SET ... --out rows.jsonl      # features of all decisions
    python docs/fit_evidence.py fit rows.jsonl --out docs/accuracy/evidence.md   # weights, ablation
    python docs/fit_evidence.py judge SET ... --rows rows.jsonl --out judged.jsonl
    python docs/fit_evidence.py table judged.jsonl                   # docs/accuracy/unseen.md

A SET is a folder of pictures, or drawn scenes as ``corpus:number:seed`` (``lattice:40:1``); ``second:5:3``
are five of each family of the second generator. ``truth.json`` in a folder maps each picture to ``basis_mm``
(two vectors, one, or none), ``args`` (the scale option and its value) and ``source``; ``also_mm`` may list
other accepted answers. ``judge`` measures each picture of the rows with weights that its own source had
no part in.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from making import compare, unseen

from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo
from printcheck.repeat import confidence, decide, find_lattice, odds, search
from printcheck.repeat.cells.superlattice import Satellite
from printcheck.repeat.odds import odds_of, wave_features

Row = dict[str, Any]
Scene = tuple[Path, dict[str, Any]]
RIDGE = 2.0  # of the weights, in units of each feature's own spread
WHOLE = 0.13  # of a step: labels on folded cloth are known to a few per cent
PARTS = 5  # of a source that holds a third of all rows, which else could not be left out
SCORES = {"waves": "LARGER", "answers": "RIGHT"}
ABLATION = """## What each feature of the repeat's two scores wins

Both scores fitted without one feature, and judged on sources left out: a feature whose row is no worse than \
the whole wins nothing there. `LARGER` asks of each wave of a finer lattice whether the repeat is larger, \
`RIGHT` of each proposed lattice whether it is right. Made by `docs/fit_evidence.py fit`.
"""


def gather(path: Path, truth: dict[str, Any]) -> Row:
    """Find the lattice of one picture; features of every decision on the way, with what was right."""
    rows: Row = {"waves": [], "answers": []}
    larger, stands = decide._larger, search.stands

    def noted_larger(evidence: decide.Evidence) -> tuple[Satellite, float] | None:
        rows["waves"] += list(_waves(evidence, truth["basis_mm"]))
        return larger(evidence)

    def noted_stands(evidence: decide.Evidence) -> bool:
        basis = decide.square_period(evidence.fit.basis)[None] if evidence.stripe else evidence.fit.basis
        ratio = 1.0 if evidence.bent is None else evidence.bent.ratio
        right = _verdict(truth, (basis * evidence.view.mm_per_px * ratio).tolist())[0] == "right"
        rows["answers"].append({"x": confidence.features_of(evidence), "y": right})
        return stands(evidence)

    decide._larger, search.stands = noted_larger, noted_stands
    try:
        option, value = truth["args"]
        scale = one_scale(**{option[2:].replace("-", "_"): value})
        repeat = find_lattice(flatten_photo(path, scale)).repeat
    finally:
        decide._larger, search.stands = larger, stands
    said = [_verdict(truth, [list(v) for v in basis]) for basis in (repeat.basis_mm, repeat.raw_basis_mm)]
    verdict, error = next((v for v in said if v[0] == "right"), said[0])
    return rows | {
        "name": path.name, "source": truth["source"], "family": truth["family"], "verdict": verdict,
        "error": error, "kind": repeat.kind, "confidence": repeat.confidence, "true": truth["basis_mm"],
        "got": [list(v) for v in repeat.basis_mm],
    }  # fmt: skip


def _verdict(truth: dict[str, Any], got: list[list[float]]) -> tuple[str, float | None]:
    said = [compare.repeat_verdict(true, got) for true in (truth["basis_mm"], *truth.get("also_mm", []))]
    return next((verdict for verdict in said if verdict[0] == "right"), said[0])


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
        yield {"x": wave_features(wave, explained=evidence.fit.explained), "y": kept}


def fit(rows: list[Row], names: list[str]) -> dict[str, float]:
    """Logistic regression with a ridge on standardised features (Newton steps)."""
    x = np.array([[row["x"][name] for name in names] for row in rows])
    y = np.array([float(row["y"]) for row in rows])
    w = np.array([row["weight"] for row in rows])
    spread = np.where(x.std(axis=0) > 0, x.std(axis=0), 1.0)
    z, beta = x / spread, np.zeros(len(names))
    ridge = RIDGE * np.array([0.0 if name == "one" else 1.0 for name in names])
    for _ in range(50):
        p = 1 / (1 + np.exp(-np.clip(z @ beta, -30, 30)))
        slope = z.T @ (w * (y - p)) - ridge * beta
        curve = (z * (w * p * (1 - p))[:, None]).T @ z + np.diag(ridge + 1e-6)
        beta = beta + np.clip(np.linalg.solve(curve, slope), -2, 2)
    return {name: round(float(b / s), 3) for name, b, s in zip(names, beta, spread, strict=True)}


def _decisions(pictures: list[Row], what: str) -> list[Row]:
    """All decisions of one kind; a picture asked often has no more say than one asked once."""
    return [
        row | {"weight": 1 / np.sqrt(len(picture[what]))} for picture in pictures for row in picture[what]
    ]


def parts_of(pictures: list[Row]) -> dict[str, str]:
    """The part that each picture is left out with: its source; the largest sources are cut into several."""
    sources = [picture["source"] for picture in pictures]
    large = {s for s in sources if sources.count(s) > len(sources) / 3}
    return {
        p["name"]: f"{p['source']} {n % PARTS}" if p["source"] in large else p["source"]
        for n, p in enumerate(pictures)
    }


def weights_without(pictures: list[Row], what: str, names: list[str]) -> dict[str, dict[str, float]]:
    """Weights for each part, fitted to all others."""
    part_of = parts_of(pictures)
    return {
        part: fit(_decisions([p for p in pictures if part_of[p["name"]] != part], what), names)
        for part in sorted(set(part_of.values()))
    }


def judged(pictures: list[Row], what: str, names: list[str]) -> list[tuple[float, bool, float]]:
    """Probability of each decision from weights that its source had no part in, its truth and its weight."""
    weights, part_of = weights_without(pictures, what, names), parts_of(pictures)
    return [
        (odds_of(weights[part_of[picture["name"]]], row["x"]), row["y"], row["weight"])
        for picture in pictures
        for row in _decisions([picture], what)
    ]


def score(found: list[tuple[float, bool, float]]) -> tuple[float, float]:
    """Share decided rightly at one half, and the mean logarithm of the probability given to the truth."""
    p, y, w = (np.array(part) for part in zip(*found, strict=True))
    p = np.clip(p, 1e-4, 1 - 1e-4)
    return float(np.average((p > 0.5) == y, weights=w)), float(
        np.average(np.log(np.where(y, p, 1 - p)), weights=w)
    )


def report(pictures: list[Row], what: str, names: list[str]) -> None:
    """Weights, score on sources left out, and what each feature wins there."""
    rows = _decisions(pictures, what)
    true = sum(row["y"] for row in rows)
    print(f"### `{SCORES[what]}`: {len(rows)} decisions, {true} true\n\nWeights from all of them:\n")
    for name, weight in fit(rows, names).items():
        print(f'    "{name}": {weight},')
    whole = score(judged(pictures, what, names))
    print(f"\nOn sources left out: {100 * whole[0]:.1f} % right, mean log probability {whole[1]:.4f}\n")
    print("| without | % right | log probability lost |\n| --- | ---: | ---: |")
    for name in names[1:]:
        less = score(judged(pictures, what, [other for other in names if other != name]))
        print(f"| {name} | {100 * less[0]:.1f} | {whole[1] - less[1]:.4f} |")


def scenes(given: list[str]) -> Iterator[Scene]:
    """Pictures of folders and drawn scenes, each with its truth."""
    with tempfile.TemporaryDirectory() as drawn:
        for name in given:
            if Path(name).is_dir():
                truths = json.loads((Path(name) / "truth.json").read_text())
                for file, truth in sorted(truths.items()):
                    source = truth.get("source", Path(name).name)
                    yield Path(name) / file, truth | {"source": source, "family": truth.get("family", source)}
            else:
                corpus, number, seed = name.split(":")
                make = _second if corpus == "second" else _first
                yield from make(corpus, int(number), int(seed), Path(drawn))


def _first(name: str, number: int, seed: int, folder: Path) -> Iterator[Scene]:
    from tests.drawn import corpus

    for scene in corpus(name, number, seed):
        truth = {"basis_mm": [list(v) for v in scene.truth.basis_mm], "args": scene.args}
        yield scene.photo.write(folder / scene.name), truth | {"source": name, "family": scene.kind}


def _second(name: str, number: int, seed: int, folder: Path) -> Iterator[Scene]:
    from tests.accuracy.second_generator import FAMILIES, drawing

    for family in FAMILIES:
        for index in range(number):
            drawn, path = drawing(family, index, seed), folder / f"{name}-{seed}-{index}-{family}.png"
            cv2.imwrite(str(path), drawn.bgr)
            truth = {
                "basis_mm": [list(v) for v in drawn.basis_mm],
                "args": ["--mm-per-px", str(drawn.mm_per_px)],
            }
            yield path, truth | {"source": name, "family": family}


def _measured(given: list[str], known: list[Row]) -> Iterator[Row]:
    """Each picture measured; where rows are known, with weights that its source had no part in."""
    part_of = parts_of(known)
    weights = {
        what: weights_without(known, what, list(getattr(odds, of))) for what, of in SCORES.items() if known
    }
    for path, truth in scenes(given):
        if known and path.name not in part_of:
            continue
        for what, by_part in weights.items():
            getattr(odds, SCORES[what]).update(by_part[part_of[path.name]])
        row = gather(path, truth)
        said = row["name"], row["family"], row["verdict"], row["kind"], f"{row['confidence']:.2f}"
        print(*said, flush=True)
        yield row


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=("gather", "fit", "judge", "table"))
    parser.add_argument("given", nargs="+")
    parser.add_argument("--rows", type=Path, nargs="*", default=[])
    parser.add_argument("--out", type=Path)
    options = parser.parse_args()
    if options.what in ("gather", "judge"):
        with options.out.open("a") as file:
            for row in _measured(options.given, _read(options.rows) if options.what == "judge" else []):
                file.write(json.dumps(row, default=float) + "\n")
                file.flush()
        return
    pictures = _read(map(Path, options.given))
    if options.what == "fit":
        target = options.out.open("w") if options.out else contextlib.nullcontext(sys.stdout)
        with target as file, contextlib.redirect_stdout(file):
            print(ABLATION)
            for what, of in SCORES.items():
                report(pictures, what, list(getattr(odds, of)))
                print()
    else:
        unseen.write(pictures)


def _read(files: Iterable[Path]) -> list[Row]:
    return [json.loads(line) for file in files for line in file.read_text().splitlines()]


if __name__ == "__main__":
    main()
