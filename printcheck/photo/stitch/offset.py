"""How one picture of a cloth lies on another that shows a part of the same.

The one is slid over the other at many turns and sizes; each guess is drawn tight by small patches looked for
near where it puts them, and the best is believed when it is a movement that a camera makes and the pictures
are alike where they overlap. A print repeats, so a guess may be wrong by one repeat and still fit: of
several the most alike is taken. Features were tried and found wanting: flat graphic prints and soft
watercolours have few, and those of a repeating print are alike.
"""

from __future__ import annotations

from printcheck.photo.stitch.initial import guesses
from printcheck.photo.stitch.patches import drawn_tight, nearest
from printcheck.photo.stitch.similarity import Motion, Overlap, Shown

LEAST_LIKENESS = 0.6  # correlation of the overlap


def overlap(new: Shown, old: Shown, motion: Motion) -> Overlap | None:
    """Movement of one picture onto another that both pictures bear out; None where there is none."""
    near = [nearest(new, old, guess, motion) for guess in guesses(new, old, motion)]
    best = max((one for one in near if one is not None), key=lambda one: one.likeness, default=None)
    tight = None if best is None else drawn_tight(new, old, best, motion)
    return tight if tight is not None and tight.likeness > LEAST_LIKENESS else None
