"""What can be said of a picture without a known repeat: plain cloth, or a print seen in part."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import cv2
import numpy as np

from printcheck.core.findings import Finding, finding
from printcheck.core.handover import Array, FlatCloth, MeanCell
from printcheck.core.measurement import DECIDED, Direction, Motif, PrintFacts, Repeat
from printcheck.motif.build.colours import colours_of
from printcheck.motif.build.structure import structure_of
from printcheck.motif.cv_types import Bools
from printcheck.motif.figures.clump import clump_of
from printcheck.motif.figures.segmentation import Separation, separate
from printcheck.motif.figures.spacing import correlation_length, typical_gap
from printcheck.motif.way.direction import loose_direction
from printcheck.motif.whole_picture import swatch_of

PLAIN_MARGIN = 1.0
BARS = Direction("two-way", 0.2, "bars have no heads")  # undecided: uneven ones have an up all the same


BORDER = Direction("one-way", 1.0, "a border has one edge")


def loose_facts(cloth: FlatCloth, repeat: Repeat) -> PrintFacts:
    """Facts without a cell.

    The motifs wholly in view are measured, a lower bound for the print's largest; the way is read from them
    alone, else it is not told.
    """
    swatch, seen = swatch_of(cloth)
    if repeat.kind == "none" or not seen.any():
        colours = colours_of(cloth, swatch, None, periodic=False)[:1]
        return PrintFacts(Motif(), Direction("two-way", PLAIN_MARGIN, "plain"), colours=colours)
    separated = separate(swatch)
    separation = uncut(separated, seen)
    structure = structure_of(swatch, separated, whole=separation)
    barred = structure.build in ("stripe", "crossed", "squares")
    direction = BORDER if repeat.border else BARS if barred else loose_direction(swatch, separation)
    # no surer than that without a repeat: the rest of the print may lie otherwise
    direction = replace(direction, margin=min(direction.margin, DECIDED))
    findings = [finding("way-unsure", way=direction.way) if direction.way else finding("way-unknown")]
    motif = Motif() if barred or repeat.border else _motif(swatch, separation, findings)
    # light that changes across broad bars cannot be told from them
    shown = swatch_of(cloth, even=False)[0] if structure.build == "stripe" else swatch
    colours = colours_of(cloth, shown, structure.build, periodic=False)
    # the marks of a hide keep their distance, and bands are no bunches
    figured = structure.build == "figures" and not (repeat.border or structure.hide)
    clump_at = partial(clump_of, swatch, separated, periodic=False) if figured else None
    return PrintFacts(
        motif,
        direction,
        clump=clump_at(1.0) if clump_at and cloth.scale_known else None,
        findings=tuple(findings),
        colours=colours,
        structure=structure,
        swatch=swatch,
        clump_at=clump_at,
    )


def uncut(separation: Separation, seen: Bools) -> Separation:
    """Motifs wholly in view: those that touch neither the picture's rim nor what is no cloth."""
    height, width = seen.shape
    rim = np.asarray(cv2.erode(np.pad(seen, 1).astype(np.uint8), np.ones((5, 5), np.uint8)))[1:-1, 1:-1] == 0

    def whole(rows: Array, columns: Array) -> bool:
        return not rim[rows % height, columns % width].any()

    kept = tuple(m for m in separation.motifs if whole(m.piece.rows, m.piece.columns))
    return replace(separation, motifs=kept)


def _motif(swatch: MeanCell, separation: Separation, findings: list[Finding]) -> Motif:
    motifs = separation.motifs
    if separation.packed:
        return Motif(correlation_length_mm=correlation_length(swatch))
    findings.append(finding("motif-at-least"))
    return Motif(
        width_mm=motifs[0].box_mm[2],
        height_mm=motifs[0].box_mm[3],
        cover=separation.cover,
        gap_mm=typical_gap(swatch, separation) if len(motifs) > 1 else None,
        typical_mm=float(np.median([m.longest_mm for m in motifs])),
    )
