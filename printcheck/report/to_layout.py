"""The cutting layout as a file: one page to scale (SVG), or that page with larger tiles behind it (PDF)."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from printcheck.plan import LengthPlan, Project
from printcheck.report import files, pen_svg
from printcheck.report.drawing import Drawing
from printcheck.report.layout_drawing import Backdrop, layout_drawing
from printcheck.report.to_picture import Measured
from printcheck.units import UnitSystem


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
    ending = files.check_ending(path, place="--layout")
    drawn = drawing(planned, units=units)
    if ending == ".svg":
        files.write_atomic(path, pen_svg.svg(drawn), place="--layout")
        return
    from printcheck.report import pen_pdf

    files.write_atomic(path, pen_pdf.tiled(drawn), place="--layout")


def drawing(planned: Planned, *, units: UnitSystem = "metric", upright: bool = False) -> Drawing:
    """Drawing of the cutting layout, on the print as measured where there is a photo."""
    found = planned.measured
    backdrop = Backdrop(found.cell, found.measurement.motif) if found is not None else Backdrop()
    return layout_drawing(planned.plan, planned.project, backdrop=backdrop, units=units, upright=upright)
