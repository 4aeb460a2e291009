"""Make the golden pictures again: ``python tests/golden/make.py``, then look at each before committing.

A golden picture is what ``printcheck measure --picture`` draws for a sample image, reduced to a small
JPEG. ``tests/golden/test_golden.py`` holds the pictures of today against them.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from printcheck import pipeline
from printcheck.core.request import parse_reference
from printcheck.report.drawing import photo_overlay, png_pen

HERE = Path(__file__).parent
SAMPLES = HERE.parent.parent / "sample_images"
WIDTH = 480  # pixels: lines and letters can be told, a picture weighs some 50 kB
QUALITY = 88


def samples() -> list[Path]:
    """The sample images, by name."""
    return sorted(SAMPLES.glob("*.jpg"))


def measure(sample: Path) -> pipeline.MeasuredPhoto:
    """A sample as measured today: each has a card on the cloth."""
    return pipeline.measure_photo(sample, pipeline.Options(parse_reference("card")))


def drawn(measured: pipeline.MeasuredPhoto) -> np.ndarray:
    """What is drawn for a sample, reduced."""
    large = png_pen.pixels(photo_overlay.drawing(measured, units="metric"))
    height = round(large.shape[0] * WIDTH / large.shape[1])
    return cv2.resize(large, (WIDTH, height), interpolation=cv2.INTER_AREA)


def main() -> None:
    """Write every golden picture."""
    for sample in samples():
        path = HERE / sample.name
        picture = drawn(measure(sample))
        cv2.imwrite(str(path), picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
        print(f"{path.name}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
