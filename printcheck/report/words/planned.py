"""What is said of a length to buy, in plain words for someone who has never sewn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from printcheck.core.errors import listed
from printcheck.core.findings import Finding
from printcheck.core.lattice import Lattice
from printcheck.core.match_kinds import MATCH_KINDS
from printcheck.core.plan import CutLayout, LengthPlan, SeamResidual
from printcheck.core.results.comparisons import RuleOfThumb, WidthRow, Worth
from printcheck.core.units import UnitSystem
from printcheck.report.words import length_at_hand, steps
from printcheck.report.words.content import (
    TABLES,
    Content,
    Row,
    Section,
    Table,
    piece_name,
    shown_name,
    table_of,
)
from printcheck.report.words.findings import remarks, said
from printcheck.report.words.measured import LAYOUTS, WAYS
from printcheck.report.words.quantities import buy, money, percent, size, tape, tape_or_dash

LAYOUT_NAMES, SOURCES = TABLES["cutting-layout"], TABLES["source"]
PART_DROP = "drop: every next column is let down by a part of the repeat"
THUMB_SOURCE = "Lancaster Farming, 17 August 1968, p. 15"
NO_EXTRA_MM = 0.05  # less than a tenth of a millimetre is no extra length


def content(plan: LengthPlan, units: UnitSystem) -> Content:
    """Everything a report says of a length to buy, in the order it is read."""
    sections = (
        steps.section(plan, units),
        length_at_hand.section(plan.have, units),
        _lengths(plan, units),
        _worth(plan, units),
        _widths(plan, units),
        _cloth_and_print(plan, units),
        _seams(plan, units),
        remarks(tuple(_with_names(found, plan) for found in plan.findings), units),
    )
    title = f"The cloth for {shown_name(plan.project)}"
    return Content(
        title,
        (*length_at_hand.answers(plan.have, units), *_answers(plan, units)),
        tuple(filter(None, sections)),
    )


def _with_names(found: Finding, plan: LengthPlan) -> Finding:
    """The finding with its pieces as the steps name them."""
    pieces = sorted((step.piece for step in plan.steps), key=len, reverse=True)
    values = dict(found.values)
    for piece in pieces:
        said = piece_name(piece, pieces)
        values = {k: v.replace(piece, said) if isinstance(v, str) else v for k, v in values.items()}
    return replace(found, values=values)


def layouts(plan: LengthPlan) -> list[tuple[str, CutLayout]]:
    """The layouts there are, by the name of their JSON key."""
    found = (("plain", plan.plain), ("one_way", plan.one_way), ("matched", plan.matched))
    return [(key, layout) for key, layout in found if layout is not None]


def _answers(plan: LengthPlan, units: UnitSystem) -> tuple[Row, ...]:
    bought = plan.buy
    worth = () if plan.worth is None else (Row("Is it worth it?", _worth_it(plan.worth, units)),)
    advised = f"{buy(bought.advised_mm, units)}{_cost(bought.advised_cost, bought.currency)}"
    if plan.matched is None:
        return (
            Row("Buy", f"{advised}, without matching.", "buy.advised_mm"),
            Row(
                "Can it match?", "Not with every seam asked for: the remarks say which, and what would help."
            ),
        )
    text = (
        f"{tape(plan.start_allowance_mm, units)} of that: the shop's cut falls anywhere on the print, so the "
        f"first {PRINTED[plan.start.feature] if plan.start else 'motif'} may lie that far below it."
    )
    start = (Row("At the start", text, "start_allowance_mm"),) if plan.start_allowance_mm else ()
    # without a match the print may still set the way up, and where a motif comes to lie
    if not plan.seams or not plan.print.basis_mm:
        needless = plan.worth is not None and plan.worth.needs == "none" and bool(plan.worth.choices)
        why = "nothing in this print has to meet" if needless else "no seam is matched"
        return (Row("Buy", f"{advised}; {why}.", "buy.advised_mm"), *start, *worth)
    unmatched = f"{buy(bought.unmatched_mm, units)}{_cost(bought.unmatched_cost, bought.currency)}"
    return (
        Row("Buy", f"{advised}, for a print matched at the seams.", "buy.advised_mm"),
        *start,
        Row("Or", f"{unmatched}, if nothing is matched: {_extra(plan, units)}", "buy.unmatched_mm"),
        *worth,
    )


PRINTED = TABLES["first-printed"]


def _cost(amount: float | None, currency: str) -> str:
    return "" if amount is None else f" ({money(amount, currency)})"


def _extra(plan: LengthPlan, units: UnitSystem) -> str:
    """How much less that is, in what is bought."""
    bought = plan.buy
    less = bought.advised_mm - bought.unmatched_mm
    if less < NO_EXTRA_MM:
        return "no less, since the match fits into the cloth that is bought anyway."
    if bought.advised_cost is None or bought.unmatched_cost is None:
        return f"{buy(less, units)} less."
    saved = money(bought.advised_cost - bought.unmatched_cost, bought.currency)
    return f"{buy(less, units)} and {saved} less."


SHOWN = TABLES["left-unmatched"]


def _worth_it(worth: Worth, units: UnitSystem) -> str:
    """What matching every seam costs, beside what an unmatched one shows."""
    if not any(choice.seams_matched for choice in worth.choices):
        return "No seam asks for a match."
    by = {choice.match: choice.buy_mm for choice in worth.choices}
    every, none = by.get("all"), by.get("none")
    if every is None or none is None:
        return f"Not all seams can be matched on this cloth. {SHOWN[worth.needs or 'unknown']}"
    more = (
        f"takes {buy(every - none, units)} more to buy"
        if every > none
        else "needs no more cloth to be bought"
    )
    return f"Matching every seam {more}. {SHOWN[worth.needs or 'unknown']}"


def _lengths(plan: LengthPlan, units: UnitSystem) -> Section:
    bought = plan.buy
    rows, keys = [], []
    for key, layout in layouts(plan):
        rows.append((
            LAYOUT_NAMES[key], tape(layout.length_mm, units), buy(getattr(bought, f"{key}_mm"), units),
            money(getattr(bought, f"{key}_cost"), bought.currency), proof(layout, units),
        ))  # fmt: skip
        keys.append(("", f"{key}.length_mm", f"buy.{key}_mm", f"buy.{key}_cost", ""))
    head = ("Layout", "Cloth used", "Buy", "Cost", "Shortest?")
    caption = "Cloth used is after washing; what to buy allows for shrinkage and the shop's step."
    return Section(
        "Lengths and costs",
        rows=tuple(_beside_the_lengths(plan, units)),
        tables=(Table(caption, head, tuple(rows), tuple(keys)),),
    )


def rule_of_thumb(rule: RuleOfThumb) -> str:
    """The trade's rule in words, without a length: that is told once, from its number."""
    if rule.lengths is None:
        return "The print has no repeat along the cloth, so the rule of thumb adds nothing."
    if not rule.lengths:
        return "No seam is to be matched."
    each = "the one length cut" if rule.lengths == 1 else f"each of {rule.lengths} lengths cut"
    return f"One more repeat for {each} ({THUMB_SOURCE})."


def _beside_the_lengths(plan: LengthPlan, units: UnitSystem) -> Iterator[Row]:
    if plan.buy.worst_mm > plan.buy.advised_mm:
        worst = f"{buy(plan.buy.worst_mm, units)}{_cost(plan.buy.worst_cost, plan.buy.currency)}"
        why = ["the repeat is as far off as it may be"] if plan.repeat_error is not None else []
        if plan.start is not None and plan.start.tied and not plan.start_allowance_mm:
            why.append("the shop's cut falls badly on the print")
        yield Row("At worst", f"{worst}, if {listed(why)}.", "buy.worst_mm")
    thumb = f"{tape(plan.rule_of_thumb.extra_mm, units)} extra. {rule_of_thumb(plan.rule_of_thumb)}"
    yield Row("Rule of thumb", thumb, "rule_of_thumb.extra_mm")
    yield Row("Cut double", _double(plan, units), "double.buy_mm" if plan.double else "")
    if plan.repeat_error is not None:
        share, safe = percent(plan.repeat_error.share), plan.repeat_error.safe_mm
        if safe is None:
            yield Row("If the repeat is off", f"No one plan was found that holds for {share} either way.")
        else:
            text = f"By {share} either way, the same plan needs at most {tape(safe, units)}."
            yield Row("If the repeat is off", text, "repeat_error.safe_mm")
    if plan.figures is not None and plan.figures.touched:
        text = f"{plan.figures.cut} of the {plan.figures.touched} that lie on pieces"
        yield Row("Motifs cut", text, "figures.cut")


def _double(plan: LengthPlan, units: UnitSystem) -> str:
    """Whether the cloth may be folded, and what it takes then."""
    if plan.double is None:
        return "Cut in a single layer: not every piece fits on folded cloth."
    takes = f"folded selvedge to selvedge, pairs cut at once, it takes {buy(plan.double.buy_mm, units)}"
    tied = plan.start is not None and plan.start.tied
    if plan.matched is None or tied or (plan.seams and plan.print.basis_mm):
        return f"Matching asks for a single layer, for the lower one cannot be seen. Unmatched and {takes}."
    return f"{takes[0].upper()}{takes[1:]}."


CHOICE_TITLE = "Matching more or fewer seams"
CHOICES = TABLES["seams-matched"]


def _worth(plan: LengthPlan, units: UnitSystem) -> Section:
    """What it takes to match all seams, the visible ones, or none."""
    worth = plan.worth
    if worth is None:
        return Section(CHOICE_TITLE)
    columns = (
        ("Matched", "", lambda c: CHOICES[c.match]),
        ("Seams", "seams_matched", lambda c: str(c.seams_matched)),
        ("Cloth used", "length_mm", lambda c: tape_or_dash(c.length_mm, units)),
        ("Extra", "extra_mm", lambda c: tape_or_dash(c.extra_mm, units)),
        ("Buy", "buy_mm", lambda c: buy(c.buy_mm, units)),
        ("Cost", "cost", lambda c: money(c.cost, plan.buy.currency)),
    )
    tables = table_of("What each choice takes.", columns, worth.choices, "worth.choices")
    return Section(CHOICE_TITLE, tables=tables)


def _widths(plan: LengthPlan, units: UnitSystem) -> Section:
    """Other widths of the same cloth side by side."""
    columns = (
        ("Width", "width_mm", lambda w: tape(w.width_mm, units)),
        ("Not matched", "plain_mm", lambda w: tape_or_dash(w.plain_mm, units)),
        ("Matched", "matched_mm", lambda w: tape_or_dash(w.matched_mm, units)),
        ("Buy", "buy_mm", lambda w: buy(w.buy_mm, units)),
        ("Cost", "cost", lambda w: money(w.cost, plan.buy.currency)),
        ("Shortest?", "", lambda w: _width_note(w, units)),
    )
    caption = "The same project on other widths of the cloth."
    return Section("Other widths", tables=table_of(caption, columns, plan.widths, "widths"))


def _width_note(row: WidthRow, units: UnitSystem) -> str:
    if row.finding is not None:
        return said(row.finding, units).text
    return "yes, proved" if row.proved else "not proved"


def proof(layout: CutLayout, units: UnitSystem) -> str:
    """What is known of how much shorter a layout could be."""
    if layout.proved:
        return "yes, proved"
    return f"at least {tape(layout.bound_mm, units)}"


def _cloth_and_print(plan: LengthPlan, units: UnitSystem) -> Section:
    cloth, printed = plan.cloth, plan.print
    rows = [
        Row("Cloth width", tape(cloth.width_mm, units), "cloth.width_mm"),
        Row("Usable, washed", tape(cloth.usable_width_mm, units), "cloth.usable_width_mm"),
    ]
    if cloth.shrink_along or cloth.shrink_across:
        shrink = f"{percent(cloth.shrink_along)} along, {percent(cloth.shrink_across)} across"
        rows.append(Row("Shrinks by", shrink))
    if printed.basis_mm:
        rows.append(Row("Print repeats by", _steps(Lattice(printed.basis_mm), units)))
        rows.append(Row("How it repeats", LAYOUTS.get(printed.layout, PART_DROP)))
        rows.append(Row("Which way up", WAYS[printed.way]))
    rows.append(Row("Print taken from", SOURCES.get(printed.source, printed.source)))
    return Section("The cloth and its print", rows=tuple(rows))


def _steps(lattice: Lattice, units: UnitSystem) -> str:
    steps = [
        f"{size(mm, units)} {way}"
        for way, mm in (("across", lattice.shortest_along_axis(0)), ("along", lattice.shortest_along_axis(1)))
        if mm is not None
    ]
    return f"{listed(steps) or 'a slant'}, after washing"


def _seams(plan: LengthPlan, units: UnitSystem) -> Section:
    columns = (
        ("Notch", "", lambda n: f"{n + 1}  {seam_name(plan, plan.seams[n])}"),
        ("Match", "", lambda n: MATCH_KINDS[plan.seams[n].match].words),
        ("Off by", "residual_mm", lambda n: _residual(plan.seams[n], units)),
    )
    caption = "The notches that meet, by their numbers, and how far each seam of the layout is from a match."
    return Section("Seams", tables=table_of(caption, columns, range(len(plan.seams)), "seams"))


def seam_name(plan: LengthPlan, seam: SeamResidual) -> str:
    """The two pieces a seam joins, under their letters."""
    letters = {step.piece: step.letter for step in plan.steps}
    names = (f"{letters.get(end.piece, '')} {piece_name(end.piece, letters, 24)}" for end in seam.join)
    return " to ".join(name.strip() for name in names)


def _residual(seam: SeamResidual, units: UnitSystem) -> str:
    return "cannot be met" if seam.residual_mm is None else size(seam.residual_mm, units)
