"""What was seen that may be the object, why it is not trusted, and the one option that settles it."""

from __future__ import annotations

import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.core.handover import Floats, Picture
from printcheck.photo.scale.logistic import lacks

EDGE_UNCLEAR = "its edge cannot be told from its shadow"
REASONS = {  # in words -> features that tell against it
    "no camera that looks down on it would see its sides so": "misfit, strained, steep, steep unstated",
    "not all of its edge stands out": "cover, support, rough",
    "its corners are not shaped as they should be": "corners",
    "the photo shows the like elsewhere, as a print does": "unlike, corners unlike, once, through",
    "it seems to be a part of something larger": "around, beyond, border, open side",
    "too little of it is in the photo": "hidden, hidden long",
    "it is not as plain and pale as paper": "plain, light",
    "its face does not look like metal": "relief, busy, tint, apart",
    EDGE_UNCLEAR: "hue off",
    "it is not seen as a circle": "oval",
}
ROWS, COLUMNS = ("top", "", "bottom"), ("left", "", "right")  # thirds of the photo


def doubtful(picture: Picture, words: str, outline_px: Floats, reason: str, option: str) -> NoAnswerError:
    """The refusal of a thing that may be the object, with the ``option`` to say that it is."""
    place = place_of(outline_px, picture)
    return NoAnswerError(
        "reference-unsure",
        f"{picture.facts.file}: what lies near the {place} of the photo may be {words}, but {reason}.",
        f"If it is, and whole, say {option}; otherwise lay the object flat and clear of other things, "
        "and photograph it from straight above.",
        outline_px=points_of(outline_px),
    )


def points_of(outline_px: Floats) -> tuple[tuple[float, float], ...]:
    """The same as plain numbers."""
    return tuple((float(x), float(y)) for x, y in outline_px)


def place_of(outline_px: Floats, picture: Picture) -> str:
    """In which third of the photo an outline (N, 2) lies, in words."""
    size = np.array([picture.facts.width_px, picture.facts.height_px])
    x, y = np.clip((outline_px.mean(0) / size * 3).astype(int), 0, 2)
    return " ".join(word for word in (ROWS[y], COLUMNS[x]) if word) or "middle"


def reason(shape: str, seen: dict[str, float]) -> str:
    """What tells most against a thing with these features, beside what the object usually shows."""
    each = lacks(shape, seen)
    return min(REASONS, key=lambda words: sum(each.get(name, 0.0) for name in REASONS[words].split(", ")))
