"""Everything the motif room says of a print, from its cell."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.findings import Finding, finding
from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.core.measurement import Direction, Motif, PrintFacts, Repeat
from printcheck.motif.bars.bar_sequence import bars_of, only_axis
from printcheck.motif.build.colours import colours_of
from printcheck.motif.build.structure import structure_of
from printcheck.motif.figures.clump import clump_of
from printcheck.motif.figures.cut_risk import figures_at_risk
from printcheck.motif.figures.segmentation import Separation, separate
from printcheck.motif.figures.spacing import correlation_length, typical_gap
from printcheck.motif.no_lattice import loose_facts
from printcheck.motif.way.direction import direction_of
from printcheck.motif.way.headings import Headings
from printcheck.motif.way.symmetry import symmetry_of

if TYPE_CHECKING:
    from printcheck.core.measurement import StripeOrCheck

UNLIKE = 0.9  # halves of the cells that differ more hold unlike motifs; true repeats reach 0.97
HEDGED = 0.5  # largest margin of a way that was read from cells unlike one another
FEW_CELLS = 2.0  # whole cells below which nothing averages out


def read_print(cloth: FlatCloth, lattice: PrintLattice, cell: MeanCell | None) -> PrintFacts:
    """Motifs, way, bars, clumps and figures of the print.

    Parameters
    ----------
    cloth : FlatCloth
        Looked at itself only where there is no cell.
    lattice : PrintLattice
        Says whether the print is a stripe.
    cell : MeanCell or None
        From :func:`printcheck.motif.cell.mean_cell`.

    Returns
    -------
    PrintFacts
        Without a cell: plain cloth, or what the picture shows of a print whose repeat is not known, with
        findings that say what cannot be told.
    """
    if cell is None:
        return loose_facts(cloth, lattice.repeat)
    stripe = lattice.repeat.kind == "stripe"
    symmetry = symmetry_of(cell, stripe=stripe)
    separation = separate(cell)
    structure = structure_of(
        cell,
        separation,
        symmetry,
        along_mm=lattice.repeat.along_mm,
        stripe=stripe or only_axis(cell) is not None,
    )
    crossed, error = structure.build == "crossed", _relative_error(lattice.repeat)
    bars = bars_of(cell, symmetry, stripe=stripe, crossed=crossed, error=error)
    direction, headings = direction_of(cell, symmetry, bars, separation)
    if cell.alike < UNLIKE:
        direction = replace(direction, margin=min(direction.margin, HEDGED))
    figured = bars is None and structure.build == "figures"
    motif = _motif(cell, separation, headings, direction) if figured else Motif()
    clump_at = partial(clump_of, cell, separation) if figured else None
    clump = clump_at(1.0) if clump_at and cloth.scale_known else None  # it hangs on the size
    figures = figures_at_risk(cell, separation, headings) if figured and not separation.packed else None
    findings = tuple(_findings(cell, direction, bars))
    colours = colours_of(cloth, cell, "stripe" if stripe else structure.build)
    return PrintFacts(motif, direction, bars, clump, figures, findings, colours, structure, None, clump_at)


def _relative_error(repeat: Repeat) -> float:
    """Error of the repeat against its longest vector, the one it is stated of."""
    longest = max((math.hypot(*vector) for vector in repeat.basis_mm), default=0.0)
    return (repeat.error_mm or 0.0) / longest if longest else 0.0


def _motif(cell: MeanCell, separation: Separation, headings: Headings, direction: Direction) -> Motif:
    motifs = separation.motifs
    if separation.packed:
        return Motif(correlation_length_mm=correlation_length(cell))
    width, height = motifs[0].box_mm[2:]
    return Motif(
        width_mm=width,
        height_mm=height,
        count_per_repeat=len(motifs),
        cover=separation.cover,
        gap_mm=typical_gap(cell, separation),
        headings_deg=headings.turns_deg,
        typical_mm=float(np.median([m.longest_mm for m in motifs])),
        boxes_mm=tuple(m.box_mm for m in motifs),
    )


def _findings(cell: MeanCell, direction: Direction, bars: StripeOrCheck | None) -> list[Finding]:
    found = []
    if direction.way is None:
        found.append(finding("way-unknown"))
    elif not direction.decided:
        found.append(finding("way-unsure", way=direction.way))
    if cell.cells < FEW_CELLS and bars is None:
        found.append(finding("cell-few", cells=cell.cells))
    if cell.alike < UNLIKE:
        found.append(finding("cells-unlike"))
    return found
