"""Python processes that do tasks for this one, each one after another.

Such a process finds the packages that this one finds, reads no file of the program that uses us, is not
reached by an interrupt from the keyboard, and ends with this process however that ends.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from queue import Empty, SimpleQueue
from typing import Any

from printcheck.core.errors import NoAnswerError

START_S = 120.0  # s: a process is ready in one; no machine is so busy that it takes a hundred times that
SERVE = """
import pickle, sys
sys.path[:] = pickle.load(sys.stdin.buffer)
from printcheck.core.system.task_process import serve
serve()
"""


class TaskProcess:
    """The process, started with its first task, and again with the first after it was ended.

    Parameters
    ----------
    environment : mapping of str to str, optional
        Variables set for it besides our own.
    setup : callable, optional
        Done there before the first task.
    """

    def __init__(
        self, environment: Mapping[str, str] | None = None, setup: Callable[[], object] | None = None
    ) -> None:
        self._environment = environment
        self._setup = setup
        self._process: subprocess.Popen[bytes] | None = None
        self.tasks = 0  # given to the process that runs
        self._ready = False

    def __del__(self) -> None:
        """End with the last who could ask: a run that is left half way ends none itself."""
        self.end()

    def start(self) -> None:
        """Start it, where it does not run, and have it made ready meanwhile."""
        if self._process is not None:
            return
        self._process = subprocess.Popen(
            [sys.executable, "-c", SERVE],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **(self._environment or {})},
            start_new_session=True,  # an interrupt from the keyboard is ours to pass on
        )
        self.tasks, self._ready = 0, False
        self._send(sys.path)
        self._send(self._setup)

    def give(self, task: Callable[..., object], *given: object) -> None:
        """Have ``task(*given)`` done; ``task`` is a function of a module, for it is sent by name."""
        self.start()
        self.tasks += 1
        self._send((task, given))

    def ready(self) -> None:
        """Wait until the process is started and set up.

        Raises
        ------
        EOFError
            If it has ended, which it does where it is not ready in time.
        """
        if not self._ready:
            with self.ended_after(START_S):
                self._read()
            self._ready = True

    def answer(self) -> Any:  # noqa: ANN401  the task's own
        """Wait for the answer of the task that was given first.

        Raises
        ------
        EOFError
            If the process has ended.
        Exception
            What the task raised.
        """
        self.ready()
        return self._read()

    def _read(self) -> Any:  # noqa: ANN401
        process = self._process
        if process is None or process.stdout is None:
            raise EOFError
        try:
            done, answer = pickle.load(process.stdout)
        except (OSError, ValueError, pickle.UnpicklingError):  # closed, or cut short
            raise EOFError from None
        if not done:
            raise answer
        return answer

    def end(self) -> None:
        """End the process, whatever it does."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            for pipe in (process.stdin, process.stdout):
                with contextlib.suppress(OSError, ValueError):  # what was not sent yet is wanted by nobody
                    if pipe is not None:
                        pipe.close()
            process.wait()

    @contextlib.contextmanager
    def ended_after(self, seconds: float) -> Iterator[threading.Event]:
        """End the process where what is done meanwhile takes longer; the event tells that it did."""
        over = threading.Event()

        def give_up() -> None:
            over.set()
            self.end()

        timer = threading.Timer(seconds, give_up)
        timer.start()
        try:
            yield over
        finally:
            timer.cancel()

    def _send(self, message: object) -> None:
        assert self._process is not None and self._process.stdin is not None
        with contextlib.suppress(OSError, ValueError):  # a process that is no more is told nothing
            pickle.dump(message, self._process.stdin)
            self._process.stdin.flush()


class TaskPool:
    """As many processes as there are threads with a task at once.

    Parameters
    ----------
    environment, setup
        Of each process; see :class:`TaskProcess`.
    most_tasks : int
        After so many a process is replaced, so that a library's leak cannot grow for ever.
    """

    def __init__(
        self, environment: Mapping[str, str], *, most_tasks: int, setup: Callable[[], object] | None = None
    ) -> None:
        self._environment = environment
        self._setup = setup
        self._most_tasks = most_tasks
        self._idle: SimpleQueue[TaskProcess] = SimpleQueue()
        self._all: list[TaskProcess] = []
        self._ended = False
        self._ending = threading.Lock()  # so that none is started after all were ended

    def start(self, count: int) -> None:
        """Start so many processes before there are tasks."""
        for _ in range(count):
            process = self._new()
            process.start()
            self._idle.put(process)

    def do(self, seconds: float, task: Callable[..., Any], *given: object) -> Any:  # noqa: ANN401
        """Answer of ``task(*given)``.

        Raises
        ------
        NoAnswerError
            If no process could be made ready for it.
        TimeoutError
            If the task took longer than ``seconds``; the process was ended.
        EOFError
            If the process ended by itself, or all were ended.
        Exception
            What the task raised.
        """
        try:
            process = self._idle.get_nowait()
        except Empty:
            process = self._new()
        try:
            self._make_ready(process)  # its start is not counted: on a busy machine it takes seconds
            process.give(task, *given)
            with process.ended_after(seconds) as over:
                try:
                    return process.answer()
                except EOFError:
                    process.end()
                    raise TimeoutError if over.is_set() else EOFError from None
        finally:
            if process.tasks >= self._most_tasks:
                process.end()
            with contextlib.suppress(OSError):  # said to the next who has something to do
                self._started(process)
            self._idle.put(process)

    def _make_ready(self, process: TaskProcess) -> None:
        try:
            self._started(process)
            process.ready()
        except (EOFError, OSError):
            process.end()
            if self._ended:
                raise EOFError from None
            raise NoAnswerError(
                "no-process",
                "No process to do the work could be started on this machine.",
                "Close other programs, so that there is memory for it, and try again.",
            ) from None

    def _started(self, process: TaskProcess) -> None:
        with self._ending:
            if not self._ended:
                process.start()

    def end(self) -> None:
        """End all processes, whatever they do."""
        with self._ending:
            self._ended = True
            for process in self._all:
                process.end()

    def _new(self) -> TaskProcess:
        process = TaskProcess(self._environment, self._setup)
        self._all.append(process)
        return process


def serve() -> None:
    """Do one task after another, as the process, until nobody can ask more."""
    asked: SimpleQueue[tuple[Callable[..., Any], tuple[object, ...]]] = SimpleQueue()
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # a library that has something to say does not say it between two answers
    setup = pickle.load(sys.stdin.buffer)
    threading.Thread(target=_listen, args=(asked,), daemon=True).start()
    if setup is not None:
        setup()
    pickle.dump((True, None), answers)  # ready
    answers.flush()
    while True:
        task, given = asked.get()
        try:
            answer = True, task(*given)
        except Exception as error:
            answer = False, error
        pickle.dump(answer, answers)
        answers.flush()


def _listen(asked: SimpleQueue[Any]) -> None:
    """Pass tasks on, and end the process with the one that asks."""
    with contextlib.suppress(EOFError):
        while True:
            asked.put(pickle.load(sys.stdin.buffer))
    os._exit(0)
