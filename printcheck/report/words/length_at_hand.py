"""What is said of a length at hand: does it do, what is left over, and what to give up."""

from __future__ import annotations

from printcheck.core.plan import GiveUp, Have
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import Row, Section, Table
from printcheck.report.words.quantities import size

GIVEN_UP = {
    "hidden seams": "Seams out of sight unmatched",
    "hidden pieces": "{pieces} from plain cloth",
    "matching the sleeves": "{pieces} unmatched",
    "matching": "No seam matched",
    "length": "{pieces} {by} shorter",
    "width": "{pieces} {by} narrower",
}


def answers(have: Have | None, units: UnitSystem) -> tuple[Row, ...]:
    """The answer for someone who has that much cloth already."""
    if have is None:
        return ()
    at_hand, needs = size(have.length_mm, units), size(have.needs_mm, units)
    if have.does:
        left = size(have.left_over_mm or 0.0, units)
        return (Row("Does it do?", f"Yes: it takes {needs} of the {at_hand}, and {left} is left over."),)
    first = next((way for way in have.give_up if way.does), None)
    text = f"No: it takes {needs}, {size(have.needs_mm - have.length_mm, units)} more than the {at_hand}."
    if first is None:
        return (Row("Does it do?", f"{text} Nothing here that could be given up makes up for it."),)
    return (Row("Does it do?", f"{text} What would show least: {_words(first, units)}."),)


def section(have: Have | None, units: UnitSystem) -> Section:
    """Everything that may be given up, what shows least first."""
    title = "What could be given up"
    if have is None or not have.give_up:
        return Section(title)
    rows = tuple(
        (_words(way, units), size(way.needs_mm, units), "yes" if way.does else "no") for way in have.give_up
    )
    keys = tuple(("", f"have.give_up.{n}.needs_mm", "") for n in range(len(rows)))
    caption = "What shows least first; lengths before washing."
    return Section(title, tables=(Table(caption, ("Given up", "Takes", "Does it do?"), rows, keys),))


def _words(way: GiveUp, units: UnitSystem) -> str:
    return GIVEN_UP[way.what].format(pieces=way.pieces, by=size(way.by_mm or 0.0, units))
