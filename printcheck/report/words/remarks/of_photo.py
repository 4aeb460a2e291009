"""Findings of the photo, its scale and several photos together, in words."""

from __future__ import annotations

from printcheck.report.words.content import Said

HOW_TO_ADD_SCALE = (
    "Photograph it again with a bank card laid flat on it, or state one size you know, with --cloth-width, "
    "--repeat-is, --motif-is or --photo-width."
)

WORDS = {
    "scale-tilt-unknown": Said(
        "The scale comes from {what}, which cannot show whether the camera was tilted; about "
        "{percent:.1f} % is allowed for that.",
        "Photograph from straight above, or lay a bank card or sheet of paper on the cloth.",
    ),
    "corners-misfit": Said(
        "The four corners do not quite fit a flat rectangle of the stated size.",
        "Point at the corners again, and check the size.",
    ),
    "scale-two-objects-disagree": Said(
        "Two scales in this photo disagree by {percent:.1f} %: {first}; {second}.",
        "Check that both lie flat on the cloth and are of the size they are taken for; keep only one.",
    ),
    "scale-two-objects-agree": Said(
        "Two scales in this photo agree within {percent:.1f} %: {first}; {second}.",
        "Nothing to do.",
    ),
    "scale-board-unmeasured": Said(
        "The scale card's bar was not measured, so the printer is taken at its word, within {percent:.1f} %.",
        "Measure the bar that was printed with the card; if it is not {nominal_mm:exact}, pass --bar.",
    ),
    "scale-board-bent": Said(
        "The scale card does not lie flat: it is bent, or the cloth under it is uneven.",
        "Smooth the cloth and press the card flat, or print it on stiffer paper.",
    ),
    "scale-coin-tilt": Said(
        "A coin hardly shows whether the camera was tilted; the error of {percent:.1f} % allows for that.",
        "Photograph from straight above, or lay a bank card or the printed scale card on the cloth instead.",
    ),
    "reference-weak": Said(
        "The {what} was found, but its outline is faint in places, so the scale is less sure.",
        "Lay it where its edges stand out from the cloth, without glare or shadow.",
    ),
    "reference-could-be": Said(
        "The {what} could as well be {other}; the scale would then be {percent:.1f} % different.",
        "Make sure which it is, and photograph it larger and from straight above.",
    ),
    "reference-cut": Said(
        "The {what} is cut by the edge of the photo; the edges that are seen were used.",
        "Keep it wholly in view for a surer scale.",
    ),
    "scale-rule-tilt": Said(
        "One tape shows the camera's tilt along itself only; the error of {percent:.1f} % allows "
        "for the rest.",
        "Photograph from straight above, or lay the tape through the middle of the photo.",
    ),
    "photos-combined": Said(
        "{count} overlapping photos were laid together as one.",
        "Nothing to do.",
    ),
    "photos-scale-shared": Said(
        "{names}: no scale of its own; laid beside {first} by the cloth that both show.",
        "Nothing to do; an object of known size in every photo makes it surer.",
    ),
    "photos-twice": Said(
        "{name} is the same photo as {first}; it was counted once.",
        "Nothing to do.",
    ),
    "photos-join-doubtful": Said(
        "{names}: what it shares with the other photos makes it only {percent:.0f} % sure where it lies.",
        "Take it again so that it overlaps its neighbours by a third or more, or leave it out.",
    ),
    "photos-place-error": Said(
        "{name} is laid beside the other photos give or take {error_mm:size}.",
        "Nothing to do; more overlap with its neighbours makes it surer.",
    ),
    "photos-place-open": Said(
        "{names} could as well lie {by_mm:size} elsewhere: what the photos share looks the same there, but "
        "the repeat would be another.",
        "Take one more photo across that place, or one from farther away, so that two neighbours both show "
        "the motifs that are unlike the rest.",
    ),
    "photos-scales-differ": Said(
        "The photos disagree about the scale by {percent:.1f} %; the surest one's was taken.",
        "Photograph all from the same height, each with the object of known size in view.",
    ),
    "scale-none": Said(
        "Nothing of known size was seen in the photo, so its sizes are told in pixels.",
        HOW_TO_ADD_SCALE,
    ),
    "tilt-by-print": Said(
        "The print shows that the camera was tilted by about {degrees:.0f} degrees; that was undone.",
        "Photograph from straight above for a surer answer.",
    ),
    "scale-sheet-unnamed": Said(
        "A sheet of paper seems to lie on the cloth, but A4, A5 and A6 have the same shape, so that "
        "its size cannot be seen; sizes are told in pixels.",
        "Name its size with --reference A4, A5, A6 or letter.",
    ),
    "scale-coin-unnamed": Said(
        "A coin seems to lie on the cloth, but nothing in a photo tells its size; sizes are told in pixels.",
        "Say which one with --reference coin:NAME, such as coin:2euro, or give its diameter after "
        "coin: instead.",
    ),
}
