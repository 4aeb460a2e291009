"""The pictures of the steps: each shows its piece in its place, and every measure that its sentence gives."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
import shapely

from printcheck.report.drawing import pdf_pen, svg_pen
from printcheck.report.drawing.primitives import PAPER, Dot, Label, Line
from printcheck.report.page import layout_file, page_file
from printcheck.report.words import steps as say_steps
from tests.report.test_cutting_steps import LAYOUTS, LENGTH, PLACED, pieces_of, planned
from tests.report.test_same_numbers import pdf_words

ALL = [*LAYOUTS, *PLACED]
PLACE = rf"left side lies {LENGTH} from the left edge"
UPPER = rf"upper side {LENGTH} from the cut end"
CHECK = rf"is {LENGTH} from the left edge and {LENGTH} from the cut end"


def measures(sentence: str) -> list[str]:
    found = [re.search(pattern, sentence) for pattern in (PLACE, UPPER, CHECK)]
    flat = [part for match in found if match for part in match.groups()]
    return [f"{number} {unit}" for number, unit in zip(flat[::2], flat[1::2], strict=True)]


@pytest.mark.parametrize("name", ALL)
def test_every_measure_of_a_step_stands_in_its_picture(name: str) -> None:
    made = planned(name)
    drawings = layout_file.step_drawings(made, units="metric")
    assert len(drawings) == len(made.plan.steps)
    for step, sentence, drawing in zip(made.plan.steps, pieces_of(made), drawings, strict=True):
        words = {item.text.removesuffix(" from end") for item in drawing.items if isinstance(item, Label)}
        assert [m for m in measures(sentence) if m not in words and not m.startswith("0.0")] == []
        assert {str(match.seam) for match in step.matches} <= words
        text = svg_pen.svg(drawing)  # what the file itself holds
        assert float(re.search(r'data-x-mm="([\d.]+)"', text)[1]) == pytest.approx(step.x_mm, abs=5e-4)
        assert float(re.search(r'data-y-mm="([\d.]+)"', text)[1]) == pytest.approx(step.y_mm, abs=5e-4)


@pytest.mark.parametrize("name", ALL)
def test_the_piece_lies_in_its_picture_where_the_step_has_it(name: str) -> None:
    made = planned(name)
    for step, drawing in zip(made.plan.steps, layout_file.step_drawings(made, units="metric"), strict=True):
        ring = next(i for i in drawing.items if isinstance(i, Line) and "step-piece" in i.data).points
        xs, ys = [p[0] for p in ring], [p[1] for p in ring]
        assert max(xs) - min(xs) <= step.width_mm + 1e-6 and max(ys) - min(ys) <= step.length_mm + 1e-6
        assert min(xs) >= 0 and max(xs) <= drawing.width and min(ys) >= 0 and max(ys) <= drawing.height


@pytest.mark.parametrize("name", ALL)
def test_no_word_of_a_picture_lies_on_another_or_on_a_ring(name: str) -> None:
    for drawing in layout_file.step_drawings(planned(name), units="metric"):
        words = [
            item for item in drawing.items if isinstance(item, Label) and item.halo and not item.turn_deg
        ]
        rings = [item for item in drawing.items if isinstance(item, Dot) and item.fill == PAPER]
        for one, other in itertools.combinations(words, 2):
            assert not covered(one).intersects(covered(other)), (one.text, other.text)
        for ring, word in itertools.product(rings, words):
            assert not covered(word).intersects(shapely.Point(ring.at).buffer(ring.radius)), word.text


def covered(word: Label) -> shapely.Polygon:
    """What a word covers at the least, as this test measures it; letters and figures have no descenders."""
    wide, (x, y) = 0.5 * word.size * len(word.text), word.at  # all are anchored in their middle
    return shapely.box(x - wide / 2, y - 0.7 * word.size, x + wide / 2, y)


def test_every_number_of_the_steps_is_read_back_from_the_page_and_the_pdf(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf_pen, "FONT_PLACES", ())  # a core font, whose words can be read in the file
    made = planned("shirt")
    page_file.write(tmp_path / "r.html", planned=made)
    page_file.write(tmp_path / "r.pdf", planned=made)
    page = " ".join((tmp_path / "r.html").read_text(encoding="utf-8").split())
    pdf = "".join(pdf_words((tmp_path / "r.pdf").read_bytes()).split())
    for sentence in say_steps.section(made.plan, "metric").steps:
        assert sentence in page.replace("&#39;", "'")
        # beside its picture a sentence is broken into lines of other lengths
        assert "".join(sentence.split()) in pdf
