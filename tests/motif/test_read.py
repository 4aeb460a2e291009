"""Prints of known truth, read on their true lattice: motifs, way, bars, figures, clumps, and bad input."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from printcheck.advice import judge
from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.core.measurement import PrintFacts, Repeat
from printcheck.motif import mean_cell, read_print
from tests.drawn import Art, Cell, geometric, nearly, prints

Draw = Callable[..., tuple[FlatCloth, PrintLattice]]
HALF = Fraction(1, 2)
WITHIN = 0.03  # of the motif's side, or a pixel


def rng(seed: int = 5) -> np.random.Generator:
    return np.random.default_rng(seed)


def read(seen: tuple[FlatCloth, PrintLattice]) -> PrintFacts:
    return read_print(*seen, mean_cell(*seen))


MOTIFS: list[tuple[str, Art, float]] = [
    ("dots", prints.dots(rng(), 24, share=0.5), 200),
    ("half-drop dots", prints.dots(rng(), 24, layout="half-drop", share=0.5), 260),
    ("hexagonal dots", prints.dots(rng(1), 20, layout="hexagonal", share=0.6), 150),
    ("cat", prints.one_motif(rng(), Cell(60, 50), figure="cat", share=0.7), 300),
    ("half-drop snail", prints.one_motif(rng(), Cell(40, 70, HALF), figure="snail", share=0.7), 300),
    ("ditsy", prints.ditsy(rng(), Cell(32, 30), flower_mm=6), 150),
    ("tone on tone", prints.dots(rng(), 30, share=0.5, scheme="tone"), 200),
]


@pytest.mark.parametrize(("name", "art", "view_mm"), MOTIFS, ids=[m[0] for m in MOTIFS])
def test_size_of_the_largest_motif(draw: Draw, name: str, art: Art, view_mm: float) -> None:
    cloth, lattice = draw(art, view_mm=view_mm)
    motif = read((cloth, lattice)).motif
    assert motif.width_mm is not None
    assert art.motif_mm is not None
    for got, true in zip((motif.width_mm, motif.height_mm), art.motif_mm, strict=True):
        assert got == pytest.approx(true, abs=max(WITHIN * true, cloth.mm_per_px))
    assert motif.count_per_repeat == art.motifs_per_cell


WAYS: list[tuple[str, Art, float]] = [
    ("square dots", prints.dots(rng(2), 24, share=0.5), 200),
    ("half-drop dots", prints.dots(rng(), 24, layout="half-drop", share=0.5), 260),
    ("upright", prints.figures_print(rng(), Cell(70, 70), heads="one-way"), 260),
    ("end for end", prints.figures_print(rng(), Cell(70, 90), heads="two-way"), 300),
    ("strewn", prints.figures_print(rng(), Cell(90, 90), heads="tossed", count=6), 330),
    ("ditsy", prints.ditsy(rng(), Cell(40, 40), flower_mm=5), 170),
    ("floral", prints.floral(rng(3), Cell(90, 90)), 320),
    ("gingham", prints.gingham(rng(), 12.7), 130),
    ("even plaid", prints.plaid(rng(), 60, even=True), 260),
    ("uneven plaid", prints.plaid(rng(), 60, even=False), 260),
    ("uneven stripe", prints.stripe(rng(), 40, even=False), 200),
    ("even stripe", prints.stripe(rng(), 40, even=True), 200),
    ("scallops", geometric.scallops(rng(), 30), 180),
    ("skin", prints.skin(rng(), Cell(50, 50), spot_mm=6), 220),
]


@pytest.mark.parametrize(("name", "art", "view_mm"), WAYS, ids=[w[0] for w in WAYS])
def test_way(draw: Draw, name: str, art: Art, view_mm: float) -> None:
    way = read(draw(art, view_mm=view_mm)).direction.way
    no_up = {"four-way", "tossed"}  # no turn shows, by symmetry or by disorder
    assert way == art.way or {way, art.way} <= no_up


@pytest.mark.parametrize("turn_deg", [0.0, 5.0, 180.0])
def test_turning_the_photo_changes_neither_way_nor_size(draw: Draw, turn_deg: float) -> None:
    art = prints.one_motif(rng(), Cell(60, 50), figure="teapot", share=0.7)
    facts = read(draw(art, view_mm=280, turn_deg=turn_deg))
    assert facts.direction.way == "one-way"
    assert facts.motif.width_mm == pytest.approx(art.motif_mm[0], rel=WITHIN)


SEQUENCES: list[tuple[str, Art, float]] = [
    ("gingham", prints.gingham(rng(), 25.4), 200),
    ("window", prints.window_check(rng(), 30), 200),
    ("even plaid", prints.plaid(rng(4), 50, even=True), 220),
    ("uneven plaid", prints.plaid(rng(6), 50, even=False, square=False), 220),
    ("even stripe", prints.stripe(rng(7), 40, even=True), 200),
    ("uneven cross stripe", prints.stripe(rng(8), 40, even=False, angle_deg=90), 200),
    ("slanting stripe", prints.stripe(rng(9), 30, even=False, angle_deg=35), 160),
    ("pin stripe", prints.pin_stripe(rng(), 12), 120),
]


def worst_bar(got: list[float], true: list[float]) -> float:
    """Largest difference at the best start and reading direction."""
    assert len(got) == len(true)
    rolls = [way[k:] + way[:k] for way in (got, got[::-1]) for k in range(len(got))]
    return min(max(abs(a - b) for a, b in zip(roll, true, strict=True)) for roll in rolls)


@pytest.mark.parametrize(("name", "art", "view_mm"), SEQUENCES, ids=[s[0] for s in SEQUENCES])
def test_bars_and_balance(draw: Draw, name: str, art: Art, view_mm: float) -> None:
    found = read(draw(art, view_mm=view_mm)).stripe_or_check
    assert found is not None
    assert (found.balanced_across, found.balanced_along) == (art.balanced_across, art.balanced_along)
    assert worst_bar([b.width_mm for b in found.bars], [b.width_mm for b in art.bars]) < 0.2
    if art.bars_along:
        assert worst_bar([b.width_mm for b in found.bars_along], [b.width_mm for b in art.bars_along]) < 0.2


@pytest.mark.parametrize("angle_deg", [0.0, 90.0])
def test_a_stripe_is_read_as_one_though_a_lattice_was_found_on_it(draw: Draw, angle_deg: float) -> None:
    """A second vector along the bars, such as a search may find on a stripe, changes nothing."""
    art = prints.stripe(rng(8), 40, even=False, angle_deg=angle_deg)
    cloth, lattice = draw(art, view_mm=200)
    along = np.array([-lattice.basis_px[0, 1], lattice.basis_px[0, 0]]) * 1.3
    (a, b), repeat = art.basis_mm[0], lattice.repeat
    false = replace(repeat, kind="lattice", layout="straight", basis_mm=((a, b), (-1.3 * b, 1.3 * a)))
    facts = read((cloth, replace(lattice, repeat=false, basis_px=np.stack([lattice.basis_px[0], along]))))
    found = facts.stripe_or_check
    assert found is not None
    assert found.family == "stripe"
    assert (found.balanced_across, found.balanced_along) == (art.balanced_across, art.balanced_along)
    assert worst_bar([b.width_mm for b in found.bars], [b.width_mm for b in art.bars]) < 0.2
    assert facts.direction.way == "one-way"


def test_a_gingham_is_named_by_one_band(draw: Draw) -> None:
    """1/2 in gingham: a repeat of two bands, 25.4 mm (common practice)."""
    found = read(draw(prints.gingham(rng(), 25.4), view_mm=200)).stripe_or_check
    assert found is not None
    assert found.family == "check"
    assert found.gingham_mm == pytest.approx(12.7, abs=0.1)


def test_large_blooms_gather_and_ditsies_do_not(draw: Draw) -> None:
    assert read(draw(prints.ditsy(rng(), Cell(40, 40), flower_mm=5), view_mm=170)).clump is None
    clump = read(draw(prints.floral(rng(), Cell(220, 200)), view_mm=560)).clump
    assert clump is not None
    assert clump.strength > 2
    assert 20 < clump.size_mm <= clump.spacing_mm


RISKS: list[tuple[str, Cell, float]] = [  # the cell, and the distance of its columns
    ("straight", Cell(80, 60), 80),
    ("half-drop", Cell(70, 130, HALF), 70),
    ("third-drop", Cell(66, 120, Fraction(1, 3)), 66),
]


@pytest.mark.parametrize("figure", ["bird", "cat", "snail"])
@pytest.mark.parametrize(("name", "cell", "column"), RISKS, ids=[r[0] for r in RISKS])
def test_beheading(draw: Draw, name: str, cell: Cell, column: float, figure: str) -> None:
    """One figure w wide in columns c apart: a lengthwise seam at random meets it with the chance w / c."""
    art = prints.one_motif(rng(), cell, figure=figure, share=0.6)
    figures = read(draw(art, view_mm=340)).figures
    assert figures is not None
    assert art.motif_mm is not None
    assert figures.cut_at_random == pytest.approx(art.motif_mm[0] / column, abs=0.02)
    assert figures.cut_at_best == 0


def test_a_figure_wider_than_its_column_is_always_cut(draw: Draw) -> None:
    """Columns 30 mm apart, birds of 0.98 x 40 mm: every lengthwise seam meets one."""
    art = prints.one_motif(rng(), Cell(30, 120, HALF), figure="bird", share=40 / 30)
    figures = read(draw(art, view_mm=300)).figures
    assert figures is not None
    assert figures.cut_at_random == figures.cut_at_best == 1


def test_several_figures_are_cut_by_the_mean_of_their_widths(draw: Draw) -> None:
    """Four like figures in a repeat of 90 mm, every second one at 0.85 of the size."""
    art = prints.figures_print(rng(), Cell(90, 90), heads="one-way", count=4, kinds=1)
    figures = read(draw(art, view_mm=340)).figures
    assert figures is not None
    assert art.motif_mm is not None
    assert figures.cut_at_random == pytest.approx(art.motif_mm[0] * (1 + 0.85) / 2 / 90, abs=0.02)
    assert figures.cut_at_best < figures.cut_at_random


def test_dots_are_no_figures(draw: Draw) -> None:
    assert read(draw(prints.dots(rng(2), 60, share=0.5), view_mm=300)).figures is None


def test_the_mean_cell_keeps_the_colour_and_undoes_the_light(draw: Draw) -> None:
    art = prints.dots(rng(), 30, share=0.4)
    cell = mean_cell(*draw(art, view_mm=200))
    assert cell is not None
    tile, _ = art.tile(0.2)
    assert cell.reliability > 0.97
    true = np.asarray(tile).reshape(-1, 3).mean(axis=0)
    cloth, _ = draw(art, view_mm=200)
    assert np.abs(cloth.bgr.reshape(-1, 3).mean(axis=0) - true).max() < 40  # the camera dims it a little
    spread = np.percentile(cell.lab[..., 0], [40, 60])
    assert np.ptp(spread) < 1.0  # the ground is even


def test_a_picture_with_a_hole_reads_the_same(draw: Draw) -> None:
    art = prints.one_motif(rng(), Cell(50, 50), figure="cat", share=0.7)
    cloth, lattice = draw(art, view_mm=260)
    mask = cloth.mask.copy()
    mask[200:420, 300:640] = False
    bgr = cloth.bgr.copy()
    bgr[~mask] = (20, 30, 240)
    facts = read((replace(cloth, bgr=bgr, mask=mask), lattice))
    assert facts.direction.way == "one-way"
    assert facts.motif.width_mm == pytest.approx(art.motif_mm[0], rel=WITHIN)


# -- bad input -------------------------------------------------------------------------------------------


def no_lattice(cloth: FlatCloth, kind: str) -> PrintLattice:
    return PrintLattice(Repeat(kind), np.zeros((0, 2)), np.zeros(2))  # type: ignore[arg-type]


def test_plain_cloth(draw: Draw) -> None:
    cloth, lattice = draw(prints.plain(rng()), view_mm=200)
    assert mean_cell(cloth, lattice) is None
    facts = read_print(cloth, lattice, None)
    assert facts.direction.way == "two-way"
    assert judge(lattice.repeat, facts, None).classes == ("plain",)


def test_a_print_without_known_repeat_is_unsure_and_says_so(draw: Draw) -> None:
    cloth, _ = draw(prints.figures_print(rng(), Cell(90, 90), heads="one-way"), view_mm=110)
    lattice = no_lattice(cloth, "beyond-photo")
    facts = read_print(cloth, lattice, mean_cell(cloth, lattice))
    assert facts.direction.margin <= 0.3
    assert {"way-unknown", "way-unsure"} & {f.code for f in facts.findings}
    assert judge(lattice.repeat, facts, None).classes != ("plain",)


@pytest.mark.parametrize("art", [prints.plaid(rng(), 90, even=True), prints.stripe(rng(), 90, even=False)])
def test_bars_without_known_repeat_are_given_no_heads(draw: Draw, art: Art) -> None:
    """Nor is it decided that they may be turned: uneven ones may not."""
    cloth, _ = draw(art, view_mm=110)
    facts = read_print(cloth, no_lattice(cloth, "beyond-photo"), None)
    assert facts.direction.way == "two-way" and not facts.direction.decided


@pytest.mark.parametrize(("pitch_mm", "name"), [(30.0, "polka-dot"), (90.0, "coin-dot")])
def test_dots_that_the_rim_cuts_are_dots_still(draw: Draw, pitch_mm: float, name: str) -> None:
    """A third of their area is in cut ones; the shape is that of those wholly in view."""
    cloth, _ = draw(prints.dots(rng(), pitch_mm, share=0.45), view_mm=100, turn_deg=6.0)
    lattice = no_lattice(cloth, "beyond-photo")
    found = judge(lattice.repeat, read_print(cloth, lattice, None), None).print_name
    assert found is not None and found.name == name


@pytest.mark.parametrize("value", [0, 128, 255])
def test_a_blank_picture_is_plain_even_on_a_false_lattice(draw: Draw, value: int) -> None:
    cloth, lattice = draw(prints.dots(rng(), 30), view_mm=200)
    blank = replace(cloth, bgr=np.full_like(cloth.bgr, value))
    facts = read_print(blank, no_lattice(blank, "none"), None)
    assert facts.direction.rule == "plain"
    cell = mean_cell(blank, lattice)
    judged = judge(lattice.repeat, read_print(blank, lattice, cell), cell)
    assert judged.seams.verdict == "unseen"


def test_nothing_but_mask(draw: Draw) -> None:
    cloth, lattice = draw(prints.dots(rng(), 30), view_mm=200)
    covered = replace(cloth, mask=np.zeros_like(cloth.mask))
    assert mean_cell(covered, lattice) is None
    assert read_print(covered, lattice, None).direction.rule == "plain"


def test_a_swatch_smaller_than_one_motif(draw: Draw) -> None:
    cloth, _ = draw(prints.one_motif(rng(), Cell(300, 300), figure="cat", share=0.9), view_mm=90)
    lattice = no_lattice(cloth, "beyond-photo")
    facts = read_print(cloth, lattice, None)
    assert facts.motif.count_per_repeat is None
    assert facts.direction.margin <= 0.3
    judge(lattice.repeat, facts, None)


def test_a_cell_of_a_few_pixels(draw: Draw) -> None:
    cloth, lattice = draw(prints.dots(rng(), 4, share=0.6), view_mm=400)
    judge(lattice.repeat, read((cloth, lattice)), mean_cell(cloth, lattice))


@pytest.mark.parametrize("pattern", nearly.PATTERNS)
def test_a_lattice_that_is_a_fraction_of_the_truth_is_noticed(draw: Draw, pattern: str) -> None:
    """Every second figure faces the other way; the step between neighbours is not the repeat."""
    art = nearly.alternating_figures(rng(), 40, what="facing", pattern=pattern)
    cloth, lattice = draw(art, view_mm=300)
    assert "cells-unlike" not in {f.code for f in read((cloth, lattice)).findings}
    to_px = np.linalg.solve(np.array(art.basis_mm), lattice.basis_px)
    step = np.array([[40.0, 0.0], [0.0, 40.0]])
    repeat = replace(lattice.repeat, basis_mm=((40.0, 0.0), (0.0, 40.0)))
    fraction = replace(lattice, repeat=repeat, basis_px=step @ to_px)
    assert "cells-unlike" in {f.code for f in read((cloth, fraction)).findings}
