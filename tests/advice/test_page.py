"""docs/verdicts.md says what the tables say, and its score can be made."""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path

DOCS = Path(__file__).resolve().parents[2] / "docs"


def script():
    spec = importlib.util.spec_from_file_location("make_verdicts", DOCS / "make_verdicts.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_verdicts"] = module
    spec.loader.exec_module(module)
    return module


def test_the_page_is_up_to_date() -> None:
    """Run docs/make_verdicts.py after changing a table."""
    module = script()
    assert (DOCS / "verdicts.md").read_text().partition(module.SCORE)[0] == module.rules()


def test_the_score_counts_what_a_teacher_accepts(tmp_path: Path) -> None:
    module = script()
    nothing = dict.fromkeys(module.FIELDS)
    labels = [
        {"file": "a.png", "mm_per_px": 0.2, **nothing, "names": ["gingham"], "needs": ["none"]},
        {"file": "b.png", "mm_per_px": 0.2, **nothing, "names": ["stripe"], "clump": [False]},
        {"file": "absent.png", "mm_per_px": 0.2, **nothing, "names": ["dot"]},
    ]
    for name in ("a.png", "b.png"):
        (tmp_path / name).touch()
    (tmp_path / "labels.json").write_text(json.dumps(labels))
    said = {
        "names": "even-gingham",
        "needs": "both",
        "level": "care",
        "way": None,
        "busy": False,
        "clump": False,
    }
    shown = module.score(tmp_path / "labels.json", tmp_path, lambda *_: said)
    assert "| 50 (2) | 0 (1) | - | - | - | 100 (1) |" in shown
