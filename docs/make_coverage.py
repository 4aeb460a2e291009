"""Write docs/accuracy/coverage.md: the share of lines and branches that the tests reach, and the gaps.

    export COVERAGE_PROCESS_START=$PWD/pyproject.toml
    .venv/bin/coverage run -m pytest
    .venv/bin/coverage combine && .venv/bin/coverage json -o build/coverage.json
    python docs/make_coverage.py

needs the package coverage. The variable has the processes counted that the tests start; one that is ended
while it works is not.
"""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OUT = ROOT / "docs" / "accuracy" / "coverage.md"
NAMED_BRANCHES, NAMED_LINES = 3, 6  # of a function that has as many not reached, it is named


def share(counts: dict[str, int]) -> str:
    branches = 100 * counts["covered_branches"] / max(1, counts["num_branches"])
    return f"{100 * counts['covered_lines'] / counts['num_statements']:.1f} % | {branches:.1f} %"


def main() -> None:
    found = json.loads((ROOT / "build" / "coverage.json").read_text())
    rooms: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    gaps = []
    for path, file in found["files"].items():
        name = path.split("printcheck/", 1)[1]
        for key, count in file["summary"].items():
            if isinstance(count, int):
                rooms[name.split("/")[0]][key] += count
        for function, told in file["functions"].items():
            branches, lines = told["summary"]["missing_branches"], told["summary"]["missing_lines"]
            if branches >= NAMED_BRANCHES or lines >= NAMED_LINES:
                gaps.append((-branches, -lines, f"{name}: `{function}`"))
    text = [
        "# What the tests reach",
        "",
        "Made by `python docs/make_coverage.py`, which says how; the whole suite, in one process.",
        "",
        "| part | lines | branches (aim 92 %) |",
        "| --- | --- | --- |",
        f"| all | {share(found['totals'])} |",
        *(
            f"| {room} | {share(counts)} |"
            for room, counts in sorted(rooms.items())
            if counts["num_statements"]
        ),
        "",
        f"Functions with {NAMED_BRANCHES} branches or {NAMED_LINES} lines or more that no test is seen to "
        "take; those that work in a process which is ended while it works are reached all the same:",
        "",
        "| function | branches | lines |",
        "| --- | --- | --- |",
        *(f"| {name} | {-branches} | {-lines} |" for branches, lines, name in sorted(gaps)),
        "",
    ]
    OUT.write_text("\n".join(text), encoding="utf-8")
    print(OUT.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
