"""The camera and the photo it takes: a flat cloth seen from a height, with lens, light, noise and JPEG.

Cloth coordinates are millimetres (across right, along down) from the point a camera looks at that has not
been moved aside. Photo coordinates have the centre of the top left pixel at 0, 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from tests.drawn.art import Floats

Window = tuple[int, int, int, int]
LENS_ROUNDS = 12  # of the fixed-point inversion of the lens; each gains a digit or more at |k1| <= 0.06


@dataclass(frozen=True)
class Camera:
    """Where the camera stands, its lens and what it does to the picture.

    Parameters
    ----------
    view_mm : float
        Cloth seen from left to right through the picture's centre, tilt and lens aside.
    size_px : (width, height)
    tilt_deg, tilt_towards_deg : float
        Tilt of the optical axis off the cloth's normal, and its direction in the picture (0 right, 90 down).
    turn_deg : float
        Angle of the cloth's across axis in the photo, from right towards down.
    skew_deg : float
        Off grain: the print's rows run down to the right by this much against the cloth's across axis.
    k1 : float
        Radial lens term, x_seen = x (1 + k1 r^2), r in focal lengths.
    focal : float
        Focal length in picture widths.
    look_mm : (across, along)
        Place on the cloth that the picture's centre looks at: other photos of one swatch.
    strain : float
        Largest local strain of the cloth, 0.01 for one per cent; its mean over the view is taken out.
    """

    view_mm: float = 250.0
    size_px: tuple[int, int] = (1600, 1200)
    tilt_deg: float = 0.0
    tilt_towards_deg: float = 0.0
    turn_deg: float = 0.0
    skew_deg: float = 0.0
    k1: float = 0.0
    focal: float = 0.92
    look_mm: tuple[float, float] = (0.0, 0.0)
    strain: float = 0.0
    light: float = 0.15  # relative fall of the light over the picture
    wrinkles: float = 0.02  # relative depth of wrinkle shading
    folds: float = 0.0  # relative depth of a few sharp folds
    weave_mm: float = 0.45  # thread spacing
    weave: float = 0.06  # relative depth of the weave before the lens blurs it
    slub: float = 0.0  # relative depth of uneven threads
    dye: float = 0.0  # relative depth of uneven dye
    blur_px: float = 0.7  # sigma
    noise: float = 2.5  # sigma, of 255
    jpeg: int = 88
    exif: bool = False  # write the focal length into the JPEG

    @property
    def mm_per_px(self) -> float:
        """Scale at the picture's centre without tilt."""
        return self.view_mm / self.size_px[0]

    @property
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return self.focal * self.size_px[0]

    @property
    def distance_mm(self) -> float:
        """From the lens to the cloth along the optical axis."""
        return self.focal_px * self.mm_per_px

    def flat(self) -> Camera:
        """The same camera looking straight down."""
        return replace(self, tilt_deg=0.0)

    def plane(self, height_mm: float = 0.0) -> Floats:
        """Homography (3, 3) from cloth mm to photo pixels before the lens, for a plane above the cloth."""
        f = self.focal_px
        cx, cy = (self.size_px[0] - 1) / 2, (self.size_px[1] - 1) / 2
        rotation = self._rotation()
        # heights count towards the camera, which looks along +z
        shift = np.array([0, 0, self.distance_mm]) - rotation @ (*self.look_mm, height_mm)
        inner = np.array([[f, 0, cx], [0, f, cy], [0, 0, 1.0]])
        h = inner @ np.column_stack([rotation[:, 0], rotation[:, 1], shift])
        return h / h[2, 2]

    def _rotation(self) -> Floats:
        turn, tilt, way = (math.radians(v) for v in (self.turn_deg, self.tilt_deg, self.tilt_towards_deg))
        spin = _about_z(turn)
        lean = np.array(
            [[math.cos(tilt), 0, math.sin(tilt)], [0, 1, 0], [-math.sin(tilt), 0, math.cos(tilt)]]
        )
        return _about_z(way) @ lean @ _about_z(-way) @ spin

    def project(self, cloth_mm: Floats, height_mm: float = 0.0) -> Floats:
        """Photo pixels (N, 2) of cloth points (N, 2), lens included."""
        points = (
            np.column_stack([np.asarray(cloth_mm, float), np.ones(len(cloth_mm))]) @ self.plane(height_mm).T
        )
        return self.bend(points[:, :2] / points[:, 2:])

    def bend(self, straight_px: Floats) -> Floats:
        """Where the lens moves photo points (N, 2)."""
        centre = (np.array(self.size_px) - 1) / 2
        ray = (straight_px - centre) / self.focal_px
        seen = ray * (1 + self.k1 * (ray**2).sum(-1, keepdims=True))
        return seen * self.focal_px + centre

    def straighten(self, seen_px: Floats) -> Floats:
        """Photo points (N, 2) with the lens undone."""
        centre = (np.array(self.size_px) - 1) / 2
        ray = (np.asarray(seen_px, float) - centre) / self.focal_px
        r = np.sqrt((ray**2).sum(-1, keepdims=True))
        return ray * _undistorted(r, self.k1) * self.focal_px + centre

    def unproject(self, seen_px: Floats) -> Floats:
        """Cloth points (N, 2) in mm seen at photo pixels (N, 2)."""
        back = np.linalg.inv(self.plane())
        points = np.column_stack([self.straighten(seen_px), np.ones(len(seen_px))]) @ back.T
        return points[:, :2] / points[:, 2:]

    def scale_at(self, seen_px: tuple[float, float]) -> float:
        """Millimetres of cloth per photo pixel at a point: root of the area of one pixel."""
        x, y = seen_px
        corners = self.unproject(np.array([[x - 0.5, y], [x + 0.5, y], [x, y - 0.5], [x, y + 0.5]]))
        u, v = corners[1] - corners[0], corners[3] - corners[2]
        return math.sqrt(abs(u[0] * v[1] - u[1] * v[0]))

    @property
    def true_mm_per_px(self) -> float:
        """Millimetres per pixel at the picture's centre, tilt included."""
        return self.scale_at(((self.size_px[0] - 1) / 2, (self.size_px[1] - 1) / 2))

    def rays(self, window: Window | None = None) -> tuple[Floats, Floats]:
        """Straightened coordinates (x, y), in focal lengths, of the photo's pixels, each (H, W) float32.

        ``window`` (x0, y0, x1, y1) cuts out a part of the photo.
        """
        w, h = self.size_px
        x0, y0, x1, y1 = window or (0, 0, w, h)
        x = ((np.arange(x0, x1) - (w - 1) / 2) / self.focal_px).astype(np.float32)[None, :]
        y = ((np.arange(y0, y1) - (h - 1) / 2) / self.focal_px).astype(np.float32)[:, None]
        if self.k1 == 0:
            shape = (y.shape[0], x.shape[1])
            return np.broadcast_to(x, shape), np.broadcast_to(y, shape)
        r = np.sqrt(x * x + y * y)
        table = np.linspace(0, float(r.max()) * 1.01 + 1e-6, 1024)
        gain = np.interp(r.ravel(), table, _undistorted(table, self.k1)).reshape(r.shape).astype(np.float32)
        return x * gain, y * gain

    def cloth_map(self, height_mm: float = 0.0, *, window: Window | None = None) -> tuple[Floats, Floats]:
        """Place (across, along) in mm seen by each photo pixel, (H, W) float32 each.

        ``height_mm`` lifts the plane above the cloth; ``window`` as for :meth:`rays`.
        """
        u, v = self.rays(window)
        f = self.focal_px
        centre = (np.array(self.size_px) - 1) / 2
        inner = np.array([[f, 0, centre[0]], [0, f, centre[1]], [0, 0, 1.0]])
        m = (np.linalg.inv(self.plane(height_mm)) @ inner).astype(np.float32)
        depth = 1 / (m[2, 0] * u + m[2, 1] * v + m[2, 2])
        return (m[0, 0] * u + m[0, 1] * v + m[0, 2]) * depth, (m[1, 0] * u + m[1, 1] * v + m[1, 2]) * depth


def _undistorted(r: Floats, k1: float) -> Floats:
    """Factor that takes a seen radius (in focal lengths) back to the straight one."""
    straight = np.array(r, float)
    for _ in range(LENS_ROUNDS):
        straight = r / (1 + k1 * straight**2)
    return 1 / (1 + k1 * straight**2)


def _about_z(angle: float) -> Floats:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1.0]])


@dataclass(frozen=True)
class Strain:
    """A smooth pull of the cloth: a few waves whose mean stretch over the view is taken out."""

    size: float
    view_mm: tuple[float, float]
    seed: int
    waves: int = 4
    _parts: tuple[tuple[float, ...], ...] = field(default=(), init=False)

    def __post_init__(self) -> None:
        rng = np.random.default_rng(self.seed)
        parts = []
        for _ in range(self.waves):
            length = rng.uniform(0.3, 0.9) * self.view_mm[0]
            angle, heading, phase = rng.uniform(0, 2 * math.pi, 3)
            k = 2 * math.pi / length
            parts.append(
                (k * math.cos(angle), k * math.sin(angle), phase, math.cos(heading), math.sin(heading))
            )
        object.__setattr__(self, "_parts", tuple(parts))

    def field(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Displacement (across, along) in mm at cloth places (H, W)."""
        raw = self._raw(x, y)
        gx, gy = np.meshgrid(*(np.linspace(-v / 2, v / 2, 24) for v in self.view_mm))
        sample = self._raw(gx.astype(np.float32), gy.astype(np.float32))
        design = np.column_stack([np.ones(gx.size), gx.ravel(), gy.ravel()])
        step = self.view_mm[0] / 23
        largest = max(float(np.abs(np.gradient(s, step, axis=a)).max()) for s in sample for a in (0, 1))
        gain = np.float32(self.size / max(largest, 1e-9))
        out = []
        for values, seen in zip(sample, raw, strict=True):
            (c, a, b), *_ = np.linalg.lstsq(design, values.ravel().astype(float), rcond=None)
            out.append((seen - np.float32(a) * x - np.float32(b) * y - np.float32(c)) * gain)
        return out[0], out[1]

    def _raw(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        dx, dy = np.zeros_like(x), np.zeros_like(y)
        for kx, ky, phase, cx, cy in self._parts:
            k = math.hypot(kx, ky)
            wave = np.sin(np.float32(kx) * x + np.float32(ky) * y + np.float32(phase)) / np.float32(k)
            dx, dy = dx + np.float32(cx) * wave, dy + np.float32(cy) * wave
        return dx, dy
