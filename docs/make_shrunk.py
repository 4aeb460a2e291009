"""What the page's shrinking of a photo costs: writes docs/accuracy/shrunk.md.

``python docs/make_shrunk.py`` draws photos of 12 megapixels with a thing of known size on a print, lets the
page's own script shrink each in Chromium as a phone would, and measures both.
"""

from __future__ import annotations

import argparse
import base64
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from playwright.sync_api import Page, sync_playwright  # noqa: E402

from printcheck import pipeline  # noqa: E402
from printcheck.core.errors import NoAnswerError  # noqa: E402
from printcheck.core.request import one_scale  # noqa: E402
from tests.drawn import Photo, photograph  # noqa: E402
from tests.drawn.corpora import VIEWS, along_edge, placed, room_of, some_camera, some_view, thing_for  # noqa: E402
from tests.drawn.recipes import LATTICE  # noqa: E402

PAGE = ROOT / "docs" / "accuracy" / "shrunk.md"
SCRIPT = ROOT / "printcheck" / "web" / "static" / "photo.js"
PHONE_PX = (4000, 3000)
THINGS = ("card", "A6", "card", "coin:24.26mm", "card", "rule")
RIGHT = 0.02  # of the length of a repeat: as in the other tables
SHRINK = """async ({script, photo}) => {
  const {prepared} = await import(`data:text/javascript;base64,${script}`);
  const bytes = Uint8Array.from(atob(photo), (c) => c.charCodeAt(0));
  const {blob} = await prepared(new File([bytes], "photo.jpg", {type: "image/jpeg"}));
  const reader = new FileReader();
  await new Promise((done) => { reader.onload = done; reader.readAsDataURL(blob); });
  return reader.result.split(",")[1];
}"""
TEXT = """# The photo made small

Made by `python docs/make_shrunk.py`, which draws every photo from its seed. The page sends a photo with
a long side of 2,000 pixels, as a JPEG of quality 92. Here are {n} photos of 4000 x 3000 pixels with a bank
card, sheet, coin or tape measure on a print, measured whole and as Chromium made them small.

| what | whole | made small |
| --- | ---: | ---: |
| bytes, median | {bytes[0]:,.0f} | {bytes[1]:,.0f} |
| thing of known size found | {found[0]} | {found[1]} |
| error of the scale, median | {scale[0]:.2f} % | {scale[1]:.2f} % |
| error of the scale, worst | {worst[0]:.2f} % | {worst[1]:.2f} % |
| repeat within {right:.0f} %, both lengths | {repeats[0]} | {repeats[1]} |
| error of the repeat where it is, median | {repeat[0]:.2f} % | {repeat[1]:.2f} % |

Between the two, the repeat is told alike (within {right:.0f} %) in {alike} of {n}.
"""


@dataclass(frozen=True)
class Outcome:
    """One photo measured: errors as shares, None where there is no answer; and the basis it told."""

    size: int
    scale: float | None
    repeat: float | None
    told: tuple[float, ...]


def drawn(index: int) -> Photo:
    """A photo of twelve megapixels with a thing on a print."""
    rng = np.random.default_rng([20, index])
    kind = THINGS[index % len(THINGS)]
    low, high, tilt = VIEWS[kind]
    camera = replace(some_camera(rng, some_view(rng, low, high), tilt_deg=min(tilt, 15)), size_px=PHONE_PX)
    recipes = list(LATTICE.values())
    art = recipes[index % len(recipes)](rng, room_of(camera))
    thing = thing_for(rng, kind, camera.view_mm)
    laid = along_edge(rng, thing, camera) if kind == "rule" else placed(rng, thing, camera)
    return photograph(art, camera, objects=(laid,), reference=kind, seed=index)


def shrunk(page: Page, photo: bytes) -> bytes:
    """The photo as the page would send it."""
    given = {
        "script": base64.b64encode(SCRIPT.read_bytes()).decode(),
        "photo": base64.b64encode(photo).decode(),
    }
    return base64.b64decode(page.evaluate(SHRINK, given))


def outcome(path: Path, photo: Photo) -> Outcome:
    """Measure a file and compare it with what was drawn."""
    try:
        options = pipeline.Options(one_scale(reference=photo.truth.reference))
        m = pipeline.measure_photo(path, options).measurement
    except NoAnswerError:
        return Outcome(path.stat().st_size, None, None, ())
    told = lengths(m.repeat.basis_mm)
    true = lengths(photo.truth.basis_mm)
    scale = repeat = None
    if m.scale is not None:
        scale = abs(m.scale.mm_per_px * m.photo.width_px / (photo.truth.mm_per_px * PHONE_PX[0]) - 1)
        repeat = apart(told, true)
    return Outcome(path.stat().st_size, scale, repeat, told)


def lengths(basis: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Lengths of the two shortest translations, which are the same for every basis of a lattice."""
    if len(basis) != 2:
        return tuple(float(np.hypot(*v)) for v in basis)
    a, b = (np.array(v, float) for v in basis)
    steps = sorted(
        float(np.hypot(*(i * a + j * b))) for i in range(-2, 3) for j in range(-2, 3) if (i, j) > (0, 0)
    )
    return steps[0], steps[1]


def apart(told: tuple[float, ...], true: tuple[float, ...]) -> float | None:
    """Largest share by which the lengths differ; None for another number of them."""
    if len(told) != len(true) or not true:
        return None
    return max(abs(a / b - 1) for a, b in zip(told, true, strict=True))


def outcomes(count: int) -> Iterator[tuple[Outcome, Outcome]]:
    """Each photo measured whole and made small."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as engine:
        quiet = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"]
        page = engine.chromium.launch(executable_path="/usr/bin/chromium", args=quiet).new_page()
        for index in range(count):
            photo = drawn(index)
            path = Path(folder, "photo.jpg")
            pair = []
            for data in (photo.jpeg, shrunk(page, photo.jpeg)):
                path.write_bytes(data)
                pair.append(outcome(path, photo))
            print(index, photo.truth.art, photo.truth.reference, *pair, flush=True)
            yield pair[0], pair[1]


def main() -> None:
    """Measure and write the page."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--count", type=int, default=18)
    pairs = list(outcomes(options.parse_args().count))
    sides = list(zip(*pairs, strict=True))
    scales = [[100 * one.scale for one in side if one.scale is not None] for side in sides]
    repeats = [[100 * one.repeat for one in side if one.repeat is not None] for side in sides]
    right = [[error for error in side if error < 100 * RIGHT] for side in repeats]
    told = [(apart(a.told, b.told), a.told == b.told) for a, b in pairs]
    PAGE.write_text(
        TEXT.format(
            n=len(pairs),
            right=100 * RIGHT,
            bytes=[np.median([one.size for one in side]) for side in sides],
            found=[len(side) for side in scales],
            scale=[np.median(side) for side in scales],
            worst=[max(side) for side in scales],
            repeats=[len(side) for side in right],
            repeat=[np.median(side) for side in right],
            alike=sum(same or (error is not None and error < RIGHT) for error, same in told),
        ),
        encoding="utf-8",
    )


if __name__ == "__main__":
    main()
