"""Effort counted in work done, so that one question has one answer on any machine; the clock is a ceiling."""

from __future__ import annotations

import time

LOOKS_PER_S = 50_000.0  # of work for a second asked for: an idle core does somewhat more
LEAST_CLOCK_S = 1.0  # s on the clock for any step: a short one is over before, unless on a busy machine
SOLVER_SHARE = 0.5  # of the solver's own, deterministic seconds for one asked for, on two idle cores


class Effort:
    """Work that a search may still do, in looks: one part tried at all its places against one other.

    ``seconds`` are a ceiling on the clock; the work is in proportion.
    """

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.looks = LOOKS_PER_S * seconds
        self.stop = time.monotonic() + max(seconds, LEAST_CLOCK_S)

    def spend(self, looks: float) -> None:
        """Count work as done."""
        self.looks -= looks

    @property
    def left(self) -> bool:
        """Whether there is work left to do and time to do it in."""
        return self.looks > 0 and time.monotonic() < self.stop

    @property
    def seconds_left(self) -> float:
        """Seconds asked for that are not used up, by the work done alone."""
        return max(0.0, self.looks / LOOKS_PER_S)

    @property
    def work_done(self) -> float:
        """Looks spent so far."""
        return LOOKS_PER_S * self.seconds - self.looks

    def part(self, seconds: float, *, clock: bool = False) -> Effort:
        """A part of what is left, for one step; what it does not use comes back by :meth:`take_back`.

        Its ceiling on the clock is that of the whole, unless ``clock`` asks for one of its own.
        """
        made = Effort(min(seconds, self.seconds_left))
        made.stop = min(made.stop, self.stop) if clock else self.stop
        self.spend(made.looks)
        return made

    def take_back(self, part: Effort) -> None:
        """Give back what a step has left."""
        self.looks += max(0.0, part.looks)
