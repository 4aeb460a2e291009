"""Draw the pictures on which the repeat was answered wrongly, with the true lattice and the answered one.

    python docs/make_failures.py judged.jsonl SET ...

The rows are those that ``fit_evidence.py judge`` wrote, of the same SETs. Drawn scenes are shown, and of real
pictures those whose makers allow it; writes docs/images/failures.jpg and docs/accuracy/failures.md.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from fit_evidence import scenes
from making.tables import table
from making.unseen import DRAWN

from printcheck.photo.decode import open_picture

HERE = Path(__file__).parent
OPEN = "lstearns86/clothing-pattern-dataset"  # free to use without restriction (Medeiros et al., ASSETS 2017)
SIDE, CAPTION, ACROSS = 300, 18, 4  # pixels of a picture and of the line below it; pictures in a row
FAR = 6  # steps from the middle that are drawn: a weave's would cover the picture
TRUE, ANSWERED = (60, 160, 0), (0, 0, 230)  # blue, green, red
TEXT = """## Where the repeat goes wrong, drawn

The failures of the table above on drawn scenes and on the close-up photos of cloth of Medeiros et al. \
(ASSETS 2017, free to use without restriction); the other real pictures may not be shown. Green rings lie \
one true repeat apart, red crosses one answered repeat; where the print begins is not measured, so only \
their steps compare. Made by `docs/make_failures.py`.

![Pictures with the true and the answered steps](../images/failures.jpg)

"""
WHY = {
    "p000.jpg": "three colours of line at equal steps: lightness alone repeats at a third",
    "p001.jpg": "three colours of line at equal steps: lightness alone repeats at a third",
    "p003.jpg": "a dark bar and a checked one by turns, seen not quite twice: by other weights chance",
    "p004.jpg": "eight cells of half the repeat in view: too few to tell every second bar from chance",
    "p082.jpg": "one brown line each way among like ones: the field repeats, the whole does not",
    "p092.jpg": "plain cloth under a close-up camera: threads as large as a print",
    "p193.jpg": "worn and curved: the steps differ from place to place by more than the answer is off",
    "p208.jpg": "narrower on one side, where the cloth turns away",
    "p209.jpg": "narrower on one side, where the cloth turns away",
    "p233.jpg": "plain cloth under a close-up camera: threads as large as a print",
}
WHY_DRAWN = {
    "tone-on-tone": "dark on dark: what tells like repeats from unlike is below the noise",
    "alternating-colour": "figures that differ in a colour close to the noise",
    "alternating-dots": "dots that differ by about one CIELAB: no eye tells them apart",
    "alternating-detail": "figures that differ in a detail of a few pixels",
    "faint-cross": "every second cross line a little fainter: likelier chance, by other weights",
}


def main() -> None:
    """Draw what failed."""
    judged = map(json.loads, Path(sys.argv[1]).read_text().splitlines())
    rows = {row["name"]: row for row in judged}
    failed = {n: r for n, r in rows.items() if r["verdict"] != "right" and r["source"] in (OPEN, *DRAWN)}
    tiles, said = [], []
    for path, truth in scenes(sys.argv[2:]):
        if path.name in failed:
            row = failed[path.name]
            tiles.append(tile(path, truth, row, len(tiles) + 1))
            why = WHY.get(path.name) or WHY_DRAWN[row["family"]]
            said.append([len(tiles), row["family"], row["verdict"], f"{row['confidence']:.2f}", why])
    blank = np.full_like(tiles[0], 255)
    tiles += [blank] * (-len(tiles) % ACROSS)
    sheet = np.vstack([np.hstack(tiles[at : at + ACROSS]) for at in range(0, len(tiles), ACROSS)])
    cv2.imwrite(str(HERE / "images" / "failures.jpg"), sheet, [cv2.IMWRITE_JPEG_QUALITY, 80])
    head = ("picture", "print", "verdict", "confidence", "why, as we see it")
    (HERE / "accuracy" / "failures.md").write_text(TEXT + table(head, said))


def tile(path: Path, truth: dict[str, Any], row: dict[str, Any], number: int) -> np.ndarray:
    """The picture with both lattices about its middle, and a line below."""
    bgr = open_picture(path).bgr
    times = SIDE / max(bgr.shape[:2])
    small = cv2.resize(bgr, None, fx=times, fy=times, interpolation=cv2.INTER_AREA)
    shown = np.full((SIDE + CAPTION, SIDE + 4, 3), 255, np.uint8)
    shown[: small.shape[0], : small.shape[1]] = small
    mm_per_px = dict([truth["args"][:2]]).get("--mm-per-px")
    pixels = times / float(mm_per_px) if mm_per_px else None
    for basis, colour in ((row["true"], TRUE), (row["got"], ANSWERED)):
        if basis and pixels:
            for x, y in places(np.array(basis, float) * pixels, small.shape):
                if colour == TRUE:
                    cv2.circle(shown, (x, y), 6, colour, 2, cv2.LINE_AA)
                else:
                    cv2.drawMarker(shown, (x, y), colour, cv2.MARKER_TILTED_CROSS, 9, 2, cv2.LINE_AA)
    cv2.putText(shown, f"{number}  {row['family']}", (4, SIDE + 13), 0, 0.42, (40, 40, 40), 1, cv2.LINE_AA)
    return shown


def places(basis: np.ndarray, shape: tuple[int, ...]) -> list[tuple[int, int]]:
    """Nodes of a lattice through the picture's middle, or of a stripe along its normal, that lie in it."""
    middle = np.array([shape[1], shape[0]]) / 2
    steps = np.arange(-FAR, FAR + 1)
    grid = np.stack(np.meshgrid(*[steps] * len(basis)), axis=-1).reshape(-1, len(basis))
    nodes = np.rint(grid @ basis + middle).astype(int)
    inside = ((nodes >= 0) & (nodes < (shape[1], shape[0]))).all(axis=1)
    return [(int(x), int(y)) for x, y in nodes[inside]]


if __name__ == "__main__":
    main()
