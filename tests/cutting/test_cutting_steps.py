"""Where the print lies under a layout: its phase is told by a motif that is whole within the cloth."""

from __future__ import annotations

import pytest

from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, CutLayout, Piece, Placement, Print, Project
from printcheck.cutting.cutting_steps import start_of

SHRUNK = 0.9  # of motif and cloth, along and across, in the wash
MOTIF_MM = (40.0, 60.0)  # before washing: half of it is 18 and 27 mm on washed cloth


@pytest.mark.parametrize(
    ("motif_at", "told"),
    [
        ((19.0, 28.0), (19.0, 28.0)),  # half a washed motif fits beside it: 20 and 30 mm would not
        ((17.0, 28.0), (97.0, 28.0)),  # cut by the left edge: one column on
        ((19.0, 26.0), (19.0, 126.0)),  # cut by the cut end: one row on
        ((179.0, 228.0), (19.0, 28.0)),
    ],
)
def test_the_motif_told_is_the_first_that_is_whole(
    motif_at: tuple[float, float], told: tuple[float, float]
) -> None:
    cloth = Cloth(1000.0, shrink_along=1 - SHRUNK, shrink_across=1 - SHRUNK)
    lattice = Lattice.of_steps(80, 100)
    printed = Print(
        lattice, "straight", "one-way", "test", motif_width_mm=MOTIF_MM[0], motif_height_mm=MOTIF_MM[1]
    )
    project = Project("one piece", cloth, (Piece("front", 300.0, 400.0),), print=printed)
    layout = CutLayout(400.0, 400.0, True, 0.0, (Placement("front", 0.0, 0.0),))
    start = start_of(project, printed, layout, lattice, motif_at)
    assert start is not None
    assert start.at_mm == pytest.approx(told)
    assert start.slide_mm == pytest.approx((0.0, 1000 * SHRUNK - 300))  # what the piece leaves of the cloth
