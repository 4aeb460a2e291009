"""A process that measures for a worker of a cluster, so that a photo that hangs or crashes ends only it.

``python -m printcheck.batch.helper`` reads jobs from its standard input and writes outcomes to its standard
output, pickled, one after another, until the input ends.
"""

from __future__ import annotations

import os
import pickle
import queue
import subprocess
import sys
import threading
from contextlib import contextmanager, suppress
from typing import IO, TYPE_CHECKING

from printcheck.batch.jobs import Job, Outcome, crashed, too_slow

if TYPE_CHECKING:
    from collections.abc import Iterator

_idle: queue.SimpleQueue[Helper] = queue.SimpleQueue()


class Helper:
    """One process, started when it is first needed and again after it was ended."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None

    def work(self, job: Job, seconds: float) -> Outcome:
        """Row of a photo; a failed one where the time is over or the process dies."""
        if self._process is None or self._process.poll() is not None:
            command = [sys.executable, "-m", "printcheck.batch.helper"]
            self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        process = self._process
        assert process.stdin is not None and process.stdout is not None
        over = threading.Event()

        def end() -> None:
            over.set()
            process.kill()

        timer = threading.Timer(seconds, end)
        timer.start()
        try:
            pickle.dump(job, process.stdin)
            process.stdin.flush()
            outcome: Outcome = pickle.load(process.stdout)
        except (EOFError, OSError, pickle.UnpicklingError):
            self.close()
            return too_slow(seconds) if over.is_set() else crashed()
        finally:
            timer.cancel()
        return outcome

    def close(self) -> None:
        """End the process."""
        if self._process is not None:
            process, self._process = self._process, None
            process.kill()
            with suppress(OSError):  # what was still to be sent to it
                process.communicate()


@contextmanager
def a_helper() -> Iterator[Helper]:
    """Lend an idle helper of this worker, or a new one."""
    try:
        helper = _idle.get_nowait()
    except queue.Empty:
        helper = Helper()
    try:
        yield helper
    finally:
        _idle.put(helper)


def serve(jobs: IO[bytes], outcomes: IO[bytes]) -> None:
    """Do jobs until there are no more."""
    from printcheck.batch.work import start_worker, work

    start_worker()
    while True:
        try:
            job = pickle.load(jobs)
        except EOFError:
            return
        pickle.dump(work(job), outcomes)
        outcomes.flush()


if __name__ == "__main__":
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # what a library prints must not fall among the outcomes
    serve(sys.stdin.buffer, out)
