"""A second process that searches beside this one.

Moving parts is work for the interpreter, and threads share its lock: two of them move hardly more parts
than one. What the process is given to do and what it answers does not depend on its speed. Should it
break down, its task is done here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from printcheck.core.system.task_process import TaskProcess

Answer = TypeVar("Answer")

LEAST_S = 1.5  # s: it takes a third of a second to be ready, and more on a busy machine


class Helper:
    """The process, from its start to the end of a ``with`` block.

    Where there are few ``seconds`` for all tasks it would be ready too late: then none is ``wanted``.
    """

    def __init__(self, seconds: float) -> None:
        self._process = TaskProcess()
        self.wanted = seconds >= LEAST_S

    def __enter__(self) -> Helper:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> None:
        """End the process, whatever it does."""
        self._process.end()

    def start(self, task: Callable[..., Answer], *given: object) -> Callable[[], Answer]:
        """Start ``task(*given)`` there and return what waits for its answer."""
        self._process.give(task, *given)

        def answer() -> Answer:
            try:
                return self._process.answer()  # type: ignore[no-any-return]
            except EOFError:
                return task(*given)

        return answer
