"""A result as a notebook shows it: the answers, and no more than fits under a cell."""

from __future__ import annotations

from html import escape

from printcheck.report.words.content import Content


def summary(content: Content) -> str:
    """The title and the answers as a small table of HTML; every text is escaped."""
    rows = "".join(
        f'<tr><th scope="row" style="text-align:left">{escape(row.label)}</th>'
        f'<td style="text-align:left">{escape(row.text)}</td></tr>'
        for row in content.answers
    )
    return f"<table><caption>{escape(content.title)}</caption><tbody>{rows}</tbody></table>"
