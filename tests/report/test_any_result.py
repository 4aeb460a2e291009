"""Laws of the writers over results made up at random: nothing crashes, nothing is lost, lines fit."""

from __future__ import annotations

import collections.abc
import math
import typing
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan, Piece, Placement, outline_on_cloth
from printcheck.core.results import read_json
from printcheck.core.units import LONGEST_MM
from printcheck.report import write_json
from printcheck.report.page import html as to_html
from printcheck.report.words import measured
from printcheck.report.words import text as to_text

WORDS = st.text(max_size=60)
NUMBERS = st.floats(-LONGEST_MM, LONGEST_MM)
SIZES = st.floats(0.5, 5000)


def lattices() -> st.SearchStrategy[tuple]:
    """No vectors, one, or two that span a cell."""
    two = st.tuples(SIZES, SIZES, st.floats(0, 1)).map(lambda t: ((t[0], t[2] * t[1]), (0.0, t[1])))
    return st.one_of(st.just(()), st.tuples(st.tuples(SIZES, st.floats(0, 100))), two)


def made(kind: Any) -> st.SearchStrategy[Any]:
    """Anything of a type of the words: numbers finite, texts whatever can be typed."""
    plain = {
        float: NUMBERS,
        str: WORDS,
        int: st.integers(0, 10**6),
        bool: st.booleans(),
        type(None): st.none(),
    }
    if kind in plain:
        return plain[kind]
    inner = typing.get_args(kind)
    if typing.get_origin(kind) is typing.Literal:
        return st.sampled_from(inner)
    if typing.get_origin(kind) is tuple:
        if inner[-1] is Ellipsis:
            return st.lists(made(inner[0]), max_size=3).map(tuple)
        return st.tuples(*map(made, inner))
    if typing.get_origin(kind) is collections.abc.Mapping:
        return st.dictionaries(made(inner[0]), made(inner[1]), max_size=3)
    if inner:  # a union
        return st.one_of(*map(made, inner))
    return result(kind)


def result(kind: type) -> st.SearchStrategy[Any]:
    """Any result of a dataclass; its basis, where it has one, is that of a lattice or a stripe."""
    fields = {
        name: lattices() if name.endswith("basis_mm") else made(hint)
        for name, hint in typing.get_type_hints(kind).items()
        if name != "schema"
    }
    return st.builds(kind, **fields)


PHASES = (Phase.explicit, Phase.reuse, Phase.generate)  # shrinking a whole plan takes minutes
QUICK = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), phases=PHASES)


@QUICK
@given(result(Measurement), st.sampled_from(["metric", "imperial"]))
def test_any_measurement_is_written_and_read_back(m: Measurement, units: Any) -> None:
    # without a scale every size is null, whatever was there; a repeat of known size has a lattice
    assume(m.scale is not None and (m.repeat.lattice is not None or not m.repeat.known))
    text = write_json.dumps(write_json.document(m))
    assert read_json.measurement(read_json.loads(text.encode("utf-8"))) == m
    lines = to_text.measurement(m, units).split("\n")
    assert max(map(to_text.width, lines)) <= 80


@QUICK
@given(result(LengthPlan), st.sampled_from(["metric", "imperial"]))
def test_any_plan_is_written_and_read_back(plan: LengthPlan, units: Any) -> None:
    text = write_json.dumps(write_json.document(plan))
    assert read_json.length(read_json.loads(text.encode("utf-8"))) == plan
    assert max(map(to_text.width, to_text.length(plan, units).split("\n"))) <= 80


@settings(QUICK, max_examples=5)
@given(result(Measurement))
def test_any_measurement_makes_a_page(m: Measurement) -> None:
    content = measured.content(m, "metric")
    page = to_html.report(content, list(content.sections))
    assert page.rstrip().endswith("</html>") and "<script" not in page


@QUICK
@given(
    st.tuples(SIZES, SIZES), st.tuples(NUMBERS, NUMBERS), st.booleans(), st.booleans(),
    st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=3, max_size=9),
)  # fmt: skip
def test_a_placed_piece_keeps_its_shape_and_its_box(
    size: Any, at: Any, turned: bool, crosswise: bool, shares: list
) -> None:
    ring = tuple((u * size[0], v * size[1]) for u, v in shares)
    piece = Piece("p", *size, ring)
    laid = outline_on_cloth(piece, Placement("p", *at, turned=turned, crosswise=crosswise))
    for i in range(len(ring)):  # no length changes, and no piece is turned over
        assert math.dist(laid[i - 1], laid[i]) == pytest.approx(math.dist(ring[i - 1], ring[i]), abs=1e-6)
    assert area(laid) == pytest.approx(area(ring), rel=1e-3, abs=1.0)
    width, length = size[::-1] if crosswise else size
    for x, y in laid:
        assert -1e-6 <= x - at[0] <= width + 1e-6 and -1e-6 <= y - at[1] <= length + 1e-6


def area(ring: tuple) -> float:
    """Signed area, about the first corner so that far places lose no digits."""
    (x0, y0) = ring[0]
    moved = [(x - x0, y - y0) for x, y in ring]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(moved, moved[1:] + moved[:1], strict=True)) / 2
