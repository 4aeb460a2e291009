"""Fit the weights of ``printcheck/repeat/odds.py``, and judge them on sources that they were not fitted to.

    python docs/fit_evidence.py gather SET ... --out rows.jsonl      # features of all decisions
    python docs/fit_evidence.py fit rows.jsonl --out docs/accuracy/evidence.md   # weights, ablation
    python docs/fit_evidence.py judge SET ... --rows rows.jsonl --out judged.jsonl
    python docs/fit_evidence.py table judged.jsonl                   # docs/accuracy/unseen.md

A SET is a folder of pictures, or drawn scenes as ``corpus:number:seed`` (``lattice:40:1``); ``second:5:3``
are five of each family of the second generator, ``few:40:1`` pictures of 0.9 to 2.2 repeats each way.
``truth.json`` in a folder maps each picture to ``basis_mm`` (two vectors, one, or none), ``args`` (the scale
option and its value) and ``source``; ``also_mm`` may list other accepted answers. ``judge`` measures each
picture of the rows with weights that its own source had no part in.
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
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from making import compare, unseen
from numpy.typing import NDArray

from printcheck.core.handover import FlatCloth
from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo
from printcheck.repeat import confidence, decide, find_lattice, odds
from printcheck.repeat.cells.superlattice import Satellite
from printcheck.repeat.odds import odds_of, wave_features

Row = dict[str, Any]
Choice = list[Row]  # what may be taken, each with its features ``x`` and whether it is right, ``y``
Basis = NDArray[np.float64]
Scene = tuple[Path, dict[str, Any]]
RIDGE = 2.0  # of the weights, in units of each feature's own spread
WHOLE = 0.13  # of a step: labels on folded cloth are known to a few per cent
PARTS = 5  # of a source that holds a third of all rows, which else could not be left out
# labelled by the eye's step, at which the picture falls on itself with 0.85 to 0.98, at the answered one with
# 0.999 and more: judged all the same, but nothing is fitted to them
CONTESTED = {"p179.jpg", "p181.jpg", "p198.jpg"}
SHARED = {"waves": 0.5, "answers": 1.0}  # power of the number of decisions by which each has less say
SCORES = {"waves": "LARGER", "answers": "RIGHT"}
ABLATION = """## What each feature of the repeat's two scores wins

Both scores fitted without one feature, and judged on sources left out: a feature whose row is no worse than \
the whole wins nothing there. `LARGER` chooses between a lattice and the larger ones that the waves over its \
cells propose, `RIGHT` between each lattice that was settled and none. Made by \
`docs/fit_evidence.py fit`.
"""


def gather(path: Path, truth: dict[str, Any]) -> Row:
    """Find the lattice of one picture; features of every decision on the way, with what was right."""
    option, value = truth["args"]
    cloth = flatten_photo(path, one_scale(**{option[2:].replace("-", "_"): value}))
    pictured = _as_pictured(truth, cloth)
    choices: list[Choice] = []
    answers: Choice = []
    larger, features = decide._larger, confidence.features_of
    asked: dict[int, decide.Evidence] = {}

    def noted_larger(evidence: decide.Evidence) -> tuple[list[Satellite], float] | None:
        choices.append(list(_waves(evidence, pictured)))
        return larger(evidence)

    def noted_features(evidence: decide.Evidence) -> dict[str, float]:
        found = features(evidence)
        if id(evidence.fit) not in asked:
            asked[id(evidence.fit)] = evidence
            basis = decide.square_period(evidence.fit.basis)[None] if evidence.stripe else evidence.fit.basis
            ratio = 1.0 if evidence.bent is None else evidence.bent.ratio
            right = _verdict(truth, (basis * evidence.view.mm_per_px * ratio).tolist())[0] == "right"
            answers.append({"x": found, "y": right})
        return found

    decide._larger, confidence.features_of = noted_larger, noted_features
    try:
        repeat = find_lattice(cloth).repeat
    finally:
        decide._larger, confidence.features_of = larger, features
    told = [repeat.basis_mm, repeat.raw_basis_mm]
    if "as_pictured" in truth:  # the label is
        told.reverse()
    said = [_verdict(truth, [list(v) for v in basis]) for basis in told]
    verdict, error = next((v for v in said if v[0] == "right"), said[0])
    return {
        "waves": [choice for choice in choices if choice], "answers": [[answer] for answer in answers],
        "name": path.name, "source": truth["source"], "family": truth["family"], "verdict": verdict,
        "error": error, "kind": repeat.kind, "confidence": repeat.confidence, "true": truth["basis_mm"],
        "got": [list(v) for v in repeat.basis_mm],
    }  # fmt: skip


def _as_pictured(truth: dict[str, Any], cloth: FlatCloth) -> Basis:
    """The true vectors on the flat picture's own axes, mm: a drawn cloth lies turned before its camera."""
    if "homography" not in truth:
        return np.array(truth["basis_mm"], dtype=np.float64).reshape(-1, 2)
    to_flat = np.linalg.inv(cloth.to_photo) @ np.array(truth["homography"])
    height, width = cloth.bgr.shape[:2]
    middle = cv2.perspectiveTransform(np.array([[[width / 2, height / 2]]]), np.linalg.inv(to_flat))[0]
    ends = np.concatenate([middle, *[middle + np.array([v]) for v in truth["basis_mm"]]])
    seen = cv2.perspectiveTransform(ends[None], to_flat)[0]
    return np.asarray((seen[1:] - seen[0]) * cloth.mm_per_px)


def _verdict(truth: dict[str, Any], got: list[list[float]]) -> tuple[str, float | None]:
    said = [compare.repeat_verdict(true, got) for true in (truth["basis_mm"], *truth.get("also_mm", []))]
    return next((verdict for verdict in said if verdict[0] == "right"), said[0])


def _waves(evidence: decide.Evidence, true: Basis) -> Iterator[Row]:
    """Waves of a lattice that the true one is part of, and whether the true one is part of the larger too."""
    basis = evidence.fit.basis * evidence.view.mm_per_px
    if len(true) != (1 if evidence.stripe else 2):
        return
    if evidence.stripe:
        times = np.hypot(*true[0]) / np.hypot(*decide.square_period(basis))
        steps = np.array([[times, 0.0]])
    else:
        steps = true @ np.linalg.inv(basis)
    whole = np.round(steps)
    if np.abs(steps - whole).max() > WHOLE * max(1.0, np.abs(whole).max() / 3) or not whole.any():
        return
    for wave in evidence.satellites:
        if wave.periods >= decide.FEWEST_PERIODS:
            kept = bool(((whole @ np.array(wave.wave)) % wave.factor == 0).all())
            yield {"x": wave_features(wave), "y": kept}


def fit(choices: list[tuple[float, Choice]], names: list[str]) -> dict[str, float]:
    """Weights by which each choice falls on what is right: one of the true ones, or, where none is, on none.

    Conditional logit (McFadden 1974) with a ridge: each thing to choose has the odds exp(weights x features)
    against none. ``choices`` come with the say that each has.
    """
    rows = [row for _, choice in choices for row in choice]
    number = np.repeat(np.arange(len(choices)), [len(choice) for _, choice in choices])
    say = np.array([weight for weight, _ in choices])
    x = np.array([[row["x"][name] for name in names] for row in rows])
    true = np.array([float(row["y"]) for row in rows])
    spread = np.where(x.std(axis=0) > 0, x.std(axis=0), 1.0)
    ridge = RIDGE * np.array([float(name != "one") for name in names])
    any_true = np.bincount(number, true, len(say)) > 0

    def loss(beta: Basis) -> tuple[float, Basis]:
        odds_ = np.exp(np.clip(x / spread @ beta, -40, 40))
        every = 1 + np.bincount(number, odds_, len(say))
        right = np.where(any_true, np.bincount(number, odds_ * true, len(say)), 1.0)
        pull = np.where(any_true[number], odds_ * true / right[number], 0) - odds_ / every[number]
        slope = (x / spread).T @ (pull * say[number]) - ridge * beta
        return float(-(say * np.log(right / every)).sum() + ridge @ beta**2 / 2), -slope

    beta = minimize(loss, np.zeros(len(names)), jac=True, method="BFGS").x
    return {name: round(float(b / s), 3) for name, b, s in zip(names, beta, spread, strict=True)}


def _decisions(pictures: list[Row], what: str) -> list[tuple[float, Choice]]:
    """All decisions of one kind; a picture asked often has little or no more say than one asked once."""
    return [(len(picture[what]) ** -SHARED[what], choice) for picture in pictures for choice in picture[what]]


def _fitted_to(pictures: list[Row]) -> list[Row]:
    return [picture for picture in pictures if picture["name"] not in CONTESTED]


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
        part: fit(_decisions([p for p in _fitted_to(pictures) if part_of[p["name"]] != part], what), names)
        for part in sorted(set(part_of.values()))
    }


def judged(pictures: list[Row], what: str, names: list[str]) -> list[tuple[float, bool, float]]:
    """Of each choice, by weights that its source had no part in.

    The probability of what is right, whether that is the likeliest, and the choice's say.
    """
    weights, part_of = weights_without(pictures, what, names), parts_of(pictures)
    found = []
    for picture in pictures:
        for say, choice in _decisions([picture], what):
            odds_ = np.array([odds_of(weights[part_of[picture["name"]]], row["x"]) for row in choice])
            true = np.array([row["y"] for row in choice])
            right = odds_[true].sum() if true.any() else 1.0
            best = int(odds_.argmax())
            found.append(
                (right / (1 + odds_.sum()), bool(true[best] if odds_.sum() >= 1 else not true.any()), say)
            )
    return found


def score(found: list[tuple[float, bool, float]]) -> tuple[float, float]:
    """Share decided rightly, and the mean logarithm of the probability given to what is right."""
    p, right, say = (np.array(part) for part in zip(*found, strict=True))
    return float(np.average(right, weights=say)), float(np.average(np.log(np.maximum(p, 1e-4)), weights=say))


def report(pictures: list[Row], what: str, names: list[str]) -> None:
    """Weights, score on sources left out, and what each feature wins there."""
    choices = _decisions(_fitted_to(pictures), what)
    true = sum(any(row["y"] for row in choice) for _, choice in choices)
    print(f"### `{SCORES[what]}`: {len(choices)} choices, {true} with one to take\n")
    print("Weights from all of them:\n")
    for name, weight in fit(choices, names).items():
        print(f'    "{name}": {weight},')
    whole = score(judged(_fitted_to(pictures), what, names))
    print(f"\nOn sources left out: {100 * whole[0]:.1f} % right, mean log probability {whole[1]:.4f}\n")
    print("| without | % right | log probability lost |\n| --- | ---: | ---: |")
    for name in names[1:]:
        less = score(judged(_fitted_to(pictures), what, [other for other in names if other != name]))
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
                make = {"second": _second, "few": _few}.get(corpus, _first)
                yield from make(corpus, int(number), int(seed), Path(drawn))


def _first(name: str, number: int, seed: int, folder: Path) -> Iterator[Scene]:
    from tests.drawn import corpus

    for scene in corpus(name, number, seed):
        said = scene.truth
        truth = {
            "basis_mm": [list(v) for v in said.basis_mm],
            "args": scene.args,
            "homography": said.homography,
        }
        yield scene.photo.write(folder / scene.name), truth | {"source": name, "family": scene.kind}


def _few(name: str, number: int, seed: int, folder: Path) -> Iterator[Scene]:
    from tests.drawn.photo_sets import LARGE, large_print

    for index in range(number):
        kind = LARGE[index % len(LARGE)]
        photo = large_print(kind, [seed, index])
        truth = {
            "basis_mm": [list(v) for v in photo.truth.basis_mm],
            "args": photo.truth.args,
            "homography": photo.truth.homography,
        }
        path = folder / f"{name}-{seed}-{index:03d}-{kind}.jpg"
        yield photo.write(path), truth | {"source": name, "family": kind}


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
