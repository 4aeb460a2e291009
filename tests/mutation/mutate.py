"""Seeded mutants of the package, each in one module, and how many of them the tests notice.

``python tests/mutation/mutate.py --seed 1 --count 40`` writes docs/accuracy/mutants.md; each mutant is made
in a copy of the project, so the working tree is never touched. A mutant changes one thing in one module: a
sign, a number times 1.5, a dropped term, a comparison turned round. The tests nearest to the module are run
until the first one fails. What was noticed is kept in build/mutants while its module stays as it is: stop
the script when you like and run it again for the rest.
"""

from __future__ import annotations

import argparse
import ast
import functools
import hashlib
import itertools
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FACTOR = 1.5  # what a number is multiplied by
CPU_S = 45  # seconds of work for the tests of one mutant
MOST_TEST_FILES = 4  # files run for one mutant
FAILED = {1, 2}  # pytest's exit statuses: a test fails; a file cannot even be collected
UNMARKED = "not browser and not slow"
FAR = 99  # imports: no test reaches a module that is found by its name at run time, such as a kind of project
TURNED = {ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt}
SIGNS = {ast.Add: ast.Sub, ast.Sub: ast.Add}
KEPT = ROOT / "build" / "mutants"
PAGE = ROOT / "docs" / "accuracy" / "mutants.md"
HEAD = """# What the tests notice

Made by `python tests/mutation/mutate.py --seed {seed} --count {count}`: one change in one module each, a
sign, a number times 1.5, a dropped term or a comparison turned round. The tests nearest to the module, at
most {cpu} s of work, notice {dead} of {count}. For some of this seed that lived a test was written, so of
another seed fewer are noticed. Of a number that guards against rounding, or a count of rounds beyond those
that are needed, nothing is to be seen.

| where | what | line | noticed |
| --- | --- | --- | --- |
"""
SKIPPED = {"__init__.py", "__main__.py"}


@dataclass(frozen=True)
class Mutant:
    """One change: the module, the line, what is changed, and the module's text after it."""

    module: Path
    line: int
    kind: str
    text: str

    @property
    def digest(self) -> str:
        """Tells this change of this module from any other."""
        return hashlib.sha256(f"{self.module} {self.text}".encode()).hexdigest()[:16]


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


def imports_of(file: Path, modules: Collection[str]) -> set[str]:
    """Modules of the package that a file imports, at its top or within, its packages' own files included."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found & set(modules)


@functools.cache
def steps_to_modules() -> dict[Path, dict[str, int]]:
    """For each test file, over how many imports it reaches each module of the package."""
    names = {dotted(m.relative_to(ROOT)): m for m in (ROOT / "printcheck").rglob("*.py")}
    onward = {name: imports_of(file, names) for name, file in names.items()}
    found = {}
    for file in set((ROOT / "tests").rglob("test_*.py")) - set((ROOT / "tests" / "benchmarks").iterdir()):
        steps: dict[str, int] = {}
        reached = imports_of(file, names)
        while reached:
            steps |= dict.fromkeys(reached, 1 + max(steps.values(), default=0))
            reached = {next_ for name in reached for next_ in onward[name]} - set(steps)
        found[file] = steps
    return found


def dotted(module: Path) -> str:
    """Name by which a module is imported."""
    return ".".join(module.with_suffix("").parts).removesuffix(".__init__")


def tests_of(module: Path) -> list[str]:
    """Test files for a module: one of its name, then those that reach it over the fewest imports."""
    words = {word for part in module.with_suffix("").parts[1:] for word in part.split("_")}

    def rank(file: Path) -> tuple[bool, int, int, str]:
        parts = {*file.relative_to(ROOT).parts, *file.stem.removeprefix("test_").split("_")}
        far = steps_to_modules()[file].get(dotted(module), FAR)
        return (module.stem not in file.stem, far, -len(words & parts), str(file))

    nearest = sorted(steps_to_modules(), key=rank)[:MOST_TEST_FILES]
    return [str(file.relative_to(ROOT)) for file in nearest]


def noticed(mutant: Mutant, copy: Path) -> bool:
    """Whether the tests of the module fail with the mutant in place; running out of time is no notice."""
    target = copy / mutant.module
    kept = target.read_text(encoding="utf-8")
    target.write_text(mutant.text, encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-m", UNMARKED]
    try:
        run = subprocess.run(
            [*command, *tests_of(mutant.module)],
            cwd=copy,
            env=os.environ | {"PYTHONPATH": str(copy)},
            capture_output=True,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S)),
            check=False,
        )
    finally:
        target.write_text(kept, encoding="utf-8")
    return run.returncode in FAILED


def mutants(seed: int, count: int) -> list[Mutant]:
    """Mutants drawn from a seed, each in another module; a change in one module alters no other's mutant."""
    modules = [m for m in sorted((ROOT / "printcheck").rglob("*.py")) if m.name not in SKIPPED]
    draws = {module: random.Random(f"{seed} {module.relative_to(ROOT)}") for module in modules}
    made = (mutant_of(module, draws[module]) for module in sorted(modules, key=lambda m: draws[m].random()))
    return list(itertools.islice((m for m in made if m is not None), count))


def row(mutant: Mutant, dead: bool) -> str:
    """Line of the table."""
    source = (ROOT / mutant.module).read_text(encoding="utf-8").splitlines()[mutant.line - 1].strip()
    code = source.replace("|", "\\|")
    return f"| {mutant.module}:{mutant.line} | {mutant.kind} | `{code}` | {'yes' if dead else 'no'} |"


def main() -> None:
    """Make the mutants, run the tests of those not noticed before, and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--fresh", action="store_true", help="forget what was noticed")
    asked = parser.parse_args()
    drawn = mutants(asked.seed, asked.count)
    KEPT.parent.mkdir(exist_ok=True)
    known = set(KEPT.read_text().split()) if KEPT.exists() and not asked.fresh else set()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "project"
        shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache"))
        for number, mutant in enumerate(drawn, 1):
            if mutant.digest not in known and noticed(mutant, copy):
                known.add(mutant.digest)
                KEPT.write_text("\n".join(sorted(known)))
            print(number, row(mutant, mutant.digest in known), flush=True)
    dead = [mutant.digest in known for mutant in drawn]
    told = HEAD.format(**vars(asked), cpu=CPU_S, dead=sum(dead))
    PAGE.write_text(told + "\n".join(map(row, drawn, dead)) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
