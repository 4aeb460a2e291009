"""How a camera sees a flat thing of known size: closed forms, and a fit with priors on the lens.

A pose is eight numbers: rotation vector (3), translation in mm (3), ln of the focal length in photo
pixels, and the lens's first radial term k1 (``seen = ideal * (1 + k1 r^2)``, r in focal lengths from
the picture's centre). The plane is z = 0 of the object. Everything works on batches (B leading).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from printcheck.core.handover import Floats, Picture

PARAMETERS = 8
LN_FOCAL, K1 = 6, 7  # places in the pose
TYPICAL_FOCAL = 0.85  # of the long side: 24 to 35 mm lenses, as on phones, are 0.69 to 1.0
TYPICAL_FOCAL_SIGMA = 0.18  # of ln f: one sigma over phones, twice-zoomed ones at the far end
EXIF_FOCAL_SIGMA = 0.03  # of ln f: EXIF rounds to whole millimetres
CUT_FOCAL = 3.0  # times the typical one: of a third of a photo, where a fit without EXIF starts as well
CUT_SIGMA = 10.0  # times the typical sigma: a sixth of a photo is cut from one as rarely
K1_SIGMA = 0.012  # one sigma of what phones leave uncorrected; measured on drawn and real lenses
ROUNDS = 10  # of Levenberg's method; eight suffice from a closed-form start
SETTLED_GAIN = 1e-3  # of chi2: when no fit could gain more, as its slopes say, all are done
STEP = 1e-5  # for numeric derivatives, of parameters of order one
FIRST_DAMPING, LEAST_DAMPING, MOST_DAMPING = 1e-3, 1e-9, 1e6
TINY = 1e-12


@dataclass(frozen=True)
class Camera:
    """What is known of the camera before looking: centre, focal length, lens, each with one sigma."""

    centre_px: tuple[float, float]
    focal_px: float
    focal_sigma: float  # of ln f
    k1_sigma: float = K1_SIGMA
    stated: bool = True  # by EXIF; otherwise far focal lengths are not ruled out

    def focal_misfit(self, ln_focal: Floats) -> Floats:
        """Residual of ln f in sigmas; where nothing is stated with the long tail of Cauchy's law.

        A photo without EXIF may be cut from a larger one, which makes its focal length seem longer.
        """
        off = (ln_focal - math.log(self.focal_px)) / self.focal_sigma
        if self.stated:
            return np.asarray(off)
        return np.asarray(np.sign(off) * np.sqrt(np.log1p(off**2) + (off / CUT_SIGMA) ** 2))


@dataclass(frozen=True)
class Pose:
    """A fitted pose.

    Parameters
    ----------
    numbers : (8,) float64
        Rotation vector, translation in mm, ln focal length in photo px, k1.
    covariance : (8, 8) float64
        Of the numbers.
    chi2 : float
        Squared residuals over sigma, priors included.
    centre_px : tuple of float
        Picture's centre in photo px.
    """

    numbers: Floats
    covariance: Floats
    chi2: float
    centre_px: tuple[float, float]

    @property
    def to_photo(self) -> Floats:
        """Homography from mm on the plane to photo px (without the lens's k1)."""
        return np.asarray(homography(self.numbers[None], self.centre_px)[0])

    @property
    def tilt_deg(self) -> float:
        """Angle between the camera's axis and the square on the plane."""
        return float(np.degrees(tilts(self.numbers[None])[0]))

    def lowered(self, by_mm: float) -> Pose:
        """The pose of a plane this much farther from the camera, such as the cloth under a card."""
        below = self.numbers.copy()
        below[3:6] += by_mm * rotation(self.numbers[None, :3])[0, :, 2]
        return replace(self, numbers=below)

    @property
    def distance_mm(self) -> float:
        """Distance from the camera to the object's origin along the camera's axis."""
        return float(self.numbers[5])

    @property
    def k1(self) -> float:
        """First radial term of the lens."""
        return float(self.numbers[K1])

    def mm_per_px(self, at_px: tuple[float, float]) -> float:
        """Geometric mean of the local scale at a photo pixel."""
        return float(np.exp(_ln_scale(self.numbers[None], at_px, self.centre_px)[0]))

    def scale_sigma(self, at_px: tuple[float, float]) -> float:
        """One sigma of the scale at a photo pixel, as a share."""
        return self._sigma(lambda numbers: _ln_scale(numbers, at_px, self.centre_px)[:, None])

    def lean_sigma(self, at_px: tuple[float, float]) -> float:
        """One sigma, in radians, of how far two lines square to one another on the plane seem to lean.

        At a photo pixel, root mean square over the directions of the lines: a stretch by e and -e along
        two axes leans the lines between them by 2 e.
        """
        to_photo = np.linalg.inv(_local_map(self.numbers[None], at_px, self.centre_px)[0])

        def unequal(numbers: Floats) -> Floats:
            change = _local_map(numbers, at_px, self.centre_px) @ to_photo
            change = change / np.sqrt(np.abs(np.linalg.det(change)))[:, None, None]
            return np.stack([change[:, 0, 0] - change[:, 1, 1], change[:, 0, 1] + change[:, 1, 0]], axis=1)

        return self._sigma(unequal) / math.sqrt(2)

    def _sigma(self, measured: Callable[[Floats], Floats]) -> float:
        """One sigma of a measure of poses, (B, 8) to (B, K), its K parts added as squares."""
        steps = self.numbers + STEP * np.eye(PARAMETERS)
        slopes = (measured(steps) - measured(self.numbers[None])) / STEP
        return math.sqrt(max(0.0, float(np.einsum("ik,ij,jk->", slopes, self.covariance, slopes))))


def camera_of(picture: Picture) -> Camera:
    """What the photo's EXIF, or common practice, says of the camera."""
    width, height = picture.facts.width_px, picture.facts.height_px
    centre = ((width - 1) / 2, (height - 1) / 2)
    if picture.focal_px is not None:
        return Camera(centre, picture.focal_px, EXIF_FOCAL_SIGMA)
    return Camera(centre, TYPICAL_FOCAL * max(width, height), TYPICAL_FOCAL_SIGMA, stated=False)


def rotation(rvec: Floats) -> Floats:
    """(..., 3, 3) rotation matrices of (..., 3) rotation vectors (Rodrigues)."""
    angle = np.linalg.norm(rvec, axis=-1)[..., None, None]
    x, y, z = np.moveaxis(rvec / np.maximum(angle[..., 0], TINY), -1, 0)
    zero = np.zeros_like(x)
    cross = np.stack([zero, -z, y, z, zero, -x, -y, x, zero], -1).reshape(*rvec.shape, 3)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * (cross @ cross))


def rotation_vector(matrix: Floats) -> Floats:
    """(B, 3) rotation vectors of (B, 3, 3) rotation matrices, by way of the quaternion."""
    m = matrix
    trace = m[:, 0, 0] + m[:, 1, 1] + m[:, 2, 2]
    # the square of the quaternion, whose best row is taken: sound at every angle
    k = np.empty((len(m), 4, 4))
    k[:, 0, 0] = trace
    k[:, 0, 1] = k[:, 1, 0] = m[:, 2, 1] - m[:, 1, 2]
    k[:, 0, 2] = k[:, 2, 0] = m[:, 0, 2] - m[:, 2, 0]
    k[:, 0, 3] = k[:, 3, 0] = m[:, 1, 0] - m[:, 0, 1]
    for i in range(3):
        k[:, i + 1, i + 1] = 2 * m[:, i, i] - trace
        for j in range(i + 1, 3):
            k[:, i + 1, j + 1] = k[:, j + 1, i + 1] = m[:, i, j] + m[:, j, i]
    best = np.argmax(np.diagonal(k, axis1=1, axis2=2), axis=1)
    q = np.take_along_axis(k, best[:, None, None], 1)[:, 0] + np.eye(4)[best]
    q = q / np.linalg.norm(q, axis=1, keepdims=True)
    q = q * np.where(q[:, :1] < 0, -1, 1)
    size = np.linalg.norm(q[:, 1:], axis=1, keepdims=True)
    return np.asarray(q[:, 1:] / np.maximum(size, TINY) * 2 * np.arctan2(size, q[:, :1]))


def tilts(numbers: Floats) -> Floats:
    """(B,) angles in radians between the camera's axis and the square on the plane."""
    return np.asarray(np.arccos(np.clip(np.abs(rotation(numbers[:, :3])[:, 2, 2]), 0, 1)))


def homography(numbers: Floats, centre_px: tuple[float, float]) -> Floats:
    """(B, 3, 3) homographies from mm on the plane to photo px, without k1."""
    turn = rotation(numbers[:, :3])
    plane = np.concatenate([turn[:, :, :2], numbers[:, 3:6, None]], axis=2)
    focal = np.exp(numbers[:, LN_FOCAL])
    out = plane.copy()
    for axis in (0, 1):
        out[:, axis] = focal[:, None] * plane[:, axis] + centre_px[axis] * plane[:, 2]
    return np.asarray(out)


def project(numbers: Floats, plane_mm: Floats, centre_px: tuple[float, float]) -> Floats:
    """(..., N, 2) photo px where (N, 2) or (..., N, 2) points of the plane are seen, k1 included."""
    turn = rotation(numbers[..., :3])
    seen = plane_mm @ np.swapaxes(turn[..., :2], -1, -2) + numbers[..., None, 3:6]
    flat = seen[..., :2] / np.where(np.abs(seen[..., 2:]) < TINY, TINY, seen[..., 2:])
    bent = flat * (1 + numbers[..., None, None, K1] * np.sum(flat**2, axis=-1, keepdims=True))
    return np.asarray(bent * np.exp(numbers[..., None, None, LN_FOCAL]) + np.array(centre_px))


def homography_of_quads(plane_mm: Floats, quads_px: Floats) -> Floats:
    """(B, 3, 3) homographies that take the four plane points (4, 2) to each quad (B, 4, 2)."""
    x, y = np.moveaxis(np.broadcast_to(plane_mm, quads_px.shape), -1, 0)
    u, v = np.moveaxis(quads_px, -1, 0)
    one, zero = np.ones_like(x), np.zeros_like(x)
    top = np.stack([x, y, one, zero, zero, zero, -u * x, -u * y], -1)
    low = np.stack([zero, zero, zero, x, y, one, -v * x, -v * y], -1)
    found = np.linalg.solve(np.concatenate([top, low], 1), np.concatenate([u, v], 1)[..., None])[..., 0]
    return np.concatenate([found, np.ones((len(found), 1))], 1).reshape(-1, 3, 3)


def pose_of_homography(matrix: Floats, focal_px: Floats | float, centre_px: tuple[float, float]) -> Floats:
    """(B, 8) poses nearest to homographies mm -> px, for a focal length, without a lens."""
    focal = np.broadcast_to(np.asarray(focal_px, float), (len(matrix),))
    m = matrix.copy()
    for axis in (0, 1):
        m[:, axis] = (matrix[:, axis] - centre_px[axis] * matrix[:, 2]) / focal[:, None]
    size = np.sqrt(np.linalg.norm(m[:, :, 0], axis=1) * np.linalg.norm(m[:, :, 1], axis=1))
    m = m / size[:, None, None] * np.where(m[:, 2, 2] < 0, -1.0, 1.0)[:, None, None]
    third = np.cross(m[:, :, 0], m[:, :, 1])
    u, _, vt = np.linalg.svd(np.stack([m[:, :, 0], m[:, :, 1], third], axis=2))
    lens = np.stack([np.log(focal), np.zeros_like(focal)], 1)
    return np.concatenate([rotation_vector(u @ vt), m[:, :, 2], lens], axis=1)


def mirrored_tilt(numbers: Floats) -> Floats:
    """(B, 8) the other pose of each pair that looks nearly alike when the object is small or far."""
    sight = numbers[:, 3:6] / np.linalg.norm(numbers[:, 3:6], axis=1, keepdims=True)
    flip = np.eye(3) - 2 * sight[:, :, None] * sight[:, None, :]  # in depth, as seen from the camera
    other = flip @ rotation(numbers[:, :3]) @ np.diag([1.0, 1.0, -1.0])
    return np.concatenate([rotation_vector(other), numbers[:, 3:]], axis=1)


def fit_poses(
    start: Floats,
    plane_mm: Floats,
    seen_px: Floats,
    *,
    sigma_px: Floats | float,
    camera: Camera,
    rounds: int = ROUNDS,
) -> tuple[Floats, Floats, Floats]:
    """Poses that best explain where plane points are seen, given what is known of the camera.

    Parameters
    ----------
    start : (B, 8) float64
        From :func:`pose_of_homography`.
    plane_mm : (N, 2) or (B, N, 2) float64
    seen_px : (B, N, 2) float64
    sigma_px : float or (N, 1), (B, N, 1) array, keyword-only
        One sigma of a seen coordinate.
    camera : Camera, keyword-only
    rounds : int, keyword-only

    Returns
    -------
    numbers (B, 8), covariances (B, 8, 8), chi2 (B,)
    """

    def misfit(numbers: Floats) -> Floats:
        off = (project(numbers, plane_mm, camera.centre_px) - seen_px) / sigma_px
        return np.asarray(off.reshape(*numbers.shape[:-1], -1))

    return levenberg(start, misfit, camera=camera, rounds=rounds)


def levenberg(
    start: Floats,
    misfit: Callable[[Floats], Floats],
    *,
    camera: Camera,
    rounds: int = ROUNDS,
    unit: Floats | None = None,
) -> tuple[Floats, Floats, Floats]:
    """Poses of least squared misfit, priors on focal length and lens included.

    Parameters
    ----------
    start : (B, P) float64
        The pose's eight numbers first, then whatever else is fitted.
    misfit : callable
        From (..., B, P) numbers to (..., B, M) residuals over their sigma.
    camera : Camera, keyword-only
        Gives two more residuals: ln f and k1 against what is known.
    rounds : int, keyword-only
    unit : (P,) float64, keyword-only
        Size of each number, so that steps are alike; one of 0 is not fitted. By default that of poses,
        whose lengths go with the distance.

    Returns
    -------
    numbers (B, P), covariances (B, P, P), chi2 (B,)

    Notes
    -----
    Levenberg's damped least squares with numeric derivatives.
    """
    units = np.ones_like(start) if unit is None else np.tile(unit, (len(start), 1))
    if unit is None:
        units[:, 3:6] = np.abs(start[:, 5:6]) + TINY
    damping = np.full(len(start), FIRST_DAMPING)
    eye = np.eye(start.shape[1])

    def residuals(numbers: Floats) -> Floats:
        lens = np.stack([camera.focal_misfit(numbers[..., LN_FOCAL]), numbers[..., K1] / camera.k1_sigma], -1)
        return np.concatenate([misfit(numbers), lens], axis=-1)

    def normal_equations(numbers: Floats, now: Floats) -> tuple[Floats, Floats]:
        moved = numbers + STEP * eye[:, None] * units  # (P, B, P)
        jacobian = np.moveaxis(residuals(moved) - now, 0, -1) / STEP
        across = np.swapaxes(jacobian, 1, 2)
        return across @ jacobian, (across @ now[..., None])[..., 0]

    numbers, now = start.copy(), residuals(start)
    for _ in range(rounds):
        normal, pull = normal_equations(numbers, now)
        lift = damping[:, None, None] * eye * normal + TINY * eye
        move = np.linalg.solve(normal + lift, -pull[..., None])[..., 0]
        trial = numbers + move * units
        with np.errstate(all="ignore"):  # a step to nowhere is not taken
            then = residuals(trial)
            gain = np.sum(now**2, 1) - np.sum(then**2, 1)
        better = gain > 0
        numbers, now = np.where(better[:, None], trial, numbers), np.where(better[:, None], then, now)
        damping = np.clip(np.where(better, damping / 8, damping * 6), LEAST_DAMPING, MOST_DAMPING)
        if np.all(-np.sum(move * pull, axis=1) < SETTLED_GAIN):
            break
    normal, _ = normal_equations(numbers, now)
    covariance = np.linalg.pinv(normal, hermitian=True) * units[:, :, None] * units[:, None, :]
    return numbers, covariance, np.sum(now**2, axis=1)


def fit_pose(
    plane_mm: Floats, seen_px: Floats, *, sigma_px: Floats | float, camera: Camera, rounds: int = ROUNDS
) -> tuple[Pose, Pose]:
    """Best and second pose of one object from N >= 4 points (N, 2) each way.

    The second is the other side of the tilt ambiguity: where its chi2 is close to the first's, the
    tilt's direction is not known and an honest sigma has to cover both (see :func:`scale_of_pair`).
    The two may coincide.
    """
    import cv2

    matrix, _ = cv2.findHomography(plane_mm.reshape(-1, 1, 2), seen_px.reshape(-1, 1, 2), 0)
    first = pose_of_homography(np.asarray(matrix, float)[None], camera.focal_px, camera.centre_px)
    starts = np.concatenate([first, mirrored_tilt(first)])
    seen = np.broadcast_to(seen_px, (2, *seen_px.shape))
    numbers, covariance, chi2 = fit_poses(
        starts, plane_mm, seen, sigma_px=sigma_px, camera=camera, rounds=rounds
    )
    best, other = np.argsort(chi2)
    one, two = (Pose(numbers[i], covariance[i], float(chi2[i]), camera.centre_px) for i in (best, other))
    return one, two


def scale_of_pair(pair: tuple[Pose, Pose], at_px: tuple[float, float]) -> tuple[float, float]:
    """Scale in mm per photo px at a pixel, from the better pose, and one sigma that covers both poses."""
    one, two = pair
    here, there = one.mm_per_px(at_px), two.mm_per_px(at_px)
    share = 1 / (1 + math.exp(min(50.0, (two.chi2 - one.chi2) / 2)))  # likelihood of the second
    gap = math.log(there / here) if there > 0 else 0.0
    return here, math.hypot(one.scale_sigma(at_px), math.sqrt(share) * gap)


def local_scale(to_mm: Floats, at_px: tuple[float, float]) -> float:
    """Geometric mean of mm per px of a homography px -> mm at one pixel."""
    point = np.array([at_px[0], at_px[1], 1.0])
    depth = float(to_mm[2] @ point)
    return math.sqrt(abs(float(np.linalg.det(to_mm)) / depth**3))


def _local_map(numbers: Floats, at_px: tuple[float, float], centre_px: tuple[float, float]) -> Floats:
    """(B, 2, 2) linear maps from photo px to mm on the plane, near one pixel."""
    inverse = np.linalg.inv(homography(numbers, centre_px))
    seen = inverse @ np.array([at_px[0], at_px[1], 1.0])
    at_mm, depth = seen[:, :2] / seen[:, 2:], seen[:, 2, None, None]
    return np.asarray((inverse[:, :2, :2] - at_mm[:, :, None] * inverse[:, 2:, :2]) / depth)


def _ln_scale(numbers: Floats, at_px: tuple[float, float], centre_px: tuple[float, float]) -> Floats:
    return np.asarray(0.5 * np.log(np.abs(np.linalg.det(_local_map(numbers, at_px, centre_px)))))
