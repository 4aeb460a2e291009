"""A second search in a process of its own, beside the one here.

Moving parts is work for the interpreter, and threads share its lock: two of them move hardly more parts
than one. So the second core works in a process, which is told of every better layout found here and tells
of those it finds. Should it break down, the search here goes on alone.
"""

from __future__ import annotations

import contextlib
import math
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from queue import SimpleQueue
from typing import IO

from printcheck.cutting.demand.demands import Demand, Spot
from printcheck.cutting.search.compact import Pressed
from printcheck.cutting.search.matched_outlines import Matching

LEAST_S = 1.5  # s: it takes a third of a second to be ready, and more on a busy machine
# what the process does: our own search path first, so that it finds the same packages
SERVE = """
import pickle, sys
sys.path[:] = pickle.load(sys.stdin.buffer)
from printcheck.cutting.search.process import serve
serve()
"""


@dataclass(frozen=True)
class _Asked:
    """A task and the search it is for; the monotonic clock that ``stop`` is told by is the system's."""

    task: Callable[..., None]
    given: tuple[object, ...]
    demand: Demand
    stop: float
    free: tuple[tuple[Spot, ...], ...]
    turning: bool
    bound_mm: float
    best: Pressed | None

    def search(self) -> Matching:
        search = Matching(self.demand, self.stop, self.free, self.turning, self.bound_mm)
        search.best = self.best
        return search


class Aside:
    """The process, from its start to the end of a ``with`` block.

    Parameters
    ----------
    seconds : float
        Time for all tasks. In a short one the process would be ready too late: then there is none, and
        tasks run in the thread that asks for them.
    """

    def __init__(self, seconds: float) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        if seconds < LEAST_S:
            return
        self._process = subprocess.Popen(
            [sys.executable, "-c", SERVE],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # an interrupt from the keyboard is ours to pass on
        )
        self._send(sys.path)

    def __enter__(self) -> Aside:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()
        if self._process is not None:
            with contextlib.suppress(OSError):  # what was not sent yet is wanted by nobody
                self._process.communicate()

    def end(self) -> None:
        """End the process; a task that runs there is over at once."""
        if self._process is not None:
            self._process.kill()

    def run(self, task: Callable[..., None], search: Matching, *given: object) -> None:
        """Run ``task(search, *given)`` there, until it is done; layouts found on either side go to both.

        ``task`` is a function of a module, for it is sent by name.
        """
        if self._process is None:
            task(search, *given)
            return
        assert self._process.stdout is not None
        free, told = tuple(search.free), search.best
        self._send(
            _Asked(
                task, given, search.demand, search.stop, free,
                search.turning, search.bound_mm, told,
            )
        )  # fmt: skip
        with search.lock:
            best, search.told = search.best, self._send
        if best is not told:  # found in the meantime
            self._send(best)
        try:
            with contextlib.suppress(EOFError, pickle.UnpicklingError):  # the process is no more
                while (found := pickle.load(self._process.stdout)) is not None:
                    search.note(found)
        finally:
            search.told = None

    def _send(self, message: object) -> None:
        assert self._process is not None and self._process.stdin is not None
        with contextlib.suppress(OSError), self._lock:  # a process that is no more is told nothing
            _write(self._process.stdin, message)


def side_by_side(
    tasks: Sequence[Callable[[], None]], searches: Sequence[Matching], aside: Aside | None = None
) -> None:
    """Run tasks at once; an interrupt ends their searches."""
    failed: list[BaseException] = []

    def run(task: Callable[[], None]) -> None:
        try:
            task()
        except BaseException as error:  # handed on below: a thread's own end would go unseen
            failed.append(error)
        finally:
            ended.release()

    ended = threading.Semaphore(0)  # an interrupted join would take its thread for ended
    threads = [threading.Thread(target=run, args=(task,)) for task in tasks]
    try:
        for thread in threads:
            thread.start()
        for _ in threads:
            ended.acquire()
    except BaseException:
        for search in searches:
            search.stop = -math.inf
        if aside is not None:
            aside.end()
        raise
    finally:
        for thread in threads:
            thread.join()
    if failed:
        raise failed[0]


def serve() -> None:
    """Do one task after another, as the process that :class:`Aside` starts, until nothing more can come."""
    asked: SimpleQueue[tuple[_Asked, Matching] | None] = SimpleQueue()
    answers, lock = sys.stdout.buffer, threading.Lock()
    sys.stdout = sys.stderr  # a library that has something to say does not say it between two layouts

    def tell(found: Pressed | None) -> None:
        with lock:
            _write(answers, found)

    threading.Thread(target=_listen, args=(asked, tell), daemon=True).start()
    while (job := asked.get()) is not None:
        task, search = job
        try:
            task.task(search, *task.given)
        finally:
            tell(None)


def _listen(
    asked: SimpleQueue[tuple[_Asked, Matching] | None], tell: Callable[[Pressed | None], None]
) -> None:
    """Pass tasks on, and layouts found elsewhere to the search they are for."""
    search: Matching | None = None
    try:
        while True:
            message = pickle.load(sys.stdin.buffer)
            if isinstance(message, _Asked):
                search = message.search()
                search.told = tell
                asked.put((message, search))
            elif search is not None:
                search.note(message)
    except EOFError:  # nobody waits for us any more
        if search is not None:
            search.stop = -math.inf
        asked.put(None)


def _write(pipe: IO[bytes], message: object) -> None:
    pickle.dump(message, pipe)
    pipe.flush()
