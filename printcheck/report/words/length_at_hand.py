"""What is said of a length at hand (does it do, what to give up), and of cloths side by side."""

from __future__ import annotations

from printcheck.core.errors import listed
from printcheck.core.results.comparisons import Comparison, GiveUp, Have, KindsAtHand
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import TABLES, Content, Row, Section, shown_name, table_of
from printcheck.report.words.quantities import buy, money, percent, tape, tape_or_dash

HARD_TO_SEW = {"easy": "easy", "care": "with care", "hard": "hard"}

GIVEN_UP = TABLES["given-up"]


def answers(have: Have | None, units: UnitSystem) -> tuple[Row, ...]:
    """The answer for someone who has that much cloth already."""
    if have is None:
        return ()
    at_hand, needs = tape(have.length_mm, units), tape(have.needs_mm, units)
    if have.does:
        left = tape(have.left_over_mm or 0.0, units)
        return (Row("Is it enough?", f"Yes: it takes {needs} of the {at_hand}, and {left} is left over."),)
    first = next((way for way in have.give_up if way.does), None)
    text = f"No: it takes {needs}, {tape(have.needs_mm - have.length_mm, units)} more than the {at_hand}."
    if first is None:
        return (Row("Is it enough?", f"{text} Nothing here that could be given up makes up for it."),)
    return (Row("Is it enough?", f"{text} What would show least: {_words(first, units)}."),)


def section(have: Have | None, units: UnitSystem) -> Section:
    """Everything that may be given up, what shows least first."""
    title = "What could be given up"
    if have is None or not have.give_up:
        return Section(title)
    columns = (
        ("Given up", "", lambda way: _words(way, units)),
        ("Takes", "needs_mm", lambda way: tape(way.needs_mm, units)),
        ("Is it enough?", "", lambda way: "yes" if way.does else "no"),
    )
    caption = "What shows least first; lengths before washing."
    return Section(title, tables=table_of(caption, columns, have.give_up, "have.give_up"))


def _words(way: GiveUp, units: UnitSystem) -> str:
    return GIVEN_UP[way.what].format(pieces=way.pieces, by=tape(way.by_mm or 0.0, units))


def kinds(found: KindsAtHand, units: UnitSystem) -> Content:
    """Which built-in projects a length at hand does for."""
    doing = [row for row in found.kinds if row.does]
    at_hand = tape(found.have_mm, units)
    wide = tape(found.width_mm, units)
    text = (
        f"{len(doing)} of {len(found.kinds)} built-in projects, in their usual sizes, on cloth {wide} wide."
    )
    no = {True: "no, the cloth is too narrow", False: "no"}
    columns = (
        ("Project", "", lambda row: row.title),
        ("Takes", "needs_mm", lambda row: tape_or_dash(row.needs_mm, units)),
        ("Left over", "left_over_mm", lambda row: tape_or_dash(row.left_over_mm, units)),
        ("Is it enough?", "", lambda row: "yes" if row.does else no[row.needs_mm is None]),
    )
    caption = "Those that leave least over first; lengths before washing."
    section = Section("The projects", tables=table_of(caption, columns, found.kinds, "kinds"))
    return Content(f"What {at_hand} is enough for", (Row("Enough for", text),), (section,))


def comparison(found: Comparison, units: UnitSystem) -> Content:
    """Several cloths for one project, side by side."""
    least = min(found.cloths, key=lambda cloth: (cloth.advised_mm, cloth.waste_share))
    alike = [shown_name(cloth.file) for cloth in found.cloths if cloth.advised_mm == least.advised_mm]
    text = f"{listed(alike)}: {buy(least.advised_mm, units)}{' each' if len(alike) > 1 else ''}."
    columns = (
        ("Cloth", "", lambda cloth: shown_name(cloth.file)),
        ("Print", "", lambda cloth: cloth.print),
        ("To sew", "", lambda cloth: HARD_TO_SEW.get(cloth.difficulty or "", "-")),
        ("Buy", "advised_mm", lambda cloth: buy(cloth.advised_mm, units)),
        ("Unmatched", "unmatched_mm", lambda cloth: buy(cloth.unmatched_mm, units)),
        ("Cost", "cost", lambda cloth: money(cloth.cost, found.currency)),
        ("Waste", "", lambda cloth: percent(cloth.waste_share)),
    )
    tables = table_of("The same project on each cloth.", columns, found.cloths, "cloths")
    title = f"Cloths for {shown_name(found.project)}"
    return Content(title, (Row("Takes least", text),), (Section("Side by side", tables=tables),))
