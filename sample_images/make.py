"""Draw the sample images again: ``python sample_images/make.py [FOLDER]``.

The swatch table of the village shop at Wick Hollow, which exists nowhere but here. Every print, card and
photo is drawn by :mod:`tests.drawn`; ``truth.json`` states what is true of each.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # tests.drawn draws the photos

from tests.drawn import (
    Art,
    Camera,
    Cell,
    Laid,
    Photo,
    bars,
    figures,
    geometric,
    objects,
    photograph,
    prints,
)
from tests.drawn.stamps import Stamp

Rng = np.random.Generator
HALF = Fraction(1, 2)

CREAM, NAVY, RUST = (222, 238, 246), (92, 52, 30), (52, 88, 190)
TEAL, ROSE, SAGE = (120, 112, 38), (150, 128, 214), (126, 160, 132)
MUSTARD, INK, SKY = (62, 172, 222), (60, 46, 42), (214, 190, 150)


def small_dots(rng: Rng) -> Art:
    """White spots of 4 mm on teal, in a half-drop."""
    cell = Cell(9.0, 18.0, HALF)
    stamp = Stamp(figures.disc(), (4.5, 4.5), 4.0, (CREAM,))
    return prints.stamped(("dots", "half-drop"), cell, [stamp], TEAL, way="four-way")


def gingham(rng: Rng) -> Art:
    """Quarter-inch gingham: the band is 6.35 mm, the repeat 12.7."""
    sequence = [(6.35, (58, 58, 196)), (6.35, (250, 250, 250))]
    return bars.check("gingham", sequence, sequence)


def ditsy(rng: Rng) -> Art:
    """Flowers of 5 mm strewn over navy."""
    return prints.ditsy(rng, Cell(42.0, 48.0), flower_mm=5.0, scheme=(NAVY, [CREAM, ROSE, MUSTARD, SKY]))


def floral(rng: Rng) -> Art:
    """Great blooms in a half-drop of 240 x 180 mm."""
    return prints.floral(
        rng, Cell(120.0, 180.0, HALF), scheme=(CREAM, [ROSE, RUST, SAGE, TEAL, MUSTARD, (96, 70, 160)])
    )


def zigzag(rng: Rng) -> Art:
    """Chevrons of 70 mm in three inks."""
    return geometric.zigzag(rng, 70.0, (CREAM, [INK, MUSTARD]))


def teapots(rng: Rng) -> Art:
    """Teapots and snails, all with their tops the same way."""
    cell = Cell(78.0, 64.0)
    stamps = [
        Stamp(figures.teapot(), (20.0, 17.0), 30.0, (RUST, INK, MUSTARD)),
        Stamp(figures.snail(), (59.0, 49.0), 24.0, (SAGE, RUST, CREAM)),
    ]
    return prints.stamped(("motifs-one-way", "teapot+snail"), cell, stamps, SKY, way="one-way")


def stripe(rng: Rng) -> Art:
    """A stripe of four unequal bars in 52 mm: it runs one way only."""
    return bars.stripe("uneven", [(22.0, CREAM), (9.0, TEAL), (14.0, SKY), (7.0, NAVY)])


# name -> print, view across in mm, tilt and its direction, turn, card's place in shares of the view and turn
SAMPLES: dict[
    str, tuple[Callable[[Rng], Art], float, tuple[float, float], float, tuple[float, float, float]]
] = {
    "small-dots": (small_dots, 210.0, (9.0, 70.0), 2.0, (0.22, 0.12, 24.0)),
    "gingham": (gingham, 240.0, (12.0, 200.0), -4.0, (-0.2, 0.15, -62.0)),
    "ditsy": (ditsy, 230.0, (7.0, 320.0), 3.0, (0.2, -0.14, 11.0)),
    "half-drop-floral": (floral, 480.0, (14.0, 95.0), -2.5, (0.26, 0.2, -18.0)),
    "bold-geometric": (zigzag, 330.0, (10.0, 150.0), 1.5, (-0.25, -0.17, 12.0)),
    "one-way-figures": (teapots, 300.0, (16.0, 80.0), -3.0, (0.21, -0.16, 74.0)),
    "uneven-stripe": (stripe, 260.0, (8.0, 10.0), 4.0, (-0.2, -0.1, 9.0)),
}


def draw(name: str) -> Photo:
    """One sample photo."""
    index = list(SAMPLES).index(name)
    make, view, (tilt, towards), turn, (x, y, card_turn) = SAMPLES[name]
    camera = Camera(
        view_mm=view,
        size_px=(1600, 1200),
        tilt_deg=tilt,
        tilt_towards_deg=towards,
        turn_deg=turn,
        k1=0.006,
        strain=0.002,
        light=0.18,
        wrinkles=0.015,
        weave=0.06,
        noise=1.4,
        blur_px=0.8,
        jpeg=80,
        exif=True,
    )
    art = make(np.random.default_rng(100 + index))
    card = objects.card(np.random.default_rng(40 + index))
    laid = Laid(card, (x * view, y * view), card_turn)
    return photograph(art, camera, objects=(laid,), reference="card", seed=index)


def write_all(folder: Path) -> None:
    """Write every photo and ``truth.json``."""
    folder.mkdir(parents=True, exist_ok=True)
    truth = {}
    for name in SAMPLES:
        photo = draw(name)
        photo.write(folder / f"{name}.jpg")
        truth[f"{name}.jpg"] = photo.truth.as_dict()
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_all(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
