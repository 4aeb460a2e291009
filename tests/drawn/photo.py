"""Taking the photo: print, cloth, objects, light, blur, noise and JPEG, and the truth about all of it."""

from __future__ import annotations

import math
import zlib
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from printcheck.core.lattice import Vector
from tests.drawn.art import Art, Floats, Hand, Image
from tests.drawn.camera import Camera, Strain
from tests.drawn.cloth import fabric, shading
from tests.drawn.exif import with_focal_length
from tests.drawn.objects import Laid, lay
from tests.drawn.table import Table, beneath

TILE_FINENESS = 0.75  # pixels of the tile a photo pixel: fine enough, and still free of moire
LARGEST_TILE_PX = 9000  # a side; coarser beyond


@dataclass(frozen=True)
class Truth:
    """What is true of one drawn photo. Field names follow the measurement's where they mean the same."""

    family: str
    art: str
    note: str
    kind: str
    basis_mm: tuple[Vector, ...]
    layout: str
    drop: float | None
    way: str | None
    motif_mm: tuple[float, float] | None
    headings_deg: tuple[float, ...] | None
    bars: tuple[tuple[float, str], ...]
    bars_along: tuple[tuple[float, str], ...]
    balanced_across: bool | None
    balanced_along: bool | None
    reference: str
    args: tuple[str, ...]
    mm_per_px: float  # true scale of the cloth at the picture's centre
    homography: tuple[tuple[float, ...], ...]  # cloth mm to photo px, before the lens
    objects: tuple[dict[str, Any], ...]
    fov_mm: tuple[float, float]
    width_px: int
    height_px: int
    camera: dict[str, Any] = field(default_factory=dict)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return asdict(self)


@dataclass(frozen=True)
class Photo:
    """A drawn photo: its JPEG bytes and what is true of it."""

    jpeg: bytes
    truth: Truth

    @property
    def bgr(self) -> Image:
        """The decoded picture, (H, W, 3) uint8."""
        picture = cv2.imdecode(np.frombuffer(self.jpeg, np.uint8), cv2.IMREAD_COLOR)
        return np.asarray(picture, np.uint8)

    def write(self, path: Path | str) -> Path:
        """Write the JPEG."""
        path = Path(path)
        path.write_bytes(self.jpeg)
        return path


def photograph(
    art: Art,
    camera: Camera | None = None,
    *,
    objects: tuple[Laid, ...] = (),
    reference: str = "given",
    hand: Hand | None = None,
    table: Table | None = None,
    seed: int = 0,
) -> Photo:
    """Photograph a print.

    Parameters
    ----------
    art : Art
        The print.
    camera : Camera, optional
        Straight down on 250 mm by default.
    objects : tuple of Laid, keyword-only
        What lies on the cloth, later ones on top.
    reference : str, keyword-only
        What the truth's ``args`` tell the program: ``given``, ``span``, ``corners``, ``width``, ``none``,
        or the argument of ``--reference``.
    hand : Hand, keyword-only
        Hand-made irregularity of the motifs.
    table : Table, keyword-only
        What shows beyond the swatch's edge; None where the cloth fills the photo.
    seed : int, keyword-only
        Of where the print starts, how the cloth is pulled, and the taking: two cameras with one seed see
        one cloth, each with its own light and noise.

    Returns
    -------
    Photo
        JPEG bytes, picture and truth.
    """
    camera = camera or Camera()
    cloth_rng = np.random.default_rng([seed, 77])
    rng = np.random.default_rng([seed, zlib.crc32(repr(camera).encode())])
    x, y = camera.cloth_map()
    picture = _print_seen(art, camera, (x, y), hand=hand, rng=cloth_rng)
    picture *= fabric(camera, (x, y), cloth_rng)
    if table is not None:
        picture = beneath(picture, (x, y), table, camera.mm_per_px)
    shade = shading(camera, rng)
    laid = []
    for one in objects:
        laid.append(lay(picture, one, camera))
    picture *= shade[..., None]
    return Photo(_expose(picture, camera, rng), _truth(art, camera, reference, rng, laid))


def _print_seen(
    art: Art,
    camera: Camera,
    cloth: tuple[Floats, Floats],
    *,
    hand: Hand | None,
    rng: np.random.Generator,
) -> Floats:
    """The print as it lies, (H, W, 3) float32."""
    x, y = cloth
    view = (camera.view_mm, camera.view_mm * camera.size_px[1] / camera.size_px[0])
    if camera.strain:
        dx, dy = Strain(camera.strain, view, int(rng.integers(2**31))).field(x, y)
        x, y = x - dx, y - dy
    y = y - np.float32(math.tan(math.radians(camera.skew_deg))) * x
    phase = rng.uniform(0, 1, 2) * art.tile_mm
    pixel = max(camera.mm_per_px * TILE_FINENESS, max(art.tile_mm) / LARGEST_TILE_PX)
    raster = art.raster(pixel)
    if hand is not None and art.loose is not None:
        spans = (float(x.min()), float(x.max())), (float(y.min()), float(y.max()))
        count = [
            math.ceil((high - low) / side) + 1 for (low, high), side in zip(spans, art.tile_mm, strict=True)
        ]
        tile = art.loose(raster, (count[0], count[1]), hand)
        phase = np.array([-spans[0][0], -spans[1][0]])  # start at the sheet's edge: nothing repeats in view
    else:
        tile = art.paint(raster)
    return _sampled(
        tile,
        (x + np.float32(phase[0])) / np.float32(raster.mm[0]),
        (y + np.float32(phase[1])) / np.float32(raster.mm[1]),
    )


def _sampled(tile: Image, px: Floats, py: Floats) -> Floats:
    """The tile at raster places (pixel edges at whole numbers), repeated for ever."""
    height, width = tile.shape[:2]
    padded = cv2.copyMakeBorder(tile, 1, 1, 1, 1, cv2.BORDER_WRAP)
    mx = np.mod(px, np.float32(width)) + np.float32(0.5)
    my = np.mod(py, np.float32(height)) + np.float32(0.5)
    return cv2.remap(padded, mx, my, cv2.INTER_LINEAR).astype(np.float32)


def _expose(picture: Floats, camera: Camera, rng: np.random.Generator) -> bytes:
    """Blur, noise and JPEG."""
    if camera.blur_px > 0:
        picture = cv2.GaussianBlur(picture, (0, 0), camera.blur_px)
    if camera.noise > 0:
        picture = picture + rng.standard_normal(picture.shape, np.float32) * np.float32(camera.noise)
    seen = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    done, data = cv2.imencode(".jpg", seen, [cv2.IMWRITE_JPEG_QUALITY, camera.jpeg])
    assert done
    written = data.tobytes()
    return with_focal_length(written, camera) if camera.exif else written


def _truth(
    art: Art, camera: Camera, reference: str, rng: np.random.Generator, laid: list[dict[str, Any]]
) -> Truth:
    lean = math.tan(math.radians(camera.skew_deg))
    basis = tuple((v[0], v[1] + v[0] * lean) for v in art.basis_mm)
    shrunk = 1.0
    if art.kind == "stripe" and basis:
        basis = (_skewed_stripe(art.basis_mm[0], lean),)
        shrunk = math.hypot(*basis[0]) / math.hypot(*art.basis_mm[0])  # a slanting bar leans with its rows
    width, height = camera.size_px
    return Truth(
        family=art.family,
        art=art.name,
        note=art.note,
        kind=art.kind,
        basis_mm=basis,
        layout=art.layout,
        drop=None if art.drop is None else float(art.drop),
        way=art.way,
        motif_mm=art.motif_mm,
        headings_deg=art.headings_deg,
        bars=tuple((shrunk * b.width_mm, b.colour) for b in art.bars),
        bars_along=tuple((b.width_mm, b.colour) for b in art.bars_along),
        balanced_across=art.balanced_across,
        balanced_along=art.balanced_along,
        reference=reference,
        args=reference_args(camera, reference, rng),
        mm_per_px=camera.true_mm_per_px,
        homography=tuple(tuple(float(v) for v in row) for row in camera.plane()),
        objects=tuple(laid),
        fov_mm=(camera.view_mm, camera.view_mm * height / width),
        width_px=width,
        height_px=height,
        camera={k: v for k, v in asdict(camera).items() if k not in ("size_px", "view_mm")},
    )


def _skewed_stripe(vector: Vector, lean: float) -> Vector:
    """Vector square to the stripes once rows lean: of n.p = P with y -> y + lean x."""
    nx, ny = vector
    size2 = nx * nx + ny * ny
    wave = np.array([nx - lean * ny, ny]) / size2  # cycles per mm of the leaning stripe
    out = wave / (wave @ wave)
    return float(out[0]), float(out[1])


def reference_args(camera: Camera, reference: str, rng: np.random.Generator) -> tuple[str, ...]:
    """Command-line arguments that tell the scale of this photo, in the contract's spelling."""
    if reference == "none":
        return ()
    if reference == "given":
        return ("--mm-per-px", f"{camera.true_mm_per_px:.6f}")
    if reference == "width":
        return ("--photo-width", f"{camera.view_mm:.2f}mm")
    if reference == "span":
        half = 0.35 * camera.view_mm
        angle = rng.uniform(-0.4, 0.4)
        tip = np.array([math.cos(angle), math.sin(angle)]) * half
        ends = camera.project(np.array([-tip, tip]) + camera.look_mm).ravel()
        return ("--span", ",".join(f"{v:.1f}" for v in ends) + f"={2 * half:.2f}mm")
    if reference == "corners":
        w, h = 0.6 * camera.view_mm, 0.4 * camera.view_mm
        box = np.array([[-w, -h], [w, -h], [w, h], [-w, h]]) / 2
        seen = camera.project(box + camera.look_mm).ravel()
        return ("--corners", ",".join(f"{v:.1f}" for v in seen) + f"={w:.2f}x{h:.2f}mm")
    return ("--reference", reference)
