"""The judgement of one print: its name and classes, what its seams need, and how hard it is to sew with."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from printcheck.advice.case import Case
from printcheck.advice.classes import classes_of
from printcheck.advice.difficulty import difficulty_of
from printcheck.advice.matching import match_of, places_of
from printcheck.advice.names import name_of
from printcheck.core.measurement import Judgement, PrintFacts, Repeat, SeamsSeen

if TYPE_CHECKING:
    from printcheck.advice.visibility import Waves
    from printcheck.core.handover import MeanCell


def judge(
    repeat: Repeat,
    facts: PrintFacts,
    cell: MeanCell | Waves | None,
    *,
    viewing_distance_m: float = 1.5,
) -> Judgement:
    """Judge a print from what was measured of it.

    Parameters
    ----------
    repeat : Repeat
    facts : PrintFacts
    cell : MeanCell, Waves or None
        Its cell, or the waves of what is seen of it; None where the print has no known repeat.
    viewing_distance_m : float, keyword-only
        From where seams are looked at.

    Returns
    -------
    Judgement

    Notes
    -----
    First what the eye can see at that distance (contrast sensitivity, vernier acuity, structure function),
    then what the trade matches of it (``matching.MATCHES``). Names, classes and difficulty are tables too.
    """
    case = Case(repeat, facts)
    seen = _seen(case, cell, viewing_distance_m)
    if seen.verdict != "unseen" and seen.mismatch_delta_e:
        case = replace(case, delta_e=seen.mismatch_delta_e)
    case = replace(case, pattern_delta_e=seen.pattern_delta_e or 0.0)
    match = match_of(case)
    needs = "none" if seen.verdict == "unseen" else match.needs
    verdict = "slight" if seen.verdict == "plain-to-see" and needs == "none" else seen.verdict
    seams = replace(seen, verdict=verdict, needs=needs, places=places_of(match) if needs != "none" else ())
    return Judgement(classes_of(case), seams, difficulty_of(case, needs), print_name=name_of(case))


def _seen(case: Case, cell: MeanCell | Waves | None, distance_m: float) -> SeamsSeen:
    """What an unmatched seam shows, before anyone asks whether it matters."""
    if case.plain:
        return SeamsSeen(0.0, 0.0, distance_m, "unseen", "none")
    waves = shown_waves(case.facts, cell)
    if waves is None:
        return SeamsSeen(0.0, 0.0, distance_m, "slight", "none")
    from printcheck.advice.visibility import seams_of

    return seams_of(
        waves,
        stripe=case.repeat.kind == "stripe",
        lines=case.build != "figures" or case.in_order,
        viewing_distance_m=distance_m,
    )


def shown_waves(facts: PrintFacts, cell: MeanCell | Waves | None) -> Waves | None:
    """Waves of the print's cell, or of its picture where there is none; None where there is neither."""
    from printcheck.advice.visibility import Waves, waves_of

    if cell is None:
        return None if facts.swatch is None else waves_of(facts.swatch, periodic=False)
    return cell if isinstance(cell, Waves) else waves_of(cell)
