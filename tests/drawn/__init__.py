"""Prints of known truth and a camera: for tests, documents and sample images only.

>>> import numpy as np
>>> from tests.drawn import Camera, photograph, prints
>>> art = prints.gingham(np.random.default_rng(1), 12.0)
>>> photo = photograph(art, Camera(view_mm=90, size_px=(400, 300)))
>>> photo.bgr.shape, photo.truth.basis_mm
((300, 400, 3), ((12.0, 0.0), (0.0, 12.0)))
"""

from __future__ import annotations

from tests.drawn import bars, colours, figures, geometric, metal, nearly, objects, prints
from tests.drawn.art import Art, Cell, Hand
from tests.drawn.camera import Camera
from tests.drawn.corpora import CORPORA, Scene, corpus, scene
from tests.drawn.objects import Laid, Thing
from tests.drawn.photo import Photo, Truth, photograph

__all__ = [
    "CORPORA",
    "Art",
    "Camera",
    "Cell",
    "Hand",
    "Laid",
    "Photo",
    "Scene",
    "Thing",
    "Truth",
    "bars",
    "colours",
    "corpus",
    "figures",
    "geometric",
    "metal",
    "nearly",
    "objects",
    "photograph",
    "prints",
    "scene",
]
