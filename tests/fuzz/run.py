"""Run every command on damaged and extreme inputs, and say which answers are not as they must be.

``python -m tests.fuzz.run --seed 1 --count 860`` writes docs/accuracy/damaged.md and exits with 1 where a
case fails. What is answered as it must be is kept in build/fuzz: stop the script when you like and run it
again; a case that failed is then run again, ``--fresh`` runs all again, ``--only NUMBER`` one. Right is: no
traceback and no fault of our own, an exit status that fits the case, an end within the time, with ``--json``
one document on standard output, nothing of a library's own on standard error, and less than 1.5 GB of memory.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Container, Iterator
from pathlib import Path

from printcheck.core.system.task_process import TaskPool
from tests.fuzz.inputs import Case, Maker

SECONDS = 240  # for one case: far above the slowest sound one, also on a busy machine
MOST_BYTES = 1.5e9  # of memory
MOST_LINES = 12  # on standard error of a command that failed: a line for each mistake in a project
OUTSIDE = {"tag", "serve"}  # start processes of their own, so they run in one
SELDOM_NEW = 200  # cases before the worker is replaced
ROOT = Path(__file__).resolve().parents[2]
BUILD = ROOT / "build" / "fuzz"
PAGE = ROOT / "docs" / "accuracy" / "damaged.md"
HEAD = """# Damaged and extreme inputs

Made by `python -m tests.fuzz.run --seed {seed} --count {count}`: files with bytes cut, doubled, zeroed or
changed, pictures and numbers at and past every limit, commands used wrongly. Answered as it must be means: no
fault of our own, the right exit status, one clear sentence or an answer, nothing of a library's on the
terminal, within time and less than 1.5 GB of memory.

| inputs | made | answered as they must be |
| --- | ---: | ---: |
"""


def run_here(case: Case, folder: str) -> tuple[int, str, str]:
    """Exit status, output and errors of a case in this process, as the terminal would get them."""
    from printcheck.cli import run

    os.chdir(folder)
    os.environ.update(case.env)
    try:
        with _captured() as texts:
            status = run(list(case.argv))
    finally:
        for name in case.env:
            del os.environ[name]
    return status, texts[0], texts[1]


@contextlib.contextmanager
def _captured() -> Iterator[list[str]]:
    """Take what is written to the two streams, by Python or by a library's own code."""
    texts = ["", ""]
    kept = sys.stdout, sys.stderr, os.dup(1), os.dup(2)
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        for number, stream in ((1, out), (2, err)):
            os.dup2(stream.fileno(), number)
        sys.stdout, sys.stderr = (open(n, "w", closefd=False, errors="backslashreplace") for n in (1, 2))  # noqa: SIM115
        try:
            yield texts
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            sys.stdout, sys.stderr = kept[:2]
            for number, stream in ((1, out), (2, err)):
                os.dup2(kept[number + 1], number)
                os.close(kept[number + 1])
                stream.seek(0)
                texts[number - 1] = stream.read().decode("utf-8", "backslashreplace")


def run_outside(case: Case, folder: str) -> tuple[int, str, str]:
    """The same in a process of its own."""
    command = [sys.executable, "-m", "printcheck", *case.argv]
    env = os.environ | {"PYTHONPATH": str(ROOT)} | case.env
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, timeout=SECONDS)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


def peak_bytes() -> int:
    """Most memory this process has held."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def faults(case: Case, status: int, out: str, err: str) -> list[str]:
    """What is not as it must be; empty where all is well."""
    found = []
    if status not in case.statuses:
        found.append(f"status {status}, not {sorted(case.statuses)}: {(err or out)[:300]!r}")
    if "Traceback" in out + err or "internal-fault" in out or "fault of its own" in out + err:
        found.append(f"a fault of our own: {(err or out)[-300:]!r}")
    if "--json" in case.argv:
        try:
            document = json.loads(out)
        except ValueError as error:
            return [*found, f"no single document ({error}): {out[:100]!r}"]
        told = document.get("error")
        if bool(told) != (status in (1, 2)):
            found.append(f"status {status} with the document {document.get('schema')}")
        if told and not (told["code"] and told["message"] and told["remedy"]):
            found.append(f"an error without message or remedy: {told}")
    if status == 0 and "--json" in case.argv and err:
        found.append(f"an answer, and on standard error {err[:200]!r}")
    if status in (1, 2) and not err.startswith("printcheck: "):
        found.append(f"standard error begins with {err[:200]!r}")
    if status == 2 and len(err.splitlines()) > MOST_LINES:
        found.append(f"{len(err.splitlines())} lines on standard error: {err[:200]!r}")
    return found


class Runner:
    """Runs cases one after another, each in a folder of its own, in a worker that may hang or crash."""

    def __init__(self, seconds: float = SECONDS) -> None:
        self._pool = TaskPool({}, most_tasks=SELDOM_NEW)
        self._seconds = seconds
        self.peak = 0

    def __enter__(self) -> Runner:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.end()

    def faults(self, case: Case) -> list[str]:
        """What is wrong with the answer to a case."""
        with tempfile.TemporaryDirectory() as folder:
            for name, data in case.files.items():
                path = Path(folder, name)
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(data)
            try:
                if case.argv[0] in OUTSIDE:
                    return faults(case, *run_outside(case, folder))
                answer = self._pool.do(self._seconds, run_here, case, folder)
            except (TimeoutError, subprocess.TimeoutExpired):
                return [f"no end within {self._seconds:g} s"]
            except Exception as error:  # the worker died, or our own code raised
                return [f"{type(error).__name__}: {error}"]
            self.peak = max(self.peak, self._pool.do(self._seconds, peak_bytes))
            return faults(case, *answer)


def wrong_in(maker: Maker, number: int, runner: Runner) -> list[str]:
    """What is wrong with the answer to the case of this number; it is printed."""
    case = maker.case(number)
    wrong = runner.faults(case)
    if runner.peak > MOST_BYTES:
        wrong.append(f"{runner.peak / 1e9:.1f} GB of memory")
        runner.peak = 0
    for text in wrong:
        print(f"{number} {case.kind}: {' '.join(case.argv)[:160]!r}: {text}", flush=True)
    return wrong


def table(maker: Maker, count: int, right: Container[int]) -> str:
    """The kinds of input, how many were made and how many answered as they must be."""
    kinds = {number: maker.case(number).kind for number in range(count)}
    made = Counter(kinds.values())
    good = Counter(kind for number, kind in kinds.items() if number in right)
    lines = [f"| {kind} | {n} | {good[kind]} |" for kind, n in made.items()]
    return "\n".join([*lines, f"| **all** | {count} | {good.total()} |\n"])


def main() -> int:
    """Run the cases that were not answered rightly yet, and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=860)
    parser.add_argument("--only", type=int, help="number of one case")
    parser.add_argument("--fresh", action="store_true", help="forget what was answered rightly")
    asked = parser.parse_args()
    maker = Maker(asked.seed)
    with Runner() as runner:
        if asked.only is not None:
            return int(bool(wrong_in(maker, asked.only, runner)))
        kept = BUILD / f"right-{asked.seed}"
        kept.parent.mkdir(parents=True, exist_ok=True)
        right = set(map(int, kept.read_text().split())) if kept.exists() and not asked.fresh else set()
        for number in range(asked.count):
            if number not in right and not wrong_in(maker, number, runner):
                right.add(number)
                kept.write_text(" ".join(map(str, sorted(right))))
    PAGE.write_text(HEAD.format(**vars(asked)) + table(maker, asked.count, right), encoding="utf-8")
    return int(not right.issuperset(range(asked.count)))


if __name__ == "__main__":
    from tests.fuzz import run  # the processes know its functions by the module's own name

    sys.exit(run.main())
