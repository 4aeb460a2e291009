"""What is seen of the candidates for objects of known size, in drawn photos and in folders of real ones.

    python docs/gather_objects.py [--real FOLDER]

One line for each photo and object goes to build/objects/, from which ``docs/fit_objects.py`` fits; what is
there is passed over. A folder of real photos holds ``objects.json``: a list of ``{"file", "source",
"object", "corners"}``, where ``object`` is a spelling of ``--reference`` or null, and ``corners`` (of a coin
those of the square about it, and ``alone`` says that no other lies there) are in photo pixels.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path
from typing import Any

import cv2
import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))  # tests.drawn draws the photos

from printcheck.core.reference.objects import known_object  # noqa: E402
from printcheck.core.request import Reference, parse_reference  # noqa: E402
from printcheck.photo.decode import open_picture  # noqa: E402
from printcheck.photo.scale.coin.coin_score import disc_features  # noqa: E402
from printcheck.photo.scale.coin.denominations import coin_of  # noqa: E402
from printcheck.photo.scale.coin.find_coin import in_sight  # noqa: E402
from printcheck.photo.scale.coin.rim import Rim  # noqa: E402
from printcheck.photo.scale.rectangle.classifier import compared, features, promise  # noqa: E402
from printcheck.photo.scale.rectangle.known import Kind, Scene, scene_of  # noqa: E402
from printcheck.photo.scale.rectangle.propose import clockwise, shape_misfit  # noqa: E402
from printcheck.photo.scale.rectangle.refine_sides import sharpened  # noqa: E402
from printcheck.photo.scale.rectangle.select import LOOKS  # noqa: E402
from tests.drawn import Camera, Laid, Photo, corpora, objects, photograph, prints  # noqa: E402

STORE = ROOT / "build" / "objects"
DRAWN = {"references": 54, "no-reference": 12, "decoys": 12}  # scenes of each corpus
CHECKS = 12  # more of them, on which things lie with the lines
SAME, OTHER = 0.008, 0.02  # of the long side: corners of the thing itself, and of another reading or thing
RIGHT_RADIUS, WRONG_RADIUS = 0.035, 0.05  # of the true one: a coin's rim, and its shadow's or an inner ring's
HOPELESS = -6.0  # ln odds, as the last weights have them, that what is kept of a rectangle may come to


@dataclass(frozen=True)
class Asked:
    """A photo in which an object is looked for, and the corners (4, 2) of the one in it, if there is one."""

    name: str
    source: str
    photo: Path | Photo
    said: str
    corners: np.ndarray | None
    alone: bool = True

    @property
    def request(self) -> Reference:
        """The object as it is asked for."""
        return parse_reference(self.said)


def drawn() -> Iterator[Asked]:
    """Drawn photos with every card, sheet, rectangle and coin, without, and with what is nearly a card."""
    for corpus, count in DRAWN.items():
        for n, scene in enumerate(corpora.corpus(corpus, count, seed=7)):
            if corpus == "references" and not scene.kind.startswith("rule"):
                corners = np.array(scene.truth.objects[0]["corners_px"])
                said = scene.kind.removesuffix("-cut")
                yield Asked(scene.name, f"drawn {corpus}", scene.photo, said, corners)
            elif corpus != "references":
                for said in ("card", "A6", *(["coin:24.26mm"] if n % 2 else [])):
                    yield Asked(scene.name, f"drawn {corpus}", scene.photo, said, None)


def on_checks() -> Iterator[Asked]:
    """Things that lie with the lines of a check, of which some make a rectangle of nearly their size."""
    views = {"A5": 430.0, "A6": 330.0, "card": 240.0}
    for n in range(CHECKS):
        rng, said = np.random.default_rng(100 + n), ("A5", "A6", "card")[n % 3]
        thing = objects.card(rng) if said == "card" else objects.sheet(rng, name=said)
        cloth = prints.gingham(rng, float(rng.uniform(6, 16)))
        camera = Camera(
            view_mm=views[said] * float(rng.uniform(0.9, 1.2)),
            tilt_deg=float(rng.uniform(0, 10)),
            turn_deg=float(rng.uniform(0, 360)),
        )
        turn = float(rng.choice([0, 0, 90, rng.uniform(0, 90)]))
        photo = photograph(cloth, camera, objects=(Laid(thing, (5.0, 5.0), turn),))
        corners = np.array(photo.truth.objects[0]["corners_px"])
        yield Asked(f"check-{n}", "drawn references", photo, said, corners)


def real(folder: Path) -> Iterator[Asked]:
    """Real photos by their list; a card is looked for in all, a sheet and a coin in every other as well."""
    for n, row in enumerate(json.loads((folder / "objects.json").read_text())):
        own = row["object"]
        for said in dict.fromkeys(
            ["card", *([own] if own else []), *(["A4", "coin:24.26mm"] if n % 2 else [])]
        ):
            there = said == own
            if not there and own and own.split(":")[0] == said.split(":")[0]:
                continue  # another coin than the one that lies there, or another sheet
            corners = np.array(row["corners"]) if there else None
            yield Asked(
                row["file"], row["source"], folder / row["file"], said, corners, row.get("alone", True)
            )


def seen(asked: Asked) -> list[dict[str, Any]]:
    """Features of what is found in a photo, and whether each is the object (None: hard to say)."""
    with tempfile.TemporaryDirectory() as at:
        path = asked.photo if isinstance(asked.photo, Path) else asked.photo.write(Path(at) / "drawn")
        picture = open_picture(path)
    if asked.said.startswith("coin"):
        _, discs, factor = in_sight(picture, coin_of(asked.request).diameter_mm)
        return [
            {"x": disc_features(d), "own": _is_rim(asked, d.rim, factor * picture.reduction)} for d in discs
        ]
    request = asked.request
    size = (request.width_mm, request.height_mm) if request.width_mm and request.height_mm else None
    kind, scene = Kind.of(known_object(request.kind), size), scene_of(picture)
    true = None if asked.corners is None else _long_side_first(scene, kind, asked.corners)
    rows = []
    for look in LOOKS:
        rough = [c for c in look(scene, [kind]) if promise(c) > HOPELESS]
        for found in compared(scene, sharpened(scene, rough)):
            off = math.inf
            if true is not None:
                ways = (np.abs(found.corners - np.roll(true, k, 0)).max() for k in (0, 2))
                off = float(min(ways)) / float(np.linalg.norm(true[1] - true[0]))
            own = None if SAME < off < OTHER else off <= SAME
            again = replace(found, kind=replace(found.kind, any_corner=True, corner_mm=0.0, paper=False))
            rows.append({"x": features(found), "any": features(again), "own": own})
    return rows


def _is_rim(asked: Asked, rim: Rim, factor: float) -> bool | None:
    """Whether an outline, ``factor`` photo px to its px, is the coin's rim."""
    if asked.corners is None:
        return False
    sides = np.linalg.norm(np.roll(asked.corners, -1, 0) - asked.corners, axis=1)
    radius = float(sides.mean()) / 2 / factor
    centre = (asked.corners.mean(0) + 0.5) / factor - 0.5
    if float(np.linalg.norm(rim.centre - centre)) >= 0.2 * radius:
        return False if asked.alone else None
    off = abs(rim.radius / radius - 1)
    return True if off < RIGHT_RADIUS else False if off > WRONG_RADIUS else None


def _long_side_first(scene: Scene, kind: Kind, corners: np.ndarray) -> np.ndarray:
    """The corners clockwise, first those of the side that a camera sees as a long one."""
    both = np.stack([np.roll(clockwise(corners[None])[0], k, 0) for k in (0, 1)])
    return np.asarray(both[int(np.argmin(shape_misfit(scene, kind, both)))])


def shape_of(said: str) -> str:
    """Which classifier tells an object."""
    kind = parse_reference(said).kind
    return "coin" if kind == "coin" else "any" if kind == "rect" else Kind.of(known_object(kind)).shape


def main() -> None:
    """Gather."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--real", type=Path, action="append", default=[])
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    STORE.mkdir(parents=True, exist_ok=True)
    store = STORE / "seen.jsonl"
    done = {json.loads(line)["key"] for line in store.open()} if store.exists() else set()
    with store.open("a") as out:
        for one in chain(*(real(folder) for folder in asked.real), drawn(), on_checks()):
            key = f"{one.name} {one.said}"
            if key not in done:
                about = {"source": one.source, "shape": shape_of(one.said), "there": one.corners is not None}
                out.write(json.dumps({"key": key, **about, "found": seen(one)}) + "\n")
                out.flush()


if __name__ == "__main__":
    main()
