"""A second process that searches beside this one.

Moving parts is work for the interpreter, and threads share its lock: two of them move hardly more parts
than one. What the process is given to do and what it answers does not depend on its speed. Should it
break down, its task is done here.
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from queue import SimpleQueue
from typing import Any, TypeVar

Answer = TypeVar("Answer")

LEAST_S = 1.5  # s: it takes a third of a second to be ready, and more on a busy machine
# what the process does: our own search path first, so that it finds the same packages
SERVE = """
import pickle, sys
sys.path[:] = pickle.load(sys.stdin.buffer)
from printcheck.cutting.search.helper import serve
serve()
"""


class Helper:
    """The process, from its start to the end of a ``with`` block.

    Where there are few ``seconds`` for all tasks it would be ready too late: then none is ``wanted``.
    """

    def __init__(self, seconds: float) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self.wanted = seconds >= LEAST_S

    def __enter__(self) -> Helper:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """End the process, whatever it does."""
        if self._process is not None:
            self._process.kill()
            with contextlib.suppress(OSError):  # what was not sent yet is wanted by nobody
                self._process.communicate()
            self._process = None

    def start(self, task: Callable[..., Answer], *given: object) -> Callable[[], Answer]:
        """Start ``task(*given)`` there and return what waits for its answer.

        ``task`` is a function of a module, for it is sent by name.
        """
        if self._process is None:
            self._process = subprocess.Popen(
                [sys.executable, "-c", SERVE],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                start_new_session=True,  # an interrupt from the keyboard is ours to pass on
            )
            self._send(sys.path)
        self._send((task, given))

        def answer() -> Answer:
            if self._process is not None and self._process.stdout is not None:
                with contextlib.suppress(EOFError, pickle.UnpicklingError, ValueError):
                    return pickle.load(self._process.stdout)  # type: ignore[no-any-return]
            return task(*given)

        return answer

    def _send(self, message: object) -> None:
        assert self._process is not None and self._process.stdin is not None
        with contextlib.suppress(OSError, ValueError):  # a process that is no more is told nothing
            pickle.dump(message, self._process.stdin)
            self._process.stdin.flush()


def serve() -> None:
    """Do one task after another, as the process that :class:`Helper` starts, until nobody can ask more."""
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
