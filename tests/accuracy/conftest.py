"""The judge of the accuracy tables, loaded from the documents' scripts."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

MAKING = Path(__file__).parents[2] / "docs" / "making"


@pytest.fixture(scope="session")
def compare() -> ModuleType:
    """``docs/making/compare.py``, which uses nothing of printcheck."""
    spec = importlib.util.spec_from_file_location("making_compare", MAKING / "compare.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
