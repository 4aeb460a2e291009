"""Measure what is told without an object of known size: docs/accuracy/cloth-width.md and no-card.md.

``python docs/make_no_card.py`` draws 60 photos of the whole width of a cloth and 40 that show one edge or
none, and scenes of the drawn corpus that hold no object, each measured with the scale and without.
``--only cloth-width`` or ``--only no-card`` makes one of the two.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import cv2  # noqa: E402
import numpy as np  # noqa: E402

from printcheck import pipeline  # noqa: E402
from printcheck.advice import named_length  # noqa: E402
from printcheck.core.errors import NoAnswerError  # noqa: E402
from printcheck.core.measurement import Measurement  # noqa: E402
from printcheck.core.request import ClothWidth, one_scale  # noqa: E402
from printcheck.photo.flatten import flatten_photo  # noqa: E402
from tests.drawn import Camera, Cell, corpus, photograph, prints  # noqa: E402

FOLDER = ROOT / "docs" / "accuracy"
SIZE = (1200, 900)
WITH_EDGES, WITHOUT = 60, 40
SCENES = 26  # one of each kind
WITHIN = 0.01
# What a name becomes without the size in its definition: the rows of the table of names that the same print
# reaches at other sizes, each of which holds every print of the sized name.
PARENTS = {
    "pin-stripe": ("stripe",),
    "pencil-stripe": ("stripe",),
    "fine-stripe": ("even-stripe",),
    "wide-stripe": ("even-stripe",),
    "awning-stripe": ("even-stripe",),
    "pin-dot": ("polka-dot",),
    "coin-dot": ("polka-dot",),
    "ditsy": ("tossed-figures", "spaced-motif", "all-over"),
    "large-motif": ("rows-of-figures", "tossed-figures", "spaced-motif", "all-over"),
}
ART = (
    lambda r: prints.dots(r, float(r.uniform(60, 160))),
    lambda r: prints.gingham(r, float(r.uniform(25, 80))),
    lambda r: prints.stripe(r, float(r.uniform(60, 200)), even=False),
    lambda r: prints.plaid(r, float(r.uniform(120, 260)), even=False),
    lambda r: prints.floral(r, Cell(float(r.uniform(200, 400)), float(r.uniform(200, 400)))),
    prints.plain,
)
WIDTHS = """# The cloth's own width as the scale

Made by `python docs/make_no_card.py --only cloth-width`, which draws every photo from its seed: cloth with a
print on a floor of another colour, leaning up to 3 degrees, in uneven light, with noise.

| photos | measured | aim |
| --- | --- | --- |
{rows}
"""
BARE = """# No scale at all

Made by `python docs/make_no_card.py --only no-card --scenes {scenes} --start {start}`: drawn scenes that
hold no object, some at a slant, measured with the scale told (its four corners undo the slant) and without
one (n = {n}).

| what | right with the scale | right without | the same answer |
| --- | ---: | ---: | ---: |
{rows}

Names and needs have no drawn truth here, so that only "the same" is counted. Where a name hangs on size the
honest answer is the name without it, and counts as the same:

| with its size | without |
| --- | --- |
{parents}

Needs count as the same too where the answer names the size from which on the seams are to be matched, and
the print at its true size lies on the side of it that its needs say. Figures gather into
bunches at a hand's breadth: without a size they are looked for at every size that is tried.
{sizes} sizes in millimetres were given without a scale.
{others}"""


def on_a_floor(seed: int, *, left: bool, right: bool) -> tuple[bytes, float]:
    """Photo of a cloth on a floor as JPEG, and its true width in mm."""
    rng = np.random.default_rng(seed)
    camera = Camera(view_mm=float(rng.uniform(900, 1700)), size_px=SIZE, turn_deg=float(rng.uniform(-3, 3)))
    shot = photograph(ART[seed % len(ART)](rng), camera).bgr.astype(float)
    height, width = shot.shape[:2]
    start, stop = (float(rng.uniform(0.05, 0.17)) * width for _ in range(2))
    lean = np.tan(np.radians(camera.turn_deg))
    x = np.arange(width)[None, :] + lean * (np.arange(height)[:, None] - height / 2)
    cover = np.ones((height, width))
    cover *= np.clip(x - start + 0.5, 0, 1) if left else 1
    cover *= np.clip(width - 1 - stop - x + 0.5, 0, 1) if right else 1
    planks = 12 * np.sin(np.arange(height) / rng.uniform(20, 60))[:, None, None]
    floor = rng.uniform(40, 215, 3)[None, None] + planks + rng.normal(0, 4, shot.shape)
    shadow = 1 - 0.25 * cv2.GaussianBlur(cover, (0, 0), 9)[..., None]  # beside the cloth's edge
    picture = cover[..., None] * shot + (1 - cover[..., None]) * floor * shadow
    data = cv2.imencode(".jpg", np.clip(picture, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, 88])[1]
    across_px = (width - 1 - stop - start) * np.cos(np.radians(camera.turn_deg))
    return data.tobytes(), float(across_px * camera.true_mm_per_px)


def widths(folder: Path) -> Iterator[str]:
    """Yield the two rows of cloth widths."""
    errors, refused = [], 0
    for seed in range(WITH_EDGES):
        path = folder / "whole.jpg"
        data, width_mm = on_a_floor(seed, left=True, right=True)
        path.write_bytes(data)
        try:
            found = flatten_photo(path, ClothWidth(width_mm)).scale
        except NoAnswerError:
            refused += 1
            continue
        errors.append(abs(found.mm_per_px / true_of(seed) - 1))
    good = sum(error < WITHIN for error in errors)
    told = f"{good} within 1 % ({100 * good / WITH_EDGES:.0f} %), {refused} refused, {len(errors) - good} off"
    median = f"median {100 * np.median(errors):.2f} %"
    yield f"| {WITH_EDGES} with both edges | {told}, {median} | 90 % within 1 % |"
    taken = 0
    for seed in range(1000, 1000 + WITHOUT):
        path = folder / "part.jpg"
        data, width_mm = on_a_floor(seed, left=seed % 3 == 1, right=seed % 3 == 2)
        path.write_bytes(data)
        try:
            flatten_photo(path, ClothWidth(width_mm))
            taken += 1
        except NoAnswerError:
            pass
    yield f"| {WITHOUT} with one edge or none | {taken} accepted | 0 |"


def true_of(seed: int) -> float:
    """Millimetres per pixel of the photo of this seed."""
    rng = np.random.default_rng(seed)
    return Camera(view_mm=float(rng.uniform(900, 1700)), size_px=SIZE).true_mm_per_px


def answers(m: Measurement) -> dict[str, object]:
    """What must not hang on the scale."""
    name = m.print_name.name if m.print_name else None
    return {"name": name, "layout": m.repeat.layout, "way": m.direction.way, "needs": m.seams.needs}


def is_same(what: str, told: Measurement, bare: Measurement) -> bool:
    """Whether the answer without a scale is that with it, as far as it may be."""
    one, other = answers(told)[what], answers(bare)[what]
    if what == "name":
        return one == other or other in PARENTS.get(str(one), ())
    limit = next((f.values["limit"] for f in bare.findings if f.code == "match-by-size"), None)
    if what == "needs" and limit is not None:
        named = named_length(told.repeat, told)
        return named is not None and (named[1] > float(limit)) == (one != "none")
    return one == other


def compared(folder: Path, scenes: int, start: int) -> tuple[int, Counter[tuple[str, str]], int, list[str]]:
    """Scenes, counts by (what, column), sizes told without a scale, and answers that differ."""
    counts: Counter[tuple[str, str]] = Counter()
    n = sizes = 0
    differ = []
    for scene in corpus("lattice", scenes, start=start):
        if scene.args[:1] == ("--reference",):
            continue
        path = scene.photo.write(folder / scene.name)
        scale = one_scale(**{scene.args[0][2:].replace("-", "_"): scene.args[1]})
        told = pipeline.measure_photo(path, pipeline.Options(scale=scale)).measurement
        bare = pipeline.measure_photo(path).measurement
        n += 1
        sizes += bare.scale is not None or bare.repeat.along_mm is not None
        truth = {"layout": scene.truth.layout, "way": scene.truth.way}
        one, other = answers(told), answers(bare)
        for what in one:
            same = is_same(what, told, bare)
            counts[what, "same"] += same
            if not same:
                differ.append(f"- {scene.kind}: {what} {one[what]}, without a scale {other[what]}")
            if what in truth:
                counts[what, "with"] += one[what] == truth[what]
                counts[what, "without"] += other[what] == truth[what]
    return n, counts, sizes, differ


def bare(folder: Path, scenes: int, start: int) -> str:
    """The page of what is told without a scale."""
    n, counts, sizes, differ = compared(folder, scenes, start)

    def share(what: str, column: str) -> str:
        return f"{100 * counts[what, column] / n:.0f} %" if (what, column) in counts else "-"

    rows = [
        f"| {what} | {share(what, 'with')} | {share(what, 'without')} | {share(what, 'same')} |"
        for what in ("name", "layout", "way", "needs")
    ]
    parents = "\n".join(f"| {name} | {', '.join(of)} |" for name, of in PARENTS.items())
    others = "\n".join(["", "What differs:", "", *differ, ""]) if differ else ""
    rows_text = "\n".join(rows)
    return BARE.format(
        scenes=scenes, start=start, n=n, rows=rows_text, sizes=sizes or "No", parents=parents, others=others
    )


def main() -> None:
    """Measure and write the pages."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", choices=("cloth-width", "no-card"))
    parser.add_argument("--scenes", type=int, default=SCENES)
    parser.add_argument("--start", type=int, default=0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if asked.only != "no-card":
            text = WIDTHS.format(rows="\n".join(widths(folder)))
            (FOLDER / "cloth-width.md").write_text(text, encoding="utf-8")
        if asked.only != "cloth-width":
            (FOLDER / "no-card.md").write_text(bare(folder, asked.scenes, asked.start), encoding="utf-8")


if __name__ == "__main__":
    main()
