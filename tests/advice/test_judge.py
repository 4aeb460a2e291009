"""Classes, difficulty and its reasons."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from printcheck.advice import judge
from printcheck.advice.classes import classes_of, deciding_size_mm, size_class
from printcheck.advice.difficulty import LEVELS, RULES, Case, difficulty_of
from printcheck.core.handover import MeanCell
from printcheck.core.measurement import (
    Bar,
    Clump,
    Direction,
    FiguresAtRisk,
    Motif,
    PrintFacts,
    Repeat,
    SeamsSeen,
    StripeOrCheck,
)

SQUARE = Repeat("lattice", "straight", 0.0, 60.0, 60.0, ((60.0, 0.0), (0.0, 60.0)), 0.1, 0.9)
DOTS = PrintFacts(Motif(10.0, 10.0, 1, 0.1, 50.0, (), 10.0), Direction("four-way", 1.0))
UNSEEN = SeamsSeen(12.0, 0.5, 1.5, "unseen", "none")
BOLD = SeamsSeen(40.0, 25.0, 1.5, "plain-to-see", "both")


def codes(facts: PrintFacts, seams: SeamsSeen, repeat: Repeat = SQUARE) -> tuple[str, set[str]]:
    found = difficulty_of(Case(repeat, facts, seams, deciding_size_mm(repeat, facts.motif)))
    return found.level, {reason.code for reason in found.reasons}


# Kight, A Field Guide to Fabric Design, p. 26: small 1/2 in and under, large over 4 in
@pytest.mark.parametrize(
    ("mm", "word"), [(3.2, "small"), (12.7, "small"), (12.8, "medium"), (101.6, "medium"), (101.7, "large")]
)
def test_size_words(mm: float, word: str) -> None:
    assert size_class(mm) == word


# a gingham is named by one band, its repeat is two (common practice): 1/16 to 1 in
@pytest.mark.parametrize(
    ("repeat_mm", "word"),
    [(3.175, "small"), (6.35, "small"), (12.7, "small"), (25.4, "medium"), (50.8, "medium")],
)
def test_ginghams_by_their_repeat(repeat_mm: float, word: str) -> None:
    repeat = replace(SQUARE, basis_mm=((repeat_mm, 0.0), (0.0, repeat_mm)))
    bar = Bar(repeat_mm / 2, "#112233")
    checked = StripeOrCheck("check", True, True, (bar, bar), (bar, bar), True, repeat_mm / 2)
    facts = PrintFacts(Motif(), Direction("four-way", 1.0), checked)
    assert classes_of(repeat, facts) == (word, "check")


def test_a_motif_decides_before_the_repeat() -> None:
    assert deciding_size_mm(SQUARE, DOTS.motif) == 10.0
    assert deciding_size_mm(SQUARE, Motif()) == 60.0


def test_plain_cloth_is_easy_but_shows_faults() -> None:
    facts = PrintFacts(Motif(), Direction("two-way", 1.0, "plain"))
    judged = judge(Repeat("none"), facts, None)
    assert judged.classes == ("plain",)
    assert judged.difficulty.level == "easy"
    assert [reason.code for reason in judged.difficulty.reasons] == ["plain"]
    assert judged.seams.verdict == "unseen"


def test_unknown_repeat_is_never_called_easy_where_a_seam_shows() -> None:
    lab = np.zeros((60, 80, 3), np.float32)
    lab[:, :40] = 60
    swatch = MeanCell(lab, np.diag([400.0, 300.0]), float("nan"), 1.0, 5.0)
    facts = PrintFacts(Motif(), Direction("one-way", 0.1, "repeat not known"), swatch=swatch)
    judged = judge(Repeat("beyond-photo", at_least_mm=180.0), facts, None)
    assert judged.difficulty.level == "care"
    assert "large" in judged.classes
    assert judge(Repeat("beyond-photo"), replace(facts, swatch=None), None).difficulty.level == "care"


def test_small_dots_are_easy() -> None:
    level, found = codes(DOTS, UNSEEN)
    assert level == "easy"
    assert {"lost-in-print", "any-way-up"} <= found


@pytest.mark.parametrize(
    ("needs", "code"), [("both", "match-both"), ("level", "match-rows"), ("upright", "match-columns")]
)
def test_what_to_match(needs: str, code: str) -> None:
    level, found = codes(DOTS, replace(BOLD, needs=needs))
    assert level == "care"
    assert code in found


def test_of_a_print_larger_than_the_photo_only_a_large_size_is_sure() -> None:
    facts = PrintFacts(Motif(), Direction("one-way", 0.1, "repeat not known"))
    assert classes_of(Repeat("beyond-photo", at_least_mm=42.0), facts) == ("directional",)
    assert classes_of(Repeat("beyond-photo", at_least_mm=140.0), facts)[0] == "large"


def test_uneven_bars_are_one_reason_not_two() -> None:
    bars = (Bar(9.0, "#112233"), Bar(5.0, "#ffffff"), Bar(3.0, "#aa2222"))
    facts = PrintFacts(Motif(), Direction("one-way", 1.0), StripeOrCheck("stripe", False, None, bars))
    assert {"uneven-bars", "match-columns"} == codes(facts, replace(BOLD, needs="upright"))[1]
    level, found = codes(facts, UNSEEN)
    assert level == "easy"
    assert {"uneven-bars-lost", "small-check"} == found


def test_a_packed_tossed_print_has_no_lines_that_clash() -> None:
    facts = PrintFacts(Motif(correlation_length_mm=9.0), Direction("tossed", 1.0))
    assert "bold-lines" not in codes(facts, BOLD)[1]


def test_nobody_is_told_to_turn_pieces_on_a_doubtful_way() -> None:
    assert "any-way-up" in codes(DOTS, UNSEEN)[1]
    assert "any-way-up" not in codes(replace(DOTS, direction=Direction("tossed", 0.2)), UNSEEN)[1]


def test_bunches() -> None:
    clump = Clump("#ff0080", 60.0, 200.0, 3.0)
    assert "bunches" in codes(replace(DOTS, clump=clump), UNSEEN)[1]
    level, found = codes(replace(DOTS, clump=replace(clump, strength=9.0)), UNSEEN)
    assert level == "hard"
    assert "bunches-strong" in found


def test_figures_and_up() -> None:
    facts = replace(DOTS, direction=Direction("one-way", 1.0), figures=FiguresAtRisk(0.5, 0.1, 40.0, 3.0))
    facts = replace(facts, motif=replace(facts.motif, width_mm=40.0))
    level, found = codes(facts, UNSEEN)
    assert level == "care"
    assert {"figures", "one-way"} <= found
    assert "figures-close" in codes(replace(facts, figures=FiguresAtRisk(0.8, 0.6, 40.0, 0.0)), UNSEEN)[1]


def test_bold_lines_are_hard() -> None:
    level, found = codes(PrintFacts(Motif(correlation_length_mm=9.0), Direction("two-way", 1.0)), BOLD)
    assert level == "hard"
    assert "bold-lines" in found


def test_the_heaviest_reason_comes_first_and_sets_the_level() -> None:
    facts = replace(DOTS, clump=Clump("#ff0080", 60.0, 200.0, 9.0))
    found = difficulty_of(Case(SQUARE, facts, BOLD, 10.0))
    assert found.level == "hard"
    assert found.reasons[0].code == "bunches-strong"


def test_codes_are_unique_and_words_are_plain() -> None:
    assert len({rule.code for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert rule.level in LEVELS
        assert rule.text.endswith(".")
        assert rule.advice.endswith(".")
        assert not re.search(r"lattice|cell|delta|sigma|variance", rule.text + rule.advice, re.IGNORECASE)


def test_every_print_gets_a_reason() -> None:
    for way in ("one-way", "two-way", "four-way", "tossed"):
        for seams in (UNSEEN, replace(UNSEEN, verdict="slight", pattern_delta_e=3.0), BOLD):
            for motif in (Motif(), DOTS.motif, replace(DOTS.motif, width_mm=150.0)):
                facts = PrintFacts(motif, Direction(way, 1.0))
                found = difficulty_of(Case(SQUARE, facts, seams, deciding_size_mm(SQUARE, motif)))
                assert found.reasons, (way, seams.verdict, motif.width_mm)
