"""A stretch of cloth with its pieces: selvedges, cut end, rulers before and after washing, the print."""

from __future__ import annotations

from dataclasses import dataclass, replace

from printcheck.core.plan import (
    CutLayout,
    LengthPlan,
    Piece,
    Placement,
    Project,
    outline_on_cloth,
)
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.drawing.layout.backdrop import Backdrop, marks, printed
from printcheck.report.drawing.layout.layout_pieces import (
    Pen,
    details,
    edge_colours,
    letters_only,
    outlines,
    points_along,
)
from printcheck.report.drawing.primitives import (
    FAINT,
    GREY,
    INK,
    PAPER,
    Item,
    Label,
    Line,
    Point,
    Raster,
    arrow,
    box_points,
)
from printcheck.report.words.quantities import size

CUT_COLOUR = "#0b4f8a"
START_COLOUR = "#b3123f"
LEFT_LETTERS, RIGHT_LETTERS, TOP_LETTERS = 5.2, 7.2, 4.8  # letter sizes: rulers and words round a strip
STRADDLE_MM = 0.5  # a piece that reaches this little over a cut between two strips lies beside it
SHRUNK = 1e-6
CUTTING_LINE_MM = 0.7  # mm: fine enough to cut by, coarse enough to be seen on cloth


@dataclass(frozen=True)
class Context:
    """What every part of a drawing of one plan needs to know."""

    plan: LengthPlan
    project: Project
    backdrop: Backdrop
    units: UnitSystem
    letter: float
    full_size: bool = False  # on sheets to join, or to be projected: thin lines, nothing filled

    @property
    def border(self) -> bool:
        """Whether a border runs along the right selvedge: then pieces lie crosswise, their feet there."""
        return any(spot.crosswise for spot in self.plan.one_way.placements)

    @property
    def one_way(self) -> bool:
        """Whether the print has an up along the cloth."""
        return self.plan.print.way == "one-way" and bool(self.plan.print.basis_mm) and not self.border

    @property
    def colours(self) -> dict[str, str]:
        """Edge colour of each piece."""
        return edge_colours(self.project.pieces)

    def pen(self, key: str, origin: Point, letter: float, scale: float = 1.0) -> Pen:
        """What the pieces of a layout are drawn with."""
        letters = {step.piece: step.letter for step in self.plan.steps}
        selvedge = self.plan.cloth.selvedge_mm
        return Pen(origin, key, letter, self.units, scale, selvedge, self.one_way, letters, self.line(letter))

    def line(self, letter: float) -> float:
        """Width of the pieces' edges: a cutting line at full size."""
        return CUTTING_LINE_MM if self.full_size else letter / 5

    def placed(self, layout: CutLayout) -> list[tuple[Piece, Placement]]:
        """Pieces of a layout with their places."""
        pieces = {piece.name: piece for piece in self.project.pieces}
        return [(pieces[spot.piece], spot) for spot in layout.placements if spot.piece in pieces]


@dataclass(frozen=True)
class Stretch:
    """A part of a layout, from one place along the cloth to another, mm of washed cloth."""

    key: str
    layout: CutLayout
    low: float
    high: float

    @property
    def length(self) -> float:
        """Length along the cloth."""
        return self.high - self.low


def stretches(
    key: str, layout: CutLayout, placed: list[tuple[Piece, Placement]], count: int
) -> list[Stretch]:
    """A layout in about ``count`` parts of like length, cut where no piece lies across."""
    spans = []
    for piece, spot in placed:
        ys = [y for _, y in outline_on_cloth(piece, spot)]
        spans.append((min(ys) + STRADDLE_MM, max(ys) - STRADDLE_MM))
    gaps = sorted({high + STRADDLE_MM for _, high in spans})
    free = [y for y in gaps if not any(low < y < high for low, high in spans)]
    cuts = [0.0]
    for k in range(1, count):
        wanted = layout.length_mm * k / count
        near = min(free, key=lambda y: abs(y - wanted), default=0.0)
        if cuts[-1] < near < layout.length_mm - STRADDLE_MM:
            cuts.append(near)
    ends = [*cuts[1:], layout.length_mm]
    return [Stretch(key, layout, low, high) for low, high in zip(cuts, ends, strict=True)]


def strip(context: Context, part: Stretch, corner: Point) -> list[Item]:
    """Everything on and round a stretch of cloth whose usable corner lies at ``corner``."""
    plan, letter = context.plan, context.letter
    placed = [(p, replace(s, y_mm=s.y_mm - part.low)) for p, s in context.placed(part.layout)]
    here = []
    for piece, spot in placed:
        ys = [y for _, y in outline_on_cloth(piece, spot)]
        if 0 <= (min(ys) + max(ys)) / 2 <= part.length:
            here.append((piece, spot))
    pen = context.pen(part.key, corner, letter)
    items = _ground(context, part, corner, here)
    items += _edges(context, part, corner)
    true = replace(pen, origin=(corner[0], corner[1] - part.low))
    spots = [(p, replace(s, y_mm=s.y_mm + part.low)) for p, s in here]
    items += outlines(spots, context.colours, true)
    begin = _begin(context, part, corner)
    avoid = [p for line in begin for p in points_along(line.points, letter)]
    # seams that the layout meets: notches of others would promise a match
    kept = () if any(seam.residual_mm is None for seam in plan.seams) else plan.seams
    items += [*begin, *details(spots, kept, true, avoid)]
    return [*items, *_rulers(context, part, corner)]


def small_strip(context: Context, key: str, layout: CutLayout, corner: Point, scale: float) -> list[Item]:
    """A whole layout drawn small, its pieces under their letters."""
    cloth = context.plan.cloth
    letter = 0.8 * context.letter
    box = box_points(*corner, cloth.usable_width_mm * scale, layout.length_mm * scale)
    data = {"cloth": key, "from-mm": "0", "scale": f"{scale:.6f}"}
    items: list[Item] = [Line(box, GREY, letter / 12, closed=True, fill="#f4f4f4", data=data)]
    pen = context.pen(key, corner, letter, scale)
    placed = context.placed(layout)
    return [*items, *outlines(placed, context.colours, pen), *letters_only(placed, pen)]


def _ground(
    context: Context, part: Stretch, corner: Point, placed: list[tuple[Piece, Placement]]
) -> list[Item]:
    """The print, and the pieces' own ground where no print is known."""
    plan, view = context.plan, context.backdrop.view(context.plan)
    band, width = plan.cloth.selvedge_mm, plan.cloth.usable_width_mm
    rings = [tuple((x, y + part.low) for x, y in outline_on_cloth(p, s)) for p, s in placed]
    if view is not None:
        extent = (width + 2 * band, part.length)
        bgr = printed(view, (-band, part.low), extent, rings)
        return [Raster((corner[0] - band, corner[1], *extent), bgr, 72)]
    if context.full_size:
        return marks(plan, (part.low, part.high), context.letter, corner)
    ground = Line(box_points(*corner, width, part.length), None, closed=True, fill="#ececec")
    shown = [tuple((corner[0] + x, corner[1] + y - part.low) for x, y in ring) for ring in rings]
    white = [Line(ring, None, closed=True, fill=PAPER) for ring in shown]
    return [ground, *white, *marks(plan, (part.low, part.high), context.letter, corner)]


def _edges(context: Context, part: Stretch, corner: Point) -> list[Item]:
    (x, y), letter, cloth = corner, context.letter, context.plan.cloth
    band, width, length = cloth.selvedge_mm, cloth.usable_width_mm, part.length
    items: list[Item] = []
    for left in (x - band, x + width) if band else ():
        items.append(Line(box_points(left, y, band, length), None, closed=True, fill=FAINT, opacity=0.8))
    whole = box_points(x - band, y, width + 2 * band, length)
    data = {"cloth": part.key, "from-mm": f"{part.low:.3f}", "scale": "1"}
    items.append(Line(whole, GREY, letter / 9, closed=True))
    items.append(Line(box_points(x, y, width, length), GREY, letter / 14, closed=True, data=data))
    cut = ((x - band - letter, y), (x + width + band + letter, y))
    words = "cut end" if not part.low else f"goes on at {size(part.low, context.units)}"
    dash = (letter, letter / 2)
    items.append(Line(cut, CUT_COLOUR, letter / 6, dash=dash))
    items.append(Label((x + width / 2, y - 0.5 * letter), words, letter, "middle", CUT_COLOUR))
    side = x + width + band + 0.9 * letter
    name = "selvedge with the border" if context.border else "selvedge"
    items.append(Label((side, y + 0.75 * length), name, letter, "middle", GREY, turn_deg=90))
    return items + _way(context, (side + 0.4 * letter, y + 0.5 * letter), length)


def _way(context: Context, at: Point, length: float) -> list[Item]:
    """Arrow beside the cloth: the print's up where it has one, otherwise the lengthwise direction.

    On a border print the pieces' up is across the cloth, away from the border.
    """
    letter, (x, y) = context.letter, at
    reach = min(0.45 * length, 9 * letter)
    items: list[Item] = [
        *arrow((x, y + reach), (x, y), width=letter / 6, head=letter, both=not context.one_way)
    ]
    text = "print's up" if context.one_way else "along the cloth"
    return [*items, Label((x + 0.6 * letter, y + reach / 2), text, 0.9 * letter, "middle", INK, turn_deg=90)]


def _rulers(context: Context, part: Stretch, corner: Point) -> list[Item]:
    """From the cut end: washed at the left, as bought at the right; from the left edge, above."""
    letter, cloth = context.letter, context.plan.cloth
    left = (corner[0] - cloth.selvedge_mm - 0.4 * letter, corner[1])
    items = _ruler(context, part, left, 1.0, "washed" if cloth.shrink_along > SHRUNK else "")
    items += _across(context, corner)
    if cloth.shrink_along > SHRUNK:
        right = (corner[0] + cloth.usable_width_mm + cloth.selvedge_mm + 5.6 * letter, corner[1])
        items += _ruler(context, part, right, 1 - cloth.shrink_along, "as bought")
    return items


def _step(context: Context) -> tuple[float, float, str]:
    """Step of the rulers in mm, the unit of their figures in mm, and its name."""
    imperial = context.units == "imperial"
    step, unit = (12 * INCH_MM, INCH_MM) if imperial else (100.0, 10.0)
    while step < 2.2 * context.letter:
        step *= 2
    return step, unit, "in" if imperial else "cm"


def _ruler(context: Context, part: Stretch, at: Point, washed: float, name: str) -> list[Item]:
    """Marks along the cloth, ``washed`` washed mm to each mm that is counted."""
    letter, (step, unit, unit_name) = context.letter, _step(context)
    x, colour = at[0], GREY if washed == 1.0 else CUT_COLOUR
    items: list[Item] = []
    first = int(part.low / washed / step + 1 - 1e-9)
    for k in range(first, int(part.high / washed / step + 1e-9) + 1):
        y = at[1] + k * step * washed - part.low
        items.append(Line(((x - 0.5 * letter, y), (x, y)), colour, letter / 10))
        text = f"{k * step / unit:.0f}"
        items.append(Label((x - 0.7 * letter, y + 0.35 * letter), text, 0.9 * letter, "end", colour))
    words = f"{name} {unit_name}".strip()
    return [*items, Label((x + 0.4 * letter, at[1] - 1.0 * letter), words, 0.8 * letter, "end", colour)]


def _across(context: Context, corner: Point) -> list[Item]:
    """Marks from the left edge, selvedge included."""
    letter, cloth, (step, unit, _) = context.letter, context.plan.cloth, _step(context)
    left, y = corner[0] - cloth.selvedge_mm, corner[1] - 1.9 * letter
    items: list[Item] = []
    for k in range(int((cloth.usable_width_mm + 2 * cloth.selvedge_mm) / step + 1e-9) + 1):
        x = left + k * step
        items.append(Line(((x, y), (x, y + 0.4 * letter)), GREY, letter / 10))
        items.append(Label((x, y - 0.2 * letter), f"{k * step / unit:.0f}", 0.8 * letter, "middle", GREY))
    return items


def _begin(context: Context, part: Stretch, corner: Point) -> list[Line]:
    """Where the print begins: the chosen spot with its distances."""
    start, letter = context.plan.start, context.letter
    if start is None or part.low or None in start.at_mm:
        return []
    x, y = corner[0] + float(start.at_mm[0] or 0.0), corner[1] + float(start.at_mm[1] or 0.0)
    left = corner[0] - context.plan.cloth.selvedge_mm
    ways = (((left, y), (x, y)), ((x, corner[1]), (x, y)))
    dash = (letter / 3, letter / 3)
    to_it = [Line(way, START_COLOUR, letter / 6, dash=dash, halo=PAPER) for way in ways]
    return [*cross((x, y), 0.9 * letter, letter / 6, {"start": "1"}), *to_it]


def cross(at: Point, arm: float, width: float, data: dict[str, str]) -> list[Line]:
    """The chosen spot of the print."""
    x, y = at
    arms = (((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm)))
    return [Line(points, START_COLOUR, width, halo=PAPER, data=data) for points in arms]
