"""The sections of docs/accuracy.md that come from drawn scenes: each from its rows to Markdown."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

from making import diagram
from making.rows import BAR_MM
from making.tables import failures, grouped, lattice, quantile, share, table

Row = dict[str, Any]
TWO_SIGMA, ONE_PER_CENT, WRONG_SCALE = 2.0, 0.01, 0.03
CONFIDENT = 0.9


def reference_of(row: Row) -> str:
    """How the scale was told."""
    args = row["args"]
    return "auto" if not args else args[1] if args[0] == "--reference" else args[0]


def drawn(rows: list[Row], title: str, text: str) -> str:
    """A lattice section: by kind, by reference, and what went wrong."""
    without = [r for r in rows if r.get("kind_true") in ("none", "beyond-photo")]
    false = [bool(r["basis_got"]) for r in without]
    head = f"## {title}\n\n{text} n = {len(rows)}.\n\n"
    said = (
        f"\nA false lattice or stripe in {share(false)} % of the {len(false)} scenes that hold none.\n"
        if false
        else ""
    )
    by_reference = "\nBy how the scale was told:\n\n" + lattice(rows, reference_of)
    return head + lattice(rows) + said + by_reference + failures(rows)


def confidence(rows: list[Row], folder: Path) -> str:
    """Reliability of the confidence, with its diagram."""
    (folder / "confidence.svg").write_text(diagram.svg(rows), encoding="utf-8")
    answers = [r for r in rows if r.get("basis_got")]
    sure = [r for r in answers if r["confidence"] > CONFIDENT]
    lines = [
        [f"{low:.2f} to {high:.2f}", n, right, share([True] * right + [False] * (n - right))]
        for low, high, n, right in diagram.bins_of(rows)
    ]
    return (
        "## Confidence\n\nOver all drawn scenes above whose answer was a lattice or a stripe "
        f"(n = {len(answers)}): of the {len(sure)} answers with a confidence above {CONFIDENT}, "
        f"{share(r['verdict'] == 'right' for r in sure)} % are right.\n\n"
        "![share right against confidence stated](accuracy/confidence.svg)\n\n"
        + table(["confidence", "answers", "right", "right %"], lines)
    )


def scale(rows: list[Row], empty: list[Row], decoys: list[Row]) -> str:
    """Scale by object, honesty of its sigma, and objects seen where there are none."""
    lines = []
    for name, group in grouped(rows, lambda r: r["kind"]).items():
        found = [r for r in group if r["verdict"] == "found"]
        errors = [abs(r["scale_error"]) for r in found]
        lines.append([
            name, len(group), share(r["verdict"] == "found" for r in group),
            sum(e > WRONG_SCALE for e in errors), sum(r["verdict"] == "error" for r in group),
            quantile(errors, 0.5), quantile(errors, 0.95), share(e <= ONE_PER_CENT for e in errors),
            share(e <= TWO_SIGMA * r["scale_sigma"] for e, r in zip(errors, found, strict=True)),
            quantile((r["cpu_s"] for r in group), 0.5, scale=1),
        ])  # fmt: skip
    head = ("object", "n", "found %", "off by more than 3 %", "fault", "median error %", "p95 %",
            "within 1 %", "within two sigma %", "CPU s")  # fmt: skip
    text = (
        "## Scale from an object of known size\n\n"
        f"{len(rows)} drawn scenes, each with one object on it and the object named on the command line; "
        "error of the millimetres per pixel at the picture's centre against the camera's own.\n\n"
    )
    return text + table(head, lines) + _seen_in_vain(empty, decoys) + _scale_failures(rows)


def _seen_in_vain(empty: list[Row], decoys: list[Row]) -> str:
    lines = []
    for name, group in grouped(empty, lambda r: f"asked for {reference_of(r)}, nothing there").items():
        taken = [r for r in group if r["verdict"] == "found"]
        which = ", ".join(f"`{r['name']}` ({r['object']})" for r in taken)
        faults = sum(r["verdict"] == "error" for r in group)
        lines.append([name, len(group), len(taken), faults, which[:300] or "none"])
    for name, group in grouped(decoys, lambda r: r["kind"]).items():
        taken = [r for r in group if r["verdict"] == "found"]
        warned = sum(bool(r["findings"]) for r in taken)
        lines.append([f"decoy: {name}", len(group), len(taken), sum(r["verdict"] == "error" for r in group),
                      f"{warned} of {len(taken)} with a finding"])  # fmt: skip
    return "\nWhere there is nothing, or nearly a card:\n\n" + table(
        ["scenes", "n", "accepted", "fault", "which"], lines
    )


def _scale_failures(rows: list[Row]) -> str:
    bad = [r for r in rows if r["verdict"] != "found" or abs(r["scale_error"]) > ONE_PER_CENT]
    lines = [
        [f"`{r['name']}`", r["verdict"], f"{100 * r['scale_error']:.2f}" if "scale_error" in r else "-",
         r.get("message", "")[:90]]
        for r in bad
    ]  # fmt: skip
    return (
        "\nRefused, or off by more than 1 %:\n\n" + table(["scene", "verdict", "error %", "said"], lines)
        if bad
        else ""
    )


def prints(rows: list[Row]) -> str:
    """Way, motif size, bars and balance, on the lattice as found."""
    judged = [r for r in rows if r.get("way_true") and "way_got" in r]
    found = [r for r in judged if r["verdict"] == "right"]
    right = share(r["verdict"] == "right" for r in rows)
    head = (
        f"## Way, motifs, bars\n\n{len(rows)} drawn scenes, on the lattice as found (right in {right} %). "
        "Four-way and tossed both mean that no turn shows.\n\n"
    )
    lines = []
    for name, group in grouped(judged, lambda r: r["kind"]).items():
        sizes = [_motif_error(r) for r in group if r["motif_true"]]
        widths = [r["bars_error_mm"] for r in group if r["bars_true"]]
        balance = [_balance_right(r) for r in group if r["balanced_true"] != [None, None]]
        lines.append([
            name, len(group), share(_one_way_or_not(r) for r in group),
            share(_same_way(r) for r in group), quantile(sizes, 0.5, digits=1),
            share(e is not None and e <= 0.1 for e in sizes),
            share(w is not None and w <= BAR_MM for w in widths),
            share(bool(r.get("bars_as_stated")) for r in group if r["bars_true"]), share(balance),
        ])  # fmt: skip
    table_head = ("kind", "n", "one-way or not %", "way %", "motif size median error %",
                  "within 10 %", "bars within 0.2 mm %", "or within two of their own errors %",
                  "balance %")  # fmt: skip
    ways = ("one-way", "two-way", "four-way", "tossed")
    seen = Counter((r["way_true"], r["way_got"]) for r in judged)
    crossed = [[f"true {t}", *(seen[t, g] for g in ways)] for t in ways]
    said = f"\nWhere the lattice was right (n = {len(found)}): way {share(_same_way(r) for r in found)} %.\n"
    return (
        head
        + table(table_head, lines)
        + said
        + "\n"
        + table(["", *(f"said {w}" for w in ways)], crossed)
        + _amiss(judged)
    )


def _one_way_or_not(row: Row) -> bool:
    return (row["way_true"] == "one-way") == (row["way_got"] == "one-way")


def _same_way(row: Row) -> bool:
    true, got = row["way_true"], row["way_got"]
    return true == got or {true, got} <= {"four-way", "tossed"}


def _motif_error(row: Row) -> float | None:
    if not row["motif_got"][0]:
        return None
    return max(abs(g / t - 1) for g, t in zip(row["motif_got"], row["motif_true"], strict=True))


def _balance_right(row: Row) -> bool:
    """Whether the fold is judged rightly; of a slanting stripe no picture tells which axis is across."""
    true, got = row["balanced_true"], row["balanced_got"] or [None, None]
    if row["kind_true"] == "stripe" and None not in true:
        said = {g for g in got if g is not None}
        return said == set(true)
    return all(t is None or t == g for t, g in zip(true, got, strict=True))


def _amiss(rows: list[Row]) -> str:
    lines = []
    for r in rows:
        size = _motif_error(r) if r["motif_true"] else 0.0
        wrong = [] if _same_way(r) else [f"way {r['way_true']}, said {r['way_got']}"]
        if size is None or size > 0.1:
            wrong.append(f"motif {_size(r['motif_true'])}, said {_size(r['motif_got'])}")
        if r["bars_true"] and (r["bars_error_mm"] is None or r["bars_error_mm"] > BAR_MM):
            off = r["bars_error_mm"]
            wrong.append(
                f"{r['bars_true']} bars, said {r['bars_got']}" if off is None else f"a bar {off:.2f} mm off"
            )
        if wrong:
            lines.append([f"`{r['name']}`", r["verdict"], "; ".join(wrong)])
    return "\nScenes amiss:\n\n" + table(["scene", "lattice", "what"], lines) if lines else ""


def _size(pair: list[float | None]) -> str:
    return " x ".join(f"{v:.1f}" for v in pair if v is not None) or "none"
