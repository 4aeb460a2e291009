"""The cutting layout as a file: one page to scale (SVG), or that page with larger tiles behind it (PDF)."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from printcheck.core.plan import LengthPlan, Project
from printcheck.core.units import UnitSystem
from printcheck.report import atomic
from printcheck.report.drawing import svg_pen
from printcheck.report.drawing.layout.backdrop import Backdrop
from printcheck.report.drawing.layout.layout_sheet import layout_drawing
from printcheck.report.drawing.photo_overlay import Measured
from printcheck.report.drawing.primitives import Drawing


class Planned(Protocol):
    """What a planned length holds, wherever it was made."""

    @property
    def plan(self) -> LengthPlan: ...  # noqa: D102
    @property
    def project(self) -> Project: ...  # noqa: D102
    @property
    def measured(self) -> Measured | None: ...  # noqa: D102


def write(path: Path, planned: Planned, *, units: UnitSystem = "metric") -> None:
    """Write the cutting layout by the file's ending: SVG on one page, PDF with tiles to lay together."""
    ending = atomic.check_ending(path, place="--layout")
    drawn = drawing(planned, units=units)
    if ending == ".svg":
        atomic.write_atomic(path, svg_pen.svg(drawn), place="--layout")
        return
    from printcheck.report.drawing import pdf_pen

    atomic.write_atomic(path, pdf_pen.tiled(drawn), place="--layout")


def drawing(planned: Planned, *, units: UnitSystem = "metric", upright: bool = False) -> Drawing:
    """Drawing of the cutting layout, on the print as measured where there is a photo."""
    found = planned.measured
    backdrop = Backdrop(found.cell, found.measurement.motif) if found is not None else Backdrop()
    return layout_drawing(planned.plan, planned.project, backdrop=backdrop, units=units, upright=upright)
