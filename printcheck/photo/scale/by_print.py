"""Scale from one size of the print itself, said in words: its repeat, or its largest motif."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.core.measurement import Scale
from printcheck.core.request import MotifIs, RepeatIs
from printcheck.core.results.lengths import facts_at, rescaled
from printcheck.core.system.limits import check_scale

if TYPE_CHECKING:
    from printcheck.core.measurement import PrintFacts, Repeat

STATED_MM = 0.5  # one sigma of a size read off a bolt or a mill's sheet: told in whole millimetres
MOTIF_ERROR = 0.03  # share: where a motif ends, a person and a picture agree no better; own drawings

_Read = tuple["FlatCloth", "PrintLattice", "MeanCell | None", "PrintFacts"]


def scaled_by_print(
    told: RepeatIs | MotifIs,
    cloth: FlatCloth,
    lattice: PrintLattice,
    cell: MeanCell | None,
    facts: PrintFacts,
) -> _Read:
    """The same with the scale at which the print has the size that was told.

    Raises
    ------
    NoAnswerError
        If the photo shows no repeat, or no motif, that could have that size.
    InputError
        If with that size the photo would have a scale outside the limits.
    """
    seen = _repeat_mm(lattice.repeat) if isinstance(told, RepeatIs) else _motif_mm(facts)
    what = "repeat" if isinstance(told, RepeatIs) else "motif"
    if seen is None:
        raise NoAnswerError(
            f"no-{what}-to-scale-by",
            f"{cloth.photo.file}: no {what} was found that could be {told.length_mm:g} mm.",
            "Lay a bank card on the cloth and photograph it again, or give --photo-width.",
        )
    factor = told.length_mm / seen
    check_scale(cloth.scale.mm_per_px * factor, f"--{what}-is")
    error = MOTIF_ERROR
    if lattice.repeat.basis_mm and isinstance(told, RepeatIs):
        error = (lattice.repeat.error_mm or 0.0) / max(math.hypot(*v) for v in lattice.repeat.basis_mm)
    error = math.hypot(error, STATED_MM / told.length_mm)
    scale = Scale(
        "given", cloth.scale.mm_per_px * factor, error, object=f"the {what}, stated as {told.length_mm:g} mm"
    )
    repeat = rescaled(lattice.repeat, factor)
    if repeat.basis_mm:
        repeat = replace(repeat, error_mm=error * max(math.hypot(*v) for v in repeat.basis_mm))
    scaled = replace(cloth, mm_per_px=cloth.mm_per_px * factor, scale=scale, scale_known=True)
    return scaled, replace(lattice, repeat=repeat), rescaled(cell, factor), facts_at(facts, factor)


def _repeat_mm(repeat: Repeat) -> float | None:
    lengths = (repeat.along_mm, repeat.across_mm, *(math.hypot(*vector) for vector in repeat.basis_mm[:1]))
    return next((mm for mm in lengths if mm is not None), None)


def _motif_mm(facts: PrintFacts) -> float | None:
    return max((mm for mm in (facts.motif.width_mm, facts.motif.height_mm) if mm is not None), default=None)
