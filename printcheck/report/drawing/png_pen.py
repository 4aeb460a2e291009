"""The PNG pen: a drawing as pixels, drawn at twice the size and reduced, so that edges are smooth."""

from __future__ import annotations

import io
import math

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from printcheck.core.handover import Bgr
from printcheck.core.units import INCH_MM
from printcheck.report.drawing.primitives import Dot, Drawing, Item, Label, Line, Point, Raster, dashes

FINENESS = 2  # pixels drawn per pixel written


def png(drawing: Drawing) -> bytes:
    """PNG of a drawing, one pixel to a drawing unit; it holds the size of a drawing to scale."""
    picture, stream = Image.fromarray(pixels(drawing)[:, :, ::-1]), io.BytesIO()
    dpi = {} if drawing.width_mm is None else {"dpi": (INCH_MM * drawing.width / drawing.width_mm,) * 2}
    picture.save(stream, "PNG", **dpi)
    return stream.getvalue()


def pixels(drawing: Drawing) -> Bgr:
    """Drawing as an (H, W, 3) uint8 picture, blue first."""
    size = (round(drawing.width * FINENESS), round(drawing.height * FINENESS))
    sheet = Image.new("RGB", size, drawing.ground or "#ffffff")
    for item in drawing.items:
        _item(sheet, item)
    half = cv2.resize(
        np.asarray(sheet), (round(drawing.width), round(drawing.height)), interpolation=cv2.INTER_AREA
    )
    return np.ascontiguousarray(half[:, :, ::-1])


def _item(sheet: Image.Image, item: Item) -> None:
    if isinstance(item, Raster):
        _raster(sheet, item)
        return
    draw = ImageDraw.Draw(sheet)
    if isinstance(item, Line):
        _line(sheet, draw, item)
    elif isinstance(item, Dot):
        _dot(draw, item)
    elif item.turn_deg:
        _turned(sheet, item)
    else:
        _label(draw, item, _large(item.at))


def _line(sheet: Image.Image, draw: ImageDraw.ImageDraw, line: Line) -> None:
    points = [_large(p) for p in line.points]
    ring = [*points, points[0]] if line.closed else points
    if line.fill and line.opacity < 1:
        left, top = (math.floor(min(p[k] for p in points)) for k in (0, 1))
        right, bottom = (math.ceil(max(p[k] for p in points)) + 1 for k in (0, 1))
        veil = Image.new("L", (right - left, bottom - top), 0)
        ImageDraw.Draw(veil).polygon([(x - left, y - top) for x, y in points], fill=round(255 * line.opacity))
        sheet.paste(line.fill, (left, top), mask=veil)
    elif line.fill:
        draw.polygon(points, fill=line.fill)
    if not line.stroke:
        return
    if line.halo:
        draw.line(ring, fill=line.halo, width=round(line.halo_width * FINENESS), joint="curve")
    width = max(1, round(line.width * FINENESS))
    if line.dash is None:
        draw.line(ring, fill=line.stroke, width=width, joint="curve")
        return
    for stroke in dashes(ring, (line.dash[0] * FINENESS, line.dash[1] * FINENESS)):
        draw.line(stroke, fill=line.stroke, width=width)


def _dot(draw: ImageDraw.ImageDraw, dot: Dot) -> None:
    (x, y), r = _large(dot.at), dot.radius * FINENESS
    box = (x - r, y - r, x + r, y + r)
    draw.ellipse(box, fill=dot.fill, outline=dot.stroke, width=max(1, round(dot.width * FINENESS)))


def _label(draw: ImageDraw.ImageDraw, label: Label, at: Point) -> None:
    font = ImageFont.load_default(label.size * FINENESS)
    stroke = round(label.halo_width / 2 * FINENESS) if label.halo else 0
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[label.anchor]
    if label.bold and not stroke:  # the built-in face has no bold: a thin stroke in its own colour
        stroke, halo = round(0.02 * label.size * FINENESS), label.colour
    else:
        halo = label.halo or label.colour
    draw.text(
        at, label.text, font=font, fill=label.colour, anchor=anchor, stroke_width=stroke, stroke_fill=halo
    )


def _turned(sheet: Image.Image, label: Label) -> None:
    side = round(2 * FINENESS * label.size * (len(label.text) + 2))
    veil = Image.new("RGBA", (side, side), (0, 0, 0, 0))
    _label(ImageDraw.Draw(veil), label, (side / 2, side / 2))
    veil = veil.rotate(-label.turn_deg, resample=Image.Resampling.BICUBIC)
    x, y = _large(label.at)
    sheet.paste(veil, (round(x - side / 2), round(y - side / 2)), veil)


def _raster(sheet: Image.Image, raster: Raster) -> None:
    x, y, width, height = (round(v * FINENESS) for v in raster.box)
    larger = width * height > raster.bgr.shape[0] * raster.bgr.shape[1]
    how = cv2.INTER_LINEAR if larger else cv2.INTER_AREA
    fitted = cv2.resize(raster.bgr, (max(1, width), max(1, height)), interpolation=how)
    sheet.paste(Image.fromarray(np.ascontiguousarray(fitted[:, :, ::-1])), (x, y))


def _large(point: Point) -> Point:
    return point[0] * FINENESS, point[1] * FINENESS
