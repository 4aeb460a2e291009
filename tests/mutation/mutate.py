"""Seeded mutants of the package, each in one module, and how many of them the tests notice.

Run it as ``python tests/mutation/mutate.py --seed 1 --count 40``; each mutant is made in a copy of the
project, so the working tree is never touched. A mutant changes one thing in one module: a sign, a number
times 1.5, a dropped term, a comparison turned round. The tests that name the module are run until the
first one fails. A surviving mutant is printed with its line, so that a test can be written for it.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FACTOR = 1.5  # what a number is multiplied by
SECONDS = 400  # for the tests of one mutant; running longer counts as noticed, since the test would hang
MOST_TEST_FILES = 6  # files run for one mutant, those that name the module first
TURNED = {ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt}
SIGNS = {ast.Add: ast.Sub, ast.Sub: ast.Add}
SKIPPED = {"__init__.py", "__main__.py"}


@dataclass(frozen=True)
class Mutant:
    """One change: the module, the line, what is changed, and the module's text after it."""

    module: Path
    line: int
    kind: str
    text: str


def changes(tree: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    """Places of a module that can be changed, with the kind of change; docstrings hold none."""
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp) and type(node.op) in SIGNS and not _of_text(node):
            yield node, "sign"
            yield node, "dropped term"
        elif isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in TURNED:
            yield node, "comparison"
        elif (
            isinstance(node, ast.Constant)
            and isinstance(node.value, (int, float))
            and not isinstance(node.value, bool)
            and node.value not in (0, 1, 2)
        ):
            yield node, "number"


def _of_text(node: ast.BinOp) -> bool:
    parts = (node.left, node.right)
    return any(
        isinstance(part, ast.JoinedStr) or isinstance(getattr(part, "value", None), str) for part in parts
    )


def mutant_of(module: Path, rng: random.Random) -> Mutant | None:
    """A mutant of this module, or None where nothing in it can be changed."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    places = list(changes(tree))
    if not places:
        return None
    node, kind = rng.choice(places)
    line = node.lineno  # type: ignore[attr-defined]
    apply(node, kind)
    return Mutant(module.relative_to(ROOT), line, kind, ast.unparse(ast.fix_missing_locations(tree)))


def apply(node: ast.AST, kind: str) -> None:
    """Change the node in place."""
    if kind == "sign":
        assert isinstance(node, ast.BinOp)
        node.op = SIGNS[type(node.op)]()
    elif kind == "dropped term":
        assert isinstance(node, ast.BinOp)
        node.op, node.right = ast.Mult(), ast.Constant(1)
    elif kind == "comparison":
        assert isinstance(node, ast.Compare)
        node.ops = [TURNED[type(node.ops[0])]()]
    else:
        assert isinstance(node, ast.Constant)
        grown = node.value * FACTOR
        node.value = round(grown) if isinstance(node.value, int) else grown


def tests_of(module: Path) -> list[str]:
    """Test files for a module: those that name it, then those of the mirrored folder."""
    dotted = ".".join(module.with_suffix("").parts)
    name, package = dotted.rsplit(".", 1)[1], dotted.rsplit(".", 1)[0]
    files = sorted((ROOT / "tests").rglob("test_*.py"))
    files = [file for file in files if "benchmarks" not in file.parts]
    text = {file: file.read_text(encoding="utf-8") for file in files}
    naming = [f for f in files if dotted in text[f] or f"from {package} import {name}" in text[f]]
    folder = ROOT / "tests" / module.parts[1]
    near = [f for f in files if folder in f.parents and f not in naming]
    stem = [f for f in near if name in f.stem]
    rest = [f for f in near if f not in stem]
    chosen = (naming + stem + rest)[: max(MOST_TEST_FILES, len(naming))]
    return [str(file.relative_to(ROOT)) for file in chosen] or ["tests/test_pipeline.py"]


def noticed(mutant: Mutant, copy: Path) -> bool:
    """Whether the tests of the module fail with the mutant in place."""
    target = copy / mutant.module
    kept = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *tests_of(mutant.module)]
    try:
        run = subprocess.run(
            command,
            cwd=copy,
            env=os.environ | {"PYTHONPATH": str(copy)},
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        target.write_text(kept, encoding="utf-8")
    return run.returncode not in (0, 5)


def mutants(seed: int, count: int) -> list[Mutant]:
    """Mutants drawn from a seed, each in another module."""
    rng = random.Random(seed)
    modules = [m for m in sorted((ROOT / "printcheck").rglob("*.py")) if m.name not in SKIPPED]
    rng.shuffle(modules)
    made = (mutant_of(module, rng) for module in modules)
    return [m for m in made if m is not None][:count]


def main() -> None:
    """Make the mutants, run the tests, print what lived."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=40)
    asked = parser.parse_args()
    killed = 0
    drawn = mutants(asked.seed, asked.count)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "project"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache"))
        for number, mutant in enumerate(drawn, 1):
            dead = noticed(mutant, copy)
            killed += dead
            said = "noticed" if dead else "LIVES"
            print(f"{number:3d} {said:8s} {mutant.kind:12s} {mutant.module}:{mutant.line}", flush=True)
    print(f"{killed} of {len(drawn)} noticed")


if __name__ == "__main__":
    main()
