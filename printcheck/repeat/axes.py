"""What the search found, as the answer that other rooms read: axes, millimetres, error, findings."""

from __future__ import annotations

import math
from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.core.findings import Finding, finding
from printcheck.core.handover import FlatCloth, PrintLattice, Slip
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Alternative, Repeat
from printcheck.repeat.arrays import Mask, Vectors
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.confidence import confidence_of
from printcheck.repeat.decide import WHOLE_STEPS, Evidence, square_period
from printcheck.repeat.layout import Upright, upright_lattice, upright_stripe
from printcheck.repeat.surface.bent_stripe import WINDOWS_ABREAST
from printcheck.repeat.surface.candidates import FARTHEST
from printcheck.repeat.surface.illumination import View, outline_on
from printcheck.repeat.surface.print_shown import print_probability
from printcheck.repeat.tilt import check_tilt, lean_sigma_of

# Share by which the scale differs between the middle and the whole: the first radial term of telephones'
# lenses spreads to 0.03 (from memory), which makes at most 0.007 of it. With few repeats no map shows it.
LENS = 0.0028
ENOUGH_SEEN = 2.0  # repeats, below which the photo shows too few
WORTH_SAYING = 0.2  # probability of another lattice from which a finding speaks of it
LEAST_PROBABLE = 0.05  # less likely lattices are not worth a word
PATCHES = 4.0  # independent patches of cloth behind the fitted map (a cubic has few degrees of freedom)
STRAIN_GRID = 9  # places each way
MIDDLE = 0.3  # of each side, to both sides of the centre
LENS_SPREAD = 0.015  # share: a lens scatters the local repeat by up to 0.011, folds by 0.02 and more
SLANT_DEG = (
    1.72  # 3 per cent of skew, a common limit for cloth (common practice; measured as ASTM D3882 does)
)
UNEVEN = 0.02  # share: scatter of the local repeat over the cloth that is worth a remark
STEP_BACK = 2.0  # times as much cloth as was seen: then what was seen once may come again
EDGE_STEPS = (0.0, 0.25, 0.5, 0.75)  # places along each side of the object's outline


def nothing_found(cloth: FlatCloth, view: View, best: float) -> PrintLattice:
    """No repeat: plain cloth, or a print whose repeat does not fit in the photo."""
    centre = np.array([(cloth.bgr.shape[1] - 1) / 2, (cloth.bgr.shape[0] - 1) / 2])
    shown, aperiodic = print_probability(cloth.bgr, cloth.mask), 1 - min(best, 0.9)
    at_least = FARTHEST * min(view.size) * view.mm_per_px
    if shown < 0.5:
        plain = Repeat("none", confidence=(1 - shown) * aperiodic)
        return PrintLattice(plain, np.zeros((0, 2)), centre, findings=(finding("repeat-plain"),))
    repeat = Repeat("beyond-photo", confidence=shown * aperiodic, at_least_mm=at_least)
    return PrintLattice(repeat, np.zeros((0, 2)), centre, findings=_beyond_photo(cloth, cloth.slips))


def lattice_of(cloth: FlatCloth, view: View, evidence: Evidence) -> PrintLattice:
    """Return the lattice on the cloth's own axes with its error, confidence and findings."""
    fit = evidence.fit
    whole = _basis_where_scaled(cloth, view, evidence)
    basis = square_period(whole)[None] if evidence.stripe else whole
    scatter = _scatter(cloth, fit) if evidence.bent is None else evidence.bent.scatter
    basis_mm = basis * view.mm_per_px * (1.0 if evidence.bent is None else evidence.bent.ratio)
    leans_deg = math.degrees(scatter), cloth.lean_sigma_deg, lean_sigma_of(cloth, view, evidence)
    lean_deg = math.hypot(*leans_deg)
    upright = (
        upright_stripe(basis_mm[0]) if evidence.stripe else upright_lattice(basis_mm, sigma_deg=lean_deg)
    )
    seen = evidence.repeats
    error = math.hypot(scatter, cloth.scale.relative_error) * float(np.hypot(*basis_mm.T).max())
    to_photo = photo_pixels_per_mm(cloth)
    alternatives = _alternatives(to_photo, view, evidence)
    slips = _slips(cloth, view, evidence)
    in_place = 1 - sum(slip.probability for slip in slips)
    if in_place < 0.5:  # read off photos that likelier lie elsewhere
        beyond = Repeat("beyond-photo", confidence=1 - in_place)
        told = _beyond_photo(cloth, slips)
        return PrintLattice(beyond, np.zeros((0, 2)), view.to_flat(fit.origin), findings=told)
    repeat = Repeat(
        kind="stripe" if evidence.stripe else "lattice",
        layout=upright.layout,
        drop=upright.drop,
        across_mm=upright.across_mm,
        along_mm=upright.along_mm,
        basis_mm=upright.basis_mm,
        error_mm=error,
        confidence=confidence_of(evidence) * in_place,
        repeats_seen=seen,
        turn_deg=upright.turn_deg,
        skew_deg=upright.skew_deg,
        raw_basis_mm=_tuples(_as_pictured(cloth, basis_mm, to_photo)),
        alternatives=alternatives,
        basis_px=_tuples(np.array(upright.basis_mm) @ _turn(upright.turn_deg) @ to_photo),
    )
    return PrintLattice(
        repeat,
        basis * view.reduction,
        view.to_flat(fit.origin),
        math.radians(upright.turn_deg),
        _strain(cloth, view, evidence, whole),
        (*_findings(cloth, view, evidence, upright, seen, alternatives), *_place_open(cloth, slips)),
        None if evidence.bent is None else _window_of(cloth, view),
        fit.spread * (1 if evidence.bent is None else WINDOWS_ABREAST),  # a slope of the whole goes on
    )


def _as_pictured(cloth: FlatCloth, basis_mm: Vectors, to_photo: Vectors) -> Vectors:
    """The lattice as the photo's middle shows it: the tilt that the print tells is part of its squaring."""
    if all(found.code != "tilt-by-print" for found in cloth.findings):
        return basis_mm
    turn, stretch, _ = np.linalg.svd(to_photo * cloth.scale.mm_per_px)
    return np.asarray(basis_mm @ (turn * stretch @ turn.T))


def photo_pixels_per_mm(cloth: FlatCloth) -> Vectors:
    """Photo pixels of one millimetre across and down the flat picture, at the photo's middle, rows (2, 2)."""
    middle = np.array([[(cloth.photo.width_px - 1) / 2, (cloth.photo.height_px - 1) / 2]])
    flat = cv2.perspectiveTransform(middle[None], np.linalg.inv(cloth.to_photo))[0]
    around = flat + np.array([[-0.5, 0], [0.5, 0], [0, -0.5], [0, 0.5]])
    at = cv2.perspectiveTransform(around[None], cloth.to_photo)[0]
    return np.asarray((at[1::2] - at[::2]) / cloth.mm_per_px)


def _alternatives(per_mm: Vectors, view: View, evidence: Evidence) -> tuple[Alternative, ...]:
    """Other lattices that the picture does not rule out, as pictured, the likeliest first."""
    confidence = confidence_of(evidence)
    doubt = sum(rival.probability for rival in evidence.rivals)
    found = []
    for rival in sorted(evidence.rivals, key=lambda rival: -rival.probability):
        share = min(rival.probability, (1 - confidence) * rival.probability / doubt) if doubt else 0.0
        if share >= LEAST_PROBABLE:
            vectors = rival.basis * view.mm_per_px
            vectors = square_period(vectors)[None] if evidence.stripe else vectors
            found.append(Alternative(_tuples(vectors), _tuples(vectors @ per_mm), share))
    return tuple(found)


def _slips(cloth: FlatCloth, view: View, evidence: Evidence) -> list[Slip]:
    """Ways in which photos could lie as well, by what is no whole number of steps of this lattice."""
    to_steps = np.linalg.inv(evidence.fit.basis * view.reduction)
    told = slice(0, 1 if evidence.stripe else 2)
    found = []
    for slip in cloth.slips:
        steps = (slip.vectors_px @ to_steps)[:, told]
        if np.abs(steps - np.rint(steps)).max(initial=0.0) > WHOLE_STEPS:
            found.append(slip)
    return found


def _beyond_photo(cloth: FlatCloth, slips: Sequence[Slip]) -> tuple[Finding, ...]:
    """That no repeat is seen, what one photo from farther away would show, and which photos lie in doubt."""
    found = (finding("repeat-beyond-photo"), *_place_open(cloth, slips))
    if not cloth.scale_known:
        return found
    photo_px = max(cloth.photo.width_px, cloth.photo.height_px)
    wide_mm = STEP_BACK * max(cloth.mask.shape) * cloth.mm_per_px
    pixel_mm = wide_mm / photo_px
    times = pixel_mm / cloth.scale.mm_per_px
    return (*found, finding("repeat-step-back", times=times, wide_mm=wide_mm, finest_mm=2 * pixel_mm))


def _place_open(cloth: FlatCloth, slips: Sequence[Slip]) -> tuple[Finding, ...]:
    """What is said of the likeliest of other ways in which photos could lie."""
    likely = max(slips, key=lambda slip: slip.probability, default=None)
    if likely is None or likely.probability < LEAST_PROBABLE:
        return ()
    by_mm = float(np.hypot(*likely.vectors_px.T).max()) * cloth.mm_per_px
    return (finding("photos-place-open", names=likely.names, by_mm=by_mm),)


def _turn(degrees: float) -> Vectors:
    """Rotation by this angle from x towards y, for rows (x, y)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return np.array([[c, s], [-s, c]])


def _tuples(vectors: Vectors) -> tuple[Vector, ...]:
    return tuple((float(x), float(y)) for x, y in vectors)


def _differing(basis: Sequence[Vector], other: Sequence[Vector]) -> tuple[float, float]:
    """The lengths, one of each lattice, in which two lattices differ most, the shorter first."""
    lengths = [
        sorted(math.hypot(*vector) for vector in Lattice(tuple(b)).reduced().basis_mm) for b in (basis, other)
    ]
    one, two = max(zip(*lengths, strict=True), key=lambda pair: abs(math.log(pair[0] / pair[1])))
    return min(one, two), max(one, two)


def _window_of(cloth: FlatCloth, view: View) -> Mask:
    """Part of the cloth's mask that the view shows."""
    window = np.zeros_like(cloth.mask)
    left, top = np.round(view.offset_px).astype(int)
    width, height = np.round(np.array(view.size) * view.reduction).astype(int)
    window[top : top + height, left : left + width] = True
    return np.asarray(window & cloth.mask)


def _scatter(cloth: FlatCloth, fit: Fit) -> float:
    """One sigma of the lattice itself, as a share: strain of the cloth, and a lens that could not be seen."""
    if cloth.outline_px is None and cloth.scale.source == "given":
        unseen = LENS if fit.degree < 3 else 0.0
        return math.hypot(fit.strain / math.sqrt(PATCHES), unseen)
    return fit.spread / math.sqrt(PATCHES)


def _basis_where_scaled(cloth: FlatCloth, view: View, evidence: Evidence) -> Vectors:
    """Lattice where the scale is known: on the object, between the two points, or at the centre.

    A lens makes the scale change over the picture, so it matters where the two are compared.
    """
    fit = evidence.fit
    if cloth.outline_px is None or len(cloth.outline_px) < 2:
        return _about_centre(view, fit) if cloth.scale.source == "given" else fit.basis
    flat = outline_on(cloth)
    edge = np.concatenate([flat + (np.roll(flat, -1, axis=0) - flat) * t for t in EDGE_STEPS])
    return fit.mean_basis_at(view.from_flat(edge))


def _about_centre(view: View, fit: Fit) -> Vectors:
    """Lattice at the centre; where the cloth is more uneven than a lens makes it, over the middle.

    A fold under the centre changes the repeat there as it does nowhere else, so the repeat is taken as a
    rule would take it, over several repeats.
    """
    width, height = view.size
    x, y = np.meshgrid(np.linspace(-MIDDLE, MIDDLE, STRAIN_GRID), np.linspace(-MIDDLE, MIDDLE, STRAIN_GRID))
    points = np.column_stack([(x.ravel() + 0.5) * width, (y.ravel() + 0.5) * height])
    folded = 1 / (1 + (LENS_SPREAD / max(fit.spread, 1e-6)) ** 4)
    return np.asarray(fit.centre_basis + folded * (fit.straight_basis_through(points) - fit.centre_basis))


def _strain(cloth: FlatCloth, view: View, evidence: Evidence, basis: Vectors) -> NDArray[np.float32]:
    """Where the cloth shows each point of the ideal print, less the ideal place, in flat pixels."""
    fit = evidence.fit
    height, width = cloth.bgr.shape[:2]
    x, y = np.meshgrid(np.linspace(0, width - 1, STRAIN_GRID), np.linspace(0, height - 1, STRAIN_GRID))
    ideal = np.stack([x, y], axis=-1)
    at = fit.node + (view.from_flat(ideal) - fit.origin) @ np.linalg.inv(basis)
    frame = fit.frame
    low, high = np.array(frame.first), np.array(frame.first) + np.array(frame.counts)
    within = np.clip(at, low, high)  # the map holds where cloth was seen, and is carried on evenly beyond
    seen = frame.at(within[..., 0], within[..., 1]) + (at - within) @ basis
    return np.asarray(view.to_flat(seen) - ideal, dtype=np.float32)


def _findings(
    cloth: FlatCloth,
    view: View,
    evidence: Evidence,
    upright: Upright,
    seen: float,
    alternatives: tuple[Alternative, ...],
) -> tuple[Finding, ...]:
    found = []
    if seen < ENOUGH_SEEN:
        found.append(finding("repeat-few-seen", seen=seen))
    if abs(upright.skew_deg) > SLANT_DEG:
        found.append(finding("repeat-off-grain", degrees=abs(upright.skew_deg)))
    if evidence.fit.spread > UNEVEN:
        found.append(finding("repeat-uneven-cloth", percent=100 * evidence.fit.spread))
    tilted = check_tilt(cloth, view, evidence)
    if tilted is not None:
        found.append(tilted)
    if evidence.odd is not None and evidence.odd.basis is None:
        found.append(finding("repeat-odd-motifs"))
    if evidence.crossed:
        found.append(finding("repeat-crossed-stripe"))
    either = next((other for other in alternatives if other.probability >= WORTH_SAYING), None)
    if either is not None:
        one_mm, other_mm = _differing(upright.basis_mm, either.basis_mm)
        found.append(finding("repeat-either", one_mm=one_mm, other_mm=other_mm))
    return tuple(found)
