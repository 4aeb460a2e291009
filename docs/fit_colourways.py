"""Fit and judge how two listings are told to be one print in two colours.

    python docs/fit_colourways.py gather [--seed 1] [--prints 100] [--part 1/2] [--kinds dots window]
    python docs/fit_colourways.py fit --seeds 1 5
    python docs/fit_colourways.py judge --seed 2

``gather`` draws each print twice, in inks of its own each time and by another camera, measures both photos
and keeps their keys in build/colourways/. Few sizes are used, so that many different prints share a lattice:
the cell has to tell them apart; ``--kinds`` draws more of those that are hard to. ``fit`` fits the weights
and prints them; ``judge`` counts, on another seed, colourways found and different prints taken for one, as
``printcheck tag`` would.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from unittest import mock

import numpy as np
from scipy.optimize import minimize

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))  # tests.drawn draws the photos

from printcheck import pipeline  # noqa: E402
from printcheck.batch import colourways  # noqa: E402
from printcheck.core.request import PhotoWidth  # noqa: E402
from tests.drawn import colours, corpora, photograph, recipes  # noqa: E402
from tests.drawn.art import Art  # noqa: E402

STORE = ROOT / "build" / "colourways"
KINDS = sorted(recipes.LATTICE)
COLOURED = ("ink", "ground", "inks", "near", "scheme")  # where the drawing chooses inks
SIZES_MM = (12.0, 20.0, 32.0, 50.0)
WIDTH_ERROR = 0.004  # one sigma of the width of cloth that a seller tells
FINE_MM = 0.1  # pixels on which drawings are compared
UNSEEN_MM = (
    0.07  # mean distance of their edges: half of what the eye parts from half a metre, a minute of arc
)
FALSE_COST = 5  # missed colourways that one false pair is as bad as
RIDGE = 1e-4  # of the squared weights against the mean loss


@contextmanager
def in_inks_of(rng: np.random.Generator) -> Iterator[None]:
    """Inks are drawn from ``rng`` alone: the print's structure is then the same in any inks."""

    def drawn_with(original):  # noqa: ANN001, ANN202
        return lambda _own, *args, **options: original(rng, *args, **options)

    patches = [mock.patch.object(colours, name, drawn_with(getattr(colours, name))) for name in COLOURED]
    for patch in patches:
        patch.start()
    try:
        yield
    finally:
        for patch in patches:
            patch.stop()


def kind_of(index: int) -> str:
    """Recipe that print ``index`` is drawn by."""
    return KINDS[index % len(KINDS)]


def drawn(seed: int, index: int) -> tuple[float, Callable[[np.random.Generator], Art]]:
    """Size of print ``index`` in mm, and what draws it in inks of a generator."""
    structure = np.random.default_rng([seed, index])
    size = SIZES_MM[int(structure.integers(len(SIZES_MM)))]
    room = recipes.Room(5 * size, 3.75 * size, 5 * size / 1200)

    def draw(look: np.random.Generator) -> Art:
        with in_inks_of(look), mock.patch.object(recipes.Room, "size", lambda *_, **__: size):
            return recipes.LATTICE[kind_of(index)](structure, room)

    return size, draw


def listing(seed: int, index: int, way: int) -> dict:
    """Key of one photo of print ``index`` in its inks number ``way``."""
    look = np.random.default_rng([seed, index, way + 1])
    size, draw = drawn(seed, index)
    camera = corpora.some_camera(look, size * float(look.uniform(4, 7)))
    camera = replace(camera, size_px=(1200, 900), turn_deg=camera.turn_deg / 4)
    photo = photograph(draw(look), camera, seed=int(look.integers(2**31)))
    told = camera.view_mm * (1 + WIDTH_ERROR * float(look.normal()))
    measured = pipeline.measure_photo(photo.bgr[..., ::-1], pipeline.Options(PhotoWidth(told)))
    m = measured.measurement
    pattern = colourways.pattern_of(m.repeat, measured.cell, m.scale.relative_error)
    return {"print": index, "kind": kind_of(index), "pattern": pattern}


def first_alike(seed: int, indices: list[int]) -> dict[int, int]:
    """Of each print the first that nobody can tell from it, mostly itself: its edges lie where those lie."""
    tiles: dict[tuple, list[tuple[int, np.ndarray]]] = {}
    found = {}
    for index in indices:
        art = drawn(seed, index)[1](np.random.default_rng(0))
        tile = art.tile(FINE_MM)[0].astype(np.float32)
        others = tiles.setdefault((art.family, art.name, tuple(np.round(art.tile_mm, 3)), tile.shape), [])
        steep = sum(np.abs(tile - np.roll(tile, 1, axis)).sum() for axis in (0, 1))  # repeats without end
        apart = ((i, np.abs(tile - other).sum() / steep * FINE_MM) for i, other in others)
        found[index] = next((i for i, mm in apart if mm < UNSEEN_MM), index)
        others.append((index, tile))
    return found


def gather(seed: int, prints: int, part: tuple[int, int], kinds: list[str]) -> None:
    """Measure and keep one part of the photos."""
    STORE.mkdir(parents=True, exist_ok=True)
    path = STORE / f"{seed}-{part[0]}.jsonl"
    done = len(path.read_text().splitlines()) if path.exists() else 0
    chosen = [i for i in range(prints) if kind_of(i) in kinds and i % part[1] == part[0] - 1]
    todo = [(i, way) for i in chosen for way in (0, 1)]
    with path.open("a") as out:
        for index, way in todo[done:]:
            out.write(json.dumps(listing(seed, index, way)) + "\n")
            out.flush()


def gathered(seed: int) -> list[dict]:
    """Listings of a seed, in the order of their prints."""
    files = sorted(STORE.glob(f"{seed}-*.jsonl"))
    rows = [json.loads(line) for file in files for line in file.read_text().splitlines()]
    first = first_alike(seed, sorted({row["print"] for row in rows}))
    rows = [{**row, "print": first[row["print"]]} for row in rows]
    return sorted(rows, key=lambda row: row["print"])


def pairs(rows: list[dict]) -> Iterator[tuple[dict, dict, tuple[float, float]]]:
    """Pairs that may be compared, with their evidence."""
    keyed = [(row, colourways.key_of(row["pattern"])) for row in rows if row["pattern"]]
    for (a, key_a), (b, key_b) in combinations(keyed, 2):
        if found := colourways.evidence(key_a, key_b):
            yield a, b, found


def fit(seeds: list[int]) -> None:
    """Print the weights fitted to some seeds."""
    compared = [found for seed in seeds for found in pairs(gathered(seed))]
    same = np.array([a["print"] == b["print"] for a, b, _ in compared])
    x = np.array([(1.0, *found) for _, _, found in compared])
    weight = np.where(same, 0.5 / same.sum(), 0.5 / (~same).sum() * FALSE_COST)

    def loss(w):  # noqa: ANN001, ANN202
        margin = np.where(same, 1, -1) * (x @ w)
        return float(weight @ np.logaddexp(0, -margin) + RIDGE * (w[1:] ** 2).sum())

    found = minimize(loss, np.array(colourways.WEIGHTS)).x
    print("pairs", len(x), "of one print", same.sum())
    print("WEIGHTS =", tuple(round(float(w), 2) for w in found))


def judge(seed: int) -> None:
    """Count as a run of the command would."""
    rows, known, first = gathered(seed), colourways.Known(), {}
    found = false = 0
    missed = []
    for i, row in enumerate(rows):
        answer = known.same_as(str(i), row["pattern"])
        true = first.get(row["print"])
        first.setdefault(row["print"], i)
        if answer and rows[int(answer)]["print"] != row["print"]:
            false += 1
            print("false pair:", rows[int(answer)]["kind"], row["kind"])
        elif answer:
            found += 1
        elif true is not None:
            missed.append(row["kind"])
    print(
        f"{len(rows)} listings of {len(first)} prints: {found} of {len(rows) - len(first)} colourways found,"
    )
    print(f"{false} false pairs; missed: {', '.join(missed) or 'none'}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("what", choices=["gather", "fit", "judge"])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seeds", type=int, nargs="+")
    parser.add_argument("--prints", type=int, default=100)
    parser.add_argument("--part", default="1/1")
    parser.add_argument("--kinds", nargs="+", choices=KINDS, default=KINDS)
    asked = parser.parse_args()
    if asked.what == "gather":
        part = tuple(int(number) for number in asked.part.split("/"))
        gather(asked.seed, asked.prints, (part[0], part[1]), asked.kinds)
    else:
        fit(asked.seeds or [asked.seed]) if asked.what == "fit" else judge(asked.seed)


if __name__ == "__main__":
    main()
