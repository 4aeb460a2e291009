"""What can be said of a picture without a known repeat: plain cloth, or a print seen in part."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np

from printcheck.core.findings import Finding, finding
from printcheck.core.handover import FlatCloth, MeanCell
from printcheck.core.measurement import DECIDED, Direction, Motif, PrintFacts, Repeat
from printcheck.motif.build.colours import colours_of
from printcheck.motif.build.structure import structure_of
from printcheck.motif.cell.shading import evened
from printcheck.motif.cv_types import Array, Bools, blurred, lab_of, resized
from printcheck.motif.figures.clump import clump_of
from printcheck.motif.figures.segmentation import Separation, separate
from printcheck.motif.figures.spacing import correlation_length, typical_gap
from printcheck.motif.way.direction import loose_direction

WORKING_SIDE = 400  # pixels: enough to tell print from plain and to see motifs
WEAVE_MM = 1.5  # finer structure is weave, never print
SHADE_MM = 40.0  # slower changes of lightness are light and folds
SHADE_SHARE = 0.25  # of the picture's shorter side, where that is less
TONE = 4.0  # CIELAB, spread of lightness: plain cloth reaches 2.2, sharply folded 6.3 (own drawings)
HUE = 3.0  # CIELAB, spread of hue: no shadow makes one; plain cloth reaches 2.8
SURELY = 2.0  # times these, a print even where the search for a repeat saw no contrast
SPREAD = (2.0, 98.0)  # per cent of the picture left out at each end
RIM = 0.03  # of each side of the picture
PLAIN_MARGIN = 1.0
BARS = Direction("two-way", 0.2, "bars have no heads")  # undecided: uneven ones have an up all the same


def loose_facts(cloth: FlatCloth, repeat: Repeat) -> PrintFacts:
    """Facts without a cell.

    The motifs wholly in view are measured, a lower bound for the print's largest; the way is read from them
    alone, else it is not told.
    """
    swatch, seen = swatch_of(cloth)
    if is_plain(swatch, seen, surely_no_repeat=repeat.kind == "none"):
        colours = colours_of(cloth, swatch, None)[:1]
        return PrintFacts(Motif(), Direction("two-way", PLAIN_MARGIN, "plain"), colours=colours)
    separated = separate(swatch)
    structure = structure_of(swatch, separated)
    separation = _uncut(separated, seen)
    barred = structure.build in ("stripe", "crossed", "squares")
    direction = BARS if barred else loose_direction(swatch, separation)
    # no surer than that without a repeat: the rest of the print may lie otherwise
    direction = replace(direction, margin=min(direction.margin, DECIDED))
    findings = [finding("way-unsure", way=direction.way) if direction.way else finding("way-unknown")]
    motif = _motif(swatch, separation, findings)
    colours = colours_of(cloth, swatch, structure.build)
    clump = clump_of(swatch, separated, periodic=False) if structure.build == "figures" else None
    return PrintFacts(
        motif,
        direction,
        clump=clump,
        findings=tuple(findings),
        colours=colours,
        structure=structure,
        swatch=swatch,
    )


def swatch_of(cloth: FlatCloth) -> tuple[MeanCell, Bools]:
    """The picture itself as if it were a cell, light evened out, and where cloth is seen.

    What is no cloth is filled with the middle colour.
    """
    height, width = cloth.mask.shape
    times = max(1.0, max(height, width) / WORKING_SIDE)
    size = (max(1, round(width / times)), max(1, round(height / times)))
    seen = np.asarray(cv2.erode(resized(cloth.mask.astype(np.uint8) * 255, *size), np.ones((3, 3)))) > 200
    bgr = evened(resized(cloth.bgr, *size).astype(np.float32), seen.astype(np.float32))
    lab = lab_of(bgr)
    if seen.any():
        lab[~seen] = np.median(lab[seen], axis=0)
    mm = cloth.mm_per_px * times
    return MeanCell(lab, np.diag([size[0] * mm, size[1] * mm]), float("nan"), 1.0, mm), seen


def is_plain(swatch: MeanCell, seen: Bools, *, surely_no_repeat: bool) -> bool:
    """Whether the cloth shows no print: nothing between weave and slow shading stands out.

    The picture's rim does not count, where a frame or the table shows. Light that falls off towards the sides
    changes over as much of the picture, however near it was taken; a print has edges besides.
    """
    seen = seen & _inner(seen.shape)
    if not seen.any():
        return True
    shade = min(SHADE_MM, SHADE_SHARE * float(np.diag(swatch.basis_mm).min()))
    fine, slow = (_smooth(swatch.lab, seen, size / swatch.px_mm / 2) for size in (WEAVE_MM, shade))
    rest = (fine - slow)[seen]
    tone, red, yellow = (float(np.ptp(np.percentile(v, SPREAD))) for v in rest.T)
    print_like = max(tone / TONE, math.hypot(red, yellow) / HUE)
    return print_like < (SURELY if surely_no_repeat else 1.0)


def _inner(shape: tuple[int, ...]) -> Bools:
    inner = np.zeros(shape, bool)
    top, left = (math.ceil(RIM * side) for side in shape)
    inner[top : shape[0] - top, left : shape[1] - left] = True
    return inner


def _smooth(lab: Array, seen: Bools, sigma: float) -> Array:
    weight = seen.astype(np.float32)
    sigma = min(max(sigma, 0.5), WORKING_SIDE / 4)
    known = np.maximum(blurred(weight, sigma), 1e-3)[..., None]
    smooth: Array = blurred(lab * weight[..., None], sigma) / known
    return smooth


def _uncut(separation: Separation, seen: Bools) -> Separation:
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
