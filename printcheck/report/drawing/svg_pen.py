"""The SVG pen: a drawing as one self-contained file, every name escaped."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from printcheck.report.drawing.primitives import Dot, Drawing, Item, Label, Line, Raster, data_uri
from printcheck.report.words.content import one_line

FONTS = "system-ui, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"


def svg(drawing: Drawing, *, standalone: bool = True) -> str:
    """SVG text of a drawing.

    ``standalone``: it is a file of its own, with its size in mm where it is to scale; otherwise it stands in
    a page and takes the width that the page gives it.
    """
    size = ""
    if standalone:
        size = f' width="{_n(drawing.width)}" height="{_n(drawing.height)}"'
        if drawing.width_mm is not None:
            height_mm = drawing.width_mm * drawing.height / drawing.width
            size = f' width="{_n(drawing.width_mm)}mm" height="{_n(height_mm)}mm"'
    said = _attribute(f"{drawing.title}. {drawing.said}".strip())
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"'
        f'{size} role="img" aria-label={said} font-family="{FONTS}">'
    )
    title = f"<title>{_text(drawing.title)}</title>" if standalone else ""
    ground = f'<rect width="100%" height="100%" fill="{drawing.ground}"/>' if drawing.ground else ""
    body = "\n".join(part for item in drawing.items for part in _item(item))
    xml = '<?xml version="1.0" encoding="UTF-8"?>\n' if standalone else ""
    return f"{xml}{head}{title}{ground}\n{body}\n</svg>\n"


def _item(item: Item) -> Iterator[str]:
    if isinstance(item, Line):
        yield from _line(item)
    elif isinstance(item, Dot):
        yield _dot(item)
    elif isinstance(item, Label):
        yield _label(item)
    else:
        yield _raster(item)


def _line(line: Line) -> Iterator[str]:
    name = "polygon" if line.closed else "polyline"
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in line.points)
    shape = f'<{name} points="{points}" stroke-linejoin="round" stroke-linecap="round"'
    dash = f' stroke-dasharray="{_n(line.dash[0])} {_n(line.dash[1])}"' if line.dash else ""
    if line.halo and line.stroke:
        yield f'{shape} fill="none" stroke="{line.halo}" stroke-width="{_n(line.halo_width)}"/>'
    fill = f' fill="{line.fill or "none"}"' + (f' fill-opacity="{_n(line.opacity)}"' if line.fill else "")
    stroke = f' stroke="{line.stroke}" stroke-width="{_n(line.width)}"' if line.stroke else ""
    yield f"{shape}{fill}{stroke}{dash}{_data(line.data)}/>"


def _dot(dot: Dot) -> str:
    stroke = f' stroke="{dot.stroke}" stroke-width="{_n(dot.width)}"' if dot.stroke else ""
    x, y = dot.at
    return (
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(dot.radius)}" fill="{dot.fill or "none"}"'
        f"{stroke}{_data(dot.data)}/>"
    )


def _label(label: Label) -> str:
    x, y = label.at
    turn = f' transform="rotate({_n(label.turn_deg)} {_n(x)} {_n(y)})"' if label.turn_deg else ""
    anchor = f' text-anchor="{label.anchor}"' if label.anchor != "start" else ""
    weight = ' font-weight="bold"' if label.bold else ""
    halo = ""
    if label.halo:
        halo = (
            f' stroke="{label.halo}" stroke-width="{_n(label.halo_width)}"'
            ' stroke-linejoin="round" paint-order="stroke"'
        )
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(label.size)}"{anchor}{weight}'
        f' fill="{label.colour}"{halo}{turn}>{_text(label.text)}</text>'
    )


def _raster(raster: Raster) -> str:
    x, y, width, height = raster.box
    return (
        f'<image x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
        f' preserveAspectRatio="none" href="{data_uri(raster)}"/>'
    )


def _data(data: dict[str, str]) -> str:
    return "".join(f" data-{key}={_attribute(value)}" for key, value in data.items())


def _attribute(text: str) -> str:
    return quoteattr(one_line(text))


def _text(text: str) -> str:
    return escape(one_line(text))


def _n(value: float) -> str:
    """Number with at most three decimals: a thousandth of a millimetre in a drawing to scale."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"
