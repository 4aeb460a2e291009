"""Fit the score by which overlapping photos of one cloth are laid together, and judge it on seeds left out.

    python docs/fit_several.py [--seeds 2,3,4] [--sets 13] [--strangers 8]

Draws sets of photos, lays each in as many ways as are likely, and takes down for every layout how much the
worst patch of each overlap is unlike, and how many overlaps there are. The cost of a layout is a sum of these
by numbers under which the true layouts are likeliest among the others and none at all; photos that share
nothing are to be laid not at all. The numbers stand in printcheck/photo/stitch/placing.py.
docs/accuracy/several-score.md says what they do on sets that they were not fitted to, and what each wins.
What all patches leave unlike, the number of photos, how far they overlap otherwise than is usual, and how far
they lie off rows and columns won nothing and went.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import cv2
import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # tests.drawn draws the photos

from make_several import PLACED, STORE, off_share
from making import tables

from printcheck.photo.stitch import placing
from printcheck.photo.stitch.view import view
from tests.drawn.photo_sets import PhotoSet, photo_set, stranger_set

FEATURES = ("worst", "overlaps")
LAYOUTS = 24  # of a set: the rivals of the true one
RIDGE = 1e-3  # of the squared numbers: where two say the same, neither grows without end
PAGE = Path(__file__).parent / "accuracy" / "several-score.md"
Set = tuple[np.ndarray, np.ndarray]  # features of each layout (n, 2), and whether it is right (n,)
TEXT = """# How several photos are laid together

The score of a layout was fitted to drawn sets of the seeds {} (`docs/fit_several.py`). Told is how it does on
the sets of each seed with that seed left out of the fit: how often the likeliest layout is right, or none
where the photos share nothing, and minus the logarithm of the probability of the right ones. Then the same
without each of its terms, and the numbers in use.
"""


def layouts_of(one: PhotoSet) -> Set:
    """The likeliest layouts of a set, the empty one last, which is right where the photos share nothing."""
    truth = one.photos[0].truth
    unit = truth.fov_mm[0] / truth.width_px
    views = [view(f"{n}.jpg", photo.bgr, unit_mm=None if n else unit) for n, photo in enumerate(one.photos)]
    rows, right = [], []
    for layout in placing.laid_together(placing.Pairs(views)):
        if len(layout.moves) < len(views):
            continue
        worst = sum(place.worst for place in layout.overlaps.values())
        rows.append([worst, -len(layout.overlaps)])
        off = [off_share(one, n, move) for n, move in layout.moves.items()]
        right.append(bool(one.overlap) and max(off) < PLACED)
    return np.array([*rows, [0.0] * len(FEATURES)]), np.array([*right, not one.overlap])


def gathered(seed: int, sets: int, strangers: int) -> Iterator[Set]:
    """Layouts of the sets of a seed, kept in build/."""
    path = STORE / f"layouts-{seed}.jsonl"
    known = [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
    drawn = [(photo_set, n) for n in range(sets)] + [(stranger_set, n) for n in range(strangers)]
    with path.open("a") as out:
        for draw, n in drawn[len(known) :]:
            rows, right = layouts_of(draw(n, seed))
            known.append([rows.tolist(), right.tolist()])
            out.write(json.dumps(known[-1]) + "\n")
            out.flush()
    yield from ((np.array(rows), np.array(right)) for rows, right in known[: len(drawn)])


def loss(numbers: np.ndarray, sets: Iterable[Set]) -> float:
    """Minus the log of the probability of the right layouts, summed over sets that have one."""
    total = 0.0
    for rows, right in sets:
        if right.any():
            costs = rows @ numbers
            total += np.logaddexp.reduce(-costs) - np.logaddexp.reduce(-costs[right])
    return total


def fitted(sets: list[Set], used: np.ndarray) -> np.ndarray:
    """The numbers at which the loss is least, those not used 0."""

    def penalised(numbers: np.ndarray) -> float:
        return loss(numbers * used, sets) + RIDGE * float(np.square(numbers).sum())

    return np.asarray(minimize(penalised, 5.0 * used, method="BFGS").x * used)


def main() -> None:
    """Gather, fit, judge and write."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", default="2,3,4", help="with commas")
    parser.add_argument("--sets", type=int, default=13)
    parser.add_argument("--strangers", type=int, default=8)
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    STORE.mkdir(exist_ok=True)
    in_use = np.array([placing.WORST, placing.OVERLAPS])
    placing.KEPT = LAYOUTS
    seeds = [list(gathered(int(seed), asked.sets, asked.strangers)) for seed in asked.seeds.split(",")]
    lines = []
    for left_out in (None, *FEATURES):
        used = np.array([name != left_out for name in FEATURES], float)
        hits, lost = [], 0.0
        for unseen in seeds:
            numbers = fitted([one for seed in seeds if seed is not unseen for one in seed], used)
            hits += [bool(right[np.argmin(rows @ numbers)]) for rows, right in unseen]
            lost += loss(numbers, unseen)
        told = ", ".join(f"{number:.1f}" for number in fitted([one for seed in seeds for one in seed], used))
        name = f"without {left_out}" if left_out else "all"
        lines.append([name, told, f"{tables.share(hits)} of {len(hits)}", f"{lost / len(hits):.3f}"])
    every = [one for seed in seeds for one in seed]
    hits = [bool(right[np.argmin(rows @ in_use)]) for rows, right in every]
    share, lost = f"{tables.share(hits)} of {len(hits)}", loss(in_use, every) / len(every)
    lines.append(["in use", ", ".join(map(str, in_use)), share, f"{lost:.3f}"])
    head = ["terms", f"fitted to all seeds: {', '.join(FEATURES)}", "right %", "loss, nats"]
    PAGE.write_text(TEXT.format(asked.seeds) + "\n" + tables.table(head, lines), encoding="utf-8")


if __name__ == "__main__":
    main()
