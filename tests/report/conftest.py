"""Fixtures of the report's tests; what they hold stands in report_given.py and report_swatch.py."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # the two files beside this one, for importlib mode

import report_given as given

from printcheck.model import Measurement
from printcheck.plan import LengthPlan


@pytest.fixture(params=given.MEASUREMENTS, ids=str)
def measured(request: pytest.FixtureRequest) -> Measurement:
    return given.MEASUREMENTS[request.param]()


@pytest.fixture(params=given.PLANS, ids=str)
def planned(request: pytest.FixtureRequest) -> LengthPlan:
    return given.PLANS[request.param]()
