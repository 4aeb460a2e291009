"""The judgement of one print: classes, what a seam shows, and how hard it is to sew with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from printcheck.advice.classes import classes_of, deciding_size_mm, is_plain
from printcheck.advice.difficulty import Case, difficulty_of
from printcheck.core.measurement import Judgement, PrintFacts, Repeat, SeamsSeen

if TYPE_CHECKING:
    from printcheck.core.handover import MeanCell


def judge(
    repeat: Repeat, facts: PrintFacts, cell: MeanCell | None, *, viewing_distance_m: float = 1.5
) -> Judgement:
    """Judge a print from what was measured of it.

    Parameters
    ----------
    repeat : Repeat
    facts : PrintFacts
    cell : MeanCell or None
        None where the print has no known repeat.
    viewing_distance_m : float, keyword-only
        From where seams are looked at.

    Returns
    -------
    Judgement
    """
    seams = _seams(repeat, facts, cell, viewing_distance_m)
    case = Case(repeat, facts, seams, deciding_size_mm(repeat, facts.motif))
    return Judgement(classes_of(repeat, facts), seams, difficulty_of(case))


def _seams(repeat: Repeat, facts: PrintFacts, cell: MeanCell | None, distance_m: float) -> SeamsSeen:
    if cell is not None:
        from printcheck.advice.visibility import seams_of

        return seams_of(cell, stripe=repeat.kind == "stripe", viewing_distance_m=distance_m)
    if is_plain(repeat, facts):
        return SeamsSeen(0.0, 0.0, distance_m, "unseen", "none")
    from printcheck.advice.visibility import loose_seams

    beyond = repeat.kind == "beyond-photo"
    return loose_seams(facts.swatch, viewing_distance_m=distance_m, repeats=beyond)
