"""Measure real photos of things of known size and write docs/accuracy/objects.md.

    python docs/make_objects.py FOLDER [--seconds N]

``FOLDER`` holds ``objects.json``, as ``docs/gather_objects.py`` tells it; of each photo also the ``kind``
(card, sheet, coin, rule, or none), what is ``asked`` (spellings of ``--reference``), the true ``mm_per_px``
and the ``label_error``, as a share. Rows go to build/objects/measured.jsonl and are not measured again.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from pathlib import Path
from typing import Any

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from make_accuracy import assemble
from making.tables import grouped, quantile, table

from printcheck.core.errors import PrintcheckError
from printcheck.core.request import parse_reference
from printcheck.photo.decode import open_picture
from printcheck.photo.scale import sight
from printcheck.photo.scale.sighting import centre_px

HERE = Path(__file__).parent
STORE = HERE.parent / "build" / "objects" / "measured.jsonl"
Row = dict[str, Any]
NEAR, WRONG, SIGMAS = 0.02, 0.06, 2.0
PLACING = 0.005  # share: how far the scale at the photo's middle may lie from where the label was taken
TEXT = """## Objects of known size on real photos

Other people's photos: cards on wood and mats, sheets beside a foot, coins beside food and alone, rulers in
drawers and on desks, and photos that hold nothing of known size or a thing that is nearly a card. Asked by
name, and with `auto`. The error is that of the scale at the photo's middle, and holds that of the label;
within two sigma: of the stated error, and the label's beside it. A coin, and a sheet whose shape tells no
size, are never guessed: `auto` asks for their name, and that is counted as asked. Made by
`docs/make_objects.py`. These photos were among those that the weights were fitted to;
[objects.md](objects.md) has each source judged by weights fitted without it.

"""
COST = """
What `auto` costs over naming the thing (a card where there is none), in the same photo and process, CPU
seconds of one core; a transform of 2048 x 2048 numbers before each search took {floor}.

"""


def floor_s() -> float:
    """CPU seconds of one transform of 2048 x 2048 numbers: how fast the processor is just now."""
    numbers = np.random.default_rng(0).random((2048, 2048))
    start = time.process_time()
    np.fft.rfft2(numbers)
    return time.process_time() - start


def cost_of_auto(rows: list[Row]) -> str:
    """How much more the search for what nobody named costs, photo by photo of each kind."""
    named = {row["file"]: row["cpu_s"] for row in rows if row["asked"] != "auto"}
    both = [row for row in rows if row["asked"] == "auto" and row["file"] in named]
    lines = []
    for name, group in grouped(both, lambda row: str(row["kind"])).items():
        more = [row["cpu_s"] - named[row["file"]] for row in group]
        lines.append([name, len(group), *(quantile(more, q, scale=1) for q in (0.5, 0.9, 1.0))])
    floor = quantile((row["floor_s"] for row in rows), 0.5, scale=1)
    return COST.format(floor=floor) + table(("object", "photos", "median s", "90 % below", "at most"), lines)


def rows_of(photo: Row, folder: Path) -> list[Row]:
    """One photo asked for each of its things."""
    picture = open_picture(folder / photo["file"])
    rows: list[Row] = []
    for asked in photo["asked"]:
        row = {"floor_s": floor_s(), "file": photo["file"], "kind": photo["kind"], "asked": asked}
        start = time.process_time()
        try:
            sighting = sight(picture, parse_reference(asked))
        except PrintcheckError as error:
            row["code"] = error.code
        else:
            row |= {"source": sighting.source, "sigma": sighting.relative_error}
            if photo["kind"] != "none":
                row["error"] = sighting.mm_per_px(centre_px(picture)) / photo["mm_per_px"] - 1
                row["told"] = SIGMAS * sighting.relative_error + photo["label_error"] + PLACING
        rows.append(row | {"cpu_s": time.process_time() - start})
    return rows


def line_of(name: str, rows: list[Row]) -> list[Any]:
    """A line of the table."""
    found = [r for r in rows if "source" in r]
    errors = [abs(r["error"]) for r in found if "error" in r]
    asked = [r for r in rows if r.get("code") in ("reference-unsure", "coin-not-named", "sheet-size-unknown")]
    within = sum(abs(r["error"]) <= r["told"] for r in found if "error" in r)
    return [
        name,
        len(rows),
        len(found),
        len(asked),
        sum(e <= NEAR for e in errors),
        sum(e > WRONG for e in errors),
        quantile(errors, 0.5),
        f"{100 * max(errors):.1f}" if errors else "",
        f"{within} of {len(errors)}" if errors else "",
        quantile((r["cpu_s"] for r in rows), 0.5, scale=1),
    ]


def main() -> None:
    """Measure what is not measured yet, and write the section."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=math.inf, help="of CPU, after which it stops")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    STORE.parent.mkdir(parents=True, exist_ok=True)
    rows = [json.loads(line) for line in STORE.open()] if STORE.exists() else []
    done = {row["file"] for row in rows}
    photos = json.loads((asked.folder / "objects.json").read_text())
    rows_of(photos[0] | {"asked": ["auto", "coin:24mm"]}, asked.folder)  # so that all is loaded
    with STORE.open("a") as out:
        for photo in photos:
            if photo["file"] not in done and time.process_time() < asked.seconds:
                rows += (new := rows_of(photo, asked.folder))
                out.write("".join(json.dumps(row) + "\n" for row in new))
                out.flush()
    groups = grouped(rows, lambda r: f"{r['kind']}, {'auto' if r['asked'] == 'auto' else 'named'}")
    head = ("object", "searches", "answered", "asked about", "within 2 %", "off by more than 6 %",
            "median error %", "largest %", "within two sigma", "CPU s")  # fmt: skip
    lines = [line_of(name, group) for name, group in groups.items() if name != "**all**"]
    text = TEXT + table(head, lines) + cost_of_auto(rows)
    (HERE / "accuracy" / "objects.md").write_text(text, encoding="utf-8")
    assemble()


if __name__ == "__main__":
    main()
