"""The most a plan can come to, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from printcheck.core.plan import RepeatError
from printcheck.cutting.money import worst_to_buy_mm
from tests.report.report_given import skirt, unmatched


@pytest.mark.parametrize(
    ("safe_mm", "buy_mm"),
    [
        (1163.5, 1600.0),  # 1163.5 and a row of 312 are 1475.5 mm washed, 1537 mm with 4 % to shrink
        (None, 1600.0),  # no one plan holds: 1150.25 and 312 are 1523.2 mm as bought
        (1600.0, 1900.0),  # no more than the trade's rule, 840 and 624, and 312: 1850 mm as bought
    ],
)
def test_a_matched_plan_at_worst(safe_mm: float | None, buy_mm: float) -> None:
    project, plan = skirt()
    plan = replace(plan, repeat_error=RepeatError(0.011, safe_mm))
    assert worst_to_buy_mm(plan, project.cloth, 312.0) == pytest.approx(buy_mm)


def test_nothing_is_worse_where_nothing_is_matched() -> None:
    plan = unmatched()
    assert worst_to_buy_mm(plan, skirt()[0].cloth, 0.0) == plan.buy.advised_mm
