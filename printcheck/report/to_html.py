"""A report as one HTML file that loads nothing, runs nothing and escapes every word it was given."""

from __future__ import annotations

from dataclasses import dataclass

from printcheck.report import pen_svg
from printcheck.report.content import Content
from printcheck.report.drawing import Drawing
from printcheck.report.figures import Figure, light_enough


@dataclass(frozen=True)
class _Shown:
    drawing: Drawing
    caption: str
    narrow: bool
    svg: str


def report(content: Content, figures: list[Figure]) -> str:
    """HTML text of a report.

    Parameters
    ----------
    content : Content
        What is said; see :mod:`printcheck.report.content`.
    figures : list of Figure
        What is shown; made lighter until the page stays below 1.5 MB.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    pages = Environment(
        loader=PackageLoader("printcheck.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
    )
    shown = [
        # the pen escapes every word of a drawing itself
        _Shown(f.drawing, f.caption, f.narrow, Markup(pen_svg.svg(f.drawing, standalone=False)))
        for f in light_enough(figures)
    ]
    return pages.get_template("report.html").render(content=content, figures=shown)
