"""Findings of the motifs, their way and the judgement, in words."""

from __future__ import annotations

from printcheck.report.words.content import Said

WORDS = {
    "way-unsure": Said(
        "The print is probably {way}, but the photo hardly shows it.",
        "Look at the cloth from both ends; if in doubt, lay all pieces the same way up.",
    ),
    "way-unknown": Said(
        "The photo cannot tell whether the print has an up.",
        "Look at the cloth from both ends; until you know, lay all pieces the same way up.",
    ),
    "motif-at-least": Said(
        "Only motifs wholly in the photo were measured; the print may have larger ones.",
        "Photograph a larger piece of the cloth.",
    ),
    "cells-unlike": Said(
        "Neighbouring repeats differ more than light and noise explain: the true repeat may be larger.",
        "Look whether every second one has other colours or faces the other way; if so, the repeat "
        "is twice as long.",
    ),
    "cell-few": Said(
        "Only {cells:.1f} repeats could be averaged, so small differences between motifs may go unseen.",
        "Photograph a larger piece of the cloth.",
    ),
    "match-by-size": Said(
        "Whether to match it depends on its size: if {thing} is over {limit:size}, match it; if "
        "smaller, nothing has to meet.",
        "Lay a rule on the cloth.",
    ),
}
