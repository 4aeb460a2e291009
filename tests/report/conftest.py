"""Fixtures of the report's tests; what they hold stands in report_given.py and report_swatch.py."""

from __future__ import annotations

import pytest

from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan
from tests.report import report_given as given


@pytest.fixture(params=given.MEASUREMENTS, ids=str)
def measured(request: pytest.FixtureRequest) -> Measurement:
    return given.MEASUREMENTS[request.param]()


@pytest.fixture(params=given.PLANS, ids=str)
def planned(request: pytest.FixtureRequest) -> LengthPlan:
    return given.PLANS[request.param]()
