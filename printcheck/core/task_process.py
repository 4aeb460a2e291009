"""A second Python process that does tasks for this one, one after another.

It finds the packages that this one finds, reads no file of the program that uses us, is not reached by an
interrupt from the keyboard, and ends with this process however that ends.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping
from queue import SimpleQueue
from typing import Any

SERVE = """
import pickle, sys
sys.path[:] = pickle.load(sys.stdin.buffer)
from printcheck.core.task_process import serve
serve()
"""


class TaskProcess:
    """The process, started with its first task, and again with the first after it was ended.

    Parameters
    ----------
    environment : mapping of str to str, optional
        Variables set for it besides our own.
    """

    def __init__(self, environment: Mapping[str, str] | None = None) -> None:
        self._environment = environment
        self._process: subprocess.Popen[bytes] | None = None
        self.tasks = 0  # given to the process that runs

    def give(self, task: Callable[..., object], *given: object) -> None:
        """Have ``task(*given)`` done; ``task`` is a function of a module, for it is sent by name."""
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-c", SERVE],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, **(self._environment or {})},
                start_new_session=True,  # an interrupt from the keyboard is ours to pass on
            )
            self.tasks = 0
            self._send(sys.path)
        self.tasks += 1
        self._send((task, given))

    def answer(self) -> Any:  # noqa: ANN401  the task's own
        """Wait for the answer of the task that was given first.

        Raises
        ------
        EOFError
            If the process has ended.
        """
        process = self._process
        if process is None or process.stdout is None:
            raise EOFError
        try:
            return pickle.load(process.stdout)
        except (OSError, ValueError, pickle.UnpicklingError):  # closed, or cut short
            raise EOFError from None

    def end(self) -> None:
        """End the process, whatever it does."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            with contextlib.suppress(OSError, ValueError):  # what was not sent yet is wanted by nobody
                process.communicate()

    def _send(self, message: object) -> None:
        assert self._process is not None and self._process.stdin is not None
        with contextlib.suppress(OSError, ValueError):  # a process that is no more is told nothing
            pickle.dump(message, self._process.stdin)
            self._process.stdin.flush()


def serve() -> None:
    """Do one task after another, as the process, until nobody can ask more."""
    asked: SimpleQueue[tuple[Callable[..., Any], tuple[object, ...]]] = SimpleQueue()
    answers = sys.stdout.buffer
    sys.stdout = sys.stderr  # a library that has something to say does not say it between two answers
    threading.Thread(target=_listen, args=(asked,), daemon=True).start()
    while True:
        task, given = asked.get()
        pickle.dump(task(*given), answers)
        answers.flush()


def _listen(asked: SimpleQueue[Any]) -> None:
    """Pass tasks on, and end the process with the one that asks."""
    with contextlib.suppress(EOFError):
        while True:
            asked.put(pickle.load(sys.stdin.buffer))
    os._exit(0)
