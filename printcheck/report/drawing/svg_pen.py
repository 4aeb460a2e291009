"""The SVG pen: a drawing as one self-contained file, every name escaped."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from xml.sax.saxutils import escape, quoteattr

from printcheck.report.drawing.primitives import Dot, Drawing, Item, Label, Line, data_uri
from printcheck.report.words.content import one_line

FONTS = "system-ui, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"

Attributes = dict[str, str | float | None]


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
        (x, y), fill = item.at, item.fill or "none"
        yield tag("circle", {"cx": x, "cy": y, "r": item.radius, "fill": fill, **_stroke(item)}, item.data)
    elif isinstance(item, Label):
        yield _label(item)
    else:
        box = dict(zip(("x", "y", "width", "height"), item.box, strict=True))
        yield tag("image", {**box, "preserveAspectRatio": "none", "href": data_uri(item)})


def _line(line: Line) -> Iterator[str]:
    name, points = "polygon" if line.closed else "polyline", (f"{_n(x)},{_n(y)}" for x, y in line.points)
    shape: Attributes = {"points": " ".join(points), "stroke-linejoin": "round", "stroke-linecap": "round"}
    if line.halo and line.stroke:
        halo: Attributes = {"stroke": line.halo, "stroke-width": line.halo_width}
        yield tag(name, {**shape, "fill": "none", **halo})
    fill: Attributes = {"fill": line.fill, "fill-opacity": line.opacity} if line.fill else {"fill": "none"}
    dash = f"{_n(line.dash[0])} {_n(line.dash[1])}" if line.dash else None
    yield tag(name, {**shape, **fill, **_stroke(line), "stroke-dasharray": dash}, line.data)


def _label(label: Label) -> str:
    x, y = label.at
    attributes: Attributes = {
        "x": x,
        "y": y,
        "font-size": label.size,
        "text-anchor": label.anchor if label.anchor != "start" else None,
        "font-weight": "bold" if label.bold else None,
        "fill": label.colour,
    }
    if label.halo:
        attributes |= {"stroke": label.halo, "stroke-width": label.halo_width}
        attributes |= {"stroke-linejoin": "round", "paint-order": "stroke"}
    turn = f"rotate({_n(label.turn_deg)} {_n(x)} {_n(y)})" if label.turn_deg else None
    return tag("text", {**attributes, "transform": turn}, text=label.text)


def _stroke(item: Line | Dot) -> Attributes:
    return {"stroke": item.stroke, "stroke-width": item.width} if item.stroke else {}


def tag(
    name: str, attributes: Attributes, data: Mapping[str, str] | None = None, text: str | None = None
) -> str:
    """Element of these attributes; those that are None are left out, and ``data`` become ``data-*``."""
    known = {key: _n(v) if isinstance(v, (int, float)) else v for key, v in attributes.items()}
    head = "".join(f' {key}="{value}"' for key, value in known.items() if value is not None)
    head += "".join(f" data-{key}={_attribute(value)}" for key, value in (data or {}).items())
    return f"<{name}{head}/>" if text is None else f"<{name}{head}>{_text(text)}</{name}>"


def _attribute(text: str) -> str:
    return quoteattr(one_line(text))


def _text(text: str) -> str:
    return escape(one_line(text))


def _n(value: float) -> str:
    """Number with at most three decimals: a thousandth of a millimetre in a drawing to scale."""
    return f"{value:.3f}".rstrip("0").rstrip(".") if value % 1 else f"{value:.0f}"
