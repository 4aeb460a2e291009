"""The sentence and the remedy of every finding, in the reader's units, and of every reason.

Those of findings stand in the table of :mod:`printcheck.core.findings`. A gap such as ``{miss_mm:size}``
takes the value of that name; after the colon stands how it is said: ``size`` and ``buy`` in the reader's
units, ``exact`` in millimetres to the tenth in both (what somebody reads off a rule), ``count width`` as
"1 width" or "3 widths", anything else as Python formats it.
"""

from __future__ import annotations

import string
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import msgspec

from printcheck.core.findings import REMARKS, Finding
from printcheck.core.measurement import Reason
from printcheck.core.units import UnitSystem, format_buy
from printcheck.report.words.content import Said, Section
from printcheck.report.words.quantities import size

SEVERITY_WORDS = {"note": "Note", "caution": "Take care", "warning": "Warning"}
SEVERITY_ORDER = ("warning", "caution", "note")
WHY = msgspec.toml.decode(Path(__file__).with_name("reasons.toml").read_bytes(), type=dict[str, Said])
COUNT = "count "
LENGTHS: dict[str, Callable[[float, UnitSystem], str]] = {
    "size": size,
    "buy": format_buy,
    "exact": lambda mm, _: f"{mm:.1f} mm",
}


class _InUnits(string.Formatter):
    """Fills the gaps of a sentence, its lengths in the reader's units."""

    def __init__(self, units: UnitSystem) -> None:
        self.units = units

    def get_value(self, key: int | str, args: Sequence[object], kwargs: Mapping[str, object]) -> object:
        name = str(key)
        if name.endswith("_mm") and name not in kwargs:  # a photo without a scale
            return f"{kwargs[name.removesuffix('mm') + 'px']:.0f} px"
        return kwargs[name]

    def format_field(self, value: object, format_spec: str) -> str:
        if format_spec in LENGTHS:
            return LENGTHS[format_spec](value, self.units) if isinstance(value, (int, float)) else str(value)
        if format_spec.startswith(COUNT):
            return f"{value} {format_spec.removeprefix(COUNT)}{'' if value == 1 else 's'}"
        return format(value, format_spec)


def said(found: Finding, units: UnitSystem = "metric") -> Said:
    """Sentence and remedy of a finding.

    Examples
    --------
    >>> from printcheck.core.findings import finding
    >>> said(finding("place-cannot-be-met", first="a", second="b", miss_mm=25.4), "imperial").remedy
    'Move one of the two places by 1 in, or drop it.'
    """
    filled = _InUnits(units)
    try:
        known = REMARKS[found.code]
        text, remedy = (filled.vformat(words, (), found.values) for words in (known.text, known.remedy))
    except (KeyError, ValueError, TypeError):  # read from the file of another version
        return Said(f"{found.code}.", "")
    return Said(text, remedy)


def why(reason: Reason) -> Said:
    """Why a print is easy or hard, and what to do; a reason of another version's file is told by its code."""
    return WHY.get(reason.code, Said(f"{reason.code}.", ""))


def remarks(findings: tuple[Finding, ...], units: UnitSystem = "metric") -> Section:
    """Part that says every finding once, the gravest first."""
    unique = dict.fromkeys(findings)
    ordered = sorted(unique, key=lambda f: SEVERITY_ORDER.index(f.severity))
    words = [(SEVERITY_WORDS[f.severity], said(f, units)) for f in ordered]
    points = tuple(f"{severity}: {s.text} {s.remedy}".strip() for severity, s in words)
    return Section("Remarks", points=points)


def safety_remarks(findings: tuple[Finding, ...]) -> list[str]:
    """What is to be heeded wherever the project goes, each in one line."""
    words = [said(f) for f in findings if f.code.endswith("-rules")]
    return [f"{s.text} {s.remedy}" for s in words]
