"""A report as one HTML file that loads nothing, runs nothing and escapes every word it was given."""

from __future__ import annotations

from html import escape

from printcheck.report.drawing import svg_pen
from printcheck.report.page.figures import Figure, Part, light_enough
from printcheck.report.words.content import Content, tamed


def report(content: Content, parts: list[Part]) -> str:
    """HTML text of a report: its title and answers, then its parts.

    Pictures are made lighter until the page stays below 1.5 MB.
    """
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    loader = PackageLoader("printcheck.report.page")
    pages = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    pages.finalize = lambda value: tamed(value) if type(value) is str else value

    shown = [  # the pen escapes every word of a drawing itself
        (part, Markup(svg_pen.svg(part.drawing, standalone=False)) if isinstance(part, Figure) else "")
        for part in light_enough(parts)
    ]
    return pages.get_template("report.html").render(content=content, parts=shown)


def summary(content: Content) -> str:
    """The title and the answers as a small table, as a notebook shows a result; every text is escaped."""
    rows = "".join(
        f'<tr><th scope="row" style="text-align:left">{escape(row.label)}</th>'
        f'<td style="text-align:left">{escape(row.text)}</td></tr>'
        for row in content.answers
    )
    return f"<table><caption>{escape(content.title)}</caption><tbody>{rows}</tbody></table>"
