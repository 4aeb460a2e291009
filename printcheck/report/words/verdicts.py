"""The five lines a report begins with, and what to match seam by seam: sentences made from the verdicts.

Each sentence follows from one verdict (the name, the level, what the seams need, the way), and nothing here
judges anew, so that no two sentences can contradict each other.
"""

from __future__ import annotations

from printcheck.core.errors import listed
from printcheck.core.findings import Finding
from printcheck.core.measurement import SLANT_DEG, Clump, Measurement, Reason
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import TABLES, Row, Section
from printcheck.report.words.findings import said, why
from printcheck.report.words.headline import headline
from printcheck.report.words.quantities import give_or_take, short, together

SURE, FAIRLY_SURE = 0.8, 0.5  # confidence, 0 to 1: where the words change; common practice
FEW_REPEATS = 3.0  # fewer in view and the repeat is less sure
ROUGHLY = 0.05  # of a bunch's size and spacing: nobody measures them finer
HARD = {"easy": "Easy", "care": "Take care", "hard": "Hard"}
HARD_BY_SIZE = "It depends on its size: the larger, the more care."
NAP = "the length the pattern envelope gives for cloth with nap"

MATCH, STRIPES = TABLES["match"], TABLES["match-stripes"]
PLAIN = "No: plain cloth has nothing to match."
BEYOND = "Not sure of the repeat: it is larger than the photo shows"
BORDER = "Yes, level: the border should run round the hem at one height, and its figures meet at the seams."
BORDER_LENGTH = (
    "Not what the pattern says: all pieces lie one way up, side by side along the border, so buy the sum of "
    "their hem edges"
)
UNSEEN_REPEAT = "Find out first, on the bolt, where the print begins again."
PLACES, AT_PLACE = TABLES["place"], TABLES["at-a-place"]
LOOSE = "larger figures"  # where no rows stand out
SPECIAL = TABLES["at-a-special-place"]
PLAIN_TRUTH = (
    "A photo cannot show nap (stroke it both ways: if one way feels rougher, lay all pieces the same way), "
    "which side is right, how much it stretches, or how heavy it is. Feel it, and ask in the shop."
)
BUST_MM, HIP_MM = 920.0, 1000.0  # EN 13402-3:2004, a woman's size in the middle of the table; from memory
PROBABLY = "It probably has {an_or_no} up, but look at the cloth from both ends"
BARS_PROBABLY = (
    "The bars probably read the same from both ends, but turn a corner of the cloth round beside them to see"
)


def answers(m: Measurement, units: UnitSystem) -> tuple[Row, ...]:
    """What it is, how hard, whether to match, how much more, how sure: one line each."""
    return (
        Row("What it is", headline(m, units)),
        Row("How hard to sew", how_hard(m)),
        Row("Match at seams?", matching(m, units)),
        Row("How much more?", more_cloth(m, units), rough=True),
        Row("How sure?", how_sure(m, units)),
    )


def how_hard(m: Measurement) -> str:
    """Level, the reason that sets it, and what to do about that."""
    level = HARD_BY_SIZE if _by_size(m) is not None else f"{HARD[m.difficulty.level]}."
    return f"{level} {said_of(leading(m))}".strip()


def leading(m: Measurement) -> tuple[Reason, ...]:
    """The reason that sets the level; none where the size decides and nothing speaks against turning."""
    first = m.difficulty.reasons[:1]
    return () if _by_size(m) is not None and first and first[0].code == "any-way-up" else first


def said_of(reasons: tuple[Reason, ...]) -> str:
    """Reasons in words, each with what to do about it."""
    return " ".join(f"{why(reason).text} {why(reason).remedy}".strip() for reason in reasons)


def matching(m: Measurement, units: UnitSystem) -> str:
    """Whether and how to match at the seams."""
    if "plain" in m.classes:
        return PLAIN
    needs = m.seams.needs
    text = {**MATCH, **STRIPES}[needs] if "stripe" in m.classes else MATCH[needs]
    text = BORDER if m.repeat.border and needs != "none" else text.format(**_lines(m))
    by_size = _by_size(m)
    if by_size is not None:
        words = said(by_size, units)
        return f"{words.text} {words.remedy}"
    unknown = needs != "none" and not (m.repeat.known or m.repeat.border)
    return f"{text} {UNSEEN_REPEAT}" if unknown else text


def lies_one_way(m: Measurement) -> bool:
    """Whether all pieces lie with their tops one way: unless it is judged that they may be turned."""
    reasons = {reason.code for reason in m.difficulty.reasons}
    return "plain" not in m.classes and "any-way-up" not in reasons


def more_cloth(m: Measurement, units: UnitSystem) -> str:
    """What the print asks for beyond the pattern's own length."""
    if m.repeat.border:
        for_seams = (
            "" if m.seams.needs == "none" else ", and up to one repeat for each seam that should match"
        )
        return f"{BORDER_LENGTH}{for_seams}."
    more = _for_matching(m, units)
    if not lies_one_way(m):
        return more or "No more length than the pattern asks for."
    known = m.direction.way == "one-way"
    lay = "Lay" if known else f"Until you know whether it {_unknown(m)}, lay"
    return f"{more} {lay} all pieces one way up, and {'start from' if more else 'buy'} {NAP}.".strip()


def _for_matching(m: Measurement, units: UnitSystem) -> str:
    if _by_size(m) is not None:
        return "If it has to match, up to one repeat for each length you cut."
    if m.seams.needs == "upright":
        width = "You may lose some width, to centre the stripes."
        return width if lies_one_way(m) else f"No more length than the pattern asks for. {width}"
    if m.seams.needs == "none" or "plain" in m.classes:
        return ""
    repeat = m.repeat.along_mm
    if repeat is None:
        return "Up to one repeat for each length you cut; measure it on the bolt."
    return f"Up to one repeat ({short(repeat, units, m.repeat.error_mm)}) for each length you cut."


def _by_size(m: Measurement) -> Finding | None:
    """The finding that whether to match depends on a size that the photo does not tell."""
    return next((f for f in m.findings if f.code == "match-by-size" and m.scale is None), None)


def how_sure(m: Measurement, units: UnitSystem) -> str:
    """How far to trust the sizes and the repeat, in words."""
    parts = ["No sizes: nothing of known size lies in the photo"] if m.scale is None else []
    if "plain" in m.classes:
        return f"{'. '.join([*parts, 'No print was seen; a very faint one may not show'])}."
    repeat = m.repeat
    if repeat.kind == "beyond-photo":
        one = repeat.across_mm is not None or repeat.along_mm is not None
        sure = f"{sureness(repeat.confidence).capitalize()} of the repeat{_repeat(m, units)}"
        other = "" if m.repeat.border else "; the other way none fits into the photo"
        parts.append(f"{sure}{other}" if one else BEYOND)
    elif repeat.kind == "none":
        parts.append("No repeat was found, so this is judged by what the photo shows")
    else:
        parts.append(f"{sureness(repeat.confidence).capitalize()} of the repeat{_repeat(m, units)}")
        few = repeat.repeats_seen is not None and round(repeat.repeats_seen, 1) < FEW_REPEATS
        parts += ["Few repeats are in the photo"] if few and repeat.confidence < SURE else []
    if m.direction.way is None:
        parts.append(f"The photo cannot tell whether it {_unknown(m)}")
    elif not m.direction.decided and lies_one_way(m):
        parts.append(_doubt(m))
    return f"{'. '.join(parts)}."


def _unknown(m: Measurement) -> str:
    """What has to be found out before a piece may be turned."""
    barred = "stripe" in m.classes or "check" in m.classes
    return "reads the same from both ends" if barred else "has an up"


def _doubt(m: Measurement) -> str:
    if m.direction.way == "one-way":
        return PROBABLY.format(an_or_no="an")
    barred = "stripe" in m.classes or "check" in m.classes
    return BARS_PROBABLY if barred else PROBABLY.format(an_or_no="no")


def _repeat(m: Measurement, units: UnitSystem) -> str:
    """The repeat with its error, both in one unit; empty where sizes are not known."""
    repeat = m.repeat
    ways = {" across": repeat.across_mm, " along": repeat.along_mm}
    found = {way: mm for way, mm in ways.items() if mm is not None}
    if m.scale is None or repeat.error_mm is None or not found:
        return ""
    lengths = together(list(found.values()), units, repeat.error_mm)
    said = dict(zip(found, lengths, strict=True))
    each = lengths[:1] if len(set(lengths)) == 1 else [f"{mm}{way}" for way, mm in said.items()]
    return f": {listed(each)}, give or take {give_or_take(repeat.error_mm, lengths[0], units)}"


def sureness(confidence: float) -> str:
    """Word for a confidence from 0 to 1."""
    if confidence >= SURE:
        return "sure"
    return "fairly sure" if confidence >= FAIRLY_SURE else "not sure"


def _lines(m: Measurement) -> dict[str, str]:
    """What runs across the cloth in this print, and what along it."""
    bars = m.stripe_or_check
    if m.repeat.border:
        return dict.fromkeys(("rows", "columns"), "border's figures")
    if "stripe" in m.classes:
        return {"rows": "stripes", "columns": "stripes"}
    if bars is not None and bars.angle_deg <= SLANT_DEG:
        return {"rows": "crosswise bars", "columns": "lengthwise bars"}
    loose = "match-figures" in {reason.code for reason in m.difficulty.reasons}
    return {"rows": LOOSE if loose else "rows", "columns": "columns"}


def seam_by_seam(m: Measurement) -> Section:
    """What to match at each place of a garment; empty where nothing has to meet."""
    lines = _lines(m)
    special = {} if m.repeat.border or lines["rows"] == LOOSE else SPECIAL
    rows = tuple(
        Row(PLACES[s.place], special.get(s.place, AT_PLACE[s.match]).format(**lines))
        for s in m.seams.places
        if m.scale
    )
    return Section("Seam by seam", rows=rows)


def where_it_lands(m: Measurement, units: UnitSystem) -> Section:
    """A bunch or a heavy figure against the body."""
    if m.clump is None or m.clump.size_mm is None:
        return Section("Where it lands")
    wide_mm = _width_mm(m.clump, m)
    bust, hip = together((BUST_MM, HIP_MM), units)
    half = round(100 * 2 * wide_mm / BUST_MM), round(100 * 2 * wide_mm / HIP_MM)
    about = "about" if m.clump.spacing_mm is not None else "at least"
    text = (
        f"{bunch(m, units)} On a body of bust {bust} and hip {hip} one takes {about} {half[0]} % of the "
        f"width of the front at the bust and {half[1]} % at the hip."
    )
    return Section("Where it lands", sentences=(text,))


def _width_mm(clump: Clump, m: Measurement) -> float:
    """Of a single figure its own width, of a bunch that of the bunch."""
    single = clump.figures == 1 and m.motif.width_mm is not None and m.repeat.known
    return (m.motif.width_mm if single else clump.size_mm) or 0.0


def bunch(m: Measurement, units: UnitSystem) -> str:
    """What gathers, how large and how far apart."""
    clump = m.clump
    assert clump is not None
    what = "Single heavy figures" if clump.figures == 1 else "Bunches of figures"
    if clump.size_mm is None:
        return f"{what} stand out."
    wide_mm = _width_mm(clump, m)
    if clump.spacing_mm is None:
        one = "A single heavy figure" if clump.figures == 1 else "A bunch of figures"
        return f"{one}, {together((wide_mm,), units, ROUGHLY * wide_mm)[0]} wide or more, stands out."
    wide, far = together((wide_mm, clump.spacing_mm), units, ROUGHLY * wide_mm)
    return f"{what} about {wide} wide stand {far} apart, from middle to middle."
