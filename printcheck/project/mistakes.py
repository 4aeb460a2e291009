"""All mistakes of a project file gathered, so that one run shows every one of them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from printcheck.core.errors import InputError

MOST_SHOWN = 20  # lines: more than a screenful helps nobody


@dataclass
class Mistakes:
    """Mistakes as ``(code, line)``; a line reads ``place: what is wrong. What to do.`` in that order."""

    found: list[tuple[str, str]] = field(default_factory=list)

    def add(self, place: str, text: str, *, code: str) -> None:
        """Note one mistake."""
        self.found.append((code, f"{place}: {text}"))

    @contextmanager
    def noting(self) -> Iterator[None]:
        """Note an :class:`InputError` raised inside and carry on behind the block."""
        try:
            yield
        except InputError as error:
            self.found.append((error.code, str(error)))

    def raise_any(self, file: str) -> None:
        """Raise one InputError that holds every mistake so far, a line each.

        A single mistake keeps its own code, several together are ``project-mistakes``.
        """
        if not self.found:
            return
        codes = {code for code, _ in self.found}
        lines = [line for _, line in self.found]
        if len(lines) > MOST_SHOWN:
            lines[MOST_SHOWN:] = [f"{file}: {len(lines) - MOST_SHOWN} mistakes more."]
        raise InputError(
            codes.pop() if len(codes) == 1 else "project-mistakes",
            "\n".join(lines),
            f"Correct {file} and try again.",
        )
