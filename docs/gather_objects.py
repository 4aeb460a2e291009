"""What is seen of the candidates for objects of known size, in drawn photos and in folders of real ones.

    python docs/gather_objects.py [--real FOLDER] [--seconds N]

One line for each photo and object goes to build/objects/, from which ``docs/fit_objects.py`` fits. Photos
that are there are passed over, and it stops after so many seconds of CPU, so that it may be done in parts. A
folder of real photos holds ``objects.json``: a list of ``{"file", "source", "object", "corners"}``, where
``object`` is a spelling of ``--reference`` or null, and ``corners`` (of a coin those of the square about it,
and ``alone`` says that no other lies there) are in photo pixels.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain
from pathlib import Path
from typing import Any

import cv2
import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))  # tests.drawn draws the photos

from printcheck.core.handover import Picture  # noqa: E402
from printcheck.core.reference.objects import KnownObject  # noqa: E402
from printcheck.core.request import parse_reference  # noqa: E402
from printcheck.photo.decode import open_picture  # noqa: E402
from printcheck.photo.scale.coin.coin_score import disc_features  # noqa: E402
from printcheck.photo.scale.coin.denominations import coin_of  # noqa: E402
from printcheck.photo.scale.coin.find_coin import WORK_PX, in_sight  # noqa: E402
from printcheck.photo.scale.coin.rim import Rim  # noqa: E402
from printcheck.photo.scale.rectangle.classifier import compared, features, promise  # noqa: E402
from printcheck.photo.scale.rectangle.known import Scene, scene_of, shape_of  # noqa: E402
from printcheck.photo.scale.rectangle.propose import clockwise, shape_misfit  # noqa: E402
from printcheck.photo.scale.rectangle.refine_sides import sharpened  # noqa: E402
from printcheck.photo.scale.rectangle.select import LOOKS, kind_of  # noqa: E402
from printcheck.photo.scale.sampling import shrunk  # noqa: E402
from tests.drawn import Camera, Laid, Photo, corpora, objects, photograph, prints  # noqa: E402

STORE = ROOT / "build" / "objects"
DRAWN = {"references": 54, "no-reference": 12, "decoys": 12}  # scenes of each corpus
CHECKS = 12  # more of them, on which things lie with the lines
SAME, OTHER = 0.008, 0.02  # of the long side: corners of the thing itself, and of another reading or thing
RIGHT_RADIUS, WRONG_RADIUS = 0.035, 0.05  # of the true one: a coin's rim, and its shadow's or an inner ring's
HOPELESS = -6.0  # ln odds, as the last weights have them, that what is kept of a rectangle may come to


Corners = np.ndarray
Sought = dict[str, Corners | None]  # spellings of --reference; corners (4, 2) of the thing where it is there


@dataclass(frozen=True)
class Shot:
    """A photo: ``take`` gives it and what is sought in it; ``alone`` says that no other coin is there."""

    name: str
    source: str
    take: Callable[[], tuple[Path | Photo, Sought]]
    alone: bool = True


def drawn() -> Iterator[Shot]:
    """Drawn photos with every card, sheet, rectangle and coin, without, and with what is nearly a card."""
    for corpus, count in DRAWN.items():
        for n in range(count):
            yield Shot(f"{corpus} {n}", f"drawn {corpus}", partial(_scene, corpus, n))
    for n in range(CHECKS):
        yield Shot(f"check {n}", "drawn references", partial(_on_check, n))


def _scene(corpus: str, n: int) -> tuple[Photo, Sought]:
    scene = corpora.scene(corpus, n, 7)
    if corpus != "references":
        return scene.photo, dict.fromkeys(("card", "A6", *(["coin:24.26mm"] if n % 2 else [])))
    if scene.kind.startswith("rule"):
        return scene.photo, {"card": None}
    return scene.photo, {scene.kind.removesuffix("-cut"): np.array(scene.truth.objects[0]["corners_px"])}


def _on_check(n: int) -> tuple[Photo, Sought]:
    """A thing that lies with the lines of a check, of which some make a rectangle of nearly its size."""
    views = {"A5": 430.0, "A6": 330.0, "card": 240.0}
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
    return photo, {said: np.array(photo.truth.objects[0]["corners_px"])}


def real(folder: Path) -> Iterator[Shot]:
    """Real photos by their list; a card is looked for in all, a sheet and a coin in every other as well."""
    for n, row in enumerate(json.loads((folder / "objects.json").read_text())):
        own = row["object"]
        sought: Sought = dict.fromkeys(("card", *(["A4", "coin:24.26mm"] if n % 2 else [])))
        if own:  # not another coin than the one that lies there, or another sheet
            sought = {said: None for said in sought if said.split(":")[0] != own.split(":")[0]}
            if told_by(own) == "paper":
                sought.pop("A4", None)
            sought[own] = np.array(row["corners"])
        yield Shot(
            row["file"], row["source"], partial(_with, folder / row["file"], sought), row.get("alone", True)
        )


def _with(path: Path, sought: Sought) -> tuple[Path, Sought]:
    return path, sought


def opened(photo: Path | Photo) -> Picture:
    """The photo as the program opens it."""
    with tempfile.TemporaryDirectory() as at:
        return open_picture(photo if isinstance(photo, Path) else photo.write(Path(at) / "drawn"))


def coins(picture: Picture, said: str, corners: Corners | None, alone: bool) -> list[dict[str, Any]]:
    """Features of round outlines, and whether each is the rim of the coin (None: hard to say)."""
    small = shrunk(picture, WORK_PX)
    _, discs = in_sight(small, coin_of(parse_reference(said)).diameter_mm)
    return [{"x": disc_features(d), "own": _is_rim(d.rim, small.reduction, corners, alone)} for d in discs]


def rectangles(scene: Scene, said: str, corners: Corners | None) -> list[dict[str, Any]]:
    """Features of rectangles, and whether each is the object (None: hard to say)."""
    kind = kind_of(parse_reference(said))
    true = None if corners is None else _long_side_first(scene, kind, corners)
    rows = []
    for look in LOOKS:
        rough = [c for c in look(scene, [kind]) if promise(c) > HOPELESS]
        for found in compared(scene, sharpened(scene, rough)):
            off = math.inf
            if true is not None:
                ways = (np.abs(found.corners - np.roll(true, k, 0)).max() for k in (0, 2))
                off = float(min(ways)) / float(np.linalg.norm(true[1] - true[0]))
            own = None if SAME < off < OTHER else off <= SAME
            again = replace(found, kind=replace(found.kind, takes="size", corner_mm=0.0, paper=False))
            rows.append({"x": features(found), "any": features(again), "own": own})
    return rows


def _is_rim(rim: Rim, factor: float, corners: Corners | None, alone: bool) -> bool | None:
    """Whether an outline, ``factor`` photo px to its px, is the coin's rim."""
    if corners is None:
        return False
    sides = np.linalg.norm(np.roll(corners, -1, 0) - corners, axis=1)
    radius = float(sides.mean()) / 2 / factor
    centre = (corners.mean(0) + 0.5) / factor - 0.5
    if float(np.linalg.norm(rim.centre - centre)) >= 0.2 * radius:
        return False if alone else None
    off = abs(rim.radius / radius - 1)
    return True if off < RIGHT_RADIUS else False if off > WRONG_RADIUS else None


def _long_side_first(scene: Scene, kind: KnownObject, corners: Corners) -> Corners:
    """The corners clockwise, first those of the side that a camera sees as a long one."""
    both = np.stack([np.roll(clockwise(corners[None])[0], k, 0) for k in (0, 1)])
    return np.asarray(both[int(np.argmin(shape_misfit(scene, kind, both)))])


def told_by(said: str) -> str:
    """Which classifier tells an object."""
    request = parse_reference(said)
    return "coin" if request.kind == "coin" else shape_of(kind_of(request))


def lines_of(shot: Shot) -> Iterator[str]:
    """What is seen in a photo, a line for each thing sought."""
    photo, sought = shot.take()
    picture = opened(photo)
    scene = scene_of(picture)
    for said, corners in sought.items():
        shape = told_by(said)
        found = (
            coins(picture, said, corners, shot.alone) if shape == "coin" else rectangles(scene, said, corners)
        )
        about = {"photo": shot.name, "source": shot.source, "shape": shape, "there": corners is not None}
        yield json.dumps({**about, "found": found}) + "\n"


def main() -> None:
    """Gather."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--real", type=Path, action="append", default=[])
    parser.add_argument("--seconds", type=float, default=math.inf, help="of CPU, after which it stops")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    STORE.mkdir(parents=True, exist_ok=True)
    store = STORE / "seen.jsonl"
    done = {json.loads(line)["photo"] for line in store.open()} if store.exists() else set()
    with store.open("a") as out:
        for shot in chain(*(real(folder) for folder in asked.real), drawn()):
            if time.process_time() > asked.seconds:
                break
            if shot.name not in done:
                out.write("".join(lines_of(shot)))
                out.flush()


if __name__ == "__main__":
    main()
