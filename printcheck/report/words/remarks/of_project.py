"""Findings of a project and its cutting layout, in words."""

from __future__ import annotations

from printcheck.report.words.content import Said

DRAWN = "Write the project out to change its pieces."

WORDS = {
    "seam-widths-do-not-join": Said(
        "{seam} cannot be matched on this cloth: it misses by {miss_mm:size}, because the usable "
        "width holds {columns:.2f} columns of {column_mm:size} and the pieces have no room to move "
        "across.",
        "Move the seam line {narrower_mm:size} in from the edge (overlap the widths), take pieces "
        'narrower than {widest_mm:size}, or match the rows of this seam alone (match = "level").',
    ),
    "seam-ring-open": Said(
        "{seam} closes a ring of pieces sewn to one another, and {what} would come back to the "
        "start of the ring {miss_mm:size} off, wherever the pieces are cut.",
        "Move one seam line of the ring by {miss_mm:size}, or leave the seam that shows least unmatched.",
    ),
    "place-cannot-be-met": Said(
        "The places on {first} and {second} cannot both lie on the print as asked: they miss by "
        "{miss_mm:size}.",
        "Move one of the two places by {miss_mm:size}, or drop it.",
    ),
    "seams-clash": Said(
        "The seams cannot all be matched at once on this cloth: each can, but not together.",
        "Match fewer seams, or ask some for level or upright alone.",
    ),
    "repeat-cliff": Said(
        "{piece} is {length_mm:size} long and only just clears whole repeats of {repeat_mm:size}: "
        "were the repeat {percent:.2g} % shorter, it would need more and the cloth {jump_mm:size} "
        "longer there.",
        "Measure the repeat again over five repeats or more, on the cloth that will be cut.",
    ),
    "near-miss": Said(
        "{what} {change_mm:size} {how} would do with {buy_mm:buy}: it saves {saves_mm:buy}.",
        "See whether the size can give way that little.",
    ),
    "near-miss-step": Said(
        "The layout is only {over_mm:size} too long for {buy_mm:buy}: were it shorter by that, it "
        "saves {saves_mm:buy}.",
        "See whether a hem or a seam allowance can give way that little.",
    ),
    "near-miss-fullness": Said(
        "{percent:.0f} % less fullness would do with {buy_mm:buy}: it saves {saves_mm:buy}.",
        "Nobody sees so little fullness missing.",
    ),
    "cloth-off-grain": Said(
        "The print lies {degrees:.1f} degrees off square to the selvedge (skew), {lean_mm:size} "
        "over the usable width. The lengths are for cloth pulled straight; left as it is, the seam "
        "{first} to {second} misses by {miss_mm:size}.",
        "Pull the cloth straight and press it before cutting, and buy {lean_mm:size} more, because "
        "its ends slant then. If it stays crooked, cut by the printed rows, not square to the "
        "selvedge, and buy as much more.",
    ),
    "repeat-error-not-held": Said(
        "No one cutting plan holds for every repeat within {percent:.2g} % of the measured one.",
        "Measure the repeat again over several repeats before cutting.",
    ),
    "matched-not-found": Said(
        "No matched layout was found in {seconds:g} seconds.",
        "Give more seconds, or match fewer seams.",
    ),
    "seam-on-cutting-line": Said(
        "The points of seam {seams} lie on the cutting line, so the match is made there, not where "
        "it is sewn.",
        "Move both points in by the seam allowance: a print is matched on the stitching line.",
    ),
    "skirt-panels": Said(
        "Gathered skirt: {panels:count panel} of {width_mm:size} as cut.",
        DRAWN,
    ),
    "curtain-widths": Said(
        "Curtains: {widths:count width} of cloth for {curtains:count curtain}, {fullness:.2f} times "
        "the track once joined.",
        DRAWN,
    ),
    "curtain-joins": Said(
        "Joins of full widths lap over so that the seam lines lie {columns:count column} apart.",
        DRAWN,
    ),
    "curtain-selvedge": Said(
        "Widths are joined at the inner edge of the selvedge, where the print runs on.",
        DRAWN,
    ),
    "curtain-railroaded": Said(
        "The curtain's top lies along the left selvedge, so a print with an up would lie on its side.",
        "Take cloth that is plain, or printed to be railroaded.",
    ),
    "curtain-border": Said(
        "The border runs along the foot: the cloth hangs turned sideways, its top along the left selvedge.",
        DRAWN,
    ),
    "backing-sideways": Said(
        "The cloth runs across the quilt, which takes less: its joins lie crosswise.",
        DRAWN,
    ),
    "binding-squares": Said(
        "The binding is cut in one run from {squares:count square} of {side_mm:size}.",
        DRAWN,
    ),
    "seams-not-matched": Said(
        "{title}: these seams are not matched: {seams}.",
        DRAWN,
    ),
    "measure-off-table": Said(
        "A {measure} of {value_mm:size} is outside the size table of {table} for {people}, "
        "{least_mm:size} to {most_mm:size}, so the pieces are drafted by proportion.",
        "Check them against a pattern in that size.",
    ),
    "dxf-no-grain": Said(
        "{piece}: no grain line is drawn on layer 7, so the piece is taken as it stands in the drawing.",
        "Say with top on which side of the drawing its top is, or draw the grain line.",
    ),
    "dxf-turned": Said(
        "{piece}: its grain runs across the drawing, so its top is taken to be at the left of it.",
        'Look at the cutting layout; where it stands on its head, write top = "right" beside the file.',
    ),
    "dxf-notch-off": Said(
        "{piece}: notch {notch} lies {off_mm:size} off the cutting line; it is taken where it is drawn.",
        "Move it onto the line in the pattern program, or give the seam's point with at.",
    ),
    "width-too-narrow": Said(
        "A piece is wider than this cloth.",
        "Choose a wider cloth, or turn or join the piece.",
    ),
    "childrens-rules": Said(
        "The program judges a print, not safety: clothes for children, and their cords, are regulated.",
        "Check the rules where you live (such as EN 14682, 16 CFR 1615 and 1616).",
    ),
    "nightwear-rules": Said(
        "The program judges a print, not safety: nightwear, above all for children, is regulated for fire.",
        "Check the rules where you live (such as EN 14878, UK SI 1985/2043, 16 CFR 1615 and 1616).",
    ),
}
