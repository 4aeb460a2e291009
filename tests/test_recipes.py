"""The recipes of DEVELOPERS.md followed to the letter; objects, kinds and matches have theirs beside them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from printcheck.advice import difficulty
from printcheck.core import findings
from printcheck.core.measurement import Reason
from printcheck.report.words.content import Said
from printcheck.report.words.findings import WHY, said, why
from tests.advice import given

ROOT = Path(__file__).parent.parent
CODE = "thread-runs-out"


def test_a_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    words = findings.Remark("caution", "The thread ends {miss_mm:size} short.", "Buy another.")
    monkeypatch.setitem(findings.REMARKS, CODE, words)
    found = findings.finding(CODE, miss_mm=25.4)
    assert found.severity == "caution"
    assert said(found, "imperial").text == "The thread ends 1 in short."


def test_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    rule = difficulty.Rule(CODE, "hard", "common practice", lambda case, _: case.plain)
    monkeypatch.setattr(difficulty, "RULES", (*difficulty.RULES, rule))
    monkeypatch.setitem(WHY, CODE, Said("The thread runs out.", "Buy another."))
    found = difficulty.difficulty_of(given.plain(), "none")
    assert found.level == "hard" and found.reasons[0].code == CODE
    assert why(Reason(CODE)).remedy == "Buy another."


def test_every_file_that_a_recipe_names_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`((?:printcheck|docs|tests|cutting|coin)/[\w/]+(?:\.py|\.toml|/)?)`", text)
    assert len(named) > 10
    homes = (ROOT, ROOT / "printcheck", ROOT / "printcheck" / "photo" / "scale")
    missing = [name for name in named if not any((home / name).exists() for home in homes)]
    assert not missing
