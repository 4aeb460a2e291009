"""What printcheck remarks on: one table of findings, each with a code, a severity, a text and a remedy.

A finding is data. The table below is the only place where its words stand; a stage says which one and
fills the gaps: ``finding("scale-coin-tilt", percent=1.6)``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "caution", "warning"]


@dataclass(frozen=True)
class Finding:
    """One remark on a result.

    Parameters
    ----------
    code : str
        Stable word for programs.
    severity : {"note", "caution", "warning"}
        ``note`` explains, ``caution`` asks for care, ``warning`` says the result may mislead.
    text : str
        What was seen, one plain sentence.
    remedy : str
        What to do about it.
    """

    code: str
    severity: Severity
    text: str
    remedy: str


@dataclass(frozen=True)
class _Definition:
    severity: Severity
    text: str
    remedy: str


DEFINITIONS: dict[str, _Definition] = {}


def define(code: str, severity: Severity, text: str, remedy: str) -> None:
    """Enter a finding into the table; each room's findings stand together in a file of its own below."""
    if code in DEFINITIONS:
        raise ValueError(f"finding {code!r} is defined twice")
    DEFINITIONS[code] = _Definition(severity, text, remedy)


def finding(code: str, **gaps: object) -> Finding:
    """Return the finding of this code with the gaps of its text and remedy filled.

    Examples
    --------
    >>> finding("repeat-few-seen", seen=1.6).severity
    'caution'
    """
    known = DEFINITIONS[code]
    return Finding(code, known.severity, known.text.format(**gaps), known.remedy.format(**gaps))


# -- photo ------------------------------------------------------------------------------------------
define(
    "scale-tilt-unknown",
    "note",
    "The scale comes from {what}, which cannot show whether the camera was tilted; about {percent:.1f} % "
    "is allowed for that.",
    "Photograph from straight above, or lay a bank card or sheet of paper on the cloth.",
)
define(
    "corners-misfit",
    "caution",
    "The four corners do not quite fit a flat rectangle of the stated size.",
    "Point at the corners again, and check the size.",
)
define(
    "scale-two-objects-disagree",
    "warning",
    "{first} and {second} in the same photo disagree about the scale by {percent:.1f} %.",
    "Check that both lie flat on the cloth and are of the size they are taken for; keep only one.",
)
define(
    "scale-two-objects-agree",
    "note",
    "{first} and {second} in the same photo agree about the scale within {percent:.1f} %.",
    "Nothing to do.",
)
define(
    "scale-board-unmeasured",
    "note",
    "The scale card's bar was not measured, so the printer is taken at its word, within {percent:.1f} %.",
    "Measure the bar that was printed with the card; if it is not {nominal:.1f} mm, pass --bar.",
)
define(
    "scale-board-bent",
    "caution",
    "The scale card does not lie flat: it is bent, or the cloth under it is uneven.",
    "Smooth the cloth and press the card flat, or print it on stiffer paper.",
)
define(
    "scale-coin-tilt",
    "note",
    "A coin hardly shows whether the camera was tilted; the error of {percent:.1f} % allows for that.",
    "Photograph from straight above, or lay a bank card or the printed scale card on the cloth instead.",
)

define(
    "reference-weak",
    "caution",
    "The {what} was found, but its outline is faint in places, so the scale is less sure.",
    "Lay it where its edges stand out from the cloth, without glare or shadow.",
)
define(
    "reference-could-be",
    "caution",
    "The {what} could as well be {other}; the scale would then be {percent:.1f} % different.",
    "Make sure which it is, and photograph it larger and from straight above.",
)
define(
    "reference-cut",
    "note",
    "The {what} is cut by the edge of the photo; the edges that are seen were used.",
    "Keep it wholly in view for a surer scale.",
)
define(
    "scale-rule-tilt",
    "note",
    "One tape shows the camera's tilt along itself only; the error of {percent:.1f} % allows for the rest.",
    "Photograph from straight above, or lay the tape through the middle of the photo.",
)

define(
    "photos-combined",
    "note",
    "{count} overlapping photos were laid together as one.",
    "Nothing to do.",
)
define(
    "photos-scale-shared",
    "note",
    "{names}: no scale of its own; laid beside {first} by the cloth that both show.",
    "Nothing to do; an object of known size in every photo makes it surer.",
)
define(
    "photos-scales-differ",
    "caution",
    "The photos disagree about the scale by {percent:.1f} %; the surest one's was taken.",
    "Photograph all from the same height, each with the object of known size in view.",
)

# -- repeat -----------------------------------------------------------------------------------------
define(
    "repeat-few-seen",
    "caution",
    "Only {seen:.1f} repeats are in the photo, so the repeat is less sure.",
    "Photograph a larger piece of the cloth, three repeats or more each way.",
)

define(
    "repeat-off-grain",
    "caution",
    "The print lies {degrees:.1f} degrees off square to the selvage, enough to spoil matching (skew).",
    "Pull the cloth straight and press it, or cut so that the print, not the selvage, is level.",
)

define(
    "repeat-plain",
    "note",
    "No repeat was seen: the cloth is plain, or its pattern is too faint or too irregular to repeat.",
    "If there is a print, photograph it closer, in even light.",
)
define(
    "repeat-beyond-photo",
    "caution",
    "A print is there, but no repeat up to {mm:.0f} mm was found: it is larger than that, or the motifs are "
    "scattered without one; one photo cannot tell which.",
    "Photograph a larger piece of the cloth, or several overlapping photos of it.",
)
define(
    "repeat-part-of-photo",
    "note",
    "The cloth was judged on a part of the photo; the other {percent:.0f} % shows something else.",
    "If that is the same cloth, smooth it flat and photograph it again from straight above.",
)
define(
    "repeat-uneven-cloth",
    "caution",
    "The print is stretched or bent by {percent:.1f} % from place to place; the repeat is the mean.",
    "Smooth the cloth and photograph it flat from straight above.",
)
define(
    "repeat-maybe-larger",
    "caution",
    "Neighbouring repeats differ a little, so the true repeat may be twice or three times as large.",
    "Look whether every second or third motif differs, or photograph a larger piece.",
)

define(
    "repeat-crossed-stripe",
    "caution",
    "Forms stand on the stripes and come again along them, but their repeat along the stripes was not found; "
    "this is no plain stripe.",
    "Photograph a larger piece, flat and from straight above; until then, match it along the stripes by eye.",
)
define(
    "repeat-tilt-unknown",
    "caution",
    "The print shrinks by {percent:.1f} % from one side of the photo to the other: the camera was tilted.",
    "Photograph from straight above, or lay a card or sheet of known size on the cloth to undo the tilt.",
)
define(
    "repeat-tilt-disagrees",
    "caution",
    "The print changes by {percent:.1f} % across the photo, which the object's tilt does not explain.",
    "Make sure the object of known size lies flat on the cloth, and the cloth flat on the table.",
)

# -- motif and judge --------------------------------------------------------------------------------
define(
    "way-unsure",
    "caution",
    "The print is probably {way}, but the tests hardly decide.",
    "Look at the cloth from both ends; if in doubt lay all pieces the same way up.",
)
define(
    "way-unknown",
    "caution",
    "Without the repeat the photo cannot say for sure whether the print has an up; taken as {way}.",
    "Photograph a larger piece of the cloth, or look at it from both ends.",
)
define(
    "motif-at-least",
    "note",
    "Only motifs wholly in the photo were measured; the print may have larger ones.",
    "Photograph a larger piece of the cloth.",
)
define(
    "cells-unlike",
    "caution",
    "Neighbouring repeats differ more than light and noise explain: the true repeat may be larger.",
    "Look whether colours or facing alternate; if so, measure over two of them.",
)
define(
    "cell-few",
    "note",
    "Only {cells:.1f} repeats could be averaged, so small differences between motifs may go unseen.",
    "Photograph a larger piece of the cloth.",
)

# -- project and cutting ----------------------------------------------------------------------------
define(
    "seam-widths-do-not-join",
    "warning",
    "{seam} cannot be matched on this cloth: it misses by {miss}, because the usable width holds {columns} "
    "columns of {column} and the pieces have no room to move across.",
    "Move the seam line {narrower} in from the edge (overlap the widths), take pieces narrower than "
    '{widest}, or match the rows of this seam alone (match = "level").',
)
define(
    "seam-ring-open",
    "warning",
    "{seam} closes a ring of pieces sewn to one another, and {what} would come back to the start of the ring "
    "{miss} off, wherever the pieces are cut.",
    "Move one seam line of the ring by {miss}, or leave the seam that shows least unmatched.",
)
define(
    "place-cannot-be-met",
    "warning",
    "The places on {first} and {second} cannot both lie on the print as asked: they miss by {miss}.",
    "Move one of the two places by {miss}, or drop it.",
)
define(
    "seams-clash",
    "warning",
    "The seams cannot all be matched at once on this cloth: each can, but not together.",
    "Match fewer seams, or ask some for level or upright alone.",
)
define(
    "repeat-cliff",
    "warning",
    "{piece} is {length} long and only just clears whole repeats of {repeat}: were the repeat {percent} % "
    "shorter, it would need more and the cloth {jump} longer there.",
    "Measure the repeat again over five repeats or more, on the cloth that will be cut.",
)
define(
    "cloth-off-grain",
    "caution",
    "The print lies {degrees} degrees off square to the selvage (skew), {lean} mm over the usable width. The "
    "lengths are for cloth pulled straight; left as it is, the seam {first} to {second} misses by {miss} mm.",
    "Pull the cloth straight and press it before cutting, and buy {lean} mm more, because its ends slant "
    "then. If it stays crooked, cut by the printed rows, not square to the selvage, and buy as much more.",
)
define(
    "repeat-error-not-held",
    "caution",
    "No one cutting plan holds for every repeat within {percent} % of the measured one.",
    "Measure the repeat again over several repeats before cutting.",
)
define(
    "matched-not-found",
    "warning",
    "No matched layout was found in {seconds} seconds.",
    "Give more seconds, or match fewer seams.",
)
define(
    "seam-on-cutting-line",
    "caution",
    "The points of seam {seams} lie on the cutting line, so the match is made there, not where it is sewn.",
    "Move both points in by the seam allowance: a print is matched on the stitching line.",
)
define("kind-drawn", "note", "{text}", "Write the project out to change its pieces.")
define(
    "childrens-rules",
    "caution",
    "The program judges a print, not safety: clothes for children, and their cords, are regulated.",
    "Check the rules where you live (such as EN 14682, 16 CFR 1615 and 1616).",
)
define(
    "nightwear-rules",
    "caution",
    "The program judges a print, not safety: nightwear, above all for children, is regulated for fire.",
    "Check the rules where you live (such as EN 14878, UK SI 1985/2043, 16 CFR 1615 and 1616).",
)
