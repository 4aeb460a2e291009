"""Lanes must keep every layout: tried on layouts cut from random cloth, and by hand."""

from __future__ import annotations

import itertools
import random

import pytest

from printcheck.cutting.exact.lanes import Lane, crossings, lanes_of

Box = tuple[int, int, int, int]


def laid(rng: random.Random) -> tuple[list[Box], int, int]:
    """Boxes (x, y, width, height) dropped where they do not overlap, on a cloth with little waste or much."""
    room, length = rng.randrange(8, 40), rng.randrange(8, 40)
    boxes: list[Box] = []
    sizes = [(rng.randrange(2, 12), rng.randrange(2, 12)) for _ in range(rng.randrange(1, 4))]
    for _ in range(200):
        w, h = rng.choice(sizes)
        if w > room or h > length:
            continue
        x, y = rng.choice((0, room - w, rng.randrange(room - w + 1))), rng.randrange(length - h + 1)
        if all(x + w <= a or a + c <= x or y + h <= b or b + d <= y for a, b, c, d in boxes):
            boxes.append((x, y, w, h))
    return boxes, room, length


@pytest.mark.parametrize("seed", range(300))
def test_every_layout_stands_in_its_lanes(seed: int) -> None:
    boxes, room, length = laid(random.Random(seed))
    widths, heights = [w for _, _, w, _ in boxes], [h for _, _, _, h in boxes]
    lanes = lanes_of(widths, heights, room, length)
    if not lanes:
        return
    stands = [
        [k for k, lane in enumerate(own) if lane.low <= x <= lane.high]
        for own, (x, _, _, _) in zip(lanes, boxes, strict=True)
    ]
    assert all(len(found) == 1 for found in stands)
    for line in crossings(lanes, widths):
        across = [n for n, k in line if k in stands[n]]
        assert len(across) == len(set(across))
        assert sum(heights[n] for n in across) <= length
        for one, two in itertools.combinations(across, 2):
            (_, y, _, h), (_, v, _, g) = boxes[one], boxes[two]
            assert y + h <= v or v + g <= y


def test_three_columns_by_hand() -> None:
    """Three of 44 fill 132 of 137: 5 are left to move in. One that stands between two columns wastes 44."""
    ends = [(0, 5), (44, 49), (88, 93)]
    short = lanes_of([44] * 6, [20] * 6, 137, 40)  # no room to waste
    assert short[0] == [Lane(low, high, True) for low, high in ends]
    longer = lanes_of([44] * 6, [20] * 6, 137, 47)  # 7 of 132 to waste: 924, and one between wastes 880
    assert [(lane.low, lane.high) for lane in longer[0] if lane.full] == ends
    assert len(longer[0]) == 5
    lines = crossings(short, [44] * 6)
    assert [(n, 0) for n in range(6)] in lines and [(n, 2) for n in range(6)] in lines


def test_many_lanes_say_nothing() -> None:
    assert lanes_of([3, 5, 7, 11, 13, 17, 19], [9] * 7, 60, 12) == []
