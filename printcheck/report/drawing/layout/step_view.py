"""A picture of one step: the piece at its place, what it meets, and the measures that lay and check it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from printcheck.core.lattice import Vector
from printcheck.core.plan import CuttingStep, Piece, Placement, SeamEnd, outline_on_cloth, point_on_cloth
from printcheck.report.drawing.labels import label_box, legend, placed, words_inside
from printcheck.report.drawing.layout.backdrop import marks, printed
from printcheck.report.drawing.layout.cloth_strip import CUT_COLOUR, Context
from printcheck.report.drawing.layout.layout_pieces import (
    DOT,
    SEAM_COLOUR,
    SEAM_LETTER,
    Notch,
    fold_line,
    plate,
)
from printcheck.report.drawing.layout.layout_sheet import main_layout
from printcheck.report.drawing.primitives import (
    FAINT,
    GREY,
    INK,
    PAPER,
    Drawing,
    Item,
    Label,
    Line,
    Point,
    Raster,
    arrow,
    box_points,
    extent,
)
from printcheck.report.words.content import piece_name
from printcheck.report.words.quantities import tape

LETTERS_ACROSS = 23.0  # to the picture's width: the least, of notches, has 11 px on a phone of 390 px
MARGIN = 1.2  # letter sizes round the cloth
ROUND_LETTERS = 2.5  # letter sizes of cloth shown round what a step speaks of
AT_EDGE_MM = 0.05  # nearer, a piece lies at the edge, and there is nothing to measure
PAPER_MM = 62.0  # width of the picture in a report, beside the sentence
MOST_PIXELS = 60_000  # of the print in one picture: about 8 kB in a page
OWN_LETTER, OWN_SHARE = 1.6, 0.8  # the piece's letter, of the letter size; of the piece's shorter side
FEW = 24  # steps: of more the print is left out, which would make a page heavy


def drawings(context: Context) -> tuple[Drawing, ...]:
    """A picture for each step of the plan, in their order."""
    return tuple(_View(context, number).drawing() for number in range(len(context.plan.steps)))


@dataclass(frozen=True)
class _View:
    """The stretch of cloth that one step speaks of; drawn in millimetres of washed cloth."""

    context: Context
    number: int

    @property
    def step(self) -> CuttingStep:
        """The step shown."""
        return self.context.plan.steps[self.number]

    @property
    def letter(self) -> float:
        """Letter size, mm of cloth."""
        return self._wide / LETTERS_ACROSS

    @property
    def _wide(self) -> float:
        cloth = self.context.plan.cloth
        return (cloth.usable_width_mm + 2 * cloth.selvedge_mm) / (1 - 2 * MARGIN / LETTERS_ACROSS)

    @cached_property
    def spots(self) -> dict[str, tuple[Piece, Placement]]:
        """Pieces with their places in the layout that is cut by."""
        placed_pieces = self.context.placed(main_layout(self.context.plan))
        return {spot.piece: (piece, spot) for piece, spot in placed_pieces}

    @cached_property
    def ends(self) -> tuple[tuple[int, SeamEnd], ...]:
        """Both ends of each seam that the piece is laid by, under the seam's number."""
        seams = self.context.plan.seams
        return tuple((m.seam, end) for m in self.step.matches for end in seams[m.seam - 1].join)

    @cached_property
    def span(self) -> Vector:
        """From where to where along the cloth is shown."""
        ys = [self.step.y_mm, self.step.y_mm + self.step.length_mm]
        ys += [point_on_cloth(*self.spots[end.piece], end.at)[1] for _, end in self.ends]
        low, high = min(ys) - ROUND_LETTERS * self.letter, max(ys) + ROUND_LETTERS * self.letter
        return (0.0 if low < ROUND_LETTERS * self.letter else low), high

    @property
    def corner(self) -> Point:
        """Place in the drawing of the usable cloth's corner at the top of what is shown."""
        return MARGIN * self.letter + self.context.plan.cloth.selvedge_mm, 1.6 * self.letter

    def at(self, point: Point) -> Point:
        """Place in the drawing of a point of the cloth."""
        return self.corner[0] + point[0], self.corner[1] + point[1] - self.span[0]

    @cached_property
    def notches(self) -> list[Notch]:
        """Notches that the piece is laid by, and those that they meet."""
        return [
            Notch.of(number, *self.spots[end.piece], end.at, self.at, self.letter)
            for number, end in self.ends
        ]

    def drawing(self) -> Drawing:
        """The whole picture."""
        height = self.corner[1] + self.span[1] - self.span[0]
        drawn = [*self._ground(), *self._before(), *self._piece(), *self._measures()]
        lines = [item for item in drawn if not isinstance(item, Label)]
        letters = [item for item in drawn if isinstance(item, Label)]
        rings = [item for notch in self.notches for item in notch.items(SEAM_LETTER * self.letter)]
        taken = [extent(item) for item in rings if not isinstance(item, Label)] + [*map(label_box, letters)]
        words, homeless = placed([*self._figures()], taken, self._wide, height)
        below, height = legend(homeless, {}, (MARGIN * self.letter, height), PAPER)
        title = f"{self.step.letter}, {self._named(self.step.piece)}"
        items = (*lines, *rings, *plate(words), *letters, *words, *below)
        return Drawing(self._wide, height + 0.4 * self.letter, items, title, self._said(), PAPER_MM)

    def _named(self, piece: str) -> str:
        return piece_name(piece, (step.piece for step in self.context.plan.steps))

    def _said(self) -> str:
        units, selvedge = self.context.units, self.context.plan.cloth.selvedge_mm
        left, end = tape(self.step.x_mm + selvedge, units), tape(self.step.y_mm, units)
        meets = [f"its notch {m.seam} meets {self._named(m.piece)}" for m in self.step.matches]
        return "; ".join([f"At its place, {left} from the left edge and {end} from the cut end", *meets])

    def _ground(self) -> Iterator[Item]:
        plan, (low, high) = self.context.plan, self.span
        band, width = plan.cloth.selvedge_mm, plan.cloth.usable_width_mm
        left, top = self.corner[0] - band, self.corner[1]
        shown = (width + 2 * band, high - low)
        view = self.context.backdrop.view(plan) if len(plan.steps) <= FEW else None
        if view is None:
            yield Line(box_points(left, top, *shown), None, closed=True, fill="#f1f1f1")
            yield from marks(plan, self.span, self.letter, self.corner)
        else:
            rings = [outline_on_cloth(*self.spots[self.step.piece])]
            yield Raster((left, top, *shown), printed(view, (-band, low), shown, rings, MOST_PIXELS), 70)
        yield Line(box_points(left, top, *shown), GREY, self.letter / 12, closed=True)
        words = "cut end" if not low else f"{tape(low, self.context.units)} from the cut end"
        ends = ((left - self.letter, top), (left + shown[0] + self.letter, top))
        yield Line(ends, CUT_COLOUR, self.letter / 6, dash=(self.letter, self.letter / 2))
        yield Label((self._wide / 2, top - 0.4 * self.letter), words, self.letter, "middle", CUT_COLOUR)

    def _before(self) -> Iterator[Item]:
        """Pieces that lie already, cut off where the picture ends."""
        import shapely

        rings, radius = [notch.number_at for notch in self.notches], DOT * SEAM_LETTER * self.letter
        window = shapely.box(*self.at((0.0, self.span[0])), *self.at((self._wide, self.span[1])))
        for step in self.context.plan.steps[: self.number]:
            ring = [self.at(point) for point in outline_on_cloth(*self.spots[step.piece])]
            seen = shapely.Polygon(ring).intersection(window)
            for part in getattr(seen, "geoms", [seen]):
                if part.geom_type != "Polygon" or part.is_empty:
                    continue
                outline = tuple(part.exterior.coords)
                yield Line(outline, GREY, self.letter / 9, closed=True, fill=FAINT, opacity=0.75)
                words = words_inside([[step.letter]], outline, rings, letter=self.letter, dot=radius)
                yield from (word for word in words if word.size >= SEAM_LETTER * self.letter)

    def _piece(self) -> Iterator[Item]:
        piece, spot = self.spots[self.step.piece]
        ring = tuple(self.at(point) for point in outline_on_cloth(piece, spot))
        data = {"step-piece": piece.name, "x-mm": f"{spot.x_mm:.3f}", "y-mm": f"{spot.y_mm:.3f}"}
        colour = self.context.colours.get(piece.name, INK)
        yield Line(
            ring, colour, self.letter / 4, closed=True, fill=PAPER, opacity=0.35, halo=PAPER, data=data
        )
        yield from fold_line(piece, spot, self.at, self.letter)

    def _arrows(self) -> Iterator[tuple[Point, Point, float, str]]:
        """What is measured: from an edge to the piece, or to the notch or mark that checks it; mm, colour."""
        band, (left, top) = self.context.plan.cloth.selvedge_mm, (self.step.x_mm, self.step.y_mm)
        middle = (left + self.step.width_mm / 2, top + self.step.length_mm / 2)
        low = self.span[0]
        points = [((left, middle[1]), (middle[0], top), CUT_COLOUR)]
        checked = [*(m.at_mm for m in self.step.matches), *((x, y) for x, y, _ in self.step.places_mm)]
        points += [(at, at, SEAM_COLOUR) for at in checked[:1]]
        for across, along, colour in points:
            if across[0] + band > AT_EDGE_MM:
                yield (-band, across[1]), across, across[0] + band, colour
            if along[1] > AT_EDGE_MM:
                yield (along[0], low), along, along[1], colour

    def _measures(self) -> Iterator[Item]:
        for start, end, _, colour in self._arrows():
            a, b = self.at(start), self.at(end)
            head = min(0.7 * self.letter, 0.4 * (abs(b[0] - a[0]) + abs(b[1] - a[1])))
            yield from arrow(a, b, width=self.letter / 8, head=head, stroke=colour, halo=PAPER)

    def _figures(self) -> Iterator[Label]:
        """The piece's letter, and what each arrow measures."""
        step = self.step
        middle = self.at((step.x_mm + step.width_mm / 2, step.y_mm + step.length_mm / 2))
        large = min(OWN_LETTER * self.letter, OWN_SHARE * min(step.width_mm, step.length_mm))
        at = (middle[0], middle[1] + 0.35 * large)
        yield Label(at, step.letter, large, "middle", INK, PAPER, bold=True)
        for start, end, mm, colour in self._arrows():
            a, b = self.at(start), self.at(end)
            at = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2 + 0.35 * self.letter)
            text = tape(mm, self.context.units)
            if start[0] == end[0] and self.span[0]:  # the arrow comes from farther up than is shown
                text += " from end"
            yield Label(at, text, self.letter, "middle", colour, PAPER, bold=True)
