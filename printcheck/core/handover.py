"""Pictures that the stages hand on: arrays with their meaning. numpy is named for the types alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

from printcheck.core.findings import Finding
from printcheck.core.measurement import Measurement, PhotoFacts, Repeat, Scale
from printcheck.core.plan import LengthPlan, Print, Project

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# names of types, strings at run time, so that to import one loads no numpy
Array: TypeAlias = "NDArray[Any]"  # shapes and dtypes stand in the docstrings
Floats: TypeAlias = "NDArray[np.float64]"
Floats32: TypeAlias = "NDArray[np.float32]"
Ints: TypeAlias = "NDArray[np.intp]"
Bgr: TypeAlias = "NDArray[np.uint8]"
Mask: TypeAlias = "NDArray[np.bool_]"
Lab: TypeAlias = "NDArray[np.float32]"


@dataclass(frozen=True)
class Picture:
    """An opened photo.

    Parameters
    ----------
    facts : PhotoFacts
        Name, and size in full photo pixels after EXIF orientation.
    bgr : (H, W, 3) uint8
        sRGB, blue first as OpenCV has it. May be smaller than the photo.
    reduction : float
        Photo pixels per pixel of ``bgr`` (1 or more). Photo x = (x + 0.5) * reduction - 0.5.
    focal_px : float or None
        Focal length in photo pixels where EXIF gives it.
    taken : float
        When it was taken, as digits from the year to the second; 0 where EXIF is silent.
    """

    facts: PhotoFacts
    bgr: Bgr
    reduction: float = 1.0
    focal_px: float | None = None
    taken: float = 0.0


@dataclass(frozen=True)
class Slip:
    """Another way in which photos laid together could lie, by all that they share.

    Parameters
    ----------
    names : str
        The photos that lie elsewhere.
    vectors_px : (n, 2) float64
        How far each, in flat pixels.
    probability : float
    """

    names: str
    vectors_px: Floats
    probability: float


@dataclass(frozen=True)
class FlatCloth:
    """A flat picture of the cloth: tilt undone, known scale, colours as photographed.

    Parameters
    ----------
    bgr : (H, W, 3) uint8
        Columns run across the cloth, rows along it (up to a few degrees of turn).
    mask : (H, W) bool
        True where cloth is seen; False on the object of known size, its shadow, and outside the photo.
    mm_per_px : float
        The same both ways.
    to_photo : (3, 3) float64
        Homography from flat pixels to photo pixels (the centre of the top left pixel is 0, 0).
    scale : Scale
        As reported.
    outline_px : (N, 2) float64 or None
        Outline of the object of known size in photo pixels, for the picture.
    scale_known : bool
        False where nothing of known size was seen: ``mm_per_px`` and ``scale`` are then a guess, and what is
        measured with them is told in pixels.
    photo_bgr : (H, W, 3) uint8 or None
        The photo as it was decoded, upright, to draw on; may be smaller than the photo. None where several
        photos were laid together.
    lean_sigma_deg : float
        One sigma of how far lines square to one another lean in the picture, from the tilt undone.
    trust : float
        Factor of the confidence of what is found in it: below 1 where photos were joined with doubt.
    places : tuple of (str, (3, 3) float64)
        Of photos laid together: each one's name, and the homography from its pixels to flat ones.
    slips : tuple of Slip
        Where some of the photos laid together could lie as well.
    beside : (H, W) bool or None
        Where the object of known size lies, once the mask is narrowed to a part of the cloth; None before.
    """

    bgr: Bgr
    mask: Mask
    mm_per_px: float
    to_photo: Floats
    photo: PhotoFacts
    scale: Scale
    outline_px: Floats | None = None
    findings: tuple[Finding, ...] = ()
    lean_sigma_deg: float = 0.0
    scale_known: bool = True
    photo_bgr: Bgr | None = None
    trust: float = 1.0
    places: tuple[tuple[str, Floats], ...] = ()
    slips: tuple[Slip, ...] = ()
    beside: Mask | None = None


@dataclass(frozen=True)
class PrintLattice:
    """The lattice found in a flat picture.

    Parameters
    ----------
    repeat : Repeat
        As reported, on the cloth's own axes.
    basis_px : (n, 2) float64
        The vectors of ``repeat.basis_mm`` in flat pixels (x right, y down), unsnapped, as they lie in
        the picture; n is 0, 1 or 2.
    origin_px : (2,) float64
        Flat pixel of the lattice node nearest the picture's centre.
    turn_rad : float
        Angle of the cloth's across axis in the flat picture, from x towards y.
    strain_px : (gh, gw, 2) float32 or None
        Where cloth is pulled or wrinkled: the print's ideal point p is seen at p + strain(p), (x, y) in
        flat pixels, on a regular grid whose corners are the centres of the picture's corner pixels,
        bilinear between. None where nothing was fitted.
    extent : (H, W) bool or None
        Part of the cloth's mask on which the lattice holds, where something else shows beside it.
    spread : float
        Scatter of the local lattice over the picture, as a share (root mean square).
    """

    repeat: Repeat
    basis_px: Floats
    origin_px: Floats
    turn_rad: float = 0.0
    strain_px: Floats32 | None = None
    findings: tuple[Finding, ...] = ()
    extent: Mask | None = None
    spread: float = 0.0


@dataclass(frozen=True)
class MeanCell:
    """The print's average cell.

    Parameters
    ----------
    lab : (Hv, Wu, 3) float32
        CIELAB over the cell in lattice coordinates: column u runs along ``basis_mm[0]``, row v along
        ``basis_mm[1]``, both over [0, 1). For a stripe the second vector is arbitrary, along it.
    basis_mm : (2, 2) float64
        Rows are the two vectors (across, along).
    reliability : float
        Correlation of the mean of the odd cells with that of the even cells, 0 to 1; NaN for one cell.
    cells : float
        How many whole cells' worth of cloth went in.
    px_mm : float
        Side of one pixel of the flat picture: nothing finer was seen.
    alike : float
        Least over greatest correlation of two halves of the cells, split by row, by column and chequerwise:
        clearly below 1 where the true repeat is larger than the lattice.
    """

    lab: Lab
    basis_mm: Floats
    reliability: float
    cells: float
    px_mm: float = 0.0
    alike: float = 1.0

    @property
    def step_mm(self) -> Floats:
        """(2, 2) steps from sample to sample: along a row, down a column."""
        rows, columns = self.lab.shape[:2]
        return self.basis_mm / [[columns], [rows]]


@dataclass(frozen=True)
class MeasuredPhoto:
    """A measurement with the pictures it stands on, for drawings."""

    measurement: Measurement
    cloth: FlatCloth
    lattice: PrintLattice
    cell: MeanCell | None


@dataclass(frozen=True)
class PlannedLength:
    """A length to buy with what it was made from, for drawings."""

    plan: LengthPlan
    project: Project
    print: Print
    measured: MeasuredPhoto | None = None
