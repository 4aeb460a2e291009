"""Markdown tables out of rows."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np

from making import compare

Row = dict[str, Any]


def share(hits: Sequence[bool] | Iterable[bool]) -> str:
    """Per cent of truths with their count, or a dash."""
    values = list(hits)
    return f"{100 * sum(values) / len(values):.1f}" if values else "-"


def quantile(values: Iterable[float], q: float, *, scale: float = 100.0, digits: int = 2) -> str:
    """A quantile, scaled, or a dash."""
    finite = [v for v in values if v is not None and math.isfinite(v)]
    return f"{scale * float(np.quantile(finite, q)):.{digits}f}" if finite else "-"


def table(head: Sequence[str], lines: Iterable[Sequence[Any]]) -> str:
    """A Markdown table."""
    out = ["| " + " | ".join(head) + " |", "| --- |" + " ---: |" * (len(head) - 1)]
    out += ["| " + " | ".join(str(v) for v in line) + " |" for line in lines]
    return "\n".join(out) + "\n"


def grouped(rows: Iterable[Row], key: Callable[[Row], str]) -> dict[str, list[Row]]:
    """Rows by a key, in order of first appearance, all of them last."""
    groups: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    every = [row for group in groups.values() for row in group]
    return {**groups, "**all**": every}


LATTICE_HEAD = (
    *("kind", "n", "right %", "multiple or fraction", "wrong", "missed", "false", "refused", "fault"),
    *("median error %", "p90 %", "layout %", "axes %", "CPU s"),
)


def lattice(rows: list[Row], key: Callable[[Row], str] = lambda r: r["kind"]) -> str:
    """Verdicts, errors, layout and axes by group."""
    lines = []
    for name, group in grouped(rows, key).items():
        count = {
            v: sum(r["verdict"] == v for r in group)
            for v in ("right", "multiple", "wrong", "missed", "spurious", "refused", "error")
        }
        good = [r for r in group if r["verdict"] == "right" and r["kind_true"] in ("lattice", "stripe")]
        lines.append([
            name, len(group), share(r["verdict"] == "right" for r in group), count["multiple"],
            count["wrong"], count["missed"], count["spurious"], count["refused"], count["error"],
            quantile((r["error"] for r in good), 0.5), quantile((r["error"] for r in good), 0.9),
            share(layout_right(r) for r in good), share(a for a in map(axes_right, good) if a is not None),
            f"{np.median([r['cpu_s'] for r in group]):.2f}",
        ])  # fmt: skip
    return table(LATTICE_HEAD, lines)


def axes_right(row: Row) -> bool | None:
    """Whether the straight translations are right; None where no picture could tell."""
    return compare.axes_right(row["basis_true"], row["across_got"], row["along_got"])


def layout_right(row: Row) -> bool:
    """Layout's name, and the drop where it is no plain one (a drop read from the other side counts)."""
    if row["layout_got"] != row["layout_true"]:
        return False
    if row["layout_true"] != "drop":
        return True
    got, true = row["drop_got"], row["drop_true"]
    return got is not None and min(abs(got - true), abs(got - (1 - true))) < 0.02


def failures(rows: list[Row], most: int = 40) -> str:
    """What went wrong, scene by scene, so that nothing hides in a mean."""
    bad = [r for r in rows if r["verdict"] not in ("right", "found")]
    if not bad:
        return ""
    lines = [
        [f"`{r['name']}`", r["verdict"], _vectors(r.get("basis_true")), _vectors(r.get("basis_got")),
         f"{r['confidence']:.2f}" if "confidence" in r else "-", r.get("message") or r["note"]]
        for r in bad[:most]
    ]  # fmt: skip
    more = f"\nand {len(bad) - most} more.\n" if len(bad) > most else ""
    return (
        "\nScenes that went wrong:\n\n"
        + table(["scene", "verdict", "true mm", "answer mm", "confidence", "note"], lines)
        + more
    )


def _vectors(basis: list[list[float]] | None) -> str:
    if basis is None:
        return "-"
    return " ".join(f"({a:.1f}, {b:.1f})" for a, b in basis) or "none"
