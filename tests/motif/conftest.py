"""Flat pictures of drawn prints with the lattice as it truly lies."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.core.measurement import PhotoFacts, Repeat, Scale
from tests.drawn import Art, Camera, photograph

Seen = tuple[FlatCloth, PrintLattice]


def seen(art: Art, *, view_mm: float, turn_deg: float = 3.0, seed: int = 1, width: int = 900) -> Seen:
    camera = Camera(
        view_mm=view_mm, size_px=(width, width * 3 // 4), turn_deg=turn_deg, light=0.25, noise=2.0
    )
    bgr = photograph(art, camera, seed=seed).bgr
    mm = camera.mm_per_px
    facts = PhotoFacts("drawn.jpg", bgr.shape[1], bgr.shape[0])
    scale = Scale("given", mm, 0.001)
    cloth = FlatCloth(bgr, np.ones(bgr.shape[:2], bool), mm, np.eye(3), facts, scale)
    return cloth, lattice_of(art, camera)


def lattice_of(art: Art, camera: Camera) -> PrintLattice:
    centre = np.array([(camera.size_px[0] - 1) / 2, (camera.size_px[1] - 1) / 2])
    if not art.basis_mm:
        return PrintLattice(Repeat(art.kind), np.zeros((0, 2)), centre)
    homography = camera.plane()
    basis = np.array(art.basis_mm) @ homography[:2, :2].T  # straight down, so this is a turn and a scale
    across = homography[:2, 0]
    repeat = Repeat(
        "stripe" if len(art.basis_mm) == 1 else "lattice",
        art.layout,
        basis_mm=art.basis_mm,
        across_mm=art.basis_mm[0][0],
        confidence=1.0,
    )
    return PrintLattice(repeat, basis, centre, math.atan2(across[1], across[0]))


@pytest.fixture
def draw() -> Callable[..., Seen]:
    """Photograph a print straight down, turned a little, in uneven light."""
    return seen
