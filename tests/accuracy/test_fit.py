"""The fit of the repeat's scores: choices drawn from known weights give those weights back."""

from __future__ import annotations

import importlib.util
import math
from pathlib import Path

import numpy as np
import pytest

SCRIPT = Path(__file__).parents[2] / "docs" / "fit_evidence.py"


def test_the_weights_that_choices_were_drawn_from_are_found_again() -> None:
    """Conditional logit: one of three is taken with odds exp(weights x features), against none."""
    spec = importlib.util.spec_from_file_location("fit_evidence", SCRIPT)
    assert spec is not None and spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    rng = np.random.default_rng(4)
    choices = []
    for _ in range(4000):
        sizes = rng.normal(0, 1, 3)
        odds = np.array([1.0, *(math.exp(-1.0 + 1.5 * size) for size in sizes)])
        taken = int(rng.choice(4, p=odds / odds.sum())) - 1
        rows = [{"x": {"one": 1.0, "size": s}, "y": n == taken} for n, s in enumerate(sizes)]
        choices.append((1.0, rows))
    found = script.fit(choices, ["one", "size"])
    assert found == {"one": pytest.approx(-1.0, abs=0.1), "size": pytest.approx(1.5, abs=0.1)}
