"""Who does the work: processes of this machine, or a Dask cluster. Both yield results as they come."""

from __future__ import annotations

import itertools
import multiprocessing
import os
import queue
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, TimeoutError, wait
from typing import Any

from printcheck import __version__
from printcheck.batch.jobs import Job, Outcome, failed
from printcheck.batch.work import start_worker, work
from printcheck.core.errors import InputError, NoAnswerError

AHEAD = 3  # jobs handed out per worker: none waits for work, and memory stays flat
PHOTOS_PER_WORKER = 500  # a worker is then replaced, so that a library's leak cannot grow for ever
WORKER_ENVIRONMENT = {  # read by a worker as it starts; a system that knows no such name passes them over
    # bytes: the GNU C library then keeps a photo's arrays for the next one instead of handing them back
    # to the kernel, which clears every page again: a twentieth of the time
    "MALLOC_MMAP_THRESHOLD_": str(1 << 28),
    "MALLOC_TRIM_THRESHOLD_": str(1 << 28),
}
CLUSTER_WAIT_S = 20  # seconds to reach a scheduler
CLUSTER_LOOK_S = 2.0  # seconds between looks whether any worker is left
NO_WORKER_S = 8.0  # seconds without one after which the run ends
CLUSTER_AHEAD = 64  # jobs on their way to a cluster per worker thread at the most
CLUSTER_RETRIES = 3  # times a job is given to another worker when its own is lost

Result = tuple[Job, Outcome]


def on_this_machine(jobs: Iterable[Job], *, workers: int, seconds: float) -> Iterator[Result]:
    """Measure with worker processes; a photo that hangs or crashes its worker becomes a failed row.

    Parameters
    ----------
    jobs : iterable of Job
        Taken as workers fall free.
    workers : int
        Processes.
    seconds : float
        Time allowed for one photo.
    """
    from pebble import ProcessPool

    context = multiprocessing.get_context("spawn")  # a fork would copy OpenCV's and the BLAS's threads
    started_with = dict(os.environ)
    os.environ.update(WORKER_ENVIRONMENT)
    pool = ProcessPool(workers, max_tasks=PHOTOS_PER_WORKER, initializer=start_worker, context=context)
    jobs = iter(jobs)
    running: dict[Any, Job] = {}
    try:
        while True:
            for job in itertools.islice(jobs, workers * AHEAD - len(running)):
                running[pool.schedule(work, args=(job,), timeout=seconds)] = job
            if not running:
                break
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                yield running.pop(future), _outcome(future, seconds)
    finally:
        pool.stop()
        pool.join()
        os.environ.clear()
        os.environ.update(started_with)


def _outcome(future: Any, seconds: float) -> Outcome:  # noqa: ANN401  pebble's future
    from pebble import ProcessExpired

    try:
        outcome: Outcome = future.result()
    except TimeoutError:
        return failed(f"It took longer than {seconds:g} s and was given up.", passing=True)
    except ProcessExpired:
        return failed("The photo crashed its worker; the file is most likely damaged.", passing=True)
    return outcome


def default_workers() -> int:
    """Cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def on_cluster(jobs: Iterable[Job], *, address: str) -> Iterator[Result]:
    """Measure on the workers of a Dask scheduler; the scheduler gives a lost worker's photos to others.

    Raises
    ------
    NoAnswerError
        If no worker can be reached, some lack this version of printcheck, or none is left.
    """
    client = _client(address)
    jobs = iter(jobs)
    try:
        _check_versions(client)
        threads = sum(client.nthreads().values()) or 1
        finished: queue.SimpleQueue[Any] = queue.SimpleQueue()
        running: dict[Any, Job] = {}

        def submit(job: Job) -> None:
            future = client.submit(_work_on_cluster, job, pure=False, retries=CLUSTER_RETRIES)
            running[future] = job
            future.add_done_callback(finished.put)

        for job in itertools.islice(jobs, threads * CLUSTER_AHEAD):
            submit(job)
        while running:
            future = _next_finished(client, finished)
            yield running.pop(future), _cluster_outcome(future)
            for following in itertools.islice(jobs, 1):
                submit(following)
    finally:
        client.close()


def _next_finished(client: Any, finished: queue.SimpleQueue[Any]) -> Any:  # noqa: ANN401  Dask's own classes
    """Next future that is done; refuses to wait where no worker is left to do it."""
    without_worker = 0
    while True:
        try:
            return finished.get(timeout=CLUSTER_LOOK_S)
        except queue.Empty:
            without_worker = 0 if client.nthreads() else without_worker + 1
        if without_worker * CLUSTER_LOOK_S >= NO_WORKER_S:
            raise NoAnswerError(
                "no-workers",
                "--cluster: no worker is left.",
                "Start some with: dask worker ADDRESS, and run the same command again: what is done is kept.",
            )


def _check_versions(client: Any) -> None:  # noqa: ANN401
    """Refuse workers without printcheck, or with another version of it, before the first photo."""
    for worker, version in client.run(_version, on_error="return").items():
        if version != __version__:
            has = f"has {version}" if isinstance(version, str) else "has none"
            raise NoAnswerError(
                "wrong-version",
                f"--cluster: the worker {worker} {has} where printcheck {__version__} is needed.",
                f'Install it on every worker: pip install "printcheck[cluster]=={__version__}".',
            )


def _version() -> str:
    return __version__


def _work_on_cluster(job: Job) -> Outcome:
    start_worker()
    return work(job)


def _cluster_outcome(future: Any) -> Outcome:  # noqa: ANN401
    error = future.exception()
    if error is not None:
        return failed(f"The cluster gave it up: {type(error).__name__}.", passing=True)
    outcome: Outcome = future.result()
    return outcome


def _client(address: str) -> Any:  # noqa: ANN401
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            "cluster-missing",
            "--cluster needs the extra part for clusters.",
            'Install it: pip install "printcheck[cluster]".',
        ) from None
    try:
        client = Client(address, timeout=CLUSTER_WAIT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoAnswerError(
            "no-scheduler",
            f"--cluster: no scheduler answers at {address} ({type(error).__name__}).",
            "Start one with: dask scheduler, and give the address it prints.",
        ) from None
    if not client.nthreads():
        client.close()
        raise NoAnswerError(
            "no-workers",
            f"--cluster: the scheduler at {address} has no workers.",
            "Start some with: dask worker ADDRESS --nthreads 1.",
        )
    return client
