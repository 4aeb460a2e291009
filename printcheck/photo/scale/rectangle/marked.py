"""Whether four marked corners are those of a thing that lies on the cloth, or of the cloth itself.

Asked of the same classifier as a rectangle of stated size. Four marks on the cloth, or four crossings of a
check, do not look like a thing that was laid there. Only a thing is left out of the cloth.
"""

from __future__ import annotations

import cv2
import numpy as np

from printcheck.core.handover import Floats, Picture
from printcheck.photo.scale.rectangle.classifier import weighed
from printcheck.photo.scale.rectangle.known import measured, rectangle, scene_of

LARGEST_SHARE = 0.6  # of the photo: a thing that leaves less cloth than this is taken for cloth
MOST_MOVED = 0.04  # of the long side: an edge farther off is not the one that was marked
LIKELY = 0.5  # evidence from which it is more likely a thing than not


def lies_on_cloth(picture: Picture, corners_px: Floats, size_mm: tuple[float, float]) -> bool:
    """Whether an object of this size fills the marked (4, 2) corners, photo px, its width first."""
    if (
        cv2.contourArea(corners_px.astype(np.float32))
        > LARGEST_SHARE * picture.facts.width_px * picture.facts.height_px
    ):
        return False
    rough = corners_px if size_mm[0] >= size_mm[1] else np.roll(corners_px, -1, 0)
    scene = scene_of(picture)
    found = measured(scene, [rectangle(size_mm)], rough[None])
    long = float(np.linalg.norm(rough[1] - rough[0]))
    if not found or np.abs(found[0].corners - rough).max() > MOST_MOVED * long:
        return False
    return weighed(scene, found)[0][0] >= LIKELY
