"""The queue and its workers: order, place, time limit, crash, and the end of all of them."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from printcheck import pipeline
from printcheck.core.request import AUTO
from printcheck.core.system import task_process
from printcheck.web import worker
from printcheck.web.problems import RefusedError
from printcheck.web.workers import MOST_WAITING, Workers

LONG_S = 200.0  # longer than a task takes on a busy machine


def named(folder: str, _: tuple[str, ...], asked: str) -> bytes:
    Path(folder, worker.STAGE_FILE).write_text("scale")
    return asked.encode()


def endless(*_: object) -> bytes:
    while True:
        time.sleep(0.01)


def greedy(*_: object) -> bytes:
    import numpy as np

    return np.ones(worker.MEMORY_BYTES, np.uint8).tobytes()


def in_a_library(folder: str, *_: object) -> bytes:
    Path(folder, worker.STAGE_FILE).write_text("scale")
    return str(sum(range(10**12))).encode()  # one call of C's, hours long: no handler of Python's runs


def dying(*_: object) -> bytes:
    os._exit(3)


def stuck() -> None:
    time.sleep(LONG_S)


def broken() -> None:
    raise ImportError("a library that is not there")


def faulty(*_: object) -> bytes:
    raise ZeroDivisionError("with something of an upload")


async def never() -> None:
    await asyncio.Event().wait()


async def refusal(workers: Workers, task: object) -> RefusedError:
    with pytest.raises(RefusedError) as caught:
        await workers.run(task, "", [], ticket=None, gone=never)
    return caught.value


def test_limits_crashes_and_faults_are_answered_and_work_goes_on() -> None:
    async def scenario() -> None:
        workers = Workers(1, seconds=LONG_S)
        workers.start()
        try:
            assert (await refusal(workers, greedy)).code == "too-much-memory"
            workers.seconds = 0.5
            assert (await refusal(workers, endless)).code == "too-long"
            workers.seconds = LONG_S
            assert (await refusal(workers, dying)).code == "too-much-memory"
            fault = await refusal(workers, faulty)
            assert fault.status == 500 and "upload" not in str(fault)
            assert await workers.run(named, "still here", [], ticket=None, gone=never) == b"still here"
            root = workers._root
            assert root is not None and not list(root.iterdir())
        finally:
            workers.stop()
        assert not root.exists()

    asyncio.run(scenario())


@pytest.mark.parametrize("setup", [stuck, broken])
def test_a_worker_that_never_becomes_ready_is_given_up_and_another_may(
    setup: Callable[[], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    async def scenario() -> None:
        with monkeypatch.context() as patch:
            patch.setattr(worker, "start", setup)
            workers = Workers(1, seconds=LONG_S)
        with monkeypatch.context() as patch:
            patch.setattr(task_process, "START_S", 0.5)
            workers.start()
            try:
                found = await refusal(workers, named)
                assert (found.code, found.status) == ("no-process", 503)
                (process,) = workers._pool._all
                process._setup = None
                process.end()
                patch.undo()
                assert await workers.run(named, "now", [], ticket=None, gone=never) == b"now"
            finally:
                workers.stop()

    asyncio.run(scenario())


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_worker_deep_in_a_library_ends_when_asked() -> None:
    async def scenario() -> None:
        workers = Workers(1)
        workers.start()
        asked = asyncio.create_task(workers.run(in_a_library, "", [], ticket="deep", gone=never))
        while workers.progress("deep")[2] != "scale":
            await asyncio.sleep(0.01)
        process = workers._pool._all[0]._process
        assert process is not None and process.poll() is None
        workers.stop()
        asked.cancel()
        await asyncio.gather(asked, return_exceptions=True)
        assert process.returncode == -signal.SIGKILL

    asyncio.run(scenario())


def test_first_come_first_served_with_the_place_in_the_queue() -> None:
    async def scenario() -> None:
        workers = Workers(1)
        done: list[str] = []
        release = asyncio.Event()

        async def answer(_: object, __: str, ___: object, asked: str) -> bytes:
            await release.wait()
            done.append(asked)
            return b""

        workers._answer = answer  # type: ignore[method-assign]
        jobs = [
            asyncio.create_task(workers.run(named, f"ticket{n}", [], ticket=f"ticket{n}", gone=never))
            for n in range(5)
        ]
        left = asyncio.create_task(
            workers.run(named, "left", [], ticket="left", gone=lambda: asyncio.sleep(0))
        )
        with pytest.raises(RefusedError):
            await left
        assert workers.progress("ticket0")[0] == "working"
        assert [workers.progress(f"ticket{n}")[1] for n in range(1, 5)] == [1, 2, 3, 4]
        assert workers.progress("nobody") == ("unknown", 0, "")
        release.set()
        await asyncio.gather(*jobs)
        assert done == [f"ticket{n}" for n in range(5)]

    asyncio.run(scenario())


def test_too_long_a_queue_is_refused() -> None:
    async def scenario() -> None:
        workers = Workers(1)
        workers._answer = lambda *_: never()  # type: ignore[method-assign]
        jobs = [
            asyncio.create_task(workers.run(named, "", [], ticket=None, gone=never))
            for _ in range(MOST_WAITING + 1)
        ]
        await asyncio.sleep(0)
        await asyncio.sleep(0)
        assert (await refusal(workers, named)).status == 429
        for job in jobs:
            job.cancel()
        await asyncio.gather(*jobs, return_exceptions=True)

    asyncio.run(scenario())


def test_the_stage_told_is_that_of_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    class EnoughError(Exception):
        pass

    def measuring(*_: object, progress: pipeline.Progress) -> None:
        for share in (None, 0.1, pipeline.JOINED):
            if share is not None:
                progress("at work", share)
            seen.append((tmp_path / worker.STAGE_FILE).read_text())
        raise EnoughError

    monkeypatch.setattr(pipeline, "measure_photos", measuring)
    with pytest.raises(EnoughError):
        worker.measure(str(tmp_path), ("a.jpg", "b.jpg"), (AUTO, "vertical", False))
    assert seen == [worker.SCALE_STAGE, worker.JOIN_STAGE, worker.REPEAT_STAGE]
