"""Cutting in steps: what is done at the table, in the order it is done, with every measure it takes."""

from __future__ import annotations

from collections.abc import Iterator

from printcheck.core.errors import listed
from printcheck.core.lattice import Lattice
from printcheck.core.match_kinds import MATCH_KINDS, sideways
from printcheck.core.plan import CuttingStep, LengthPlan, PrintStart, StepMatch
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import TABLES, Section, piece_name
from printcheck.report.words.quantities import percent, tape

TITLE = "Cutting, step by step"
AT_EDGE_MM = 0.05  # nearer, a piece lies at the edge
WORTH_SAYING_MM = 10.0  # less room to move than a finger's breadth is not said
ON_FOLD = " Its paper is half: mark round it, turn it over along its fold line, and mark the other half."
FEATURES, AGAIN = TABLES["feature"], TABLES["feature-again"]


def section(plan: LengthPlan, units: UnitSystem) -> Section:
    """Numbered steps of a plan; nothing where it holds none."""
    if not plan.steps:
        return Section(TITLE)
    return Section(TITLE, steps=(*_before(plan, units), *_pieces(plan, units), *_after(plan, units)))


def _before(plan: LengthPlan, units: UnitSystem) -> Iterator[str]:
    shares = ((plan.cloth.shrink_along, "along"), (plan.cloth.shrink_across, "across"))
    shrink = [f"{percent(share)} {way}" for share, way in shares if share]
    loses = f" It is reckoned to lose {listed(shrink)}." if shrink else ""
    wash = "Wash and dry the cloth as you will wash what you sew, and press it."
    yield f"{wash}{loses} All measures below are on washed cloth."
    yield (
        "Lay it in a single layer, right side up, one end before you at the top and a selvedge at your left. "
        "Do not fold it: the print of the lower layer cannot be seen, and each piece has a place of its own."
    )
    if plan.print.way == "one-way" and plan.print.basis_mm and not any(s.crosswise for s in plan.steps):
        yield "All pieces lie one way up: lay the cloth with its print upright, the top towards the cut end."
    yield from _start(plan, units)


def _start(plan: LengthPlan, units: UnitSystem) -> Iterator[str]:
    square = "Square the cut end: draw a line at right angles to the selvedge and cut along it"
    measured = "Measure along from this line, and across from the outer edge of the left selvedge."
    start = plan.start
    if start is None:
        free = " It may fall anywhere on the print." if plan.print.basis_mm and plan.matched else ""
        yield f"{square}.{free} {measured}"
        return
    across, along = start.at_mm
    yield f"Choose {FEATURES[start.feature]}{_near(across, plan, units)}. {_why(start, plan)}".strip()
    above = "" if along is None else f", {tape(along, units)} above the middle of {AGAIN[start.feature]}"
    yield f"{square}{above}. {measured}"
    if across is not None and start.column_mm:
        yield _follow(start, units)


def _near(across: float | None, plan: LengthPlan, units: UnitSystem) -> str:
    if across is None:
        return ""
    return f", its middle about {tape(across + plan.cloth.selvedge_mm, units)} from the left edge"


def _why(start: PrintStart, plan: LengthPlan) -> str:
    if start.tied:
        return "Pieces are laid by it."
    figures = plan.figures
    return f"So the fewest are cut: {figures.cut} of {figures.touched}." if figures is not None else ""


def _follow(start: PrintStart, units: UnitSystem) -> str:
    """What to do where the cloth has its print elsewhere, as it will."""
    ways = zip(start.slide_mm, ("left", "right"), strict=True)
    room = [f"{tape(mm, units)} to the {way}" for mm, way in ways if mm > AT_EDGE_MM]
    again = AGAIN[start.feature]
    text = f"Where {again} lies farther left or right, move every piece by as much, all together"
    if sum(start.slide_mm) >= start.column_mm:
        return f"{text}: there is room for {listed(room)}, a whole column of the print."
    has = f"There is room for only {listed(room)}" if room else "There is no room for that"
    column = f"the print's columns are {tape(start.column_mm, units)} apart"
    return f"{text}. {has}, and {column}: lay out every piece before you cut any."


def _pieces(plan: LengthPlan, units: UnitSystem) -> Iterator[str]:
    letters = {step.piece: step.letter for step in plan.steps}
    first_free = next((i for i, step in enumerate(plan.steps) if step.free), 0)
    for number, step in enumerate(plan.steps):
        head = "Last, from what is left, lay" if number == first_free > 0 else "Lay"
        what = f"{step.letter}, {piece_name(step.piece, letters)} ({as_cut(step, units)})"
        fold = ON_FOLD if step.on_fold else ""
        measure = f"{_measure(step, plan, units)}{_room(step, plan, units)}{_repeats(step, units)}"
        yield f"{head} {what}{_lies(step)}{_by(step, letters, plan)}. {measure}{fold}"


def as_cut(step: CuttingStep, units: UnitSystem) -> str:
    """Size of a piece as cut, in its own directions."""
    width, length = (step.length_mm, step.width_mm) if step.crosswise else (step.width_mm, step.length_mm)
    return f"{tape(width, units)} wide, {tape(length, units)} long"


def _lies(step: CuttingStep) -> str:
    ways = (
        ("its paper turned over", step.mirrored),
        ("its top away from the cut end", step.turned),
        ("its foot to the right selvedge", step.crosswise),
    )
    lies = [words for words, on in ways if on]
    return f", {listed(lies)}" if lies else ""


def _by(step: CuttingStep, letters: dict[str, str], plan: LengthPlan) -> str:
    """What a piece is laid by: seams to pieces that lie already, or the print itself."""
    parts = [_notch(step, match, letters) for match in step.matches]
    chosen = "what you chose" if plan.start else "a motif"
    on = {"motif": f"in the middle of {chosen}", "between": "midway between two of them"}
    parts += [f"its centre mark lies {on[kind]}" for _, _, kind in step.places_mm]
    return f", so that {listed(parts)}" if parts else ""


def _notch(step: CuttingStep, match: StepMatch, letters: dict[str, str]) -> str:
    meets = MATCH_KINDS[_on_cloth(step, match)].meets
    other = letters.get(match.piece) or piece_name(match.piece, letters)
    return f"its notch {match.seam} lies {meets} notch {match.seam} of {other}"


def _on_cloth(step: CuttingStep, match: StepMatch) -> str:
    return sideways(match.match) if step.crosswise else match.match


def _from(mm: float, edge: str, units: UnitSystem) -> str:
    return f"at {edge}" if abs(mm) < AT_EDGE_MM else f"{tape(mm, units)} from {edge}"


def _measure(step: CuttingStep, plan: LengthPlan, units: UnitSystem) -> str:
    selvedge = plan.cloth.selvedge_mm
    left = _from(step.x_mm + selvedge, "the left edge", units)
    text = f"Its left side lies {left}, its upper side {_from(step.y_mm, 'the cut end', units)}."
    points = [(*match.at_mm, f"notch {match.seam}") for match in step.matches]
    points += [(x, y, "the centre mark") for x, y, _ in step.places_mm]
    for x, y, what in points[:1]:
        across = tape(x + selvedge, units)
        text += f" Check: {what} is {across} from the left edge and {tape(y, units)} from the cut end."
    return text


def _room(step: CuttingStep, plan: LengthPlan, units: UnitSystem) -> str:
    """How far it may slide and still match, where no other piece would have to follow."""
    kinds = {_on_cloth(step, match) for match in step.matches}
    if step.places_mm or len(kinds) != 1:
        return ""
    followers = {_on_cloth(other, m) for other in plan.steps for m in other.matches if m.piece == step.piece}
    if not followers <= kinds:
        return ""
    ways = [(way, step.room_mm[at]) for way, at in MATCH_KINDS[kinds.pop()].room]
    room = [f"{tape(mm, units)} {way}" for way, mm in ways if mm >= WORTH_SAYING_MM]
    return f" It may slide up to {' or '.join(room)} and still match." if room else ""


def _repeats(step: CuttingStep, units: UnitSystem) -> str:
    """How far a matched piece may go with the print, by whole repeats."""
    far = zip(step.repeats_mm, ("left", "right", "up", "down"), strict=True)
    room = [f"{tape(mm, units)} {way}" for mm, way in far if mm > AT_EDGE_MM]
    if step.free or not room:
        return ""
    return f" By whole repeats of the print there is room to go {' or '.join(room)}."


def _after(plan: LengthPlan, units: UnitSystem) -> Iterator[str]:
    repeats = whole_repeats(plan, units)
    if repeats and any(match.match == "both" for step in plan.steps for match in step.matches):
        yield f"A piece matched both ways may also lie {repeats} from its place, where there is room."
    yield (
        "Pin every piece and measure it again before the first cut. "
        "Cut round one piece after another, and mark the notches."
    )


def whole_repeats(plan: LengthPlan, units: UnitSystem) -> str:
    """Shifts by which the print falls on itself, in words; nothing for plain cloth."""
    if not plan.print.basis_mm:
        return ""
    lattice = Lattice(plan.print.basis_mm)
    found = ((lattice.shortest_along_axis(1), "along"), (lattice.shortest_along_axis(0), "across"))
    parts = [f"{tape(mm, units)} {way}" for mm, way in found if mm is not None]
    return " or ".join(parts) and f"one whole repeat ({' or '.join(parts)})"
