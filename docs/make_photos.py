"""Draw the good and the bad photos of docs/photo.md, and measure each as a user would.

Prints what the program says of each, so that the page's words can be checked.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import cv2  # noqa: E402
import numpy as np  # noqa: E402

from printcheck import pipeline  # noqa: E402
from printcheck.core.errors import PrintcheckError  # noqa: E402
from tests.drawn import Camera, Laid, objects, photograph, prints  # noqa: E402

PLACE = ROOT / "docs" / "images" / "photos"
GOOD = Camera(view_mm=240, size_px=(1200, 900), turn_deg=2.0)
SHOTS = {  # name -> the camera, and where the card lies
    "good": (GOOD, (70.0, -50.0)),
    "slanted": (replace(GOOD, tilt_deg=40.0, tilt_towards_deg=90.0), (30.0, -20.0)),
    "close": (replace(GOOD, view_mm=110), (20.0, -20.0)),
    "shaken": (replace(GOOD, blur_px=7.0), (70.0, -50.0)),
    "cut": (GOOD, (110.0, -50.0)),
}
SHOWN_PX = 400


def main() -> None:
    """Write the pictures."""
    PLACE.mkdir(parents=True, exist_ok=True)
    for name, (camera, at) in SHOTS.items():
        rng = np.random.default_rng(11)
        laid = Laid(objects.card(rng), at, 8.0)
        shot = photograph(prints.dots(np.random.default_rng(4), 40.0), camera, objects=(laid,))
        small = cv2.resize(
            shot.bgr, None, fx=SHOWN_PX / 1200, fy=SHOWN_PX / 1200, interpolation=cv2.INTER_AREA
        )
        cv2.imwrite(str(PLACE / f"{name}.jpg"), small, [cv2.IMWRITE_JPEG_QUALITY, 80])
        try:
            found = pipeline.measure_photo(np.ascontiguousarray(shot.bgr[..., ::-1])).measurement
        except PrintcheckError as error:
            print(f"{name}: {error}")
            continue
        source = found.scale.source if found.scale else "no scale"
        said = ", ".join(f.code for f in found.findings)
        print(f"{name}: {source}, {found.repeat.along_mm} mm, sure {found.repeat.confidence:.2f}: {said}")


if __name__ == "__main__":
    main()
