"""Fit the classifiers of objects of known size, and show what each feature is worth.

    python docs/fit_objects.py gather [--real FOLDER] [--part 1/2]
    python docs/fit_objects.py fit

``gather`` searches drawn photos (with objects, without any, with things that are nearly one), and real
ones where a folder is given, and keeps the features of what it finds in build/objects/. A folder of real
photos holds ``objects.json``: a list of ``{"file", "source", "object", "corners"}``, where ``object`` is a
spelling of ``--reference`` or null, and ``corners`` (of a coin those of the square about it, and ``alone``
says that no other lies there) are in photo pixels. ``fit`` fits one logistic
classifier for each shape, writes ``photo/scale/rectangle/fitted.py`` and prints how each source fares when
it is left out, and without each feature.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from scipy.optimize import minimize

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))  # tests.drawn draws the photos

from printcheck.core.handover import Picture  # noqa: E402
from printcheck.core.reference.objects import known_object  # noqa: E402
from printcheck.core.request import parse_reference  # noqa: E402
from printcheck.photo.decode import open_picture  # noqa: E402
from printcheck.photo.scale.coin.coin_score import COIN_FEATURES, disc_features  # noqa: E402
from printcheck.photo.scale.coin.denominations import coin_of  # noqa: E402
from printcheck.photo.scale.coin.find_coin import in_sight  # noqa: E402
from printcheck.photo.scale.fitted import TYPICAL, WEIGHTS  # noqa: E402
from printcheck.photo.scale.rectangle.classifier import FEATURES, compared, features  # noqa: E402
from printcheck.photo.scale.rectangle.known import Kind, Scene, scene_of  # noqa: E402
from printcheck.photo.scale.rectangle.propose import clockwise, shape_misfit  # noqa: E402
from printcheck.photo.scale.rectangle.refine_sides import sharpened  # noqa: E402
from printcheck.photo.scale.rectangle.select import LOOKS  # noqa: E402
from tests.drawn import Camera, Laid, corpora, objects, photograph, prints  # noqa: E402
from tests.drawn.corpora import REFERENCE_ORDER  # noqa: E402

STORE = ROOT / "build" / "objects"
FITTED = ROOT / "printcheck" / "photo" / "scale" / "fitted.py"
DRAWN = {"references": 60, "no-reference": 20, "decoys": 15}  # scenes of each corpus
CHECKS = 24  # more of them, on which things lie with the lines
CARD, RECT = Kind.of(known_object("card")), Kind.of(known_object("rect"), (127.0, 76.0))
SAME, OTHER = 0.008, 0.02  # of the long side: corners of the thing itself, and of another reading or thing
RIGHT_RADIUS, WRONG_RADIUS = 0.035, 0.05  # of the true one: a coin's rim, and its shadow's or an inner ring's
RIDGE = 0.0015  # of the squared weights of standardised features, against the loss of a photo
FALSE_RATE = {
    "round": 0.01,
    "paper": 0.02,
    "any": 0.02,
    "coin": 0.02,
}  # of photos, of anything but the object
# ln odds lost, at least, for ten degrees of tilt without EXIF: a telephone aslant then looks like a card
STEEP_UNSTATED = -2.5
WHAT_TYPICAL_IS = "# what the objects themselves show, on average\n"
NAMED = 0.8  # evidence from which an object that was named is taken, set at the false rate
# whether more of a feature speaks for the object (1), against it (-1), or either (0); others are not asked
EITHER = {
    **dict.fromkeys(
        ("misfit", "strained", "steep", "steep unstated", "rough", "around", "beyond", "through"), -1
    ),
    **dict.fromkeys(("hidden", "hidden long"), -1),
    **dict.fromkeys(("cover", "support", "unlike", "corners unlike", "once", "border", "open side"), 1),
}
SIGNS = {
    "round": EITHER | {"corners": 1},
    "paper": EITHER | {"corners": -1, "plain": 1, "light": 1, "tint": -1},
    "any": EITHER | {"corners": 1},
    "coin": {
        **dict.fromkeys(("cover", "tight", "relief", "apart", "hue known"), 1),
        **dict.fromkeys(("scatter", "busy", "tint", "hue off", "twins", "hidden", "oval", "choice"), -1),
        "texture": 0,
    },
}
NAMES = {"round": FEATURES, "paper": FEATURES, "any": FEATURES, "coin": COIN_FEATURES}
BOUND = {1: (0.0, None), -1: (None, 0.0), 0: (None, None), None: (0.0, 0.0)}


@dataclass(frozen=True)
class Shown:
    """A photo in which a kind is looked for, and the corners (4, 2) of the one in it, if there is one."""

    name: str
    source: str
    picture: Picture
    kind: Kind
    corners: np.ndarray | None


def drawn_photos() -> Iterator[Shown]:
    """Drawn photos with every rectangle, without, and with things that are nearly a card."""
    kinds = {
        "card": CARD,
        "rect:127x76mm": RECT,
        **{n: Kind.of(known_object(n)) for n in ("A6", "A5", "A4", "letter")},
    }
    yield from on_checks()
    with tempfile.TemporaryDirectory() as folder:
        for name, count in DRAWN.items():
            for scene in corpora.corpus(name, count, seed=7):
                said = scene.kind.removesuffix("-cut")
                if name == "references" and said not in kinds:
                    continue
                picture = open_picture(scene.photo.write(Path(folder) / scene.name))
                things = scene.truth.objects if name == "references" else ()
                corners = np.array(things[0]["corners_px"]) if things else None
                asked = {"card": CARD, "A6": kinds["A6"]}
                if said in kinds and name == "references":
                    asked = {said: kinds[said]}
                for what, kind in asked.items():
                    yield Shown(scene.name, f"drawn {name}", picture, kind, corners if what == said else None)


def on_checks() -> Iterator[Shown]:
    """Things that lie with the lines of a check, of which some make a rectangle of nearly their size."""
    views = {"A5": 430.0, "A6": 330.0, "card": 240.0}
    for n in range(CHECKS):
        rng, name = np.random.default_rng(100 + n), ("A5", "A6", "card")[n // 2 % 3]
        thing = objects.card(rng) if name == "card" else objects.sheet(rng, name=name)
        cloth = prints.gingham(rng, float(rng.uniform(6, 16)))
        camera = Camera(
            view_mm=views[name] * float(rng.uniform(0.9, 1.2)),
            tilt_deg=float(rng.uniform(0, 10)),
            turn_deg=float(rng.uniform(0, 360)),
        )
        turn = float(rng.choice([0, 0, 90, rng.uniform(0, 90)]))
        photo = photograph(cloth, camera, objects=(Laid(thing, (5.0, 5.0), turn),))
        kind = CARD if name == "card" else Kind.of(known_object(name))
        corners = np.array(photo.truth.objects[0]["corners_px"])
        with tempfile.TemporaryDirectory() as folder:
            picture = open_picture(photo.write(Path(folder) / "check"))
        yield Shown(f"check-{n}", "drawn references", picture, kind, corners)


def real_photos(folder: Path) -> Iterator[Shown]:
    """Real photos by their list; a card is looked for in all, a sheet where one lies and in every other."""
    for n, row in enumerate(json.loads((folder / "objects.json").read_text())):
        picture = open_picture(folder / row["file"])
        said = None if (row["object"] or "").startswith("coin") else row["object"]
        for what, kind in {"card": CARD, "A4" if said in (None, "card") else said: None}.items():
            if what != "card" and (what != said and n % 2):
                continue
            corners = np.array(row["corners"]) if what == said else None
            yield Shown(
                f"{folder.name}/{row['file']}",
                row["source"],
                picture,
                kind or Kind.of(known_object(what)),
                corners,
            )


def candidates_of(shown: Shown) -> list[dict[str, Any]]:
    """Features of the candidates in a photo, and whether each is the object (None: hard to say)."""
    scene = scene_of(shown.picture)
    true = None if shown.corners is None else _long_side_first(scene, shown.kind, shown.corners)
    rows = []
    for look in LOOKS:
        for found in compared(scene, sharpened(scene, look(scene, shown.kind))):
            off = math.inf
            if true is not None:
                ways = (np.abs(found.corners - np.roll(true, k, 0)).max() for k in (0, 2))
                off = float(min(ways)) / float(np.linalg.norm(true[1] - true[0]))
            own = None if SAME < off < OTHER else off <= SAME
            again = replace(found, kind=replace(found.kind, any_corner=True, corner_mm=0.0, paper=False))
            rows.append({"x": features(found).tolist(), "any": features(again).tolist(), "own": own})
    return rows


def _long_side_first(scene: Scene, kind: Kind, corners: np.ndarray) -> np.ndarray:
    """The corners clockwise, first those of the side that a camera sees as a long one."""
    both = np.stack([np.roll(clockwise(corners[None])[0], k, 0) for k in (0, 1)])
    return np.asarray(both[int(np.argmin(shape_misfit(scene, kind, both)))])


def drawn_discs() -> Iterator[tuple[str, str, Picture, str, np.ndarray | None, bool]]:
    """Drawn photos with a coin, or without any, for coins."""
    with tempfile.TemporaryDirectory() as folder:
        for name, count in (("references", 60), ("no-reference", 24)):
            for n in range(count):
                coin = name == "references" and REFERENCE_ORDER[n % len(REFERENCE_ORDER)].startswith("coin")
                if coin or n % 5 == 0:
                    scene = corpora.scene(name, n, 7)
                    picture = open_picture(scene.photo.write(Path(folder) / scene.name))
                    corners = np.array(scene.truth.objects[0]["corners_px"]) if coin else None
                    said = scene.kind if coin else "coin:24.26mm"
                    yield scene.name, f"drawn {name}", picture, said, corners, True


def real_discs(folder: Path) -> Iterator[tuple[str, str, Picture, str, np.ndarray | None, bool]]:
    """Real photos with a coin, and every second of the others."""
    for n, row in enumerate(json.loads((folder / "objects.json").read_text())):
        coin = (row["object"] or "").startswith("coin")
        if coin or n % 2:
            picture = open_picture(folder / row["file"])
            corners = np.array(row["corners"]) if coin else None
            said = row["object"] if coin else "coin:24.26mm"
            yield (
                f"{folder.name}/{row['file']}",
                row["source"],
                picture,
                said,
                corners,
                row.get("alone", True),
            )


def discs_in(picture: Picture, said: str, corners: np.ndarray | None, alone: bool) -> list[dict[str, Any]]:
    """Features of the round outlines in a photo, and whether each is the rim of the coin."""
    _, discs, factor = in_sight(picture, coin_of(parse_reference(said)).diameter_mm)
    rows = []
    for disc in discs:
        own: bool | None = False
        ratio = math.nan
        if corners is not None:
            sides = np.linalg.norm(np.roll(corners, -1, 0) - corners, axis=1)
            radius = float(np.sqrt(sides.mean() ** 2)) / 2 / factor / picture.reduction
            centre = (corners.mean(0) + 0.5) / picture.reduction / factor - 0.5
            here = float(np.linalg.norm(disc.rim.centre - centre)) < 0.2 * radius
            ratio = disc.rim.radius / radius if here else math.nan
            own = None if here or not alone else False
            own = True if here and abs(ratio - 1) < RIGHT_RADIUS else own
            own = False if here and abs(ratio - 1) > WRONG_RADIUS else own
        rows.append({"x": disc_features(disc).tolist(), "own": own, "ratio": ratio})
    return rows


def gather(folders: list[Path], part: tuple[int, int]) -> None:
    """Features of every photo, one line each, to build/objects/; photos that are there are passed over."""
    STORE.mkdir(parents=True, exist_ok=True)
    done = {json.loads(line)["key"] for path in STORE.glob("*.jsonl") for line in path.open()}
    rectangles = chain(*(real_photos(folder) for folder in folders), drawn_photos())
    coins = chain(*(real_discs(folder) for folder in folders), drawn_discs())

    def lines() -> Iterator[tuple[str, Callable[[], dict[str, Any]]]]:
        for name, source, picture, said, corners, alone in coins:
            there = {"source": source, "shape": "coin", "there": corners is not None}
            yield (
                f"{name} {said}",
                lambda p=picture, s=said, c=corners, a=alone, t=there: {
                    **t,
                    "found": discs_in(p, s, c, a),
                },
            )
        for shown in rectangles:
            there = {"source": shown.source, "shape": shown.kind.shape, "there": shown.corners is not None}
            yield f"{shown.name} {shown.kind.name}", lambda s=shown, t=there: {**t, "found": candidates_of(s)}

    with (STORE / f"part-{part[0]}.jsonl").open("a") as out:
        for n, (key, made) in enumerate(lines()):
            if n % part[1] == part[0] - 1 and key not in done:
                out.write(json.dumps({"key": key, **made()}) + "\n")
                out.flush()


@dataclass(frozen=True)
class Rows:
    """Candidates of one shape: features (N, K), whether each is the object, and the photo of each (N,)."""

    x: np.ndarray
    own: np.ndarray
    photo: np.ndarray
    source: np.ndarray  # of each photo
    there: np.ndarray  # of each photo: whether the object is in it

    def of(self, photos: np.ndarray) -> Rows:
        """Those of some of the photos."""
        kept = np.isin(self.photo, photos)
        return Rows(self.x[kept], self.own[kept], self.photo[kept], self.source, self.there)


def rows_of(shape: str) -> Rows:
    """What was gathered for a shape; ``any`` is every sharp-cornered one, its look not asked about."""
    lines = [json.loads(line) for path in sorted(STORE.glob("*.jsonl")) for line in path.open()]
    lines = [r for r in lines if r["shape"] == shape or (shape == "any" and r["shape"] == "paper")]
    key = "any" if shape == "any" else "x"
    found = [
        (row[key], row["own"], n) for n, r in enumerate(lines) for row in r["found"] if row["own"] is not None
    ]
    x, own, photo = (np.array(part) for part in zip(*found, strict=True))
    source, there = np.array([r["source"] for r in lines]), np.array([r["there"] for r in lines])
    return Rows(x, own.astype(bool), photo, source, there)


def fitted(rows: Rows, shape: str, *, without: str = "", only: tuple[str, ...] = ()) -> np.ndarray:
    """Constant and weights of least logistic loss, every photo counting alike, with a ridge and the signs.

    With ``only``, the weights of these features alone are fitted, the others kept as they stand, and the
    constant made so that what the object itself usually shows is as sure as it was.
    """
    mean, spread = rows.x.mean(0), rows.x.std(0) + 1e-6
    x = np.concatenate([np.ones((len(rows.x), 1)), (rows.x - mean) / spread], 1)
    ridge = RIDGE * len(np.unique(rows.photo))
    group = 2 * rows.photo + rows.own
    weight = 1 / np.bincount(group)[group]  # each photo's object, and all else in it, count alike
    side = np.where(rows.own, 1.0, -1.0)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        z = side * (x @ w)
        slope = -weight * side / (1 + np.exp(np.clip(z, -500, 500)))
        value = float(weight @ np.logaddexp(0, -z)) + ridge * float(w[1:] @ w[1:])
        return value, x.T @ slope + 2 * ridge * np.concatenate([[0], w[1:]])

    asked = [SIGNS[shape].get(name) if name != without else None for name in NAMES[shape]]
    bounds = [BOUND[sign] for sign in asked]
    if "steep unstated" in NAMES[shape] and without != "steep unstated":
        at = NAMES[shape].index("steep unstated")
        bounds[at] = (None, STEEP_UNSTATED * spread[at])
    if only:
        kept = np.array(WEIGHTS[shape][1:]) * spread
        bounds = [
            bound if name in only else (value, value)
            for name, bound, value in zip(NAMES[shape], bounds, kept, strict=True)
        ]
    start = np.array([0.0, *(high if high is not None and high < 0 else 0.0 for _, high in bounds)])
    best = minimize(loss, start, jac=True, bounds=[(None, None), *bounds])
    weights = best.x[1:] / spread
    if only:
        change = weights - WEIGHTS[shape][1:]
        return np.concatenate([[WEIGHTS[shape][0] - change @ np.median(rows.x[rows.own], 0)], weights])
    return np.concatenate([[best.x[0] - weights @ mean], weights])


def left_out(rows: Rows, shape: str, *, without: str = "") -> np.ndarray:
    """(N,) ln odds of every candidate, fitted on the other sources; drawn corpora are two parts by number."""
    score = np.zeros(len(rows.x))
    fold = np.array([s if not s.startswith("drawn") else f"{s} {n % 2}" for n, s in enumerate(rows.source)])
    for one in np.unique(fold):
        rest, here = np.flatnonzero(fold != one), np.isin(rows.photo, np.flatnonzero(fold == one))
        weights = fitted(rows.of(rest), shape, without=without)
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
    """Print what leaving out each feature costs: objects found at the same false rate, sources left out."""
    print("\n| without | found | loss |\n| --- | --- | --- |")
    for name in ["", *(n for n in NAMES[shape] if n in SIGNS[shape])]:
        score = left_out(rows, shape, without=name)
        own, other = best_of_photos(rows, score)
        found = int((own > np.maximum(other, threshold(other, rows.there, shape))).sum())
        loss = float(np.logaddexp(0, -np.where(rows.own, 1, -1) * score).mean())
        print(f"| {name or '(nothing)'} | {found} | {loss:.4f} |")


def fit(*, with_ablation: bool, only: tuple[str, ...]) -> None:
    """Fit every shape, print its tables, and write the weights."""
    made: dict[str, tuple[np.ndarray, np.ndarray]] = {}
    for shape in NAMES:
        if only and not set(only) & set(SIGNS[shape]):
            made[shape] = np.array(WEIGHTS[shape]), np.array(TYPICAL[shape])
            continue
        rows = rows_of(shape)
        usual = rows.x[rows.own].mean(0)
        if only:
            new = np.array([name in only for name in NAMES[shape]])
            made[shape] = fitted(rows, shape, only=only), np.where(new, usual, TYPICAL[shape])
            continue
        least = table(rows, shape)
        if with_ablation:
            ablation(rows, shape)
        weights = fitted(rows, shape)
        weights[0] += math.log(NAMED / (1 - NAMED)) - max(0.0, least)
        made[shape] = weights, usual
    text = '"""Weights of the classifiers of objects, made by docs/fit_objects.py: not to be edited."""\n'
    for k, (name, why) in enumerate((("WEIGHTS", ""), ("TYPICAL", WHAT_TYPICAL_IS))):
        text += f"\n{why}{name}: dict[str, tuple[float, ...]] = {{\n"
        for shape, both in made.items():
            names = ("constant", *NAMES[shape])[k:]
            lines = [f"        {v:.3f},  # {n}\n" for v, n in zip(both[k], names, strict=True)]
            text += f'    "{shape}": (\n{"".join(lines)}    ),\n'
        text += "}\n"
    FITTED.write_text(text)


def main() -> None:
    """Gather or fit."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("step", choices=["gather", "fit"])
    parser.add_argument("--real", type=Path, action="append", default=[])
    parser.add_argument("--part", default="1/1", help="such as 1/2, for two at once")
    parser.add_argument("--ablation", action="store_true", help="show what each feature is worth")
    parser.add_argument("--only", default="", help="features, with commas, whose weights alone are fitted")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    if asked.step == "gather":
        first, of = asked.part.split("/")
        gather(asked.real, (int(first), int(of)))
    else:
        fit(with_ablation=asked.ablation, only=tuple(filter(None, asked.only.split(","))))


if __name__ == "__main__":
    main()
