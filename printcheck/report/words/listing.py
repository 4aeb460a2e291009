"""A measured print in two or three sentences, as a seller pastes them into a listing."""

from __future__ import annotations

from printcheck.core.measurement import Measurement
from printcheck.core.units import UnitSystem, format_buy
from printcheck.report.words.content import TABLES
from printcheck.report.words.headline import kind_of_print
from printcheck.report.words.quantities import short, together
from printcheck.report.words.verdicts import lies_one_way

MATCH_WORDS, STRIPE_WORDS = TABLES["listing-match"], TABLES["listing-match-stripes"]
ONE_WAY_WORDS = "lay all pieces one way"
NOTHING_MM = 0.5  # less is no cloth that a shop cuts


def matching_of(m: Measurement) -> str:
    """Word for programs of what to match: a key of MATCH_WORDS."""
    if any(f.code == "match-by-size" for f in m.findings):
        return "by-size"
    beyond = m.repeat.kind == "beyond-photo" and not m.repeat.border and m.seams.needs != "none"
    return "find-repeat" if beyond else m.seams.needs


def match_in_short(m: Measurement) -> str:
    """Advice in a few words: what to match, and whether all pieces lie one way."""
    matching = matching_of(m)
    table = {**MATCH_WORDS, **STRIPE_WORDS} if "stripe" in m.classes else MATCH_WORDS
    told = m.direction.decided or m.stripe_or_check is not None
    return f"{table[matching]}, {ONE_WAY_WORDS}" if told and lies_one_way(m) else table[matching]


def repeat_in_short(m: Measurement, units: UnitSystem) -> str:
    """Repeat and layout, such as ``24.0 cm x 18.0 cm half-drop``; sizes only where they are known."""
    repeat = m.repeat
    if not repeat.known:
        return "not in the photo" if repeat.kind == "beyond-photo" else ""
    sides = [mm for mm in (repeat.across_mm, repeat.along_mm) if mm is not None]
    lengths = " x ".join(together(sides, units, repeat.error_mm))
    return " ".join(filter(None, (lengths, "" if repeat.layout == "none" else repeat.layout)))


def listing_text(
    m: Measurement, units: UnitSystem = "metric", *, kind: str = "", extra_mm: float | None = None
) -> str:
    """Two or three sentences to paste.

    Parameters
    ----------
    m : Measurement
    units : {"metric", "imperial"}
    kind : str, keyword-only
        Built-in project that was planned on the print, such as ``"dress"``.
    extra_mm : float or None, keyword-only
        What matching adds to it, to buy.
    """
    name = kind_of_print(m)
    parts = [name[:1].upper() + name[1:], _size(m, units)]
    if m.direction.decided and "plain" not in m.classes:
        up = "has an up" if m.direction.way == "one-way" and m.stripe_or_check is None else ""
        parts.append(up if lies_one_way(m) else "has no up")
    advice = match_in_short(m)
    sentences = [", ".join(filter(None, parts)), advice[:1].upper() + advice[1:]]
    if kind and extra_mm is not None:
        more = "nothing" if extra_mm < NOTHING_MM else format_buy(extra_mm, units)
        sentences.append(f"For the {kind.replace('-', ' ')} add {more}")
    return " ".join(f"{sentence}." for sentence in sentences)


def _size(m: Measurement, units: UnitSystem) -> str:
    bars = m.stripe_or_check
    if bars is not None and bars.gingham_mm is not None:
        return f"{short(bars.gingham_mm, units, m.repeat.error_mm)} squares"
    sides = [mm for mm in (m.repeat.across_mm, m.repeat.along_mm) if mm is not None]
    return f"repeat {' by '.join(together(sides, units, m.repeat.error_mm))}" if sides else ""
