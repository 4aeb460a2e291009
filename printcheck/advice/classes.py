"""Classes of a print: how large, how busy, and of what kind."""

from __future__ import annotations

import math

from printcheck.advice.case import SPACED, Case
from printcheck.core.measurement import SizeClass

SMALL_MM = 12.7  # 1/2 in and under (Kight, A Field Guide to Fabric Design, p. 26)
LARGE_MM = 101.6  # over 4 in (the same page)
ROUNDING_MM = 0.005  # so that 12.7 mm measured as 12.7000001 is still 12.7
BUSY_COVER = 0.5  # share of the cloth that is figure, from which a print is busy (common practice)
BUSY_GAP = 1 / 3  # of the motif: narrower gaps leave no ground to rest the eye on (common practice)


def deciding_size_mm(case: Case) -> float | None:
    """Length by which a print is small, medium or large: its largest motif, else its repeat, in mm."""
    motif, repeat = case.facts.motif, case.repeat
    if case.plain:
        return None
    if motif.width_mm is not None and motif.height_mm is not None:
        return max(motif.width_mm, motif.height_mm)
    lattice = repeat.lattice
    if lattice is None:
        return repeat.at_least_mm
    return max(math.hypot(a, b) for a, b in lattice.reduced().basis_mm)


def size_class(size_mm: float) -> SizeClass:
    """Return the trade's word for a motif of this size.

    Examples
    --------
    >>> [size_class(mm) for mm in (12.7, 12.8, 101.6, 101.7)]
    ['small', 'medium', 'medium', 'large']
    """
    if size_mm <= SMALL_MM + ROUNDING_MM:
        return "small"
    return "medium" if size_mm <= LARGE_MM + ROUNDING_MM else "large"


def is_busy(case: Case) -> bool:
    """Whether little ground shows, in clear colours: never a stripe, a two-tone check or tone on tone.

    Nor where the ground is most of the cloth, however near two figures of a bunch are to each other.
    """
    if case.plain or case.build != "figures" or case.contrast_low or case.dots or case.net:
        return False
    structure, motif = case.facts.structure, case.facts.motif
    if structure is not None and not SPACED <= structure.cover <= BUSY_COVER:
        return structure.cover > BUSY_COVER
    return motif.gap_mm is not None and motif.gap_mm < BUSY_GAP * (motif.typical_mm or 0.0)


def _size(case: Case) -> tuple[SizeClass, ...]:
    """Word for the size; of a print that runs beyond the photo only what is surely large is said to be."""
    size = deciding_size_mm(case)
    if size is None:
        return ()
    word = size_class(size)
    bound = case.repeat.kind == "beyond-photo" and case.facts.motif.width_mm is None
    return () if bound and word != "large" else (word,)


def classes_of(case: Case) -> tuple[SizeClass, ...]:
    """Return all classes of the print; ``("plain",)`` where there is none."""
    if case.plain:
        return ("plain",)
    kinds: tuple[tuple[SizeClass, bool], ...] = (
        ("busy", is_busy(case)),
        ("directional", case.one_way),
        ("stripe", case.build == "stripe"),
        ("check", case.build in ("crossed", "squares")),
    )
    return _size(case) + tuple(name for name, applies in kinds if applies)
