"""Measure the drawn corpora and write docs/accuracy.md.

    python docs/make_accuracy.py [--only lattice,scale] [--n 40] [--seed 0] [--fresh]

Rows go to build/accuracy/, one line a scene, and are not measured again until ``--fresh``: stop the script
when you like and start it again. Each section is written to docs/accuracy/, where other scripts put
theirs too; docs/accuracy.md is the sections one after the other.
"""

from __future__ import annotations

import argparse
import re
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import cv2

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # tests.drawn draws the photos

from making import sections
from making.rows import Row, measured_row, rows_of, scale_row, stored

from tests.drawn import CORPORA

HERE = Path(__file__).parent
FOLDER = HERE / "accuracy"
STORE = HERE.parent / "build" / "accuracy"
ORDER = (
    "unseen",
    "failures",
    "evidence",
    "plain",
    "one-direction",
    "lattice",
    "near-repeats",
    "rough",
    "swatches",
    "real",
    "confidence",
    "scale",
    "objects",
    "prints",
    "trade_verdicts",
    "cutting",
    "tagging",
)
MEASURED = ("lattice", "near-repeats", "rough", "swatches")  # corpora whose answers carry a confidence
HEAD = (
    "# Accuracy\n\n"
    "Measured tables, made by scripts: what is right, what is wrong, and how far the stated errors can be "
    "trusted. A lattice is right when both vectors agree with the truth within 3 %, up to the choice of "
    "basis and a turn; layout and axes are counted over the right ones. Times are CPU seconds of one busy "
    "core, one photo, opening included.\n\n"
    "`docs/make_accuracy.py` draws the scenes anew from their seeds "
    '(`tests.drawn.scene("lattice", 17)` is one) and writes the sections on drawn scenes; the '
    "others name their script. A section is as old as the last change of its file.\n\n"
)
TEXT = {
    "lattice": (
        "Drawn scenes",
        "Every kind of print, cloth turned up to 15 degrees, off grain up to 2, strained up to 1.2 %, uneven "
        "light, weave, noise, JPEG 70 to 95, 1 to 12 megapixels, repeats from 3 mm up to two thirds of the "
        "view.",
    ),
    "near-repeats": (
        "Near-repeats",
        "Prints that nearly repeat at a fraction of their true repeat: dots 5 to 20 Delta E apart, motifs "
        "mirrored, turned, recoloured, resized or with a small spot in every second one, bars 10 to 25 % "
        "wider in every second run, faint cross lines, graph paper, small figures on bold stripes.",
    ),
    "rough": (
        "Rough and hand-made cloth",
        "The kinds above on cloth with coarse weave, uneven threads and dye, folds, and (in about half) "
        "motifs that differ a little from cell to cell in place, turn, size and shade.",
    ),
    "swatches": (
        "Swatches that do not fill the photo",
        "Pieces of 55 to 90 % of the view each way, by what they lie on: a plain board, planks, tiles, or "
        "other cloths, plain and striped.",
    ),
}


def counted(name: str, n: int | None) -> int:
    """How many scenes of a corpus to take."""
    return CORPORA[name].usual if n is None else min(n, CORPORA[name].usual)


def lattice_section(name: str, take: Callable[[str], list[Row]]) -> str:
    """One of the corpora of lattices."""
    title, text = TEXT[name]
    return sections.drawn(take(name), title, text)


def section(path: Path) -> str:
    """One section, its heading brought to the second level where it stands on the first, and its links."""
    text = path.read_text(encoding="utf-8").strip().replace("](../", "](") + "\n"
    return re.sub(r"^#", "##", text, flags=re.MULTILINE) if text.startswith("# ") else text


def assemble() -> None:
    """docs/accuracy.md from the sections that are there, known ones first."""
    there = {p.stem: p for p in FOLDER.glob("*.md")}
    names = [n for n in ORDER if n in there] + sorted(set(there) - set(ORDER))
    text = "\n".join(section(there[n]) for n in names)
    (HERE / "accuracy.md").write_text(HEAD + text, encoding="utf-8")


def main() -> None:
    """Run the sections asked for and put them together."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    known = [*MEASURED, "confidence", "scale", "prints"]
    parser.add_argument(
        "--only", help=f"sections, with commas: {', '.join(known)}; or none to assemble alone"
    )
    parser.add_argument("--n", type=int, help="scenes of each corpus; all of them by default")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--fresh", action="store_true", help="measure again what is stored")
    asked = parser.parse_args()
    cv2.setNumThreads(1)
    if asked.fresh:
        shutil.rmtree(STORE, ignore_errors=True)
    FOLDER.mkdir(exist_ok=True)

    def take(name: str) -> list[Row]:
        measure = scale_row if name in ("references", "no-reference", "decoys") else measured_row
        return rows_of(name, n=counted(name, asked.n), seed=asked.seed, store=STORE, measure=measure)

    def so_far() -> list[Row]:
        return [row for name in MEASURED for row in stored(name, seed=asked.seed, store=STORE)]

    made = {
        **{name: lambda name=name: lattice_section(name, take) for name in MEASURED},
        "confidence": lambda: sections.confidence(so_far(), FOLDER),
        "scale": lambda: sections.scale(take("references"), take("no-reference"), take("decoys")),
        "prints": lambda: sections.prints(take("prints")),
    }
    for name in asked.only.split(",") if asked.only else known:
        if name in made:
            (FOLDER / f"{name}.md").write_text(made[name](), encoding="utf-8")
    assemble()


if __name__ == "__main__":
    main()
