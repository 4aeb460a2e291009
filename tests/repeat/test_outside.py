"""Open tile artwork whose own files declare its size, and texture photographs of a general library.

Nothing of it is kept here. What is not installed is skipped, with the way to install it:

* Debian ``gimp-data`` 2.10 (GPL): picture tiles, their size in the header; ``apt-get install gimp-data``
* npm ``geopattern`` 1.2.3 (MIT): generated tiles, their size in the SVG; ``npm install geopattern``, and the
  folder that then holds ``node_modules`` named in ``PRINTCHECK_NODE``
* ``skimage.data`` (BSD and public domain, see its package): brick, grass, gravel

A declared tile is often not the smallest repeat, so the truth is found from the noise-free tile by
exhaustive circular correlation; the declared size must be a whole multiple of it.
"""

from __future__ import annotations

import os
import shutil
import struct
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pytest
from skimage import data

from printcheck.core.lattice import Lattice
from printcheck.repeat import find_lattice
from tests.repeat.drawn import cloth_of, noisy

MM_PER_PX = 0.25
SIZE = (900, 700)
SAME = 0.995  # correlation of a tile with itself moved round, above which it repeats
GIMP = [Path(os.environ["PRINTCHECK_GIMP"])] if "PRINTCHECK_GIMP" in os.environ else [Path("/usr/share/gimp")]
NODE = os.environ.get("PRINTCHECK_NODE")
GIMP_TILES = ("brick", "parque1", "terra", "leopard", "cracked", "pastel")
GENERATORS = ("plaid", "hexagons", "overlappingRings", "nestedSquares", "chevrons", "xes")


def gimp_tile(name: str) -> np.ndarray:
    """Read a pattern: a header of 32-bit words (size, version, width, height, channels), then bytes."""
    found = [p for root in GIMP if root.exists() for p in root.rglob(f"{name}.pat")]
    if not found:
        pytest.skip("gimp-data is not installed (apt-get install gimp-data, or set PRINTCHECK_GIMP)")
    raw = found[0].read_bytes()
    start, _, width, height, channels = struct.unpack(">5I", raw[:20])
    tile = np.frombuffer(raw, np.uint8, width * height * channels, start).reshape(height, width, channels)
    return np.ascontiguousarray(tile[:, :, 2::-1] if channels >= 3 else np.repeat(tile[:, :, :1], 3, axis=2))


def geopattern_tile(generator: str) -> np.ndarray:
    if NODE is None or shutil.which("node") is None:
        pytest.skip("geopattern is not installed (npm install geopattern, and set PRINTCHECK_NODE)")
    resvg = pytest.importorskip("resvg_py")
    code = (
        "const G = require('geopattern');"
        f"process.stdout.write(G.generate('printcheck', {{generator: '{generator}'}}).toString())"
    )
    svg = subprocess.run(["node", "-e", code], cwd=NODE, capture_output=True, text=True, check=True).stdout
    png = np.frombuffer(bytes(resvg.svg_to_bytes(svg_string=svg)), np.uint8)
    return np.ascontiguousarray(cv2.imdecode(png, cv2.IMREAD_COLOR))


def smallest_repeat(tile: np.ndarray) -> np.ndarray:
    """Two shortest independent shifts under which the tile falls on itself, all shifts tried."""
    plain = tile - tile.mean(axis=(0, 1))
    power = (np.abs(np.fft.fft2(plain, axes=(0, 1))) ** 2).sum(axis=2)
    likeness = np.fft.ifft2(power).real
    height, width = likeness.shape
    rows, columns = np.nonzero(likeness > SAME * likeness[0, 0])
    shifts = [(x + dx, y) for x, y in zip(columns, rows, strict=True) for dx in (0, -width)]
    shifts = sorted(
        (s for s in [*shifts, (width, 0), (0, height)] if s != (0, 0)), key=lambda s: np.hypot(*s)
    )
    first = np.array(shifts[0], float)
    beside = [
        s for s in shifts if abs(first[0] * s[1] - first[1] * s[0]) > 0.2 * np.hypot(*first) * np.hypot(*s)
    ]
    return np.array([first, beside[0]], float)


def photographed(tile: np.ndarray, repeat: np.ndarray, turn_deg: float) -> tuple[np.ndarray, float]:
    """A turned photo of the tile laid side by side, under one-sided light with noise, and its scale."""
    scale = min(3.0, SIZE[1] / 3.3 / float(np.hypot(*repeat.T).max()))
    counts = [int(np.ceil(1700 / scale / side)) + 1 for side in tile.shape[:2]]
    laid = np.tile(tile, (*counts, 1))
    if scale < 1:
        laid = cv2.GaussianBlur(laid, (0, 0), 0.45 / scale)
    turn = cv2.getRotationMatrix2D((laid.shape[1] / 2, laid.shape[0] / 2), turn_deg, scale)
    turn[:, 2] += np.array(SIZE) / 2 - (laid.shape[1] / 2, laid.shape[0] / 2)
    return noisy(cv2.warpAffine(laid, turn, SIZE, flags=cv2.INTER_CUBIC), 3), scale


def holds(tile: np.ndarray, turn_deg: float) -> None:
    repeat = smallest_repeat(tile)
    steps = np.diag(tile.shape[1::-1]) @ np.linalg.inv(repeat)
    assert steps == pytest.approx(np.round(steps), abs=0.02)  # the declared size is a multiple
    picture, scale = photographed(tile, repeat, turn_deg)
    found = find_lattice(cloth_of(picture, MM_PER_PX)).repeat
    truth = Lattice(tuple(tuple(v) for v in repeat * scale * MM_PER_PX)).reduced()
    have = Lattice(found.basis_mm).reduced()
    assert have.area_mm2 == pytest.approx(truth.area_mm2, rel=0.01)
    lengths = [sorted(np.hypot(*v) for v in lattice.basis_mm) for lattice in (have, truth)]
    assert lengths[0] == pytest.approx(lengths[1], rel=0.01)


@pytest.mark.parametrize("name", GIMP_TILES)
def test_picture_tiles(name: str) -> None:
    holds(gimp_tile(name), 3.0)


@pytest.mark.parametrize("generator", GENERATORS)
def test_generated_tiles(generator: str) -> None:
    holds(geopattern_tile(generator), -4.0)


@pytest.mark.parametrize("name", ["grass", "gravel"])
def test_texture_without_a_repeat(name: str) -> None:
    grey = getattr(data, name)()
    repeat = find_lattice(cloth_of(np.repeat(grey[..., None], 3, axis=2), MM_PER_PX)).repeat
    assert repeat.kind in ("none", "beyond-photo")


def test_a_wall_of_bricks_is_a_brick_layout_or_is_said_to_be_unsure() -> None:
    grey = data.brick()
    repeat = find_lattice(cloth_of(np.repeat(grey[..., None], 3, axis=2), MM_PER_PX)).repeat
    assert repeat.kind != "lattice" or repeat.layout in ("half-drop", "drop") or repeat.confidence < 0.9
