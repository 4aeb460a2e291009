"""The steps of cutting, followed by somebody who has the paper pattern, the cloth and the text alone.

A cloth is drawn, each piece is laid by the sentence that speaks of it, the print is cut out there, and
the seams are looked at in the pieces cut. The sewer here reads lengths off a ruler, sees the print near
two notches, and follows a row of the print with the eye.
"""

from __future__ import annotations

import functools
import itertools
import re
from dataclasses import dataclass, replace

import cv2
import numpy as np
import pytest
import shapely

from printcheck import pipeline
from printcheck.core.plan import Print, Project
from printcheck.core.results import read_json
from printcheck.cutting.cutting_steps import _room
from printcheck.project import built_in, parse_print
from printcheck.report import write_json
from printcheck.report.drawing.primitives import box_points
from printcheck.report.words import steps as say_steps
from printcheck.report.words import text as to_text
from printcheck.report.words.content import piece_name

PX_MM = 2.0  # pixels to a millimetre of the drawn cloth
MATCHED_MM = 1.0  # the issue's
MM = {"mm": 1.0, "cm": 10.0}
LENGTH = r"(\d+(?:\.\d+)?) (mm|cm)"
LAYOUTS = {
    "shirt": ("shirt", "24cm x 18cm half-drop one-way"),
    "dress": ("dress", "64mm x 64mm straight one-way"),
    "skirt": ("skirt", "31cm x 26cm straight two-way"),
    "bordered skirt": ("a-line-skirt", "31cm x 140cm straight one-way border"),  # its front is on the fold
}

PLACED = {"bag": ("bag", "24cm x 18cm half-drop one-way"), "cushion": ("cushion", "64mm x 64mm straight")}


@functools.cache
def planned(name: str) -> pipeline.PlannedLength:
    kind, words = {**LAYOUTS, **PLACED}[name]
    printed = replace(parse_print(words), motif_width_mm=50.0, motif_height_mm=45.0)
    return pipeline.plan_length(built_in(kind), printed, pipeline.Effort(1.5))


@dataclass(frozen=True)
class Laid:
    """A piece on the cloth, as the sewer laid it: its box's corner from the left edge and the cut end."""

    left: float
    top: float
    mirrored: bool
    turned: bool
    aside: bool  # a quarter turn round, its foot to the right


def mm(found: tuple[str, str]) -> float:
    return float(found[0]) * MM[found[1]]


class Cloth:
    """Washed cloth with a print drawn on it, one motif's middle at a given place."""

    def __init__(
        self, project: Project, printed: Print, length: float, motif_at: tuple[float, float]
    ) -> None:
        assert printed.lattice is not None
        shrink = (1 - project.cloth.shrink_across, 1 - project.cloth.shrink_along)
        self.lattice = printed.lattice.scaled(*shrink)
        width = project.cloth.width_mm * shrink[0]
        x = (np.arange(round(width * PX_MM)) + 0.5) / PX_MM - motif_at[0]
        y = (np.arange(round(length * PX_MM)) + 0.5) / PX_MM - motif_at[1]
        (a, b), (c, d) = self.lattice.basis_mm
        u = (x[None, :] * d - y[:, None] * c) / (a * d - b * c)
        v = (a * y[:, None] - b * x[None, :]) / (a * d - b * c)
        tile = np.random.default_rng(7).random((96, 96)).astype(np.float32)
        tile = cv2.GaussianBlur(np.tile(tile, (3, 3)), (0, 0), 2.0)[96:192, 96:192]
        padded = cv2.copyMakeBorder(tile, 1, 1, 1, 1, cv2.BORDER_WRAP)
        maps = [((w % 1) * 96 + 0.5).astype(np.float32) for w in (u, v)]
        self.picture = cv2.remap(padded, *maps, cv2.INTER_LINEAR)

    def around(self, at: tuple[float, float], reach: float) -> np.ndarray:
        """The print about a point; what lies off the cloth is blank."""
        size = (round(2 * reach * PX_MM),) * 2
        return cv2.getRectSubPix(self.picture, size, (at[0] * PX_MM - 0.5, at[1] * PX_MM - 0.5))

    def seen(self, own: tuple[float, float], other: tuple[float, float], look: float = 6.0) -> tuple:
        """How far ``own`` must move so that the print there is the print at ``other``: by eye alone."""
        reach = 12.0
        score = cv2.matchTemplate(self.around(own, reach + look), self.around(other, reach), cv2.TM_SQDIFF)
        row, column = np.unravel_index(int(np.argmin(score)), score.shape)
        return column / PX_MM - look, row / PX_MM - look


class Sewer:
    """Follows the sentences, with the paper pattern in hand."""

    def __init__(self, plan: pipeline.PlannedLength, cloth: Cloth, sentences: tuple[str, ...]) -> None:
        self.cloth, self.pieces = cloth, {piece.name: piece for piece in plan.project.pieces}
        called = {piece_name(name, self.pieces): name for name in self.pieces}
        # a paper pattern has its notches: their places on it, and their numbers, as the drawing numbers them
        self.notches = {
            (number, end.piece): end.at
            for number, seam in enumerate(plan.plan.seams, start=1)
            for end in seam.join
        }
        self.laid: dict[str, Laid] = {}
        self.letters: dict[str, str] = {}
        for sentence in sentences:
            if found := re.search(r"\b[Ll]ay ([A-Z]+), (.+?) \(", sentence):
                self.lay(found[1], called[found[2]], sentence)

    def lay(self, letter: str, name: str, sentence: str) -> None:
        sizes = re.search(rf"\({LENGTH} wide, {LENGTH} long\)", sentence).groups()
        piece = self.pieces[name]
        assert mm(sizes[:2]) == pytest.approx(piece.width_mm, abs=0.5)
        assert mm(sizes[2:]) == pytest.approx(piece.length_mm, abs=0.5)
        from_left = re.search(rf"left side lies {LENGTH} from", sentence)
        left = mm(from_left.groups()) if from_left else 0.0
        assert from_left or "left side lies at the left edge" in sentence
        upper = re.search(rf"upper side {LENGTH} from the cut end", sentence)
        top = mm(upper.groups()) if upper else 0.0
        assert upper or "upper side at the cut end" in sentence
        away, over = "top away from the cut end" in sentence, "paper turned over" in sentence
        self.letters[letter] = name
        self.laid[name] = Laid(left, top, over, away, "foot to the right selvedge" in sentence)
        assert piece.on_fold == ("Its paper is half" in sentence)
        move = [0.0, 0.0]
        for number, meets, _, other in re.findall(
            r"notch (\d+) lies on the same (part|row|column) of the print as notch (\d+) of ([A-Z]+)",
            sentence,
        ):
            shift = self.cloth.seen(self.notch(number, name), self.notch(number, self.letters[other]))
            axes = {"part": (0, 1), "row": (1,), "column": (0,)}[meets]
            if meets != "part":  # by the row alone the print at the two notches need not look alike
                shift = self.along_row(
                    self.notch(number, name), self.notch(number, self.letters[other]), axes[0]
                )
            for axis in axes:
                move[axis] = shift[axis]
        self.laid[name] = replace(self.laid[name], left=left + move[0], top=top + move[1])

    def along_row(self, own: tuple, other: tuple, axis: int) -> tuple:
        """Move along one axis that puts ``own`` on the row of ``other``: where, sideways, it looks alike."""
        (a, b), (c, d) = self.cloth.lattice.basis_mm  # the eye wanders along the row to the next such motif
        best = min(
            ((i * a + j * c, i * b + j * d) for i, j in itertools.product(range(-12, 13), repeat=2)),
            key=lambda v: abs(v[axis] - own[axis] + other[axis]) * 1000 + abs(v[1 - axis]),
        )
        twin = (other[0] + best[0], other[1] + best[1])
        near = (twin[0], own[1]) if axis == 1 else (own[0], twin[1])
        return self.cloth.seen(near, twin)

    def notch(self, number: str, name: str) -> tuple[float, float]:
        return self.on_cloth(name, self.notches[int(number), name])

    def on_cloth(self, name: str, at: tuple[float, float]) -> tuple[float, float]:
        piece, spot = self.pieces[name], self.laid[name]
        x, y = at
        if spot.turned:
            x, y = piece.width_mm - x, piece.length_mm - y
        if spot.aside:
            x, y = y, piece.width_mm - x
        return spot.left + x, spot.top + y


@functools.cache
def sewn(name: str, sentences: tuple[str, ...] | None = None) -> tuple[pipeline.PlannedLength, Sewer]:
    made = planned(name)
    sentences = sentences or say_steps.section(made.plan, "metric").steps
    said = " ".join(sentences)
    start = re.search(rf"middle about {LENGTH} from the left edge", said)
    above = re.search(rf"along it, {LENGTH} above the middle", said)
    at = (mm(start.groups()), mm(above.groups())) if start and above else (333.0, 71.0)
    assert made.plan.matched is not None
    cloth = Cloth(made.project, made.print, made.plan.matched.length_mm + 100, at)
    return made, Sewer(made, cloth, sentences)


def misses(made: pipeline.PlannedLength, sewer: Sewer) -> list[float]:
    """How far each seam is from its match on the pieces as they were cut, mm."""
    found = []
    for number, seam in enumerate(made.plan.seams, start=1):
        one, two = (sewer.notch(str(number), end.piece) for end in seam.join)
        gap = (one[0] - two[0], one[1] - two[1])
        if seam.match == "both":
            found.append(sewer.cloth.lattice.residual_mm(gap))
            continue
        axis = 1 if seam.match == "level" else 0
        axis = 1 - axis if sewer.laid[seam.join[0].piece].aside else axis
        vectors = itertools.product(range(-40, 41), repeat=2)
        (a, b), (c, d) = sewer.cloth.lattice.basis_mm
        parts = (i * (a, b)[axis] + j * (c, d)[axis] for i, j in vectors)
        found.append(min(abs(gap[axis] - part) for part in parts))
    return found


@pytest.mark.parametrize("name", LAYOUTS)
def test_seams_laid_by_the_text_alone_are_matched(name: str) -> None:
    made, sewer = sewn(name)
    assert sorted(sewer.laid) == sorted(piece.name for piece in made.project.pieces)
    assert made.plan.seams and max(misses(made, sewer)) <= MATCHED_MM
    # the print itself, cut out at the two sides of each seam matched both ways, is one picture
    for number, seam in enumerate(made.plan.seams, start=1):
        if seam.match == "both":
            one, two = (sewer.cloth.around(sewer.notch(str(number), e.piece), 12.0) for e in seam.join)
            assert np.corrcoef(one.ravel(), two.ravel())[0, 1] > 0.9


@pytest.mark.parametrize("name", LAYOUTS)
def test_nothing_overlaps_and_nothing_hangs_over_the_edge(name: str) -> None:
    made, sewer = sewn(name)
    shapes = []
    for piece in made.project.pieces:
        ring = piece.outline or box_points(0.0, 0.0, piece.width_mm, piece.length_mm)
        shapes.append(shapely.Polygon([sewer.on_cloth(piece.name, at) for at in ring]).buffer(-0.55))
        assert sewer.laid[piece.name].mirrored == piece.mirrored
    washed = made.plan.cloth.width_mm * (1 - made.plan.cloth.shrink_across)
    assert [pair for pair in itertools.combinations(shapes, 2) if pair[0].intersects(pair[1])] == []
    assert all(x > -1 and y > -1 and right < washed + 1 for x, y, right, _ in (s.bounds for s in shapes))


@pytest.mark.parametrize("name", PLACED)
def test_the_centre_mark_lies_on_a_motif_where_one_began(name: str) -> None:
    made, sewer = sewn(name)
    place = made.project.places[0]
    x, y = sewer.on_cloth(place.piece, place.at)
    said = " ".join(say_steps.section(made.plan, "metric").steps)
    start = mm(re.search(rf"middle about {LENGTH} from the left edge", said).groups())
    above = mm(re.search(rf"along it, {LENGTH} above the middle", said).groups())
    assert sewer.cloth.lattice.residual_mm((x - start, y - above)) <= 1.5  # three lengths, each to 0.5 mm


def test_a_wrong_measure_is_noticed() -> None:
    """The check above bites: a piece said to lie a hand's breadth off is no match."""
    made = planned("shirt")
    sentences = say_steps.section(made.plan, "metric").steps
    tied = next(s for s in sentences if "same part of the print" in s)
    moved = re.sub(
        rf"left side lies {LENGTH}", lambda f: f"left side lies {mm(f.groups()) + 40:.1f} mm", tied
    )
    made, sewer = sewn("shirt", tuple(moved if s == tied else s for s in sentences))
    assert max(misses(made, sewer)) > MATCHED_MM


@pytest.mark.parametrize("name", LAYOUTS)
def test_pieces_follow_what_they_are_matched_to(name: str) -> None:
    plan = planned(name).plan
    before: set[str] = set()
    for step in plan.steps:
        assert {match.piece for match in step.matches} <= before
        assert not step.free or not step.matches
        before.add(step.piece)
    free = [step.free for step in plan.steps]
    assert free == sorted(free)  # what is tied to nothing comes last
    ties = sum(len(step.matches) for step in plan.steps)
    assert ties == len(plan.seams)  # each seam is said once


@pytest.mark.parametrize("name", LAYOUTS)
def test_steps_are_in_the_text_and_the_json(name: str) -> None:
    plan = planned(name).plan
    document = read_json.loads(write_json.dumps(write_json.document(plan)))
    assert [step["piece"] for step in document["steps"]] == [step.piece for step in plan.steps]
    assert read_json.length(document) == plan
    shown = " ".join(to_text.length(plan).split())
    for step in say_steps.section(plan, "metric").steps:
        assert " ".join(step.split()) in shown


def test_a_slide_that_is_offered_is_free() -> None:
    """A piece said to slide may do so: nothing lies there, and no other piece would have to follow."""
    made = planned("skirt")
    said = 0
    for step, sentence in zip(made.plan.steps, pieces_of(made), strict=True):
        for number, unit, way in re.findall(rf"{LENGTH} (left|right|up|down)\b", sentence):
            room = dict(zip(("left", "right", "up", "down"), step.room_mm, strict=True))[way]
            assert mm((number, unit)) <= room + 0.5
            said += 1
    assert said


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_slide_by_whole_repeats_keeps_the_match_and_meets_nothing(name: str) -> None:
    made, sewer = sewn(name)
    for step, sentence in zip(made.plan.steps, pieces_of(made), strict=True):
        offered = sentence.partition("there is room to go ")[2]
        for number, unit, way in re.findall(rf"{LENGTH} (left|right|up|down)\b", offered):
            axis, side = divmod(("left", "right", "up", "down").index(way), 2)
            assert mm((number, unit)) <= step.room_mm[2 * axis + side] + 0.5
            move = (0.0, mm((number, unit))) if axis else (mm((number, unit)), 0.0)
            assert sewer.cloth.lattice.residual_mm(move) <= MATCHED_MM


def pieces_of(made: pipeline.PlannedLength) -> list[str]:
    return [s for s in say_steps.section(made.plan, "metric").steps if re.search(r"\b[Ll]ay [A-Z]+, ", s)]


@pytest.mark.parametrize(
    ("name", "room"), [("a", (0, 200, 0, 300)), ("b", (200, 200, 0, 300)), ("c", (0, 200, 300, 100))]
)
def test_room_is_up_to_the_next_piece_or_the_edge(name: str, room: tuple[float, ...]) -> None:
    """Left, right, up and down on a metre of cloth a metre wide (arithmetic)."""
    boxes = {"a": (0.0, 0.0, 300.0, 400.0), "b": (500.0, 0.0, 300.0, 400.0), "c": (0.0, 700.0, 800.0, 200.0)}
    assert _room(name, boxes, 1000.0, 1000.0) == room
