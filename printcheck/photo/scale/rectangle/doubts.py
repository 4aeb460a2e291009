"""What was seen that may be the object, why it is not trusted, and the one option that settles it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from printcheck.core.errors import NoAnswerError
from printcheck.photo.scale.fitted import TYPICAL, WEIGHTS
from printcheck.photo.scale.rectangle.classifier import FEATURES, features

if TYPE_CHECKING:
    from printcheck.core.objects import KnownObject
    from printcheck.photo.scale.rectangle.known import Candidate

REASONS = {  # features that tell against it -> in words
    ("misfit", "steep", "steep unstated"): "no camera that looks down on it would see its sides like that",
    ("cover", "support", "rough"): "not all of its sides stand out",
    ("corners",): "its corners are not shaped as they should be",
    ("unlike", "corners unlike", "once"): "the photo shows the like elsewhere, as a print does",
    ("around", "beyond", "border", "open side"): "it seems to be a part of something larger",
    ("hidden", "hidden long"): "too little of it is in the photo",
    ("plain", "light", "tint"): "it is not as plain and pale as paper",
}
ROWS, COLUMNS = ("top", "", "bottom"), ("left", "", "right")  # thirds of the photo


def doubtful(file: str, row: KnownObject, seen: Candidate) -> NoAnswerError:
    """The refusal of a thing that may be the object, with the corners to say that it is."""
    size = seen.poses[0].centre_px
    x, y = np.clip((seen.corners.mean(0) / (2 * np.array(size)) * 3).astype(int), 0, 2)
    place = " ".join(word for word in (ROWS[y], COLUMNS[x]) if word) or "middle"
    kind = seen.kind
    corners = ",".join(f"{value:.0f}" for value in seen.corners.ravel())
    return NoAnswerError(
        "reference-unsure",
        f"{file}: what lies near the {place} of the photo may be {row.words}, but {reason(seen)}.",
        f"If it is, say --corners {corners}={kind.long_mm:g}x{kind.short_mm:g}mm; otherwise lay the object "
        "flat and clear of other things, and photograph it from straight above.",
    )


def reason(seen: Candidate) -> str:
    """What tells most against it, beside what the object usually shows."""
    shape = seen.kind.shape
    lack = np.array(WEIGHTS[shape][1:]) * (features(seen) - np.array(TYPICAL[shape]))
    each = dict(zip(FEATURES, lack, strict=True))
    return REASONS[min(REASONS, key=lambda names: sum(each[name] for name in names))]
