"""Warm worker processes, one to a core: first come first served, limited in time and memory, recycled."""

from __future__ import annotations

import asyncio
import os
import shutil
import tempfile
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from printcheck.batch.engines import ONE_THREAD, default_workers
from printcheck.core.errors import PrintcheckError
from printcheck.core.system.task_process import TaskPool
from printcheck.web import worker
from printcheck.web.guard import STOPPING
from printcheck.web.problems import RefusedError, internal, refused
from printcheck.web.upload import Photo

TASKS = 40  # of a worker before a fresh one takes its place, so that no library's leak can grow for ever
MOST_WAITING = 50  # requests; at two seconds each on two cores the last waits a minute
MOST_WAITING_BYTES = 300_000_000  # of photos held for them
MEMORY_FOLDER = Path("/dev/shm")  # a folder that is no disk, where the system has it


@dataclass
class Job:
    """A request on its way through the queue."""

    ticket: str | None
    weight: int = 0
    folder: Path | None = field(default=None)


class Workers:
    """The processes, one to each core if not told, and the queue before them; ``seconds`` for one request."""

    def __init__(self, count: int | None = None, seconds: float = 20.0) -> None:
        self.count = count or default_workers()
        self.seconds = seconds
        self._slots = asyncio.Semaphore(self.count)  # wakes those who wait in the order they came
        self._waiting: list[Job] = []
        self._working: list[Job] = []
        self._pool = TaskPool(ONE_THREAD, most_tasks=TASKS, setup=worker.start)
        self._threads = ThreadPoolExecutor(self.count)
        self._root: Path | None = None

    def start(self) -> None:
        """Start the processes; each loads what it needs before its first task."""
        shared = MEMORY_FOLDER if os.access(MEMORY_FOLDER, os.W_OK) else None
        self._root = Path(tempfile.mkdtemp(prefix="printcheck-", dir=shared))
        self._pool.start(self.count)

    def stop(self) -> None:
        """End the processes, busy or not, and take away what was held for them."""
        self._threads.shutdown(wait=False, cancel_futures=True)
        self._pool.end()
        self._threads.shutdown()
        if self._root is not None:
            shutil.rmtree(self._root, ignore_errors=True)

    def progress(self, ticket: str) -> tuple[str, int, str]:
        """State, place in the queue from 1, and stage of the request with this ticket."""
        for place, job in enumerate(self._waiting, 1):
            if job.ticket == ticket:
                return "waiting", place, ""
        for job in self._working:
            if job.ticket == ticket:
                stage = ""
                with suppress(OSError):
                    stage = Path(job.folder or "", worker.STAGE_FILE).read_text("ascii")
                return "working", 0, stage
        return "unknown", 0, ""

    async def run(
        self,
        task: Callable[..., bytes],
        asked: object,
        photos: list[Photo],
        *,
        ticket: str | None,
        gone: Callable[[], Any],
    ) -> bytes:
        """Answer of a task in a worker, once it is this request's turn.

        The task, of :mod:`printcheck.web.worker`, takes the folder, the names of the photos and ``asked``.
        By ``ticket`` the request's progress is asked for; ``gone`` is a coroutine function that ends when
        the asker has left: then no worker is troubled.
        """
        job = Job(ticket, sum(len(photo.data) for photo in photos))
        async with self._turn(job, gone):
            folder = job.folder
            assert folder is not None
            for number, photo in enumerate(photos, 1):
                folder.joinpath(worker.photo_name(number, len(photos))).write_bytes(photo.data)
            names = tuple(photo.name for photo in photos)
            photos.clear()
            return await self._answer(task, str(folder), names, asked)

    @asynccontextmanager
    async def _turn(self, job: Job, gone: Callable[[], Any]) -> AsyncIterator[None]:
        """Wait in the queue for a free worker, and hold a folder while it is this job's."""
        held = sum(other.weight for other in self._waiting) + job.weight
        if len(self._waiting) >= MOST_WAITING or (self._waiting and held > MOST_WAITING_BYTES):
            raise RefusedError("busy", 429, "Too many photos are waiting already.", "Try again in a minute.")
        self._waiting.append(job)
        try:
            await _unless(self._slots.acquire(), gone)
        finally:
            self._waiting.remove(job)
        try:
            self._working.append(job)
            job.folder = Path(tempfile.mkdtemp(dir=self._root))
            yield
        finally:
            self._working.remove(job)
            if job.folder is not None:
                shutil.rmtree(job.folder, ignore_errors=True)
            self._slots.release()

    async def _answer(self, task: Callable[..., bytes], *given: object) -> bytes:
        try:
            future = self._threads.submit(self._pool.do, self.seconds, task, *given)
        except RuntimeError:  # they are stopped
            raise STOPPING from None
        try:
            return bytes(await asyncio.wrap_future(future))
        except PrintcheckError as error:
            raise refused(error) from None
        except TimeoutError:
            text = f"It took longer than {self.seconds:g} seconds and was given up."
            remedy = "Try a smaller or sharper photo, or a simpler project."
            raise RefusedError("too-long", 422, text, remedy) from None
        except (MemoryError, EOFError):
            text = "This takes more memory than the page may use."
            raise RefusedError("too-much-memory", 422, text, "Send a smaller copy.") from None
        except Exception as error:  # a fault of ours; its traceback stays in the worker
            raise internal(error) from None


async def _unless(wanted: Any, gone: Callable[[], Any]) -> None:  # noqa: ANN401  an awaitable
    """Wait for something, unless the asker leaves first."""
    taken, left = asyncio.ensure_future(wanted), asyncio.ensure_future(gone())
    try:
        await asyncio.wait({taken, left}, return_when=asyncio.FIRST_COMPLETED)
        if not taken.done():
            raise RefusedError("gone", 499, "The asker has left.", "")
    finally:
        left.cancel()
        if not taken.done():
            taken.cancel()
