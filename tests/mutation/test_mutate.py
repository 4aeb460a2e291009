"""The mutants are what they claim to be: one change, in code that still compiles."""

from __future__ import annotations

import ast
import random
from pathlib import Path

import pytest

from tests.mutation import mutate

SOURCE = '"""Doc 3.5."""\n\nLIMIT = 8\n\n\ndef f(x: float) -> bool:\n    return x - 4.0 < LIMIT\n'


@pytest.mark.parametrize(
    ("kind", "line"),
    [("sign", "x + 4.0 < LIMIT"), ("dropped term", "x * 1 < LIMIT"), ("comparison", "x - 4.0 >= LIMIT")],
)
def test_each_kind_of_change(kind: str, line: str) -> None:
    tree = ast.parse(SOURCE)
    node = next(place for place, name in mutate.changes(tree) if name == kind)
    mutate.apply(node, kind)
    assert line in ast.unparse(tree)
    assert "LIMIT = 8" in ast.unparse(tree)


def test_numbers_grow_by_half_and_docstrings_are_left() -> None:
    numbers = [node.value for node, kind in mutate.changes(ast.parse(SOURCE)) if kind == "number"]
    assert sorted(numbers) == [4.0, 8]


def test_mutants_come_from_the_seed_and_from_different_modules() -> None:
    made = mutate.mutants(5, 6)
    assert made == mutate.mutants(5, 6)
    assert len({mutant.module for mutant in made}) == len(made) == 6
    for mutant in made:
        compile(mutant.text, str(mutant.module), "exec")
        assert all((mutate.ROOT / file).exists() for file in mutate.tests_of(mutant.module))


def test_a_module_without_anything_to_change_gives_none(tmp_path: Path) -> None:
    (tmp_path / "empty.py").write_text('"""Nothing."""\n', encoding="utf-8")
    assert mutate.mutant_of(tmp_path / "empty.py", random.Random(0)) is None
