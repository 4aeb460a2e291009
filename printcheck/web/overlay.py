"""What was found, as points of the photo: the page draws it over the photo it has at hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from printcheck.core.handover import MeasuredPhoto

if TYPE_CHECKING:
    from printcheck.core.lattice import Vector
    from printcheck.report.drawing.photo_map import PhotoMap

MOST_MOTIFS = 8  # boxes; more hide the print
MOST_NODES = 400  # lattice points; more hide the print

Points = list[list[float]]


def overlay(found: MeasuredPhoto) -> dict[str, Any]:
    """Lines and points in pixels of the upright photo (of several photos: of their flat picture).

    Returns
    -------
    dict
        ``width_px, height_px``; ``object``, ``cell`` and ``motifs`` as closed outlines, ``across`` and
        ``along`` as two ends, ``nodes``, ``clumps`` as outlines; empty where nothing was found.
    """
    from printcheck.report.drawing.photo_map import PhotoMap

    cloth, m = found.cloth, found.measurement
    width, height = cloth.photo.width_px, cloth.photo.height_px
    drawn: dict[str, Any] = {"width_px": width, "height_px": height}
    to = PhotoMap(cloth, found.lattice, 1.0)
    outline = to.outline()
    drawn["object"] = [] if outline is None else _points(outline)
    if not m.repeat.basis_mm and not len(found.lattice.basis_px):
        return drawn
    return {**drawn, **_lattice(to, found, width, height)}


def _lattice(to: PhotoMap, found: MeasuredPhoto, width: int, height: int) -> dict[str, Any]:
    repeat = found.lattice.repeat  # in its millimetres, true or guessed, as the map has them
    arms: dict[str, Vector] = {}
    if repeat.across_mm is not None:
        arms["across"] = (repeat.across_mm, 0.0)
    if repeat.along_mm is not None:
        arms["along"] = (0.0, repeat.along_mm)
    corner = to.best_node(width, height, list(arms.values()))
    start = to.cell_mm(corner)
    drawn: dict[str, Any] = {
        name: _points((to.at(start), to.at((start[0] + arm[0], start[1] + arm[1]))))
        for name, arm in arms.items()
    }
    if len(found.lattice.basis_px) == 2:
        drawn["cell"] = _points(to.cell(corner))
        nodes = to.nodes(width, height)
        drawn["nodes"] = _points(nodes) if len(nodes) <= MOST_NODES else []
        drawn["motifs"] = _motifs(to, found, start)
        drawn["clumps"] = _clumps(to, found, corner)
    return drawn


def _motifs(to: PhotoMap, found: MeasuredPhoto, start: Vector) -> list[Points]:
    boxes = sorted(found.measurement.motif.boxes_mm or (), key=lambda b: -b[2] * b[3])[:MOST_MOTIFS]
    return [_points(to.ring(start[0] + left, start[1] + top, *size)) for left, top, *size in boxes]


def _clumps(to: PhotoMap, found: MeasuredPhoto, corner: tuple[int, int]) -> list[Points]:
    clump = found.measurement.clump
    if clump is None or clump.at_mm is None or clump.size_mm is None:
        return []
    start = to.cell_mm(corner)
    return [_points(to.circle((start[0] + clump.at_mm[0], start[1] + clump.at_mm[1]), clump.size_mm / 2))]


def _points(points: Any) -> Points:  # noqa: ANN401  any sequence of pairs
    """Points rounded to a tenth of a pixel; a shown pixel's centre lies at .5."""
    return [[round(float(x), 1), round(float(y), 1)] for x, y in points]
