"""Which tests are quick: ``pytest -m quick`` takes less than a minute and looks at every decision it can."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
QUICK = (
    "advice/test_tables.py",
    "advice/test_rejections.py",
    "advice/test_colour_references.py",
    "advice/test_sentences.py",
    "batch/test_colourways.py",
    "batch/test_journal.py",
    "batch/test_outputs.py",
    "batch/test_sources.py",
    "cli/test_defaults.py",
    "cutting/test_checker.py",
    "cutting/test_lanes.py",
    "cutting/test_match_kinds.py",
    "cutting/test_moves.py",
    "motif/test_mean_cell.py",
    "motif/test_symmetry.py",
    "motif/test_torus.py",
    "motif/test_votes.py",
    "photo/test_blobs.py",
    "photo/test_open.py",
    "photo/test_pose.py",
    "photo/test_registry.py",
    "project/test_load.py",
    "project/test_mistakes.py",
    "project/test_prints.py",
    "project/test_registry.py",
    "project/test_svg.py",
    "repeat/test_arrays.py",
    "report/test_findings.py",
    "test_docs.py",
    "test_imports.py",
    "test_lattice.py",
    "test_plan.py",
    "test_scaling.py",
    "test_units.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of those files, but the slow ones and those that need a browser."""
    assert all((HERE / name).is_file() for name in QUICK), "a quick file has another name now"
    chosen = {HERE / name for name in QUICK}
    for item in items:
        if item.path in chosen and not any(item.get_closest_marker(m) for m in ("slow", "browser")):
            item.add_marker(pytest.mark.quick)
