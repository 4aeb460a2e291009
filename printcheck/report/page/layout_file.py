"""The cutting layout as a file: a drawing to scale (SVG), a picture (PNG), or pages to print (PDF)."""

from __future__ import annotations

from pathlib import Path

from printcheck.core.handover import PlannedLength
from printcheck.core.system import atomic
from printcheck.core.units import UnitSystem
from printcheck.report.drawing import svg_pen
from printcheck.report.drawing.layout.backdrop import Backdrop
from printcheck.report.drawing.layout.layout_sheet import layout_drawing
from printcheck.report.drawing.primitives import Drawing, Label, scaled

HEADING_PX = 24.0  # size of the heading's letters, the largest, in a PNG
LONGEST_PX = 6000.0  # of a PNG's longer side


def write(path: Path, planned: PlannedLength, *, units: UnitSystem = "metric", paper: str = "both") -> None:
    """Write the cutting layout by the file's ending: SVG or PNG on one page, PDF with sheets at full size.

    ``paper`` is that of the sheets: both (A4 and letter), A4, letter or A0.
    """
    ending = atomic.check_ending(path, place="--layout")
    if ending == ".pdf":
        from printcheck.report.page.layout_pdf import layout_pdf

        content: str | bytes = layout_pdf(planned, units=units, paper=paper)  # type: ignore[arg-type]
    elif ending == ".png":
        from printcheck.report.drawing import png_pen

        content = png_pen.png(_for_pixels(drawing(planned, units=units)))
    else:
        content = svg_pen.svg(drawing(planned, units=units))
    atomic.write_atomic(path, content, place="--layout")


def drawing(
    planned: PlannedLength, *, units: UnitSystem = "metric", upright: bool = False, key: bool = True
) -> Drawing:
    """Drawing of the cutting layout, on the print as measured where there is a photo."""
    backdrop = backdrop_of(planned)
    return layout_drawing(
        planned.plan, planned.project, backdrop=backdrop, units=units, upright=upright, key=key
    )


def backdrop_of(planned: PlannedLength) -> Backdrop:
    """The print as measured where there is a photo."""
    found = planned.measured
    return Backdrop(found.cell, found.measurement.motif) if found is not None else Backdrop()


def _for_pixels(drawn: Drawing) -> Drawing:
    """The drawing with a unit to the pixel: letters that can be read, a picture that can be opened."""
    letter = max(item.size for item in drawn.items if isinstance(item, Label))
    factor = min(HEADING_PX / letter, LONGEST_PX / max(drawn.width, drawn.height))
    return scaled(drawn, factor)
