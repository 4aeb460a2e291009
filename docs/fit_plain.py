"""Fit how a print is told from plain cloth, and say how well it is told on sources left out of the fit.

    python docs/fit_plain.py gather [--real FOLDER] --out rows.jsonl
    python docs/fit_plain.py fit rows.jsonl [--out docs/accuracy/plain.md]

``gather`` draws plain cloth, folded and rough, and prints of every recipe; a FOLDER of real pictures holds
one folder for each sort of cloth, of which ``solid`` is plain. ``fit`` prints the weights
of ``PRINT`` and ``PRINT_IN_GREY`` in ``printcheck/repeat/odds.py`` and writes the table: drawn and real
pictures judged by weights fitted to the other source, and to other cloths; then without each feature.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).parents[1]))

from printcheck.photo.decode import open_picture
from printcheck.repeat.surface.print_shown import print_features
from tests.drawn import corpora
from tests.drawn.recipes import LATTICE, NEAR, WITHOUT

PLAIN_SCENES, PRINT_SCENES = 60, 3  # drawn, of plain cloth and of each recipe of a print
GRAINY = "carpet"  # neither plain nor a print
GARMENT, PARTS = 12, 6  # numbers of a real cloth's pictures; parts left out in turn
IN_GREY = "all colour"  # what a picture in greys lacks: the first feature, lightness, is left
RIDGE = 0.01  # of the squared weights of standardised features, against the mean loss

ABOUT = """## A print told from plain cloth

Where no repeat is found one score says whether the cloth shows a print at all or only weave, folds and \
light; it is fitted and judged by `docs/fit_plain.py`. Drawn and real cloth (photographed close by, folded \
and with seams) are each judged with weights that knew nothing of that source, or nothing of that cloth. \
Drawn prints not told are faint, in one tone or of small sparse figures; the score is asked only where no \
repeat was found.
"""


def drawn() -> Iterator[tuple[str, bool, np.ndarray]]:
    """Names of drawn photos, whether the cloth is plain, and the pictures."""
    for number, (name, recipe) in enumerate({**LATTICE, **WITHOUT, **NEAR}.items()):
        for index in range(0 if name == GRAINY else PLAIN_SCENES if name == "plain" else PRINT_SCENES):
            rng = np.random.default_rng([number, index])
            photo = corpora.take(rng, recipe, reference="given", rough=bool(index % 2))
            yield f"{name} {index}", name == "plain", photo.bgr


def real(folder: Path) -> Iterator[tuple[str, bool, np.ndarray]]:
    """The same of real pictures."""
    for path in sorted(folder.glob("*/*")):
        yield f"{path.parent.name}/{path.name}", path.parent.name == "solid", open_picture(path).bgr


def gather(folder: Path | None, out: Path) -> None:
    """Write one line for each picture."""
    with out.open("w") as lines:
        for source, pictures in (("drawn", drawn()), ("real", real(folder) if folder else ())):
            for name, plain, bgr in pictures:
                features = print_features(bgr, np.ones(bgr.shape[:2], bool))
                lines.write(
                    json.dumps({"source": source, "name": name, "plain": plain, "x": features}) + "\n"
                )


def fitted(x: np.ndarray, plain: np.ndarray, source: np.ndarray) -> np.ndarray:
    """Constant and weights of least logistic loss; plain cloth and prints of each source count alike."""
    mean, spread = x.mean(0), x.std(0) + 1e-6
    inputs = np.column_stack([np.ones(len(x)), (x - mean) / spread])
    weight = np.zeros(len(x))
    for kind in np.unique(source):
        for is_plain in (False, True):
            here = (source == kind) & (plain == is_plain)
            weight[here] = 1 / max(1, here.sum()) / 2 / len(np.unique(source))
    side = np.where(plain, -1.0, 1.0)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        score = side * (inputs @ w)
        slope = -(weight * side / (1 + np.exp(np.clip(score, -500, 500)))) @ inputs
        ridge = np.concatenate([[0.0], w[1:]])
        return float(weight @ np.logaddexp(0, -score) + RIDGE * ridge @ ridge), slope + 2 * RIDGE * ridge

    best = minimize(loss, np.zeros(inputs.shape[1]), jac=True).x
    weights = best[1:] / spread
    return np.concatenate([[best[0] - weights @ mean], weights])


def garment(name: str) -> str:
    """What pictures of one cloth, or by one recipe, have in common in their names: left out together."""
    sort, number = name.replace("_", " ").split(" ")[0], int(re.findall(r"\d+", name)[-1])
    return f"{sort} {number // GARMENT}"


def table(
    x: np.ndarray, plain: np.ndarray, part: np.ndarray, source: np.ndarray, names: list[str]
) -> Iterator[str]:
    """Lines of what is right of each source: fitted without that source, and without a part of both."""
    yield "| without | judged | left out | plain cloth told % | prints told % |"
    yield "| --- | --- | --- | ---: | ---: |"
    for without in ["", *names, IN_GREY]:
        kept = x[:, [k for k, name in enumerate(names) if name != without and (without != IN_GREY or not k)]]
        for what, fold in (("its source", source), ("its cloth", part)):
            score = np.zeros(len(x))
            for here in np.unique(fold):
                w = fitted(kept[fold != here], plain[fold != here], source[fold != here])
                score[fold == here] = w[0] + kept[fold == here] @ w[1:]
            for kind in np.unique(source):
                told = [
                    np.mean((score < 0)[(source == kind) & (plain == is_plain)]) for is_plain in (True, False)
                ]
                yield f"| {without} | {kind} | {what} | {100 * told[0]:.1f} | {100 - 100 * told[1]:.1f} |"


def asked_step(about: str, page: str) -> argparse.Namespace:
    """Whether to gather or to fit, and with what; ``page`` is what fitting writes."""
    parser = argparse.ArgumentParser(description=about, formatter_class=argparse.RawDescriptionHelpFormatter)
    steps = parser.add_subparsers(dest="step", required=True)
    step = steps.add_parser("gather")
    step.add_argument("--real", type=Path)
    step.add_argument("--out", type=Path, required=True)
    step = steps.add_parser("fit")
    step.add_argument("rows", type=Path)
    step.add_argument("--out", type=Path, default=Path(page))
    return parser.parse_args()


def main() -> None:
    """Gather or fit."""
    asked = asked_step(__doc__, "docs/accuracy/plain.md")
    cv2.setNumThreads(1)
    if asked.step == "gather":
        gather(asked.real, asked.out)
        return
    rows = [json.loads(line) for line in asked.rows.open()]
    names = [name for name in rows[0]["x"] if name != "one"]
    x = np.array([[row["x"][name] for name in names] for row in rows])
    plain, source = (np.array([row[key] for row in rows]) for key in ("plain", "source"))
    part = np.array([zlib.crc32(garment(row["name"]).encode()) % PARTS for row in rows])
    asked.out.write_text("\n".join([ABOUT, *table(x, plain, part, source, names), ""]))
    for kept in (names, names[:1]):
        weights = fitted(x[:, : len(kept)], plain, source)
        print({name: round(weight, 3) for name, weight in zip(["one", *kept], weights, strict=True)})


if __name__ == "__main__":
    main()
