"""Colours of a print by their plain names, against the photo's own white."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PIL import ImageColor
from skimage.color import rgb2lab

from printcheck.core.colour import CSS, SURVEY, difference, lab_of, plain_name
from printcheck.core.handover import FlatCloth, MeanCell, PrintLattice
from printcheck.core.measurement import PhotoFacts, Repeat, Scale
from printcheck.motif import mean_cell, read_print
from printcheck.motif.build.colours import _counted, _without_mixed, colours_of
from printcheck.motif.cv_types import lab_of as picture_lab
from tests.drawn import bars, figures
from tests.drawn.art import Cell
from tests.drawn.stamps import Stamp, stamped

Draw = Callable[..., tuple[FlatCloth, PrintLattice]]


def test_every_colour_of_the_table_is_one_of_css() -> None:
    """CSS Color Module Level 4 as Pillow carries it."""
    css = {v.lower() for v in ImageColor.colormap.values() if isinstance(v, str)}
    listed = [colour for colours in CSS.values() for colour in colours]
    assert set(listed) <= css
    named = listed + [colour for colours in SURVEY.values() for colour in colours.values()]
    assert len(set(named) - {"#ffffff", "#000000"}) == len(named) - 4  # white and black stand in both


def test_lab_of_a_colour_is_the_standards() -> None:
    """scikit-image, D65 and the 2 degree observer."""
    for colour in ("#203060", "#f6f4ee", "#b02020", "#010101"):
        rgb = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        assert lab_of(colour) == pytest.approx(tuple(rgb2lab([[rgb]])[0, 0]), abs=0.05)


def test_difference_is_cie_1994() -> None:
    """scikit-image's own."""
    from skimage.color import deltaE_ciede94

    rng = np.random.default_rng(4)
    for one, other in zip(rng.uniform(-50, 90, (20, 3)), rng.uniform(-50, 90, (20, 3)), strict=True):
        assert difference(tuple(one), tuple(other)) == pytest.approx(
            float(deltaE_ciede94(one, other)), rel=1e-6
        )


# everyday words for CSS colours, common practice
@pytest.mark.parametrize(
    ("colour", "word"),
    [("#f7eed8", "cream"), ("#ffffff", "white"), ("#1f2a55", "navy"), ("#c02020", "red"), ("#8a8a8a", "grey"),
     ("#2a7a3a", "green"), ("#f2c4cc", "pink"), ("#101010", "black")],
)  # fmt: skip
def test_plain_words(colour: str, word: str) -> None:
    assert plain_name(lab_of(colour)) == word


@pytest.mark.parametrize("light", [1.0, 0.75])
def test_a_gingham_is_red_and_white_in_dim_light_too(draw: Draw, light: float) -> None:
    """Not light red: the tone between is threads of both, and the white is the photo's own."""
    sequence = [(12.0, (40, 40, 200)), (12.0, (250, 250, 250))]  # BGR
    cloth, lattice = draw(bars.check("gingham", sequence, sequence), view_mm=160)
    dim = (np.clip(cloth.bgr * light, 0, 255)).astype(np.uint8)
    cloth = FlatCloth(dim, cloth.mask, cloth.mm_per_px, cloth.to_photo, cloth.photo, cloth.scale)
    colours = read_print(cloth, lattice, mean_cell(cloth, lattice)).colours
    assert [c.name for c in colours] == ["white", "red"]
    assert sum(c.share for c in colours) == pytest.approx(1, abs=0.01)


# plain names of the colour survey that are our own words too (R. Munroe, Color Survey Results, 2010)
@pytest.mark.parametrize(
    ("colour", "word"),
    [("#929591", "grey"), ("#d8dcd6", "light grey"), ("#ffffe4", "cream"), ("#e6daa6", "beige"),
     ("#95d0fc", "light blue"), ("#d0fefe", "light blue"), ("#042e60", "navy"), ("#341c02", "dark brown"),
     ("#35063e", "dark purple"), ("#d58a94", "pink"), ("#ca6641", "rust"), ("#607c8e", "blue grey"),
     ("#029386", "teal"), ("#87ae73", "light green"), ("#ceb301", "mustard"), ("#650021", "dark red")],
)  # fmt: skip
def test_words_of_the_survey(colour: str, word: str) -> None:
    assert plain_name(lab_of(colour)) == word


def test_a_pale_ground_is_not_its_own_white() -> None:
    """The cloth about a dull card lies outside the mask; a pale blue there is no white paper."""
    bgr = np.full((200, 300, 3), (223, 195, 157), np.uint8)
    bgr[60:140, 100:200] = (160, 90, 60)  # the card
    mask = np.ones((200, 300), bool)
    mask[50:150, 90:210] = False
    facts = PhotoFacts("drawn.png", 300, 200)
    cloth = FlatCloth(bgr, mask, 0.5, np.eye(3), facts, Scale("card", 0.5, 0.0))
    cell = MeanCell(picture_lab(bgr[:, :80].astype(np.float32)), np.diag([40.0, 100.0]), 1.0, 9.0, 0.5)
    assert [c.name for c in colours_of(cloth, cell, None)] == ["light blue"]


def test_small_flowers_have_their_own_colours_and_not_the_mixture_with_the_ground(draw: Draw) -> None:
    """Petals of a hundredth of the cloth each on navy: no grey, which is blur at their rims."""
    navy, pink, yellow = (92, 50, 30), (150, 125, 215), (60, 170, 220)  # BGR
    stamps = [
        Stamp(figures.disc(), (8.0, 8.0), 5.0, (pink,)),
        Stamp(figures.disc(), (24.0, 22.0), 5.0, (yellow,)),
    ]
    art = stamped(("flowers", "straight"), Cell(34.0, 34.0), stamps, navy, way="tossed")
    cloth, lattice = draw(art, view_mm=180)
    names = [c.name for c in read_print(cloth, lattice, mean_cell(cloth, lattice)).colours]
    assert names[0] == "navy" and set(names[1:]) == {"pink", "mustard"}


def test_cream_beside_white_paper_is_cream_and_not_light_grey() -> None:
    """A cream cloth in dim yellowish light; the paper outside the cloth tells the white."""
    tint = np.array([0.62, 0.70, 0.74])  # blue, green, red of the light
    bgr = np.full((200, 300, 3), (215, 240, 250), np.uint8) * tint
    bgr[:, 220:] = np.array([252, 252, 252]) * tint
    mask = np.ones((200, 300), bool)
    mask[:, 215:] = False
    facts = PhotoFacts("drawn.png", 300, 200)
    cloth = FlatCloth(bgr.astype(np.uint8), mask, 0.5, np.eye(3), facts, Scale("given", 0.5, 0.0))
    lab = picture_lab(bgr[:, :200].astype(np.float32))
    cell = MeanCell(lab, np.diag([100.0, 100.0]), 1.0, 9.0, 0.5)
    (found,) = colours_of(cloth, cell, None)
    assert found.name == "cream"
    assert found.share == 1.0


def chequers(light: tuple[int, int, int], dark: tuple[int, int, int]) -> np.ndarray:
    """Squares of two colours in turn, BGR."""
    turn = (np.indices((96, 96)) // 48).sum(axis=0) % 2
    return np.where(turn[..., None] == 0, light, dark).astype(np.uint8)


def flat_cloth(bgr: np.ndarray, mask: np.ndarray, **more: np.ndarray) -> FlatCloth:
    facts = PhotoFacts("drawn.png", bgr.shape[1], bgr.shape[0])
    return FlatCloth(bgr, mask, 0.5, np.eye(3), facts, Scale("given", 0.5, 0.0), **more)


@pytest.mark.parametrize(("dark", "names"), [((84, 110, 131), ["tan", "brown"]), ((118, 151, 170), ["tan"])])
def test_two_tones_of_a_print_are_two_colours(dark: tuple[int, int, int], names: list[str]) -> None:
    """A chequerboard 22 Delta E apart; of 3 Delta E, near the just noticeable, it is one colour."""
    bgr = chequers((128, 158, 177), dark)
    cell = MeanCell(picture_lab(bgr.astype(np.float32)), np.diag([48.0, 48.0]), 1.0, 9.0, 0.5)
    cloth = flat_cloth(bgr, np.ones((96, 96), bool))
    assert sorted(c.name for c in colours_of(cloth, cell, "squares")) == sorted(names)


def test_cloth_beyond_the_measured_part_is_no_white_paper() -> None:
    """Pale yellow beside a white print: only what the photo stage took for no cloth tells the white."""
    bgr = np.full((96, 192, 3), (250, 250, 250), np.uint8)
    bgr[:, 96:] = (226, 246, 250)
    measured = np.arange(192)[None].repeat(96, axis=0) < 96
    cell = MeanCell(picture_lab(bgr[:, :96].astype(np.float32)), np.diag([48.0, 48.0]), 1.0, 9.0, 0.5)
    cloth = flat_cloth(bgr, measured, beside=np.zeros((96, 192), bool))
    (found,) = colours_of(cloth, cell, None)
    assert found.name == "white"
    (tinted,) = colours_of(flat_cloth(bgr, measured), cell, None)
    assert tinted.lab[2] < -3  # taken for the light's tint, the yellow makes the white blue


def test_a_colour_on_the_way_between_two_others_is_their_mixture() -> None:
    white, pink, sky = [95.0, 0.0, 0.0], [80.0, 25.0, 5.0], [80.0, -10.0, -20.0]
    shares = np.array([0.5, 0.3, 0.2])
    apart, told = _without_mixed(np.array([white, pink, sky]), shares)
    assert len(apart) == 3 and told == pytest.approx(shares)
    halfway = list(np.mean([pink, sky], axis=0))
    left, told = _without_mixed(np.array([pink, halfway, sky]), shares)
    assert left.tolist() == [pink, sky] and told == pytest.approx([5 / 7, 2 / 7])


def test_broad_bars_that_grow_darker_keep_their_colours() -> None:
    """No bar comes again in view: how much darker one end is cannot be the light's."""
    said = {
        "orange": (40, 110, 235), "cream": (210, 238, 250), "tan": (110, 160, 200), "green": (70, 130, 60),
        "brown": (40, 60, 105), "navy": (80, 40, 25), "black": (18, 16, 18),
    }  # fmt: skip
    bgr = np.repeat(np.repeat(np.array(list(said.values()), np.uint8), 44, axis=0)[:, None], 308, axis=1)
    facts = PhotoFacts("drawn.png", 308, 308)
    cloth = FlatCloth(bgr, np.ones((308, 308), bool), 0.5, np.eye(3), facts, Scale("given", 0.5, 0.0))
    lattice = PrintLattice(Repeat("beyond-photo"), np.zeros((0, 2)), np.zeros(2))
    names = {c.name for c in read_print(cloth, lattice, None).colours}
    assert names <= set(said) and len(names) == 5


def test_two_means_of_one_colour_are_counted_once() -> None:
    """Less than ten CIELAB apart they are one dye in more or less light (common practice)."""
    samples = np.repeat(np.array([[30.0, 10, 10], [35, 12, 10], [80, 0, 0]]), [60, 20, 20], axis=0)
    centres, shares = _counted(samples, samples, np.array([[30.0, 10, 10], [35, 12, 10], [80, 0, 0]]))
    assert centres == pytest.approx(np.array([[30.0, 10, 10], [80, 0, 0]]))
    assert shares == pytest.approx([0.8, 0.2])
