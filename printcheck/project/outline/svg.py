"""The outline of a piece from an SVG file: one closed shape with a given id, in real millimetres.

The file is read as data, never as a document: entities are refused, nothing outside it is fetched, and
of its drawing only the one shape is looked at, with the transforms that stand above it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from fontTools.misc.transform import Identity, Transform

from printcheck.core.errors import InputError
from printcheck.core.lattice import Vector
from printcheck.project.outline.beside import read_beside
from printcheck.project.outline.svg_path import flattened, parse_path, parse_transform

DEEPEST = 200  # elements inside one another
SVG = "http://www.w3.org/2000/svg"
# absolute units of CSS Values 3, section 6.2; px is left out: on paper it has no agreed size
MM_PER_SVG_UNIT = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6}
SAME_SCALE = 0.002  # share by which the scales across and along may differ before the drawing is distorted
# what stands inside these is not drawn where it stands
OPAQUE = {"symbol", "pattern", "marker", "clipPath", "mask"}

_SIZE = re.compile(r"\s*([+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z%]*)\s*")


@dataclass
class _Found:
    """What the reader keeps while it goes through the file."""

    root: dict[str, str] = field(default_factory=dict)
    tag: str = ""
    shape: dict[str, str] = field(default_factory=dict)
    above: Transform = Identity
    times: int = 0
    hidden_in: str = ""


def outline_from_svg(folder: Path, file: str, name: str, *, place: str) -> tuple[Vector, ...]:
    """Points of the closed ``path``, ``polygon`` or ``rect`` with this id, in mm as drawn, curves to 0.1 mm.

    Raises
    ------
    InputError
        If the file is not to be had, is no SVG, has no real size, or the shape is missing or open.
    """
    data = read_beside(folder, file, place=place)
    found = _search(data, name, f"{place}: {file}")
    where = f"{place}: {file}#{name}"
    to_mm = _millimetres(found.root, f"{place}: {file}")
    if not found.times:
        raise InputError(
            "svg-no-such-id",
            f"{place}: {file} holds no element with the id {name!r}.",
            "Check the id in the drawing.",
        )
    if found.times > 1:
        raise InputError("svg-id-twice", f"{where}: the id is used {found.times} times.", "Make it unique.")
    if found.hidden_in:
        raise InputError(
            "svg-not-drawn",
            f"{where}: stands inside <{found.hidden_in}>, which is not drawn there.",
            "Move the shape to the drawing itself.",
        )
    own = parse_transform(found.shape.get("transform", ""), place=where)
    matrix = to_mm.transform(found.above).transform(own)
    return flattened(parse_path(_path_data(found, where), place=where), matrix, place=where)


def _search(data: bytes, name: str, where: str) -> _Found:
    """Root and named element, by a streaming reader that refuses entities."""
    found = _Found()
    stack: list[tuple[str, Transform]] = []

    def start(tag: str, attributes: dict[str, str]) -> None:
        space, _, short = tag.rpartition(" ")
        if not stack:
            if short != "svg" or space not in ("", SVG):
                raise InputError("not-svg", f"{where} is not an SVG drawing.", "Save the outline as SVG.")
            found.root = attributes
        above = stack[-1][1] if stack else found.above
        if len(stack) >= DEEPEST:
            raise InputError(
                "svg-too-deep", f"{where}: its groups are nested too deeply.", "Ungroup the drawing."
            )
        if attributes.get("id") == name and stack:
            found.times += 1
            found.tag, found.shape, found.above = short, attributes, above
            hidden = [t for t, _ in stack if t in OPAQUE] + [t for t, _ in stack[1:] if t == "svg"]
            found.hidden_in = hidden[0] if hidden else ""
        own = parse_transform(attributes.get("transform", ""), place=where) if stack else above
        stack.append((short, above.transform(own)))

    def refuse(*_: object) -> int:
        raise InputError(
            "svg-with-entities", f"{where} declares entities, which are not read.", "Save it as plain SVG."
        )

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler = start
    parser.EndElementHandler = lambda _tag: stack.pop()
    parser.EntityDeclHandler = refuse
    parser.UnparsedEntityDeclHandler = refuse
    parser.ExternalEntityRefHandler = refuse
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError("not-svg", f"{where} is not a sound SVG file ({error}).", "Save it again.") from None
    return found


def _millimetres(root: dict[str, str], where: str) -> Transform:
    """Matrix from the drawing's units to millimetres, from width, height and viewBox."""
    width, height = (_real(root.get(side, ""), f"{where}: {side}") for side in ("width", "height"))
    try:
        left, top, w, h = (float(n) for n in re.split(r"[\s,]+", root.get("viewBox", "").strip()))
    except ValueError:
        w = h = left = top = 0.0
    if not (w > 0 and h > 0):
        raise InputError(
            "svg-without-units",
            f"{where}: there is no viewBox, so its units have no real size.",
            "Save it with width and height in mm and a viewBox.",
        )
    across, along = width / w, height / h
    if abs(across / along - 1) > SAME_SCALE:
        raise InputError(
            "svg-distorted",
            f"{where}: width, height and viewBox give {across:.4g} mm a unit across but {along:.4g} along.",
            "Set width and height to the shape of the viewBox.",
        )
    return Transform(across, 0.0, 0.0, along, -left * across, -top * along)


def _real(text: str, where: str) -> float:
    match = _SIZE.fullmatch(text)
    if match is None or match[2].lower() not in MM_PER_SVG_UNIT or float(match[1]) <= 0:
        shown = f"is {text!r}, which is no real size" if text else "is missing"
        raise InputError(
            "svg-without-units",
            f"{where} {shown}.",
            "Save the drawing with its width and height in mm, cm or in.",
        )
    return float(match[1]) * MM_PER_SVG_UNIT[match[2].lower()]


def _path_data(found: _Found, where: str) -> str:
    reader = _SHAPES.get(found.tag)
    if reader is None:
        raise InputError(
            "svg-not-a-shape",
            f"{where} is a <{found.tag}>, not a closed shape.",
            "Give the id of a path, polygon or rect, or turn the shape into a path.",
        )
    return reader(found.shape)


_SHAPES: dict[str, Callable[[dict[str, str]], str]] = {
    "path": lambda shape: shape.get("d", ""),
    "polygon": lambda shape: f"M{shape.get('points', '')} Z",
    "rect": lambda shape: "M{x} {y} h{width} v{height} h-{width} Z".format_map(
        {key: shape.get(key, "0") for key in ("x", "y", "width", "height")}
    ),
}
