"""Words on the photo of a print: on many prints none lies on another, a motif, the cell, or outside."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest

from printcheck.core.measurement import Clump, Direction, Measurement, Motif
from printcheck.report.drawing import photo_overlay
from printcheck.report.drawing.primitives import Drawing, Label, Line
from tests.report import report_given as given
from tests.report import report_swatch as swatch

PHOTOS = 25


def drawn_at_random(seed: int) -> tuple[Measurement, float]:
    """A print with a repeat, a motif and a bunch somewhere, and how steeply it is seen."""
    dice = random.Random(seed)
    across, along = dice.uniform(12, 260), dice.uniform(12, 260)
    drop = dice.choice([0.0, 0.0, 0.5, 1 / 3])
    basis = ((across, drop * along), (0.0, along))
    wide, high = dice.uniform(0.2, 0.9) * across, dice.uniform(0.2, 0.9) * along
    boxes = tuple(
        (dice.uniform(0, across - w), dice.uniform(0, along - h), w, h)
        for w, h in [(wide, high), (wide * 0.6, high * 0.6)][: dice.choice([1, 2])]
    )
    m = given.flowers()
    columns = {0.0: 1, 0.5: 2, 1 / 3: 3}[drop]
    repeat = replace(
        m.repeat, across_mm=columns * across, along_mm=along, basis_mm=basis, raw_basis_mm=basis,
        confidence=dice.uniform(0.2, 1.0),
    )  # fmt: skip
    clump = None
    if dice.random() < 0.5:
        clump = Clump("#c03028", 0.5 * min(across, along), across, 9.0, (0.3 * across, 0.3 * along))
    return (
        replace(
            m,
            repeat=repeat,
            motif=Motif(wide, high, len(boxes), 0.4, 5.0, None, wide, None, boxes),
            direction=Direction(dice.choice(["one-way", "four-way"]), 0.9),
            clump=clump,
        ),
        dice.uniform(0, 4e-4),
    )


def boxes(drawing: Drawing, height: float) -> tuple[dict, list, list]:
    """Boxes of the words on the photo, of the motifs and of the cell, as this test measures them."""
    words = {}
    for item in drawing.items:
        if isinstance(item, Label) and item.halo:
            wide = 0.55 * 1.1 * item.size * len(item.text)  # letters of a bold sans serif face
            left = item.at[0] - {"start": 0, "middle": 0.5, "end": 1}[item.anchor] * wide
            y, high = item.at[1], item.size
            words[item.text] = (left, y - 0.75 * high, left + wide, y + 0.2 * high)
    rings = {
        colour: [
            (min(xs), min(ys), max(xs), max(ys))
            for item in drawing.items
            if isinstance(item, Line) and item.closed and item.stroke == colour and item.halo
            for xs, ys in [zip(*item.points, strict=True)]
        ]
        for colour in (photo_overlay.MOTIF, photo_overlay.CELL)
    }
    return words, rings[photo_overlay.MOTIF], rings[photo_overlay.CELL]


def overlap(one: tuple, other: tuple) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_no_word_lies_on_anything(units: str) -> None:
    on_photo = 0
    for seed in range(PHOTOS):
        m, tilt = drawn_at_random(seed)
        photo, bgr = swatch.photo(m, tilt)
        drawing = photo_overlay.measured(bgr, photo.cloth, photo.lattice, photo.measurement, units)
        words, motifs, cells = boxes(drawing, bgr.shape[0])
        assert motifs and cells
        for (one, a), (other, b) in itertools.combinations(words.items(), 2):
            assert not overlap(a, b), (seed, one, other)
        for text, word in words.items():
            assert not any(overlap(word, ring) for ring in (*motifs, *cells)), (seed, text)
            assert word[0] >= 0 and word[2] <= bgr.shape[1] and word[1] >= 0 and word[3] <= bgr.shape[0]
        on_photo += len(words)
        said = {item.text for item in drawing.items if isinstance(item, Label)}
        assert any(text.startswith("motif ") for text in said)  # what found no room stands in the legend
        assert sum(text.endswith((" across", " along")) for text in said) >= 2
    assert on_photo > 2 * PHOTOS  # most words do find room


def test_the_check_itself_can_fail() -> None:
    assert overlap((0, 0, 10, 10), (9, 9, 20, 20)) and not overlap((0, 0, 10, 10), (10, 0, 20, 10))
