"""Findings of the repeat, in words."""

from __future__ import annotations

from printcheck.report.words.content import Said

IF_MORE_BANDS = (
    "If such bands come again further on, it is no border: photograph two of them. If the band runs along "
    "the selvedge and lies level in the photo, say --selvedge horizontal."
)

WORDS = {
    "repeat-few-seen": Said(
        "Only {seen:.1f} repeats are in the photo, so the repeat is less sure.",
        "Photograph a larger piece of the cloth, three repeats or more each way.",
    ),
    "repeat-off-grain": Said(
        "The print lies {degrees:.1f} degrees off square to the selvedge, enough to spoil matching (skew).",
        "Pull the cloth straight and press it, or cut so that the print, not the selvedge, is level.",
    ),
    "repeat-plain": Said(
        "No repeat was found.",
        "If the print has one, photograph more of the cloth, flat, in even light and from straight above.",
    ),
    "repeat-beyond-photo": Said(
        "A print is there, but no repeat that fits into the photo was found: it is larger, or there is "
        "none; one photo cannot tell which.",
        "Take several photos that overlap by a third, or a panorama with the phone, or one from twice as "
        "far. Too far for a card to be seen, a tape laid along one repeat gives the scale with --span, or "
        "the repeat that the mill's sheet or the marks on the selvedge state with --repeat-is.",
    ),
    "repeat-one-direction": Said(
        "The print comes again every {every_mm:size} in one direction; in the other no repeat fits into the "
        "photo.",
        "Take several photos that overlap by a third in the other direction, or one from twice as far.",
    ),
    "repeat-border": Said(
        "A band {band_mm:size} high comes again every {every_mm:size} along itself, with ground beside it.",
        IF_MORE_BANDS,
    ),
    "repeat-border-of-field": Said(
        "A band comes again every {every_mm:size} along itself; the print beside it has a repeat of its own.",
        IF_MORE_BANDS,
    ),
    "repeat-odd-motifs": Said(
        "A few motifs are in another colour than their like; no repeat that holds them was seen, so the "
        "whole repeat is larger than the one told.",
        "Photograph a larger piece of the cloth, or several overlapping photos of it.",
    ),
    "repeat-part-of-photo": Said(
        "The cloth was judged on a part of the photo; the other {percent:.0f} % shows something else.",
        "If that is the same cloth, smooth it flat and photograph it again from straight above. A "
        "border along one selvedge is measured from a photo of its own.",
    ),
    "repeat-uneven-cloth": Said(
        "The print is stretched or bent by {percent:.1f} % from place to place; the repeat is the mean.",
        "Smooth the cloth and photograph it flat from straight above.",
    ),
    "repeat-either": Said(
        "The print may also come again in other steps, {other_mm:size} where {one_mm:size} is taken: too "
        "few repeats are in the photo to tell which.",
        "One more photo that shows three of the larger repeats would tell.",
    ),
    "repeat-crossed-stripe": Said(
        "Forms stand on the stripes and come again along them, but their repeat along the stripes "
        "was not found; this is no plain stripe.",
        "Photograph a larger piece, flat and from straight above; until then, match it along the "
        "stripes by eye.",
    ),
    "repeat-tilt-unknown": Said(
        "The print looks {percent:.1f} % smaller at one side of the photo than at the other: the "
        "camera was tilted.",
        "Photograph from straight above, or lay a card or sheet of known size on the cloth to undo the tilt.",
    ),
    "repeat-tilt-disagrees": Said(
        "The print changes by {percent:.1f} % across the photo, which the object's tilt does not explain.",
        "Make sure the object of known size lies flat on the cloth, and the cloth flat on the table.",
    ),
}
