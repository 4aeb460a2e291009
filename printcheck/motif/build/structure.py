"""What a print is built of: everything its name is told from, measured on its cell or on the picture."""

from __future__ import annotations

import numpy as np

from printcheck.core.handover import Array, MeanCell
from printcheck.core.measurement import Structure
from printcheck.motif.build.build import build_of
from printcheck.motif.build.evidence import evidence_of
from printcheck.motif.build.hide import is_hide
from printcheck.motif.figures.segmentation import Separation
from printcheck.motif.figures.shape import of_one_colour, rounded_share
from printcheck.motif.way.symmetry import Symmetry

STEEPER_DEG = 45.0  # a stripe that runs further than this from along the cloth runs across it
ROWS, PLACES = 96, 256  # samples along and across in which gutters between rows are looked for
SPECK_SHARE = 0.2  # of the largest figure's area: smaller pieces do not count for the spread of sizes
GUTTER = 0.1  # of the mean cover: a line across the cloth with less ink runs between rows


def structure_of(
    cell: MeanCell,
    separation: Separation,
    symmetry: Symmetry | None = None,
    *,
    along_mm: float | None = None,
    stripe: bool = True,
    whole: Separation | None = None,
) -> Structure:
    """Measure what the print is built of.

    Parameters
    ----------
    cell : MeanCell
        The average cell, or the picture itself where there is none.
    separation : Separation
        Its figures and ground.
    symmetry : Symmetry or None
        None where there is no cell.
    along_mm : float or None, keyword-only
        The repeat along the cloth, for the rows.
    stripe : bool, keyword-only
        Whether it may be a stripe: a print that repeats both ways is none.
    whole : Separation or None, keyword-only
        The same with the figures alone that the picture's rim does not cut, whose shape is seen.
    """
    periodic = symmetry is not None
    evidence = evidence_of(cell, periodic=periodic)
    round_share = rounded_share(separation, cell)
    build = build_of(evidence, round_share, periodic=periodic, stripe=stripe)
    shaped = whole if whole is not None and whole.motifs else separation
    motifs = shaped.motifs
    full = [m.longest_mm for m in motifs if m.area_mm2 >= SPECK_SHARE * motifs[0].area_mm2]
    sizes = np.array(full or [1.0])
    slant = evidence.run_deg if build == "stripe" else evidence.angle_deg
    return Structure(
        build,
        angle_deg=min(abs(slant), 90 - abs(slant)),
        crosswise=abs(evidence.run_deg) > STEEPER_DEG,
        symmetry=0.0
        if symmetry is None
        else max(symmetry.half, symmetry.mirror_across, symmetry.mirror_along),
        round_share=round_share if shaped is separation else rounded_share(shaped, cell),
        one_colour=of_one_colour(shaped) if motifs else 0.0,
        size_spread=float(sizes.std() / sizes.mean()),
        row_pitch_mm=None if along_mm is None else row_pitch(cell, separation, along_mm),
        ending_share=separation.ending_share,
        jump=evidence.jump,
        two_sided=evidence.two_sided,
        side_deg=evidence.side_deg,
        cover=separation.cover,
        hide=not periodic and is_hide(evidence, cell.lab),
    )


def row_pitch(cell: MeanCell, separation: Separation, along_mm: float) -> float | None:
    """Distance of rows of figures with a clear gutter between; None where no line across is clear of ink."""
    cover = _cover_by_row(separation.mask, cell.basis_mm, along_mm)
    clear = cover < GUTTER * cover.mean()
    rows = int((clear & ~np.roll(clear, 1)).sum())
    return along_mm / rows if rows else None


def _cover_by_row(mask: Array, basis: Array, along_mm: float) -> Array:
    """Share of ink on lines across the cloth, over one repeat along it."""
    far = 4 * float(np.abs(basis[:, 0]).sum())
    x, y = np.arange(PLACES) / PLACES * far, np.arange(ROWS) / ROWS * along_mm
    places = np.stack(np.broadcast_arrays(x[None], y[:, None]), axis=-1) @ np.linalg.inv(basis)
    height, width = mask.shape
    at = (places % 1 * (width, height)).astype(int)
    cover: Array = mask[at[..., 1] % height, at[..., 0] % width].mean(axis=1)
    return cover
