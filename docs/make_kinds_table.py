"""Write the table of built-in kinds into docs/projects.md, from the kinds themselves."""

from __future__ import annotations

import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from printcheck.project import built_in  # noqa: E402
from printcheck.project.kinds import KINDS  # noqa: E402
from printcheck.project.kinds.draft import Kind  # noqa: E402

PAGE = ROOT / "docs" / "projects.md"
START, END = "<!-- kinds -->\n", "<!-- end of kinds -->"


def row(kind: Kind) -> str:
    """One kind: its name, its sizes as they stand, its pieces, and the seams that are matched."""
    made = built_in(kind.name)
    sizes = ", ".join(f"`{name}` {text}" for name, text in made.sizes)
    pieces = ", ".join(dict.fromkeys(piece.name.partition("#")[0] for piece in made.pieces))
    matched = {"both": "both ways", "level": "level", "upright": "upright"}
    seams = dict.fromkeys(f"{seam.name} {matched[seam.match]}" for seam in made.seams)
    placed = dict.fromkeys(f"a motif on the {place.piece.partition('#')[0]}" for place in made.places)
    return f"| `{kind.name}` | {sizes} | {pieces} | {', '.join([*seams, *placed]) or 'nothing'} |"


def table() -> str:
    """The whole table."""
    head = ["| kind | its sizes | pieces | what is matched |", "| --- | --- | --- | --- |"]
    return "\n".join([*head, *map(row, KINDS.values())]) + "\n"


if __name__ == "__main__":
    text = PAGE.read_text(encoding="utf-8")
    PAGE.write_text(
        re.sub(f"{START}.*?{END}", f"{START}{table()}{END}", text, flags=re.DOTALL), encoding="utf-8"
    )
