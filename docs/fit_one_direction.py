"""Fit how a repeat along one direction is told, and say how well it is told on sources left out of the fit.

    python docs/fit_one_direction.py gather [--real FOLDER] --out rows.jsonl
    python docs/fit_one_direction.py fit rows.jsonl [--out docs/accuracy/one-direction.md]

``gather`` cuts strips from pictures of prints of known repeat, nine tenths of the other repeat wide, and
takes pictures without a repeat whole and by halves; a FOLDER holds real pictures with their ``truth.json``.
``fit`` prints the weights of ``ONE_DIRECTION`` in ``printcheck/repeat/odds.py`` and writes the table.
"""

from __future__ import annotations

import itertools
import json
import math
import sys
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from fit_plain import asked_step, fitted

sys.path.insert(0, str(Path(__file__).parents[1]))

from printcheck.core.errors import PrintcheckError
from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo, picture_of
from printcheck.photo.decode import open_picture
from printcheck.repeat.surface.illumination import look
from printcheck.repeat.surface.one_direction import one_direction
from tests.drawn import corpora
from tests.drawn.recipes import LATTICE, WITHOUT

SCENES = 4  # drawn, of each recipe
PLAIN = 20  # of plain cloth, the most usual picture without a repeat
STRIP = 0.9  # of the repeat that is not to fit
LEAST_SEEN = 2.0  # repeats in a strip
LEAST_PX = 100  # narrower strips are no photos
OFF_DEG = 3.0  # of a translation off the picture's axis
NEAR = 0.03  # share by which a repeat that is right may be off
STEPS = range(-6, 7)

ABOUT = """## A repeat along one direction

Where no repeat is found, a score says whether the print repeats along one direction only: a border, or a \
photo too small for the other repeat. Fitted and judged by `docs/fit_one_direction.py`: strips are cut from \
pictures of known repeat so that only one of the two repeats is in view, and each source is judged by \
weights that knew nothing of it.
"""


def drawn() -> Iterator[tuple[str, np.ndarray, list[list[float]], float]]:
    """Source, picture, true vectors (none without a repeat) and mm a pixel of drawn photos."""
    for number, (name, recipe) in enumerate({**LATTICE, **WITHOUT}.items()):
        for index in range(PLAIN if name == "plain" else SCENES):
            photo = corpora.take(np.random.default_rng([number, index]), recipe, reference="given")
            basis = [] if name in WITHOUT else [list(v) for v in photo.truth.basis_mm]
            if len(basis) != 1:
                yield "drawn", photo.bgr, basis, photo.truth.mm_per_px


def real(folder: Path) -> Iterator[tuple[str, np.ndarray, list[list[float]], float]]:
    """The same of real pictures whose scale is given."""
    for name, truth in json.loads((folder / "truth.json").read_text()).items():
        option, value = truth["args"]
        if option == "--mm-per-px" and truth["kind"] != "stripe":
            basis = truth["basis_mm"] if truth["kind"] == "lattice" else []
            yield truth["source"], open_picture(folder / name).bgr, basis, float(value)


def strips(
    bgr: np.ndarray, basis: list[list[float]], mm_per_px: float
) -> Iterator[tuple[bool, float | None, np.ndarray]]:
    """Whether it repeats along the cloth, the repeat in mm, and the strip; halves without a repeat."""
    height, width = bgr.shape[:2]
    if not basis:
        for part in (bgr, bgr[: height // 2], bgr[:, : width // 2]):
            yield False, None, part
        return
    vectors = [i * np.array(basis[0]) + j * np.array(basis[1]) for i, j in itertools.product(STEPS, STEPS)]
    pure: list[float] = []
    for way in (0, 1):
        along = [v for v in vectors if abs(v[1 - way]) < math.tan(math.radians(OFF_DEG)) * abs(v[way])]
        pure.append(min((float(np.hypot(*v)) for v in along), default=math.inf))
    for upright, (told, other, long, wide) in enumerate(
        [(pure[0], pure[1], width, height), (pure[1], pure[0], height, width)]
    ):
        if math.isinf(told + other):
            continue
        cut = int(STRIP * other / mm_per_px)
        if LEAST_PX <= cut < wide and long * mm_per_px >= LEAST_SEEN * told:
            yield bool(upright), told, bgr[:, :cut] if upright else bgr[:cut]


def gather(folder: Path | None, out: Path) -> None:
    """Write one line for each strip."""
    with out.open("w") as lines:
        for source, bgr, basis, mm_per_px in itertools.chain(drawn(), real(folder) if folder else ()):
            for upright, true, part in strips(bgr, basis, mm_per_px):
                picture = picture_of(np.ascontiguousarray(part[:, :, ::-1]))
                try:
                    cloth = flatten_photo(picture, one_scale(mm_per_px=str(mm_per_px)))
                except PrintcheckError:
                    continue
                found = one_direction(look(cloth))
                row = {"source": source, "true": true, "right": False, "x": None}
                if found is not None:
                    length = float(np.hypot(*found.step)) * found.view.mm_per_px
                    near = true is not None and abs(length / true - 1) <= NEAR
                    row |= {"right": near and found.upright == upright, "x": found.features}
                lines.write(json.dumps(row) + "\n")


def table(rows: list[dict]) -> Iterator[str]:
    """Lines of what is told of each source left out of the fit."""
    names = ["lowest", "seen", "clear"]
    there = [row for row in rows if row["x"]]
    x = np.array([[row["x"][name] for name in names] for row in there])
    wrong = np.array([not row["right"] for row in there])
    source = np.array([row["source"] for row in there])
    has = np.array([row["true"] is not None for row in there])
    for without in ("", *names):
        kept = [k for k, name in enumerate(names) if name != without]
        told = np.zeros(len(there), bool)
        for here in np.unique(source):
            w = fitted(x[source != here][:, kept], wrong[source != here], np.ones((source != here).sum()))
            told[source == here] = w[0] + x[source == here][:, kept] @ w[1:] > 0
        for drawn_ones in (True, False):
            of = (source == "drawn") == drawn_ones
            here_too = [row for row in rows if (row["source"] == "drawn") == drawn_ones]
            cut = sum(row["true"] is not None for row in here_too)
            none = len(here_too) - cut
            right, false = (told & of & ~wrong).sum() / cut, (told & of & wrong & has).sum() / cut
            all_the_same = (told & of & ~has).sum() / none
            yield (
                f"| {without} | {'drawn' if drawn_ones else 'real'} | {cut} | {100 * right:.1f} | "
                f"{100 * false:.1f} | {none} | {100 * all_the_same:.1f} |"
            )
    w = fitted(x, wrong, np.ones(len(x)))
    print({name: round(float(weight), 3) for name, weight in zip(["one", *names], w, strict=True)})


def main() -> None:
    """Gather or fit."""
    asked = asked_step(__doc__, "docs/accuracy/one-direction.md")
    cv2.setNumThreads(1)
    if asked.step == "gather":
        gather(asked.real, asked.out)
        return
    rows = [json.loads(line) for line in asked.rows.open()]
    head = [
        "| without | judged | strips | right % | wrong % | without a repeat | told all the same % |",
        "| --- | --- | ---: | ---: | ---: | ---: | ---: |",
    ]
    asked.out.write_text("\n".join([ABOUT, *head, *table(rows), ""]))


if __name__ == "__main__":
    main()
