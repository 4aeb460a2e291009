"""Write docs/verdicts.md: every rule of the advice with its source, from the tables themselves.

    python docs/make_verdicts.py                                  renew the rules
    python docs/make_verdicts.py --labels FILE --pictures FOLDER  judge labelled pictures and renew the score

The labels are a JSON list of objects with ``file``, ``mm_per_px`` and, for each of names, needs, level, way,
busy and clump, the list of answers that a teacher of sewing would accept (null: not judged).
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from printcheck.advice.difficulty import RULES  # noqa: E402
from printcheck.advice.matching import MATCHES, PLACES  # noqa: E402
from printcheck.advice.names import NAMES  # noqa: E402
from printcheck.report.words.findings import WHY  # noqa: E402

PAGE = ROOT / "docs" / "verdicts.md"
SCORE = "<!-- score -->"
HEAD = """# What is said of a print, and by whose rules

Written by `docs/make_verdicts.py` from the tables in `printcheck/advice/`; the first row that fits decides.
"From memory" means that no copy of the book was at hand. "Common practice" is what teachers of dressmaking,
quilting and furnishing say, tied to no one text.
"""
EYE = """
## What the eye sees
A seam is judged at the viewing distance (1.5 m unless `--viewing-distance` says otherwise).

| what | rule | source |
| --- | --- | --- |
| light and dark | contrast of each wave times A(f) = 2.6 (0.0192 + 0.114 f) exp(-(0.114 f)^1.1), f in cycles a degree; unseen where the sum stays below the threshold | Mannos and Sakrison 1974 |
| least contrast | one in 200 at the best frequency, nothing beyond 60 cycles a degree | Campbell and Robson 1968 |
| colour | expected difference across an unmatched seam (structure function), each of L, a, b filtered for the eye; unseen below Delta E 2.3 | Zhang and Wandell 1996; Mahy 1994 |
| tone on tone | up to twice that, people put up with a difference | Xu, Tong, Gong 2013 |
| lines that break | a break of ten seconds of arc in a line is seen | Westheimer 1975 |
"""  # noqa: E501
DOUBTS = """
## Labels that we doubt
The labels are one teacher's. Three of them ask for what the photo does not show:

| picture | label | why we doubt it |
| --- | --- | --- |
| p026 | herringbone | a striped woollen: the strokes in its dark stripes slant all one way, and those of a herringbone alternate |
| p094 | chevron | one point of one zigzag is in the photo; a chevron is told by a second one |
| p095 | chevron | a crinkled gauze whose folds run in zigzags: folds are no print, and smoothing the cloth takes them out |

[names.md](names.md) has the names that are told apart on prints drawn for it, and those that no photo tells.
"""  # noqa: E501
FIELDS = ("names", "needs", "level", "way", "busy", "clump")


def table(head: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> str:
    """A Markdown table."""
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines) + "\n"


def rules() -> str:
    """The page but for its score."""
    return "".join((
        HEAD,
        EYE,
        "\n## Names, by structure\n",
        table(("name", "said as", "means", "source"), ((n.name, n.text, n.means, n.source) for n in NAMES)),
        "\n## What the seams need\n",
        table(
            ("prints", "needs", "source"), ((f"{m.code}: {m.means}", m.needs, m.source) for m in MATCHES)
        ),
        "\n## Seam by seam\nA place that is not named needs nothing.\n\n",
        table(
            ("where the print needs", "at", "match", "source"),
            (
                (needs, place, match, source)
                for needs, places in PLACES.items()
                for place, match, source in places
            ),
        ),
        "\n## How hard, and why\nThe heaviest reason sets the level.\n\n",
        table(
            ("reason", "level", "why", "what to do", "source"),
            ((r.code, r.level, WHY[r.code].text, WHY[r.code].remedy, r.source) for r in RULES),
        ),
    ))  # fmt: skip


def words_of(name: str) -> set[str]:
    """Words of a name, plurals put aside."""
    found = re.findall(r"[a-z]+", name.lower())
    return {w[:-1] if len(w) > 3 and w.endswith("s") and not w.endswith("ss") else w for w in found}


def accepted(field: str, answer: Any, labels: list[Any]) -> bool:  # noqa: ANN401 - any JSON value
    """Whether the answer is one of those that a teacher would give."""
    if field != "names":
        return answer in labels
    said = words_of(answer or "")
    return bool(said) and any(words_of(n) <= said or said <= words_of(n) for n in labels)


def answers_of(path: Path, mm_per_px: float) -> dict[str, Any]:
    """What printcheck says of one picture."""
    from printcheck import pipeline
    from printcheck.core.request import Given

    scale = Given(mm_per_px)
    m = pipeline.measure_photo(path, pipeline.Options(scale)).measurement
    return {
        "names": m.print_name.name if m.print_name else None,
        "needs": m.seams.needs,
        "level": m.difficulty.level,
        "way": m.direction.way,
        "busy": "busy" in m.classes,
        "clump": m.clump is not None,
    }


def score(labels: Path, pictures: Path, answer: Callable[[Path, float], dict[str, Any]] = answers_of) -> str:
    """Share of accepted answers on labelled pictures, as a table."""
    tally: dict[str, list[bool]] = defaultdict(list)
    for one in json.loads(labels.read_text()):
        path = pictures / one["file"]
        if one["mm_per_px"] is None or not path.exists():
            continue
        said = answer(path, one["mm_per_px"])
        for field in FIELDS:
            if one[field] is not None:
                tally[field].append(accepted(field, said[field], one[field]))
    cells = [f"{100 * sum(t) / len(t):.0f} ({len(t)})" if (t := tally[field]) else "-" for field in FIELDS]
    return table(FIELDS, iter([tuple(cells)]))


def main() -> None:
    """Renew the page."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--labels", type=Path)
    ask.add_argument("--pictures", type=Path)
    asked = ask.parse_args()
    kept = PAGE.read_text().partition(SCORE)[2] if PAGE.exists() else ""
    if asked.labels and asked.pictures:
        intro = "\n## Score\nPer cent of answers a teacher accepts on labelled photos (and how many).\n\n"
        kept = intro + score(asked.labels, asked.pictures)
    PAGE.write_text(rules() + SCORE + kept.partition(DOUBTS)[0] + DOUBTS)


if __name__ == "__main__":
    main()
