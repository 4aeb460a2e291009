"""Processes that measure photos for this one, limited in time and replaced when they break down."""

from __future__ import annotations

import queue
import threading

from printcheck.batch.jobs import Job, Outcome, crashed, too_slow
from printcheck.batch.measuring import work
from printcheck.core.task_process import TaskProcess

PHOTOS_PER_PROCESS = 500  # it is then replaced, so that a library's leak cannot grow for ever
ENVIRONMENT = {
    # the processes share the cores, not the threads inside each
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "OPENCV_FOR_THREADS_NUM": "1",
    # bytes: the GNU C library then keeps a photo's arrays for the next one instead of handing them back
    # to the kernel, which clears every page again: a twentieth of the time
    "MALLOC_MMAP_THRESHOLD_": str(1 << 28),
    "MALLOC_TRIM_THRESHOLD_": str(1 << 28),
}


class MeasuringPool:
    """As many processes as photos are asked for at once, by threads."""

    def __init__(self) -> None:
        self._idle: queue.SimpleQueue[TaskProcess] = queue.SimpleQueue()
        self._all: list[TaskProcess] = []

    def work(self, job: Job, seconds: float) -> Outcome:
        """Row of a photo; a failed one where the time is over or the process dies."""
        try:
            process = self._idle.get_nowait()
        except queue.Empty:
            process = TaskProcess(ENVIRONMENT)
            self._all.append(process)
        if process.tasks >= PHOTOS_PER_PROCESS:
            process.end()
        over = threading.Event()

        def give_up() -> None:
            over.set()
            process.end()

        timer = threading.Timer(seconds, give_up)
        timer.start()
        try:
            process.give(work, job)
            outcome: Outcome = process.answer()
        except EOFError:
            process.end()
            outcome = too_slow(seconds) if over.is_set() else crashed()
        finally:
            timer.cancel()
            self._idle.put(process)
        return outcome

    def end(self) -> None:
        """End all processes, whatever they do."""
        for process in self._all:
            process.end()
