"""Run every command on damaged and extreme inputs, and say which answers are not as they must be.

``python -m tests.fuzz.run --seed 1 --count 1000`` prints a table and exits with 1 where a case fails; a case
is run again alone with ``--first NUMBER --count 1``. Right is: no traceback and no fault of our own, an exit
status that fits the case, an end within the time, with ``--json`` one document on standard output, nothing of
a library's own on standard error, and less than 1.5 GB of memory.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import multiprocessing
import os
import resource
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import TimeoutError
from pathlib import Path
from typing import Any

from tests.fuzz.inputs import Case, Maker

SECONDS = 240  # for one case: far above the slowest sound one, also on a busy machine
MOST_BYTES = 1.5e9  # of memory
MOST_LINES = 12  # on standard error of a command that failed: a line for each mistake in a project
OUTSIDE = {"tag", "serve"}  # start processes of their own, so they run in one
SELDOM_NEW = 200  # cases before the worker is replaced


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
    root = str(Path(__file__).resolve().parents[2])
    env = os.environ | {"PYTHONPATH": root} | case.env
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
        from pebble import ProcessPool

        spawn = multiprocessing.get_context("spawn")  # a fork would copy the caller's threads
        self._pool: Any = ProcessPool(1, max_tasks=SELDOM_NEW, context=spawn)
        self._seconds = seconds
        self.peak = 0

    def __enter__(self) -> Runner:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.stop()
        self._pool.join()

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
                answer = self._pool.schedule(run_here, args=(case, folder), timeout=self._seconds).result()
            except (TimeoutError, subprocess.TimeoutExpired):
                return [f"no end within {self._seconds:g} s"]
            except Exception as error:  # the worker died, or our own code raised
                return [f"{type(error).__name__}: {error}"]
            self.peak = max(self.peak, self._pool.schedule(peak_bytes).result())
            return faults(case, *answer)


def main() -> int:
    """Run the cases asked for and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--first", type=int, default=0, help="number of the first case, to run them in parts")
    asked = parser.parse_args()
    maker = Maker(asked.seed)
    made: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    with Runner() as runner:
        for number in range(asked.first, asked.first + asked.count):
            case = maker.case(number)
            made[case.kind] += 1
            wrong = runner.faults(case)
            if runner.peak > MOST_BYTES:
                wrong.append(f"{runner.peak / 1e9:.1f} GB of memory")
                runner.peak = 0
            failed[case.kind] += bool(wrong)
            for text in wrong:
                print(f"{number} {case.kind}: {' '.join(case.argv)[:160]!r}: {text}", flush=True)
    print("\n| inputs | made | answered as they must be |\n| --- | --- | --- |")
    for kind, count in made.items():
        print(f"| {kind} | {count} | {count - failed[kind]} |")
    print(f"| **all** | {made.total()} | {made.total() - failed.total()} |")
    return min(1, failed.total())


if __name__ == "__main__":
    sys.exit(main())
