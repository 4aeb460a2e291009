"""Twelve faults that teachers of sewing rejected answers for, each with what is said now.

The rules behind them are those of the tables (printcheck/advice), each with its source there.
"""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from printcheck.advice import judge
from printcheck.advice.case import Case
from printcheck.advice.classes import classes_of
from printcheck.advice.difficulty import difficulty_of
from printcheck.advice.matching import MATCHES, match_of
from printcheck.advice.names import NAMES, name_of
from printcheck.core.colour import lab_of, plain_name
from printcheck.core.findings import REMARKS
from printcheck.core.handover import MeanCell
from printcheck.core.measurement import Clump, Colour, Judgement
from printcheck.report.words import measured, verdicts
from printcheck.report.words import text as to_text
from printcheck.report.words.findings import WHY
from printcheck.report.words.quantities import together, told_apart
from tests.advice import given
from tests.advice.test_sentences import measurement


def woven(repeat_mm: float) -> MeanCell:
    """Cell of a red and white gingham of two equal bars."""
    red, white = (np.array(lab_of(c)) for c in ("#c02020", "#f8f8f8"))
    bars = np.where((np.arange(128) < 64)[:, None], red, white)
    lab = (bars[None] + bars[:, None]) / 2
    return MeanCell(lab.astype(np.float32), np.diag([repeat_mm, repeat_mm]), 1.0, 9.0, 0.2)


def judged(case: Case, cell: MeanCell | None = None) -> Judgement:
    return judge(case.repeat, case.facts, cell)


def said(case: Case, *, detail: bool = True) -> str:
    return " ".join(to_text.measurement(measurement(case), detail=detail).split())


@pytest.mark.parametrize(("bar_mm", "needs"), [(3.0, "none"), (7.5, "both"), (9.5, "both")])
def test_1_what_the_eye_sees_at_a_seam_is_matched(bar_mm: float, needs: str) -> None:
    """A 19 mm gingham is 1.4 cycles a degree at 1.5 m, where a hundredth of contrast is seen."""
    found = judged(given.check((bar_mm, bar_mm)), woven(2 * bar_mm))
    assert found.seams.verdict != "unseen" and found.seams.needs == needs


@pytest.mark.parametrize(
    "case",
    [given.figures(20, 80, way=None), given.plain(), given.stripe(8, 8), given.dots(10, 25),
     given.check((12, 5, 7, 5)), given.packed(40, way=None)],
)  # fmt: skip
def test_2_not_knowing_is_no_one_way(case: Case) -> None:
    assert "directional" not in judged(case).classes
    sure = verdicts.how_sure(measurement(case), "metric")
    assert "has an up" not in sure.replace("whether it has an up", "")


def test_3_plain_cloth_is_plain_and_has_its_own_truth() -> None:
    assert judged(given.plain()).classes == ("plain",)
    text = said(given.plain())
    assert "crooked seam" in text and "nap" in text
    assert "large" not in text.lower().split("plain cloth")[0]


def test_4_one_figure_is_no_bunch() -> None:
    alone = Clump("#202020", 70.0, 120.0, 6.0, (0.0, 0.0), 1)
    m = measurement(given.figures(70, 120, count=1), clump=alone)
    text = " ".join(to_text.measurement(m).split())
    assert "unch" not in text and "Single heavy figures" in text and "bust" in text


@pytest.mark.parametrize("angle", [0.0, 30.0, 45.0])
def test_5_bars_on_the_bias_keep_their_name_and_an_uneven_one_its_way(angle: float) -> None:
    assert name_of(given.check((6, 6), angle_deg=angle)).name == "even-gingham"
    uneven = given.check((12, 5, 7), even=False, angle_deg=angle)
    text = said(uneven)
    assert "quarter turn" not in text and "either way up" not in text and "may be turned" not in text


def test_6_stripes_tartans_and_diagonals() -> None:
    assert match_of(given.stripe(8, 8, crosswise=True)).needs == "level"
    assert match_of(given.check((17.5, 5, 7, 5))).needs == "both"
    diagonal = given.stripe(8, 8, angle_deg=40)
    assert difficulty_of(diagonal, match_of(diagonal).needs).level == "hard"


def test_7_motifs_are_counted_in_the_repeat_that_is_quoted() -> None:
    """A half-drop's smallest unit is half of its across by along: 15 motifs make 30."""
    case = given.figures(12, 60, count=15)
    half_drop = replace(case.repeat, layout="half-drop", drop=0.5, basis_mm=((30.0, 30.0), (0.0, 60.0)))
    text = said(Case(half_drop, case.facts))
    assert "Motifs in one repeat 30: 2 smallest units of the print with 15 each" in text
    assert "Motifs in one repeat 15 " in said(case)


@pytest.mark.parametrize("case", [given.check((3, 3)), given.packed(8), given.dots(4, 9), given.plain()])
def test_8_nothing_to_match_costs_nothing(case: Case) -> None:
    m = measurement(case)
    assert m.seams.needs == "none"
    assert verdicts.more_cloth(m, "metric") == "No more length than the pattern asks for."
    assert "hardly shows" not in said(case) and "extra" not in said(case)


@pytest.mark.parametrize("cover", [0.14, 0.18])
def test_9_a_spaced_print_is_not_busy(cover: float) -> None:
    case = given.figures(20, 80, cover=cover)
    assert "busy" not in classes_of(case) and "busy" not in said(case)


def test_10_colours_are_told_apart() -> None:
    assert plain_name(lab_of("#faf3e0")) == "cream"
    names = told_apart(["#303030", "#4a4a4a", "#303030"])
    assert len(set(names)) == 2


def test_11_the_trades_names_are_said() -> None:
    texts = " ".join(row.text for row in NAMES)
    for name in ("polka dot", "windowpane", "tattersall", "gingham", "chevron", "herringbone", "pin stripe",
                 "awning stripe"):  # fmt: skip
        assert name in texts
    assert (
        measured.content(measurement(given.check((6, 6))), "metric")
        .answers[0]
        .text.startswith("Even gingham")
    )


def test_10_bars_of_a_gingham_have_the_colours_of_its_threads() -> None:
    """Not red and pink: the mean over its white bar is pink, for that crosses red ones."""
    case = given.check((6, 6), colours=("#d05048", "#f0b0aa"))
    colours = (Colour("white", (96.0, 0.0, 0.0), 0.5), Colour("red", (45.0, 55.0, 35.0), 0.5))
    text = " ".join(to_text.measurement(replace(measurement(case), colours=colours)).split())
    assert "Bars, left to right 6.0 mm red, 6.0 mm white" in text


def test_12_plain_words() -> None:
    banned = r"askew|as a ceiling|[Ff]ineness|shrinks by|way up is sure|\b1 columns|selvage|nobody minds"
    everything = [
        *(f"{why.text} {why.remedy}" for why in WHY.values()),
        *(f"{words.text} {words.remedy}" for words in REMARKS.values()),
        *verdicts.MATCH.values(), *verdicts.STRIPES.values(), *measured.WAYS.values(),
        *(row.means for row in (*NAMES, *MATCHES)),
    ]  # fmt: skip
    for sentence in everything:
        assert not re.search(banned, sentence), sentence
    assert together((78.8, 127.0), "metric") == ["7.9 cm", "12.7 cm"]
    assert "Delta E" not in said(given.check((20, 20)), detail=False)
