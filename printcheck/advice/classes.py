"""Classes of a print: how large, how busy, and of what kind."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from printcheck.core.measurement import Motif, PrintFacts, Repeat, SizeClass

if TYPE_CHECKING:
    from collections.abc import Callable

SMALL_MM = 12.7  # 1/2 in and under (Kight, A Field Guide to Fabric Design, p. 26)
LARGE_MM = 101.6  # over 4 in (the same page)
ROUNDING_MM = 0.005  # so that 12.7 mm measured as 12.7000001 is still 12.7
CROWDED_GAP = 0.35  # gaps below this share of the motif leave no ground to rest the eye on
CROWDED_COVER = 0.5


def is_plain(repeat: Repeat, facts: PrintFacts) -> bool:
    """Whether the cloth has no print."""
    return not repeat.basis_mm and facts.direction.rule == "plain"


def deciding_size_mm(repeat: Repeat, motif: Motif) -> float | None:
    """Length by which a print is small, medium or large: its largest motif, else its repeat, in mm."""
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


def is_busy(repeat: Repeat, facts: PrintFacts) -> bool:
    """Whether little ground shows: a packed print, or motifs close together."""
    motif = facts.motif
    if facts.stripe_or_check is not None or not repeat.basis_mm:
        return False
    if motif.cover is None:
        return motif.correlation_length_mm is not None
    gap = motif.gap_mm if motif.gap_mm is not None else 0.0
    return motif.cover >= CROWDED_COVER or gap <= CROWDED_GAP * (motif.typical_mm or 0.0)


def _family(*names: str) -> Callable[[Repeat, PrintFacts], bool]:
    return lambda _, facts: facts.stripe_or_check is not None and facts.stripe_or_check.family in names


KINDS: tuple[tuple[SizeClass, Callable[[Repeat, PrintFacts], bool]], ...] = (
    ("busy", is_busy),
    ("directional", lambda _, facts: facts.direction.way == "one-way"),
    ("stripe", _family("stripe")),
    ("check", _family("check", "plaid")),
)


def _sizes(repeat: Repeat, motif: Motif) -> tuple[SizeClass, ...]:
    """Word for the size; of a print that runs beyond the photo only what is surely large is said to be."""
    size = deciding_size_mm(repeat, motif)
    if size is None:
        return ()
    word = size_class(size)
    bound = repeat.kind == "beyond-photo" and motif.width_mm is None
    return () if bound and word != "large" else (word,)


def classes_of(repeat: Repeat, facts: PrintFacts) -> tuple[SizeClass, ...]:
    """Return all classes of the print; ``("plain",)`` where there is none."""
    if is_plain(repeat, facts):
        return ("plain",)
    return _sizes(repeat, facts.motif) + tuple(name for name, applies in KINDS if applies(repeat, facts))
