"""What each step of the search for the repeat wins: the pictures measured without it.

    python docs/make_gates.py SET ... --out rows.jsonl    # a SET as in docs/fit_evidence.py; can be taken up
    python docs/make_gates.py --table rows.jsonl          # docs/accuracy/gates.md

Each step is left out alone, by putting in its place what does nothing; the scores keep their weights.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

import fit_evidence
from making.tables import table

from printcheck.core.errors import PrintcheckError
from printcheck.core.request import one_scale
from printcheck.photo import flatten_photo
from printcheck.repeat import decide, find_lattice, search
from printcheck.repeat.cells import refine, superlattice
from printcheck.repeat.cells.superposed import Crossing

Step = Mapping[tuple[Any, str], Any]
PAGE = Path(__file__).parent / "accuracy" / "gates.md"
WHOLE = "all of it"
STEPS: Mapping[str, Step] = {
    WHOLE: {},
    "light told anew where a lattice falls short": {(search, "falls_short"): lambda *_: False},
    "a finer lattice": {(decide, "finer_lattice"): lambda *_: None},
    "a second direction across stripes": {(decide, "crossing_of"): lambda *_: Crossing(False)},
    "rows and columns told apart": {(superlattice, "levelled"): lambda cells, *_: (cells, 1)},
    "one row in many": {(superlattice, "band_of"): lambda *_: None},
    "what the lattice does not hold": {(decide, "UNSETTLED"): 1.0},
    "a ridge first": {(search, "_stripe"): lambda *_: None},
    "stripes that bend": {(search, "bent_stripe"): lambda *_: None},
    "folded cloth laid flat": {(refine, "FLAT_ENOUGH"): 0.0},
    "faint prints freed of noise": {(search, "FAINT_BLURS"): ()},
    "more than one proposal": {(search, "MOST_SETTLED"): 1},
    "a closer look": {(search, "CLOSE_MM"): 1e9},
    "parts of the picture": {(search, "on_its_part"): lambda *_, **__: None},
    "the cloth's edge": {(search, "is_patchy"): lambda *_: False},
}
TEXT = """## What each step of the search wins

Each step left out alone; the numbers are pictures told right, and in brackets those that go from right to \
wrong and from wrong to right without it. Of the real pictures every third is measured. The second \
generator's pictures are not those that the steps were made on. A step that wins nothing here may be \
needed for prints that none of these sets has: without one row in many, every eighth and every twelfth \
heavier line of graph paper are lost (`tests/repeat/test_rows.py`). That a multiple explains no less by \
chance won nothing anywhere, and went. Made by `docs/make_gates.py`.

"""


@contextlib.contextmanager
def without(step: Step) -> Iterator[None]:
    """The search without one step."""
    kept = {(module, name): getattr(module, name) for module, name in step}
    try:
        for (module, name), other in step.items():
            setattr(module, name, other)
        yield
    finally:
        for (module, name), own in kept.items():
            setattr(module, name, own)


def measured(given: list[str], known: set[str]) -> Iterator[dict[str, Any]]:
    """Each picture with and without each step: whether the repeat is told right, and CPU seconds."""
    for path, truth in fit_evidence.scenes(given):
        if path.name in known:
            continue
        option, value = truth["args"]
        try:
            cloth = flatten_photo(path, one_scale(**{option[2:].replace("-", "_"): value}))
        except PrintcheckError:
            continue
        row: dict[str, Any] = {"name": path.name, "source": truth["source"], "family": truth["family"]}
        for name, step in STEPS.items():
            with without(step):
                begun = time.process_time()
                repeat = find_lattice(cloth).repeat
                spent = time.process_time() - begun
            said = [
                fit_evidence._verdict(truth, [list(v) for v in b])
                for b in (repeat.basis_mm, repeat.raw_basis_mm)
            ]
            row[name] = any(verdict == "right" for verdict, _ in said), round(spent, 3)
        yield row


def write(rows: list[dict[str, Any]]) -> None:
    """Write the section."""
    groups = {
        "real": lambda r: r["source"] not in DRAWN,
        "second generator": lambda r: r["source"] == "second",
    }
    groups["drawn by the first"] = lambda r: r["source"] in DRAWN - {"second"}
    lines = []
    for step in STEPS:
        cells = []
        for of in groups.values():
            picked = [r for r in rows if of(r)]
            lost = sum(r[WHOLE][0] and not r[step][0] for r in picked)
            won = sum(r[step][0] and not r[WHOLE][0] for r in picked)
            right = f"{sum(r[step][0] for r in picked)} of {len(picked)}"
            cells.append(right if step == WHOLE else f"{right} (-{lost} +{won})")
        lines.append(
            [step if step == WHOLE else f"without: {step}", *cells, f"{sum(r[step][1] for r in rows):.0f}"]
        )
    PAGE.write_text(TEXT + table(["", *groups, "CPU s"], lines))


DRAWN = {"second", "lattice", "near-repeats", "rough", "few"}


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("given", nargs="*")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--table", type=Path)
    asked = parser.parse_args()
    if asked.table:
        write([json.loads(line) for line in asked.table.read_text().splitlines()])
        return
    known = (
        {json.loads(line)["name"] for line in asked.out.read_text().splitlines()}
        if asked.out.exists()
        else set()
    )
    with asked.out.open("a") as file:
        for row in measured(asked.given, known):
            file.write(json.dumps(row) + "\n")
            file.flush()


if __name__ == "__main__":
    main()
