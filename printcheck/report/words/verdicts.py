"""The five lines a report begins with, and what to match seam by seam: sentences made from the verdicts.

Each sentence follows from one verdict (the name, the level, what the seams need, the way), and nothing here
judges anew, so that no two sentences can contradict each other.
"""

from __future__ import annotations

from collections.abc import Sequence

from printcheck.core.findings import Finding
from printcheck.core.measurement import Bar, Clump, Measurement, Needs
from printcheck.core.units import UnitSystem
from printcheck.report.words.content import Row, Section
from printcheck.report.words.findings import said
from printcheck.report.words.quantities import listed, size

SURE, FAIRLY_SURE = 0.8, 0.5  # confidence, 0 to 1: where the words change; common practice
FEW_REPEATS = 3.0  # fewer in view and the repeat is less sure
WHOLE_MM = 10.0  # from here a length is said in whole millimetres
CM_FROM_MM = 100.0  # and from here in centimetres
OVERLAP = 0.15  # by which two sizes may differ and still be said as one
HARD = {"easy": "Easy", "care": "Take care", "hard": "Hard"}
TURNABLE = ("two-way", "four-way", "tossed")
NAP = "the pattern envelope gives it as the length for cloth with nap"

MATCH: dict[Needs, str] = {
    "none": "No: nothing has to meet at a seam.",
    "level": "Yes, level: the rows should meet at the side seams, the sleeves and the centre front.",
    "upright": "Yes, at the centre front and back, the pockets and the collar; not at slanted side seams.",
    "both": "Yes: across and along at the centre front and back, level at the side seams and the sleeves.",
}
STRIPES = {
    "level": "Yes, level: the stripes should meet at the side seams, the sleeves and the centre front.",
    "upright": "Yes: centre a stripe on the front and the back, and match pockets and collar. At slanted "
    "side seams stripes can only meet in even points.",
    "both": "As far as it goes: stripes on the slant cannot meet at every seam, so match the centre front.",
}
PLAIN = "No: plain cloth has nothing to match."
UNSEEN_REPEAT = "Find out first where the print begins again: look on the bolt, or photograph a larger piece."
PLACES = {
    "centre-front": "Centre front",
    "centre-back": "Centre back",
    "side": "Side seams",
    "sleeve": "Sleeves and armholes",
    "pocket": "Pockets",
    "collar": "Collar and yoke",
    "waistband": "Waistband",
    "hem": "Hem",
}
AT_PLACE: dict[Needs, str] = {
    "none": "nothing to match",
    "level": "level: the rows meet",
    "upright": "upright: the columns meet",
    "both": "both ways: the print runs on",
}
SPECIAL = {
    "sleeve": "level: match the front notch of the armhole first",
    "hem": "cut it along one row of the print",
}
PLAIN_TRUTH = (
    "Plain cloth is the easiest to cut and the least forgiving to sew: every crooked seam shows.",
    "A photo cannot show nap (stroke it both ways: if one way feels rougher, lay all pieces the same way), "
    "which side is right, how much it stretches, or how heavy it is. Feel it, and ask in the shop.",
)
BUST_MM, HIP_MM = 920.0, 1000.0  # EN 13402-3:2004, a woman's size in the middle of the table; from memory
BODY = "a body of bust {bust} and hip {hip}"


def answers(m: Measurement, units: UnitSystem) -> tuple[Row, ...]:
    """What it is, how hard, whether to match, how much more, how sure: one line each."""
    return (
        Row("What it is", headline(m, units)),
        Row("How hard to sew", how_hard(m)),
        Row("Match at seams?", matching(m, units)),
        Row("How much more?", more_cloth(m, units), rough=True),
        Row("How sure?", how_sure(m)),
    )


def headline(m: Measurement, units: UnitSystem) -> str:
    """Name of the print with the size that goes with it, as in "Even gingham, 6 mm squares"."""
    body = ", ".join(filter(None, (kind_of_print(m), _size_of(m, units), _colours(m))))
    return f"{body[0].upper()}{body[1:]}."


def kind_of_print(m: Measurement) -> str:
    """Name of the print alone, as in "even gingham"."""
    return (m.print_name and m.print_name.text) or "print"


def how_hard(m: Measurement) -> str:
    """Level, and the reason that sets it."""
    reasons = m.difficulty.reasons
    return f"{HARD[m.difficulty.level]}. {reasons[0].text if reasons else ''}".strip()


def matching(m: Measurement, units: UnitSystem) -> str:
    """Whether and how to match at the seams."""
    if "plain" in m.classes:
        return PLAIN
    needs = m.seams.needs
    text = STRIPES.get(needs, MATCH[needs]) if "stripe" in m.classes else MATCH[needs]
    by_size = _by_size(m)
    if by_size is not None:
        return said(by_size, units).text
    unknown = needs != "none" and not m.repeat.known
    return f"{text} {UNSEEN_REPEAT}" if unknown else text


def more_cloth(m: Measurement, units: UnitSystem) -> str:
    """What the print asks for beyond the pattern's own length."""
    needs, way = m.seams.needs, m.direction.way
    plain = "plain" in m.classes
    one_way = "" if plain or way in TURNABLE else f"the length with all pieces one way up ({NAP})"
    laid = f" on top of {one_way}" if one_way else ""
    if _by_size(m) is not None:
        return f"If it has to match, up to one repeat for each length you cut{laid}."
    if plain or (needs in ("none", "upright") and not one_way):
        width = " Perhaps some width, to centre the stripes." if needs == "upright" else ""
        return f"No more length than the pattern asks for.{width}"
    if needs in ("none", "upright"):
        until = "" if way == "one-way" else "Until you know whether it has an up, buy "
        return f"{until or 'Buy '}{one_way}."
    repeat = m.repeat.along_mm
    if repeat is None:
        return f"Up to one repeat for each length you cut{laid}; measure the repeat on the bolt."
    return f"Up to one repeat ({short(repeat, units)}) for each length you cut{laid}."


def _by_size(m: Measurement) -> Finding | None:
    """The finding that whether to match depends on a size that the photo does not tell."""
    return next((f for f in m.findings if f.code == "match-by-size" and m.scale is None), None)


def how_sure(m: Measurement) -> str:
    """How far to trust the sizes and the repeat, in words."""
    parts = []
    if m.scale is None:
        parts.append("No sizes: nothing of known size lies in the photo")
    if "plain" in m.classes:
        return f"{'. '.join([*parts, 'No print was seen; a very faint one may not show'])}."
    repeat = m.repeat
    if repeat.kind == "beyond-photo":
        parts.append("Not sure of the repeat: it is larger than the photo shows")
    elif repeat.kind == "none":
        parts.append("No repeat was found, so this is judged by what the photo shows")
    else:
        few = repeat.repeats_seen is not None and round(repeat.repeats_seen, 1) < FEW_REPEATS
        because = ": few repeats are in the photo" if few and repeat.confidence < SURE else ""
        parts.append(f"{_capital(sureness(repeat.confidence))} of the repeat{because}")
    if m.direction.way is None:
        parts.append("the photo cannot tell whether it has an up")
    elif m.direction.margin < FAIRLY_SURE:
        parts.append(f"not sure which way up it goes ({m.direction.way}, perhaps)")
    return f"{'; '.join(parts)}."


def sureness(confidence: float) -> str:
    """Word for a confidence from 0 to 1."""
    if confidence >= SURE:
        return "sure"
    return "fairly sure" if confidence >= FAIRLY_SURE else "not sure"


def seam_by_seam(m: Measurement) -> Section:
    """What to match at each place of a garment; empty where nothing has to meet."""
    rows = tuple(
        Row(PLACES[s.place], SPECIAL.get(s.place, AT_PLACE[s.match])) for s in m.seams.places if m.scale
    )
    return Section("Seam by seam", rows=rows)


def where_it_lands(m: Measurement, units: UnitSystem) -> Section:
    """A bunch or a heavy figure against the body."""
    clump = m.clump
    if clump is None or clump.size_mm is None:
        return Section("Where it lands")
    bust, hip = short(BUST_MM, units), short(HIP_MM, units)
    half = round(100 * 2 * clump.size_mm / BUST_MM), round(100 * 2 * clump.size_mm / HIP_MM)
    body = BODY.format(bust=bust, hip=hip)
    sizes = (
        f"On {body} it takes {half[0]} % of the width across the front at the bust, {half[1]} % at the hip."
    )
    return Section("Where it lands", sentences=(f"{bunch(clump, units)} {sizes}",))


def bunch(clump: Clump, units: UnitSystem) -> str:
    """What gathers, how large and how far apart."""
    what = "A single heavy figure" if clump.figures == 1 else "A bunch of figures"
    if clump.size_mm is None or clump.spacing_mm is None:
        return f"{what} stands out."
    wide, far = together((clump.size_mm, clump.spacing_mm), units)
    return f"{what} is about {wide} wide, and the next one is {far} away."


def short(mm: float, units: UnitSystem) -> str:
    """Length without needless digits: 19 mm, 4.5 mm, 12 cm, 3/4 in.

    Examples
    --------
    >>> [short(mm, "metric") for mm in (4.46, 19.2, 126.0)]
    ['4.5 mm', '19 mm', '12.6 cm']
    """
    return together((mm,), units)[0]


def together(lengths_mm: Sequence[float], units: UnitSystem) -> list[str]:
    """Lengths of one sentence, all in one unit.

    Examples
    --------
    >>> together((88.0, 126.0), "metric"), together((88.0,), "imperial")
    (['8.8 cm', '12.6 cm'], ['3 1/2 in'])
    """
    if units == "imperial":
        return [size(mm, units) for mm in lengths_mm]
    if max(lengths_mm, default=0) >= CM_FROM_MM:
        return [f"{_trimmed(mm / 10, 1)} cm" for mm in lengths_mm]
    return [f"{_trimmed(mm, 0 if mm >= WHOLE_MM else 1)} mm" for mm in lengths_mm]


def _trimmed(value: float, digits: int) -> str:
    text = f"{value:.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _colours(m: Measurement) -> str:
    names = list(dict.fromkeys(colour.name for colour in m.colours))
    return f"in {listed(names[:3])}" if names else ""


def _size_of(m: Measurement, units: UnitSystem) -> str:
    """The size people quote with this name; empty where none is known."""
    name = m.print_name.name if m.print_name is not None else ""
    if "plain" in m.classes or m.scale is None:
        return ""
    bars = m.stripe_or_check
    if name in ("even-gingham", "even-check") and bars is not None:
        return _squares(
            [bar.width_mm or 0.0 for bar in bars.bars], [b.width_mm or 0.0 for b in bars.bars_along], units
        )
    if name in ("checkerboard", "harlequin") and m.repeat.across_mm and m.repeat.along_mm:
        return _squares([m.repeat.across_mm / 2], [m.repeat.along_mm / 2], units)
    if "stripe" in m.classes:
        return _stripes(m, units)
    if m.motif.width_mm is not None and m.motif.height_mm is not None and name != "tile":
        return _figures(m, name, units)
    return _repeats(m, units)


def _squares(across: list[float], along: list[float], units: UnitSystem) -> str:
    wide, tall = sum(across) / len(across), sum(along) / len(along)
    if abs(wide - tall) <= OVERLAP * max(wide, tall):
        return f"{short((wide + tall) / 2, units)} squares"
    both = together((wide, tall), units)
    return f"{both[0]} by {both[1]} oblongs"


def _stripes(m: Measurement, units: UnitSystem) -> str:
    found = m.stripe_or_check
    pitch = sum(bar.width_mm or 0.0 for bar in found.bars) if found is not None else 0.0
    if found is None or not pitch:
        return ""
    if len(found.bars) == 2:
        thin, wide = sorted(_widths(found.bars))
        if wide - thin <= 2 * OVERLAP * wide:
            return f"{short((thin + wide) / 2, units)} bars"
        both = together((thin, wide), units)
        return f"{both[0]} and {both[1]} bars"
    return f"coming again every {short(pitch, units)}"


def _widths(bars: Sequence[Bar]) -> list[float]:
    return [bar.width_mm or 0.0 for bar in bars]


def _figures(m: Measurement, name: str, units: UnitSystem) -> str:
    width, height, gap = m.motif.width_mm or 0.0, m.motif.height_mm or 0.0, m.motif.gap_mm
    if "dot" in name:
        if gap is None:
            return f"{short(width, units)} dots"
        both = together((width, gap), units)
        return f"{both[0]} dots {both[1]} apart"
    both = together((width, height), units)
    return f"the largest figure {both[0]} by {both[1]}"


def _repeats(m: Measurement, units: UnitSystem) -> str:
    across, along = m.repeat.across_mm, m.repeat.along_mm
    if across is None or along is None:
        least = m.repeat.at_least_mm
        beyond = m.repeat.kind == "beyond-photo" and least is not None
        return f"coming again after more than {short(least, units)}" if beyond and least is not None else ""
    both = together((across, along), units)
    if both[0] == both[1]:
        return f"coming again every {both[0]}"
    return f"coming again every {both[0]} across and {both[1]} along"
