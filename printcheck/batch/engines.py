"""Who does the work: processes of this machine, or a Dask cluster. Both yield results as they come."""

from __future__ import annotations

import itertools
import os
import queue
import tempfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import replace
from pathlib import Path
from typing import Any

from printcheck import __version__
from printcheck.batch.jobs import Job, Outcome, crashed, failed, too_slow, unreadable
from printcheck.batch.measuring import work
from printcheck.batch.sources import fetched, fingerprint, is_address
from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.system.task_process import TaskPool

AHEAD = 3  # jobs handed out per worker: none waits for work, and memory stays flat
CLUSTER_WAIT_S = 8  # seconds to reach a scheduler
CLUSTER_LOOK_S = 2.0  # seconds between looks whether any worker is left
NO_WORKER_S = 8.0  # seconds without one after which the run ends
CLUSTER_AHEAD = 64  # jobs on their way to a cluster per worker thread at the most
CLUSTER_RETRIES = 3  # times a job is given to another worker when its own is lost

PHOTOS_PER_PROCESS = 500
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OPENCV_FOR_THREADS_NUM")
ONE_THREAD = dict.fromkeys(THREADS, "1")  # the processes share the cores, not the threads inside each
ENVIRONMENT = {
    **ONE_THREAD,
    # bytes: the GNU C library then keeps a photo's arrays for the next one instead of handing them back
    # to the kernel, which clears every page again: a twentieth of the time
    "MALLOC_MMAP_THRESHOLD_": str(1 << 28),
    "MALLOC_TRIM_THRESHOLD_": str(1 << 28),
}
# for workers of a cluster that are threads of this process
BESIDE_WORKERS = TaskPool(ENVIRONMENT, most_tasks=PHOTOS_PER_PROCESS)

Result = tuple[Job, Outcome]
Wanted = Callable[[Job, str], bool]


def on_this_machine(
    jobs: Iterable[Job], *, workers: int, seconds: float, wanted: Wanted | None = None
) -> Iterator[Result]:
    """Measure with worker processes; a photo that hangs or crashes its worker becomes a failed row.

    Photos are read and hashed here while the workers measure those before.

    Parameters
    ----------
    jobs : iterable of Job
        Taken as workers fall free.
    workers : int
        Processes.
    seconds : float
        Time allowed for one photo.
    wanted : callable, optional
        Told a job and its photo's fingerprint, says whether to measure it.
    """
    pool, threads = TaskPool(ENVIRONMENT, most_tasks=PHOTOS_PER_PROCESS), ThreadPoolExecutor(workers)
    broken: list[Result] = []
    todo = _to_measure(jobs, wanted, broken) if wanted else iter(jobs)
    running: dict[Future[Outcome], Job] = {}
    try:
        while True:
            for job in itertools.islice(todo, workers * AHEAD - len(running)):
                running[threads.submit(measured_by, pool, job, seconds)] = job
            yield from broken
            broken.clear()
            if not running:
                break
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                yield running.pop(future), future.result()
    finally:
        threads.shutdown(wait=False, cancel_futures=True)
        pool.end()
        threads.shutdown()


def _to_measure(jobs: Iterable[Job], wanted: Wanted, broken: list[Result]) -> Iterator[Job]:
    """Jobs whose photos are to be measured; those that cannot be read are laid aside with the reason."""
    for job in jobs:
        try:
            if job.problem:
                broken.append((job, failed(job.problem)))
            elif wanted(job, fingerprint(job.path)):
                yield job
        except Exception as error:  # each store has errors of its own
            broken.append((job, unreadable(error)))


def measured_by(pool: TaskPool, job: Job, seconds: float) -> Outcome:
    """Row of a photo; a failed one where the time is over, the process dies or there is none."""
    try:
        outcome: Outcome = pool.do(seconds, work, job)
    except TimeoutError:
        return too_slow(seconds)
    except EOFError:
        return crashed()
    except NoAnswerError as error:
        return failed(error.message, error.remedy, passing=True)
    return outcome


def default_workers() -> int:
    """Cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def on_cluster(jobs: Iterable[Job], *, address: str, seconds: float, wanted: Wanted) -> Iterator[Result]:
    """Measure on the workers of a Dask scheduler; the scheduler gives a lost worker's photos to others.

    Each photo is first asked for its fingerprint, on a worker too, and measured where it is wanted.

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
        marking: dict[Any, Job] = {}
        measuring: dict[Any, Job] = {}

        def submit(running: dict[Any, Job], job: Job, *task: Any) -> None:  # noqa: ANN401
            future = client.submit(*task, pure=False, retries=CLUSTER_RETRIES)
            running[future] = job
            future.add_done_callback(finished.put)

        while True:
            for job in itertools.islice(jobs, threads * CLUSTER_AHEAD - len(marking) - len(measuring)):
                submit(marking, job, _mark_on_cluster, job)
            if not marking and not measuring:
                break
            future = _next_finished(client, finished)
            if future in measuring:
                yield measuring.pop(future), _cluster_outcome(future)
                continue
            job, mark = marking.pop(future), _cluster_outcome(future)
            if isinstance(mark, Outcome):
                yield job, mark
            elif wanted(job, mark):
                submit(measuring, job, _work_on_cluster, job, seconds)
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
    """Refuse a scheduler or workers without printcheck, or with another version of it."""

    def version() -> str:  # a function of a function is sent whole: it runs where printcheck is missing
        try:
            from printcheck import __version__ as found
        except ImportError:
            return ""
        return found

    places = {"the scheduler": client.run_on_scheduler(version)}
    places |= {f"the worker {name}": found for name, found in client.run(version).items()}
    for place, found in places.items():
        if found != __version__:
            has = f"has {found}" if found else "has none"
            raise NoAnswerError(
                "wrong-version",
                f"--cluster: {place} {has} where printcheck {__version__} is needed.",
                f'Install it there: pip install "printcheck[cluster]=={__version__}".',
            )


def _mark_on_cluster(job: Job) -> str | Outcome:
    if job.problem:
        return failed(job.problem)
    try:
        return fingerprint(job.path)
    except Exception as error:  # each store has errors of its own
        return unreadable(error)


def _work_on_cluster(job: Job, seconds: float) -> Outcome:
    """Row of a photo: read here, measured by a process beside the worker, which may be ended."""
    with tempfile.TemporaryDirectory() as folder:
        if is_address(job.path):
            try:
                job = replace(job, path=str(fetched(job.path, Path(folder))))
            except Exception as error:  # each store has errors of its own
                return unreadable(error)
        return measured_by(BESIDE_WORKERS, job, seconds)


def _cluster_outcome(future: Any) -> Any:  # noqa: ANN401
    error = future.exception()
    if error is not None:
        return failed(f"The cluster gave it up: {type(error).__name__}.", passing=True)
    return future.result()


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
