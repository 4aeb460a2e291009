"""What is asked beside shape: is the same thing seen again, and are the corners round."""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import Array, Bgr, Floats
from printcheck.photo.scale.pose import LN_FOCAL, project
from printcheck.photo.scale.rectangle.sides import HALF_GRADIENT, Fine, normals
from printcheck.photo.scale.sampling import colours_at

if TYPE_CHECKING:
    from numpy.typing import NDArray


LOOK_PX = 256  # long side of the picture in which repeats are looked for
BLOWN_UP = 1.12  # of the candidate: its border and a little of its surroundings belong to the likeness
APART_SHARE = 0.5  # of the candidate's short side: nearer than this the likeness is the thing itself
NOISE_VARIANCE = 12.0  # CIELAB (8-bit) squared per pixel: what noise and light alone make different
LEAST_LIKENESS_PX = 8  # of the short side; smaller candidates cannot be told apart
CORNER_SHARE, CORNER_HALF_PX = 0.2, (4, 14)  # of the short side, and px: half size of a corner's patch
FEW_CORNERS = 2  # in the picture, of which the least is asked and not the mean
# px of a corner's radius at which half is left of what tells it from a sharp one, from a model of an edge of
# 40 CIELAB blurred by 1.2 px; and below which no more is made of it, as noise is raised alike (of a rounded
# picture on a menu, 75 px long, the corners spoke more than a card's)
HALF_TOLD_PX, LEAST_RADIUS_PX = 9.0, 8.0
USUALLY_BLURRED = 1.5  # of a card that is 340 px long
CORNER_POINTS = 9  # along the arc, and along the sharp corner
PLAIN_PLACES = tuple((k + 0.5) / 13 for k in range(1, 12))  # of both sides, where the inside is looked at
PLAIN_STEP = 12.0  # CIELAB (8-bit) from the median: light, noise and a faint shadow stay below it
WHITE_QUANTILE = 0.97  # of lightness: the photo's own white lies above
PROFILE_PX = 1.0  # to either side of the outline, for the difference across it
BESIDE_PX, BESIDE_SHARE = 2.0, 0.004  # from a side, px or of its length: past its blur; twice as far at most
BESIDE_PLACES = 120  # along a side
LIGHT_DEGREE = 2  # of the light along a side; a line left a pale sheet in slanting light taken for print
CELL_PX = 4  # the picture is looked at in cells of this size
AROUND_CELLS = 7  # a cell is described by itself and by the mean and spread this far around it
LIGHT_STEP, COLOUR_STEP, SPREAD_STEP = 28.0, 14.0, 8.0  # CIELAB (8-bit): coarser than light and noise
CODES = 1 << 16  # descriptions are folded into this many


def gathered(bgr: Bgr) -> Array:
    """How closely everything that looks like each place lies together, 0 (all over) to 1.

    Parameters
    ----------
    bgr : (H, W, 3) uint8

    Returns
    -------
    (H / CELL_PX, W / CELL_PX) float32

    Notes
    -----
    Each cell is described by coarse steps of its own colour, of the mean colour around it and of the
    spread of lightness around it. Cells of the same description are one kind; the scatter of a kind's
    places, over that of the whole picture, is what cloth has near 1 and an object near 0.
    """
    height, width = bgr.shape[0] // CELL_PX, bgr.shape[1] // CELL_PX
    lab = cv2.cvtColor(cv2.resize(bgr, (width, height), interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2LAB)
    own = lab.astype(np.float32)
    around = cv2.blur(own, (AROUND_CELLS, AROUND_CELLS))
    light = own[..., 0]
    spread = np.sqrt(
        np.maximum(cv2.blur(light * light, (AROUND_CELLS, AROUND_CELLS)) - around[..., 0] ** 2, 0)
    )
    steps = np.array([LIGHT_STEP, COLOUR_STEP, COLOUR_STEP], np.float32)
    parts = np.dstack([own / steps, around / steps, spread / SPREAD_STEP]).astype(np.int64)
    weights = np.array([1, 10, 190, 3610, 36100, 686_000, 13_000_000], np.int64)
    code = ((parts @ weights) % CODES).ravel()
    y, x = (grid.ravel().astype(float) for grid in np.indices((height, width)))
    count = np.bincount(code)
    scatter = np.zeros(len(count))
    for place in (x, y):
        mean = np.bincount(code, place) / np.maximum(count, 1)
        scatter += np.bincount(code, place**2) / np.maximum(count, 1) - mean**2
    whole = x.var() + y.var()
    return np.asarray(np.clip(1 - scatter / whole, 0, 1)[code].reshape(height, width), np.float32)


def look_picture(small: Bgr) -> NDArray[np.uint8]:
    """The picture in CIELAB as repeats are looked for in it."""
    height, width = small.shape[:2]
    factor = max(1.0, max(height, width) / LOOK_PX)
    size = (round(width / factor), round(height / factor))
    lab = cv2.cvtColor(cv2.resize(small, size, interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2LAB)
    return np.asarray(lab, np.uint8)


def unlikeness(look: NDArray[np.uint8], corners: Floats) -> float:
    """How different the most similar other place of the picture is, over the candidate's own variety.

    About 0 for a thing that is printed again elsewhere, about 1 and more for a thing seen once.
    ``corners`` (4, 2) are in px of ``look``. Infinite where there is no other place to compare with.
    """
    middle = corners.mean(0)
    outline = middle + BLOWN_UP * (corners - middle)
    height, width = look.shape[:2]
    low = np.clip(np.floor(outline.min(0)), 0, [width - 1, height - 1]).astype(int)
    high = np.clip(np.ceil(outline.max(0)) + 1, 1, [width, height]).astype(int)
    template = look[low[1] : high[1], low[0] : high[0]]
    mask = np.zeros(template.shape[:2], np.float32)
    cv2.fillConvexPoly(mask, np.rint(outline - low).astype(np.int32), 1.0)
    count = float(mask.sum())
    if min(template.shape[:2]) < LEAST_LIKENESS_PX or count < LEAST_LIKENESS_PX**2:
        return 0.0
    if template.shape[0] >= height or template.shape[1] >= width:
        return float("inf")
    apart = cv2.matchTemplate(look, template, cv2.TM_SQDIFF, mask=np.dstack([mask] * 3))
    short = min(np.linalg.norm(corners[1] - corners[0]), np.linalg.norm(corners[2] - corners[1]))
    rows, columns = np.ogrid[: apart.shape[0], : apart.shape[1]]
    other = np.hypot(columns - low[0], rows - low[1]) > APART_SHARE * short
    if not other.any():
        return float("inf")
    chosen = template[mask > 0].astype(np.float32)
    variety = float(np.sum((chosen - chosen.mean(0)) ** 2)) + NOISE_VARIANCE * count
    return float(np.asarray(apart)[other].min()) / variety


def corner_unlikeness(look: NDArray[np.uint8], corners: Floats) -> float:
    """How different each corner is from the most similar other place of the picture, mean of the corners.

    Asked of large candidates too, which leave no room for a second one in the picture: the corners of a
    check's cells are all alike. In the terms of :func:`unlikeness`; infinite where no corner is inside.
    """
    height, width = look.shape[:2]
    short = min(np.linalg.norm(corners[1] - corners[0]), np.linalg.norm(corners[2] - corners[1]))
    half = int(np.clip(CORNER_SHARE * short, *CORNER_HALF_PX))
    found = []
    for x, y in np.rint(corners).astype(int):
        if not (0 <= x < width and 0 <= y < height):
            continue
        x, y = min(max(x, half), width - 1 - half), min(max(y, half), height - 1 - half)  # near the edge
        patch = look[y - half : y + half + 1, x - half : x + half + 1]
        apart = np.asarray(cv2.matchTemplate(look, patch, cv2.TM_SQDIFF))
        apart[max(0, y - 2 * half) : y + 1, max(0, x - 2 * half) : x + 1] = np.inf  # round itself
        flat = patch.reshape(-1, 3).astype(np.float32)
        variety = float(np.sum((flat - flat.mean(0)) ** 2)) + NOISE_VARIANCE * len(flat)
        found.append(float(apart.min()) / variety)
    return float(np.mean(found)) if found else float("inf")


def soft_lab(small: Bgr) -> tuple[Array, Floats]:
    """The picture in CIELAB, grain out, and its own white."""
    lab = cv2.cvtColor(cv2.GaussianBlur(small, (0, 0), 1.5), cv2.COLOR_BGR2LAB).astype(np.float32)
    lightest = np.quantile(lab[::2, ::2, 0], WHITE_QUANTILE)
    return lab, np.median(lab[lab[..., 0] >= lightest], axis=0)


def paper_look(lab: Array, white: Floats, shares: Floats) -> Floats:
    """(N, 3) how like paper what lies within is: of one colour, as light as the photo's white, and as grey.

    Share within that is of its usual colour; lightness of that over the white's; and its colour off the
    white's, 8-bit CIELAB over 100. ``shares`` (N, 4, 2) are the corners as shares of the picture's width
    and height.
    """
    u, v = (grid.reshape(-1, 1) for grid in np.meshgrid(PLAIN_PLACES, PLAIN_PLACES))
    weights = np.concatenate([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], 1)
    size = np.array([lab.shape[1], lab.shape[0]])
    at = np.clip((weights @ shares) * size, 0, size - 1).astype(np.int64)
    seen = lab[at[..., 1], at[..., 0]]
    usual = np.median(seen, axis=1)
    alike = (np.linalg.norm(seen - usual[:, None], axis=-1) < PLAIN_STEP).mean(1)
    tint = np.linalg.norm(usual[:, 1:] - white[1:], axis=1) / 100
    return np.stack([alike, usual[:, 0] / max(white[0], 1.0), tint], axis=1).astype(float)


def runs_through(fine: Fine, corners: Floats) -> Array:
    """(N,) how much what lies inside a side goes along with what lies outside it, the worst of the sides.

    Beside a print's own line, bars and stripes run on across it; a thing laid on the print ends them. Twice
    the covariance along the side, over the variances and that of noise, of the colour to either side of the
    sides of (N, 4, 2) ``corners``, px of ``fine``: 1 for a print's line, 0 for a thing.
    """
    start, along = corners[:, :, None], (np.roll(corners, -1, 1) - corners)[:, :, None]
    length = np.linalg.norm(along, axis=-1, keepdims=True)
    normal = np.stack([-along[..., 1], along[..., 0]], -1) / np.maximum(length, 1e-9)
    reach = np.maximum(BESIDE_PX, BESIDE_SHARE * length.mean(1, keepdims=True))
    line = start + np.linspace(0.04, 0.96, BESIDE_PLACES)[:, None] * along
    limit = np.array(fine.lab.shape[1::-1]) - 1
    inside_photo = np.ones(line.shape[:3], bool)
    sides = []
    for depth in (-1.0, 1.0):
        at = line[:, :, :, None] + (
            depth * np.array([1.0, 1.5, 2.0])[:, None] * (reach * normal)[..., None, :]
        )
        inside_photo &= ((at >= 0) & (at <= limit)).all((3, 4))
        sides.append(colours_at(fine.lab, at).astype(float).mean(3))
    outside, inside = (_without_trend(values, inside_photo) for values in sides)
    both = (outside * inside).sum((2, 3))
    variances = (outside**2).sum((2, 3)) + (inside**2).sum((2, 3)) + BESIDE_PLACES * NOISE_VARIANCE
    return np.asarray((2 * both / variances).max(1))


def _without_trend(values: Floats, known: Array) -> Floats:
    """(N, 4, places, 3) less the parabola through those known: light falls off alike on both sides."""
    place = np.linspace(-1, 1, values.shape[2])[:, None] ** np.arange(LIGHT_DEGREE + 1)
    weighted = known[..., None] * place
    normal = np.swapaxes(weighted, 2, 3) @ place + 1e-9 * np.eye(LIGHT_DEGREE + 1)
    light = place @ np.linalg.solve(normal, np.swapaxes(weighted, 2, 3) @ values)
    return np.asarray((values - light) * known[..., None])


def roundness(
    fine: Fine,
    numbers: Floats,
    kind_mm: tuple[float, float, float],
    *,
    centre_px: tuple[float, float],
    fine_px: float,
) -> Array:
    """(B,) support for outlines with rounded corners less that for sharp ones, -1 to 1 in all but small ones.

    ``kind_mm`` is width, height and the radius asked about. Mean of the corners in the picture, 0 where
    there is none; the least of two or fewer, since a print's line that takes a side of a thing that is cut
    takes one corner and leaves the other. In a small picture blur takes both outlines for one: what is left
    of their difference goes with the square of the radius.
    """
    arc, sharp = _corner_paths(kind_mm[:2], kind_mm[2])
    more = _path_support(fine, numbers, arc, centre_px, fine_px)
    more -= _path_support(fine, numbers, sharp, centre_px, fine_px)
    known = np.isfinite(more)
    count = known.sum(1)
    mean = np.where(known, more, 0).sum(1) / np.maximum(count, 1)
    least = np.where(known, more, 1).min(1)
    radius_px = kind_mm[2] * np.exp(numbers[:, LN_FOCAL]) / numbers[:, 5] / fine_px
    blurred = 1 + (HALF_TOLD_PX / np.maximum(radius_px, LEAST_RADIUS_PX)) ** 2
    gain = np.maximum(1.0, blurred / USUALLY_BLURRED)
    return np.asarray(np.where((count > 0) & (count <= FEW_CORNERS), least, mean) * gain)


def _corner_paths(size_mm: tuple[float, float], radius: float) -> tuple[Floats, Floats]:
    """(4, points, 2) along the arcs and along the sharp corners, in mm, middle parts only.

    Near the points where both meet they say nothing, so only the middle half of each is taken.
    """
    angle = np.linspace(0.25, 0.75, CORNER_POINTS) * np.pi / 2
    arc = radius * (1 - np.stack([np.cos(angle), np.sin(angle)], 1))
    leg = radius * np.linspace(0.0, 0.5, CORNER_POINTS // 2 + 1)
    nought = np.zeros_like(leg)
    sharp = np.concatenate([np.stack([leg[::-1], nought[::-1]], 1), np.stack([nought, leg], 1)[1:]])
    width, height = size_mm
    places = [(0, 0, 1, 1), (width, 0, -1, 1), (width, height, -1, -1), (0, height, 1, -1)]
    paths = [
        np.stack([np.array([x, y]) + path * [sx, sy] for x, y, sx, sy in places]) for path in (arc, sharp)
    ]
    return paths[0], paths[1]


def _path_support(
    fine: Fine, numbers: Floats, paths: Floats, centre_px: tuple[float, float], fine_px: float
) -> Array:
    """(B, 4) mean support across each path; NaN where a path leaves the picture."""
    seen = project(numbers, paths.reshape(-1, 2), centre_px).reshape(len(numbers), *paths.shape)
    seen = (seen + 0.5) / fine_px - 0.5
    along = np.gradient(seen, axis=2)
    normal = normals(along)
    values = []
    for side in (-PROFILE_PX, PROFILE_PX):
        values.append(colours_at(fine.lab, seen + side * normal))
    change = np.linalg.norm(values[1] - values[0], axis=-1) / (2 * PROFILE_PX)
    support = (change / (change + HALF_GRADIENT)).mean(2)
    height, width = fine.lab.shape[:2]
    inside = ((seen >= 2) & (seen <= np.array([width - 3, height - 3]))).all((2, 3))
    return np.where(inside, support, np.nan)
