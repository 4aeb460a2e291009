"""What is said of a length at hand (does it do, what to give up), and of cloths side by side."""

from __future__ import annotations

from printcheck.core.results.comparisons import Comparison, GiveUp, Have, KindsAtHand
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import Content, Row, Section, Table, shown_name
from printcheck.report.words.quantities import buy, listed, money, percent, tape

HARD_TO_SEW = {"easy": "easy", "care": "with care", "hard": "hard"}

GIVEN_UP = {
    "hidden seams": "Seams out of sight unmatched",
    "matching the sleeves": "{pieces} unmatched",
    "hidden pieces": "{pieces} from plain cloth",
    "matching": "No seam matched",
    "length": "{pieces} {by} shorter",
    "fullness": "Less fullness, each panel {by} narrower",
    "width": "{pieces} {by} narrower",
    "together": "All of these together",
}


def answers(have: Have | None, units: UnitSystem) -> tuple[Row, ...]:
    """The answer for someone who has that much cloth already."""
    if have is None:
        return ()
    at_hand, needs = tape(have.length_mm, units), tape(have.needs_mm, units)
    if have.does:
        left = tape(have.left_over_mm or 0.0, units)
        return (Row("Does it do?", f"Yes: it takes {needs} of the {at_hand}, and {left} is left over."),)
    first = next((way for way in have.give_up if way.does), None)
    text = f"No: it takes {needs}, {tape(have.needs_mm - have.length_mm, units)} more than the {at_hand}."
    if first is None:
        return (Row("Does it do?", f"{text} Nothing here that could be given up makes up for it."),)
    return (Row("Does it do?", f"{text} What would show least: {_words(first, units)}."),)


def section(have: Have | None, units: UnitSystem) -> Section:
    """Everything that may be given up, what shows least first."""
    title = "What could be given up"
    if have is None or not have.give_up:
        return Section(title)
    rows = tuple(
        (_words(way, units), tape(way.needs_mm, units), "yes" if way.does else "no") for way in have.give_up
    )
    keys = tuple(("", f"have.give_up.{n}.needs_mm", "") for n in range(len(rows)))
    caption = "What shows least first; lengths before washing."
    return Section(title, tables=(Table(caption, ("Given up", "Takes", "Does it do?"), rows, keys),))


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
    rows = tuple(
        (
            row.title,
            "-" if row.needs_mm is None else tape(row.needs_mm, units),
            "-" if row.left_over_mm is None else tape(row.left_over_mm, units),
            "yes" if row.does else "no" if row.needs_mm is not None else "no, the cloth is too narrow",
        )
        for row in found.kinds
    )
    keys = tuple(
        (
            "",
            "" if row.needs_mm is None else f"kinds.{n}.needs_mm",
            "" if row.left_over_mm is None else f"kinds.{n}.left_over_mm",
            "",
        )
        for n, row in enumerate(found.kinds)
    )
    caption = "Those that leave least over first; lengths before washing."
    table = Table(caption, ("Project", "Takes", "Left over", "Does it do?"), rows, keys)
    return Content(
        f"What {at_hand} is enough for",
        (Row("Enough for", text),),
        (Section("The projects", tables=(table,)),),
    )


def comparison(found: Comparison, units: UnitSystem) -> Content:
    """Several cloths for one project, side by side."""
    least = min(found.cloths, key=lambda cloth: (cloth.advised_mm, cloth.waste_share))
    alike = [shown_name(cloth.file) for cloth in found.cloths if cloth.advised_mm == least.advised_mm]
    text = f"{listed(alike)}: {buy(least.advised_mm, units)}{' each' if len(alike) > 1 else ''}."
    rows = tuple(
        (
            shown_name(cloth.file),
            cloth.print,
            HARD_TO_SEW.get(cloth.difficulty or "", "-"),
            buy(cloth.advised_mm, units),
            buy(cloth.unmatched_mm, units),
            money(cloth.cost, found.currency),
            percent(cloth.waste_share),
        )
        for cloth in found.cloths
    )
    names = ("", "", "", "advised_mm", "unmatched_mm", "cost", "")
    keys = tuple(tuple(name and f"cloths.{n}.{name}" for name in names) for n in range(len(rows)))
    head = ("Cloth", "Print", "To sew", "Buy", "Unmatched", "Cost", "Waste")
    table = Table("The same project on each cloth.", head, rows, keys)
    return Content(
        f"Cloths for {shown_name(found.project)}",
        (Row("Takes least", text),),
        (Section("Side by side", tables=(table,)),),
    )
