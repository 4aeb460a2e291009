"""The sentence and the remedy of every finding, in the reader's units.

One row for each code of :mod:`printcheck.core.findings`. A gap such as ``{miss_mm:size}`` takes the value of
that name; after the colon stands how it is said: ``size`` and ``buy`` in the reader's units, ``exact`` in
millimetres to the tenth in both (what somebody reads off a rule), ``count width`` as "1 width" or
"3 widths", anything else as Python formats it.
"""

from __future__ import annotations

import string
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from printcheck.core.findings import Finding
from printcheck.core.units import UnitSystem, format_buy
from printcheck.report.words.content import Section
from printcheck.report.words.quantities import size

SEVERITY_WORDS = {"note": "Note", "caution": "Take care", "warning": "Warning"}
SEVERITY_ORDER = ("warning", "caution", "note")
COUNT = "count "
LENGTHS: dict[str, Callable[[float, UnitSystem], str]] = {
    "size": size,
    "buy": format_buy,
    "exact": lambda mm, _: f"{mm:.1f} mm",
}
DRAWN = "Write the project out to change its pieces."


@dataclass(frozen=True)
class Said:
    """A finding in words."""

    text: str
    remedy: str


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
        known = WORDS[found.code]
        text, remedy = (filled.vformat(words, (), found.values) for words in (known.text, known.remedy))
    except (KeyError, ValueError, TypeError):  # read from the file of another version
        return Said(f"{found.code}.", "")
    return Said(text, remedy)


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


WORDS: dict[str, Said] = {}


def say(code: str, text: str, remedy: str) -> None:
    """Enter the words of a finding into the table."""
    if code in WORDS:
        raise ValueError(f"finding {code!r} has two sets of words")
    WORDS[code] = Said(text, remedy)


# -- photo ------------------------------------------------------------------------------------------
say(
    "scale-tilt-unknown",
    "The scale comes from {what}, which cannot show whether the camera was tilted; about {percent:.1f} "
    "% is allowed for that.",
    "Photograph from straight above, or lay a bank card or sheet of paper on the cloth.",
)
say(
    "corners-misfit",
    "The four corners do not quite fit a flat rectangle of the stated size.",
    "Point at the corners again, and check the size.",
)
say(
    "scale-two-objects-disagree",
    "{first} and {second} in the same photo disagree about the scale by {percent:.1f} %.",
    "Check that both lie flat on the cloth and are of the size they are taken for; keep only one.",
)
say(
    "scale-two-objects-agree",
    "{first} and {second} in the same photo agree about the scale within {percent:.1f} %.",
    "Nothing to do.",
)
say(
    "scale-board-unmeasured",
    "The scale card's bar was not measured, so the printer is taken at its word, within {percent:.1f} %.",
    "Measure the bar that was printed with the card; if it is not {nominal_mm:exact}, pass --bar.",
)
say(
    "scale-board-bent",
    "The scale card does not lie flat: it is bent, or the cloth under it is uneven.",
    "Smooth the cloth and press the card flat, or print it on stiffer paper.",
)
say(
    "scale-coin-tilt",
    "A coin hardly shows whether the camera was tilted; the error of {percent:.1f} % allows for that.",
    "Photograph from straight above, or lay a bank card or the printed scale card on the cloth instead.",
)
say(
    "reference-weak",
    "The {what} was found, but its outline is faint in places, so the scale is less sure.",
    "Lay it where its edges stand out from the cloth, without glare or shadow.",
)
say(
    "reference-could-be",
    "The {what} could as well be {other}; the scale would then be {percent:.1f} % different.",
    "Make sure which it is, and photograph it larger and from straight above.",
)
say(
    "reference-cut",
    "The {what} is cut by the edge of the photo; the edges that are seen were used.",
    "Keep it wholly in view for a surer scale.",
)
say(
    "scale-rule-tilt",
    "One tape shows the camera's tilt along itself only; the error of {percent:.1f} % allows for the rest.",
    "Photograph from straight above, or lay the tape through the middle of the photo.",
)
say(
    "photos-combined",
    "{count} overlapping photos were laid together as one.",
    "Nothing to do.",
)
say(
    "photos-scale-shared",
    "{names}: no scale of its own; laid beside {first} by the cloth that both show.",
    "Nothing to do; an object of known size in every photo makes it surer.",
)
say(
    "photos-twice",
    "{name} is the same photo as {first}; it was counted once.",
    "Nothing to do.",
)
say(
    "photos-join-doubtful",
    "{names}: wherever it is laid, some of the cloth that another photo shows there looks otherwise.",
    "Take it again so that it overlaps its neighbours by a third or more, or leave it out.",
)
say(
    "photos-scales-differ",
    "The photos disagree about the scale by {percent:.1f} %; the surest one's was taken.",
    "Photograph all from the same height, each with the object of known size in view.",
)
HOW_TO_ADD_SCALE = (
    "Photograph it again with a bank card laid flat on it, or state one size you know, with --cloth-width, "
    "--repeat-is, --motif-is or --photo-width."
)
say(
    "scale-none",
    "Nothing of known size was seen in the photo, so its sizes are told in pixels.",
    HOW_TO_ADD_SCALE,
)
say(
    "scale-sheet-unnamed",
    "A sheet of paper seems to lie on the cloth, but A4, A5 and A6 have the same shape, so that its size "
    "cannot be seen; sizes are told in pixels.",
    "Name its size with --reference A4, A5 or A6.",
)
say(
    "scale-coin-unnamed",
    "A coin seems to lie on the cloth, but nothing in a photo tells its size; sizes are told in pixels.",
    "Say which one with --reference coin:NAME, such as coin:2euro, or give its diameter after coin: instead.",
)

# -- repeat -----------------------------------------------------------------------------------------
say(
    "repeat-few-seen",
    "Only {seen:.1f} repeats are in the photo, so the repeat is less sure.",
    "Photograph a larger piece of the cloth, three repeats or more each way.",
)
say(
    "repeat-off-grain",
    "The print lies {degrees:.1f} degrees off square to the selvage, enough to spoil matching (skew).",
    "Pull the cloth straight and press it, or cut so that the print, not the selvage, is level.",
)
say(
    "repeat-plain",
    "No repeat was seen: the cloth is plain, or its pattern is too faint or too irregular to repeat.",
    "If there is a print, photograph it closer, in even light.",
)
say(
    "repeat-beyond-photo",
    "A print is there, but no repeat up to {at_least_mm:size} was found: it is larger than that, or "
    "the motifs are scattered without one; one photo cannot tell which.",
    "Photograph a larger piece of the cloth, or several overlapping photos of it.",
)
say(
    "repeat-part-of-photo",
    "The cloth was judged on a part of the photo; the other {percent:.0f} % shows something else.",
    "If that is the same cloth, smooth it flat and photograph it again from straight above.",
)
say(
    "repeat-uneven-cloth",
    "The print is stretched or bent by {percent:.1f} % from place to place; the repeat is the mean.",
    "Smooth the cloth and photograph it flat from straight above.",
)
say(
    "repeat-either",
    "The repeat is either {one_mm:size} or {other_mm:size}: too few are in the photo to tell which.",
    "One more photo that shows three of the larger repeats would tell.",
)
say(
    "repeat-crossed-stripe",
    "Forms stand on the stripes and come again along them, but their repeat along the stripes was not "
    "found; this is no plain stripe.",
    "Photograph a larger piece, flat and from straight above; until then, match it along the stripes by eye.",
)
say(
    "repeat-tilt-unknown",
    "The print shrinks by {percent:.1f} % from one side of the photo to the other: the camera was tilted.",
    "Photograph from straight above, or lay a card or sheet of known size on the cloth to undo the tilt.",
)
say(
    "repeat-tilt-disagrees",
    "The print changes by {percent:.1f} % across the photo, which the object's tilt does not explain.",
    "Make sure the object of known size lies flat on the cloth, and the cloth flat on the table.",
)

# -- motif and judge --------------------------------------------------------------------------------
say(
    "way-unsure",
    "The print is probably {way}, but the tests hardly decide.",
    "Look at the cloth from both ends; if in doubt lay all pieces the same way up.",
)
say(
    "way-unknown",
    "The photo cannot tell whether the print has an up.",
    "Look at the cloth from both ends; until you know, lay all pieces the same way up.",
)
say(
    "motif-at-least",
    "Only motifs wholly in the photo were measured; the print may have larger ones.",
    "Photograph a larger piece of the cloth.",
)
say(
    "cells-unlike",
    "Neighbouring repeats differ more than light and noise explain: the true repeat may be larger.",
    "Look whether colours or facing alternate; if so, measure over two of them.",
)
say(
    "cell-few",
    "Only {cells:.1f} repeats could be averaged, so small differences between motifs may go unseen.",
    "Photograph a larger piece of the cloth.",
)
say(
    "match-by-size",
    "Whether to match it depends on its size: if {thing} is over {limit:size}, match it; if smaller, nothing "
    "has to meet.",
    "Lay a rule on the cloth.",
)

# -- project and cutting ----------------------------------------------------------------------------
say(
    "seam-widths-do-not-join",
    "{seam} cannot be matched on this cloth: it misses by {miss_mm:size}, because the usable width "
    "holds {columns:.2f} columns of {column_mm:size} and the pieces have no room to move across.",
    "Move the seam line {narrower_mm:size} in from the edge (overlap the widths), take pieces narrower "
    'than {widest_mm:size}, or match the rows of this seam alone (match = "level").',
)
say(
    "seam-ring-open",
    "{seam} closes a ring of pieces sewn to one another, and {what} would come back to the start of "
    "the ring {miss_mm:size} off, wherever the pieces are cut.",
    "Move one seam line of the ring by {miss_mm:size}, or leave the seam that shows least unmatched.",
)
say(
    "place-cannot-be-met",
    "The places on {first} and {second} cannot both lie on the print as asked: they miss by {miss_mm:size}.",
    "Move one of the two places by {miss_mm:size}, or drop it.",
)
say(
    "seams-clash",
    "The seams cannot all be matched at once on this cloth: each can, but not together.",
    "Match fewer seams, or ask some for level or upright alone.",
)
say(
    "repeat-cliff",
    "{piece} is {length_mm:size} long and only just clears whole repeats of {repeat_mm:size}: were the "
    "repeat {percent:.2g} % shorter, it would need more and the cloth {jump_mm:size} longer there.",
    "Measure the repeat again over five repeats or more, on the cloth that will be cut.",
)
say(
    "near-miss",
    "{what} {change_mm:size} {how} would do with {buy_mm:buy}: it saves {saves_mm:buy}.",
    "See whether the size can give way that little.",
)
say(
    "near-miss-step",
    "The layout is only {over_mm:size} too long for {buy_mm:buy}: were it shorter by that, it saves "
    "{saves_mm:buy}.",
    "See whether a hem or a seam allowance can give way that little.",
)
say(
    "near-miss-fullness",
    "{percent:.0f} % less fullness would do with {buy_mm:buy}: it saves {saves_mm:buy}.",
    "Nobody sees so little fullness missing.",
)
say(
    "cloth-off-grain",
    "The print lies {degrees:.1f} degrees off square to the selvage (skew), {lean_mm:size} over the "
    "usable width. The lengths are for cloth pulled straight; left as it is, the seam {first} to "
    "{second} misses by {miss_mm:size}.",
    "Pull the cloth straight and press it before cutting, and buy {lean_mm:size} more, because its "
    "ends slant then. If it stays crooked, cut by the printed rows, not square to the selvage, and buy "
    "as much more.",
)
say(
    "repeat-error-not-held",
    "No one cutting plan holds for every repeat within {percent:.2g} % of the measured one.",
    "Measure the repeat again over several repeats before cutting.",
)
say(
    "matched-not-found",
    "No matched layout was found in {seconds:g} seconds.",
    "Give more seconds, or match fewer seams.",
)
say(
    "seam-on-cutting-line",
    "The points of seam {seams} lie on the cutting line, so the match is made there, not where it is sewn.",
    "Move both points in by the seam allowance: a print is matched on the stitching line.",
)
say("skirt-panels", "Gathered skirt: {panels:count panel} of {width_mm:size} as cut.", DRAWN)
say(
    "curtain-widths",
    "Curtains: {widths:count width} of cloth for {curtains:count curtain}, {fullness:.2f} times the track "
    "once joined.",
    DRAWN,
)
say(
    "curtain-joins",
    "Joins of full widths lap over so that the seam lines lie {columns:count column} apart.",
    DRAWN,
)
say(
    "curtain-selvedge", "Widths are joined at the inner edge of the selvedge, where the print runs on.", DRAWN
)
say(
    "curtain-railroaded",
    "The curtain's top lies along the left selvedge, so a print with an up would lie on its side.",
    "Take cloth that is plain, or printed to be railroaded.",
)
say(
    "curtain-border",
    "The border runs along the foot: the cloth hangs turned sideways, its top along the left selvedge.",
    DRAWN,
)
say("backing-sideways", "The cloth runs across the quilt, which takes less: its joins lie crosswise.", DRAWN)
say("binding-squares", "The binding is cut in one run from {squares:count square} of {side_mm:size}.", DRAWN)
say("seams-not-matched", "{title}: not matched are {seams}.", DRAWN)
say(
    "measure-off-table",
    "A {measure} of {value_mm:size} is outside the size table of {table} for {people}, {least_mm:size} to "
    "{most_mm:size}, so the pieces are drafted by proportion.",
    "Check them against a pattern in that size.",
)
say(
    "dxf-no-grain",
    "{piece}: no grain line is drawn on layer 7, so the piece is taken as it stands in the drawing.",
    "Say with top on which side of the drawing its top is, or draw the grain line.",
)
say(
    "dxf-turned",
    "{piece}: its grain runs across the drawing, so its top is taken to be at the left of it.",
    'Look at the cutting layout; where it stands on its head, write top = "right" beside the file.',
)
say(
    "dxf-notch-off",
    "{piece}: notch {notch} lies {off_mm:size} off the cutting line; it is taken where it is drawn.",
    "Move it onto the line in the pattern program, or give the seam's point with at.",
)
say(
    "width-too-narrow",
    "A piece is wider than this cloth.",
    "Choose a wider cloth, or turn or join the piece.",
)
say(
    "childrens-rules",
    "The program judges a print, not safety: clothes for children, and their cords, are regulated.",
    "Check the rules where you live (such as EN 14682, 16 CFR 1615 and 1616).",
)
say(
    "nightwear-rules",
    "The program judges a print, not safety: nightwear, above all for children, is regulated for fire.",
    "Check the rules where you live (such as EN 14878, UK SI 1985/2043, 16 CFR 1615 and 1616).",
)
