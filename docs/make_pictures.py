"""Make the README's picture again: ``python docs/make_pictures.py``.

It is what ``printcheck measure --picture`` draws for a sample image, with few colours so that it stays
small.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image

from printcheck import pipeline
from printcheck.core.request import parse_reference
from printcheck.core.system import atomic
from printcheck.report.drawing import photo_overlay, png_pen

HERE = Path(__file__).parent
SAMPLE = HERE.parent / "sample_images" / "half-drop-floral.jpg"
WIDTH = 820  # pixels: as wide as a README shows it
COLOURS = 256  # of the palette: enough for cloth, small enough for a README


def main() -> None:
    """Write docs/images/result.png."""
    measured = pipeline.measure_photo(SAMPLE, pipeline.Options(parse_reference("card")))
    drawn = png_pen.pixels(photo_overlay.drawing(measured, units="metric"))
    picture = Image.fromarray(np.ascontiguousarray(drawn[:, :, ::-1]))
    picture.thumbnail((WIDTH, WIDTH), Image.Resampling.LANCZOS)
    data = io.BytesIO()
    few = picture.quantize(COLOURS, method=Image.Quantize.MAXCOVERAGE, kmeans=3, dither=Image.Dither.NONE)
    few.save(data, "PNG", optimize=True)
    target = HERE / "images" / "result.png"
    target.parent.mkdir(exist_ok=True)
    atomic.write_atomic(target, data.getvalue())
    print(f"{target.name}: {len(data.getvalue()) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
