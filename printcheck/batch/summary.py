"""The end of a run: how many of each kind, and what went wrong, grouped by cause."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from printcheck.batch.jobs import Outcome
from printcheck.report.words.remarks.of_photo import HOW_TO_ADD_SCALE

MOST_CAUSES = 8  # lines; the rest is counted in one


@dataclass
class Summary:
    """Counts over a run."""

    done: int = 0
    failed: int = 0
    repeated: int = 0
    reused: int = 0
    classes: Counter[str] = field(default_factory=Counter)
    levels: Counter[str] = field(default_factory=Counter)
    causes: Counter[str] = field(default_factory=Counter)
    remedies: dict[str, str] = field(default_factory=dict)
    no_scale: int = 0

    def add(self, outcome: Outcome) -> None:
        """Count one row."""
        self.done += 1
        if not outcome.ok:
            self.failed += 1
            cause = _cause(outcome.cells["message"])
            self.causes[cause] += 1
            self.remedies.setdefault(cause, outcome.remedy)
            return
        self.no_scale += outcome.cells["status"] == "no-scale"
        self.classes.update(outcome.cells["classes"].split())
        self.levels[outcome.cells["difficulty"]] += 1

    def text(self) -> str:
        """Return the summary in a few lines."""
        lines = [f"{self.done} photos: {self.done - self.failed} measured, {self.failed} failed."]
        if self.no_scale:
            lines.append(f"  {self.no_scale} without a scale, so without sizes. {HOW_TO_ADD_SCALE}")
        if self.reused:
            lines.append(f"  {self.reused} were done before and not done again")
        if self.repeated:
            lines.append(f"  {self.repeated} rows name a photo that stands in the list before")
        lines += _counted("  difficulty", self.levels) + _counted("  classes   ", self.classes)
        if self.causes:
            lines.append("What went wrong:")
            lines += [
                f"  {n} x {cause} {self.remedies[cause]}".rstrip()
                for cause, n in self.causes.most_common(MOST_CAUSES)
            ]
            rest = sum(self.causes.values()) - sum(n for _, n in self.causes.most_common(MOST_CAUSES))
            lines += [f"  {rest} x other causes: see the message column"] if rest else []
        return "\n".join(lines)


def _counted(name: str, counts: Counter[str]) -> list[str]:
    if not counts:
        return []
    return [f"{name} " + ", ".join(f"{word} {n}" for word, n in counts.most_common())]


def _cause(message: str) -> str:
    """Message without its numbers, so that like failures are counted together."""
    return re.sub(r"\d+(\.\d+)?", "N", message)
