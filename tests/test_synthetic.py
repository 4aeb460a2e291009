"""The drawn prints and photos hold what their truth says, judged without any measuring room."""

from __future__ import annotations

import io
import json
import math
import runpy
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from printcheck.core.lattice import Lattice
from tests.drawn import (
    CORPORA,
    Art,
    Camera,
    Cell,
    Hand,
    Laid,
    bars,
    colours,
    corpus,
    figures,
    metal,
    objects,
    photograph,
    prints,
    scene,
)
from tests.drawn.camera import Strain
from tests.drawn.recipes import LATTICE, NEAR, WITHOUT, Room
from tests.drawn.stamps import Stamp

SAMPLES = Path(__file__).parent.parent / "sample_images"
ROOM = Room(240.0, 180.0, 0.2)
SAME = 1.5  # of 255: rounding, and sub-pixels of drawn edges that fall either way
KINDS = [*LATTICE.items(), *NEAR.items()]


def art_of(kind: str, recipe: object, seed: int) -> Art:
    return recipe(np.random.default_rng([seed, len(kind)]), ROOM)  # type: ignore[operator]


def tile_of(art: Art, longest: int = 360) -> np.ndarray:
    """A tile at a size that is quick to transform."""
    return art.tile(max(*art.tile_mm) / longest)[0].astype(np.float32)


def departure(a: np.ndarray, b: np.ndarray) -> float:
    """Largest difference of two tiles over 3 x 3 pixels, in grey levels."""
    return float(np.abs(cv2.blur(a - b, (3, 3))).max())


def correlation(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Circular normalised cross-correlation of two tiles over all shifts."""
    a, b = a - a.mean((0, 1)), b - b.mean((0, 1))
    total = sum(
        np.fft.irfft2(np.fft.rfft2(a[..., k]) * np.conj(np.fft.rfft2(b[..., k])), a.shape[:2])
        for k in range(3)
    )
    return total / math.sqrt(float((a * a).sum() * (b * b).sum()))


def exact_shifts(tile: np.ndarray) -> int:
    """How many whole-pixel shifts lay the tile on itself: an exhaustive search."""
    c = correlation(tile, tile)
    candidates = np.argwhere(c > 0.97)
    return sum(departure(np.roll(tile, (y, x), (0, 1)), tile) <= SAME for y, x in candidates)


@pytest.mark.parametrize(("kind", "recipe"), KINDS, ids=[k for k, _ in KINDS])
@pytest.mark.parametrize("seed", [1, 2])
def test_basis_is_the_smallest_lattice(kind: str, recipe: object, seed: int) -> None:
    art = art_of(kind, recipe, seed)
    tile = tile_of(art)
    height, width = tile.shape[:2]
    for across, along in art.basis_mm if art.kind == "lattice" else ():
        shift = (along / art.tile_mm[1] * height, across / art.tile_mm[0] * width)
        whole = [round(v) for v in shift]
        assert shift == pytest.approx(whole, abs=1e-6)
        assert departure(np.roll(tile, whole, (0, 1)), tile) <= SAME
    if art.kind == "lattice":
        cells = art.tile_mm[0] * art.tile_mm[1] / Lattice(art.basis_mm).area_mm2
        assert exact_shifts(tile) == round(cells)


@pytest.mark.parametrize("angle", [0.0, 90.0, 30.0, -50.0])
def test_stripe_period_is_the_smallest(angle: float) -> None:
    sequence = [(4.0, (0, 0, 0)), (6.0, (255, 255, 255)), (3.0, (0, 0, 255))]
    art = bars.stripe("test", sequence, angle_deg=angle)
    (vector,) = art.basis_mm
    assert math.hypot(*vector) == pytest.approx(13.0)
    tile = tile_of(art).astype(np.float64)
    # along its own vector the profile repeats after 13 mm and not before
    raster = art.raster(max(*art.tile_mm) / 360)
    shares = np.arange(1, 13) / 13
    for share in [*shares, 1.0]:
        moved = np.roll(
            tile,
            (round(share * vector[1] / raster.mm[1]), round(share * vector[0] / raster.mm[0])),
            (0, 1),
        )
        alike = np.corrcoef(moved.ravel(), tile.ravel())[0, 1]
        assert (alike > 0.97) == (share == 1.0), share


def test_periods_of_sequences() -> None:
    black, white, red = (0, 0, 0), (255, 255, 255), (0, 0, 255)
    assert bars.is_balanced([(1, black), (2, white)])  # two bars always fold on themselves
    assert bars.is_balanced([(1, black), (2, white), (5, red), (2, white)])
    assert not bars.is_balanced([(1, black), (2, white), (5, red)])
    assert not bars.is_smallest([(1, black), (2, white), (1, black), (2, white)])


@pytest.mark.parametrize(("kind", "recipe"), KINDS, ids=[k for k, _ in KINDS])
@pytest.mark.parametrize("seed", [1, 2])
def test_way_by_turning_the_art(kind: str, recipe: object, seed: int) -> None:
    art = art_of(kind, recipe, seed)
    tile = tile_of(art)
    half = float(correlation(tile, tile[::-1, ::-1]).max())
    if art.way in ("two-way", "four-way"):
        assert half > 0.985
    elif art.way is not None:
        assert half < 0.985
    if art.way == "four-way":
        side = max(tile.shape[:2])
        square = cv2.resize(tile, (side, side), interpolation=cv2.INTER_AREA)
        assert float(correlation(square, np.rot90(square)).max()) > 0.985


@pytest.mark.parametrize(
    "name", ["even-plaid", "uneven-plaid", "even-stripe", "uneven-stripe", "gingham", "window"]
)
def test_balance_by_folding_the_art(name: str) -> None:
    for seed in range(4):
        art = art_of(name, LATTICE[name], seed)
        tile = tile_of(art)
        if art.balanced_across is not None and (art.kind == "lattice" or art.balanced_along is None):
            assert (float(correlation(tile, tile[:, ::-1]).max()) > 0.99) == art.balanced_across
        if art.balanced_along is not None and (art.kind == "lattice" or art.balanced_across is None):
            assert (float(correlation(tile, tile[::-1]).max()) > 0.99) == art.balanced_along


def test_bars_fill_the_repeat() -> None:
    art = prints.gingham(np.random.default_rng(3), 12.7)
    assert [b.width_mm for b in art.bars] == [6.35, 6.35]
    art = art_of("uneven-plaid", LATTICE["uneven-plaid"], 5)
    assert sum(b.width_mm for b in art.bars) == pytest.approx(art.basis_mm[0][0])


def test_motif_box_is_what_is_drawn() -> None:
    """The box in mm against the pixels that differ from the ground."""
    for seed in range(6):
        art = prints.one_motif(np.random.default_rng(seed), Cell(60.0, 60.0))
        tile, raster = art.tile(0.1)
        away = np.abs(tile.astype(int) - tile[0, 0].astype(int)).sum(-1) > 12
        ys, xs = np.nonzero(away)
        drawn = ((np.ptp(xs) + 1) * raster.mm[0], (np.ptp(ys) + 1) * raster.mm[1])
        assert drawn == pytest.approx(art.motif_mm, abs=0.35)


def test_shifting_the_tile_by_half_a_repeat_changes_it() -> None:
    art = prints.one_motif(np.random.default_rng(1), Cell(40.0, 50.0))
    tile = tile_of(art)
    assert departure(np.roll(tile, tile.shape[1] // 2, 1), tile) > 20
    assert departure(np.roll(tile, tile.shape[0] // 2, 0), tile) > 20


def spots(camera: Camera) -> tuple[np.ndarray, Art]:
    """Centres of the spots seen in a photo of a hexagonal dot print."""
    cell = Cell(20.0, 26.0, prints.HALF)
    stamp = Stamp(figures.disc(), (10.0, 13.0), 9.0, ((0, 0, 0),))
    art = prints.stamped(("dots", "test"), cell, [stamp], (255, 255, 255), way="two-way")
    grey = cv2.cvtColor(photograph(art, camera).bgr, cv2.COLOR_BGR2GRAY)
    count, _, stats, centres = cv2.connectedComponentsWithStats((grey < 128).astype(np.uint8))
    h, w = grey.shape
    inside = [
        i
        for i in range(1, count)
        if stats[i, 0] > 0
        and stats[i, 1] > 0
        and stats[i, 0] + stats[i, 2] < w
        and stats[i, 1] + stats[i, 3] < h
    ]
    return centres[inside], art


PERFECT = {"light": 0.0, "wrinkles": 0.0, "weave": 0.0, "noise": 0.0, "blur_px": 0.6, "jpeg": 95}


@pytest.mark.parametrize(
    "camera",
    [
        Camera(view_mm=240, size_px=(1200, 900), **PERFECT),
        Camera(view_mm=240, size_px=(1200, 900), turn_deg=12, skew_deg=2, **PERFECT),
        Camera(view_mm=240, size_px=(1200, 900), tilt_deg=20, tilt_towards_deg=50, turn_deg=-9, **PERFECT),
        Camera(view_mm=240, size_px=(1200, 900), tilt_deg=10, k1=0.03, skew_deg=-1, **PERFECT),
        Camera(view_mm=240, size_px=(1200, 900), k1=-0.03, **PERFECT),
    ],
    ids=["plain", "turned", "tilted", "lens", "barrel"],
)
def test_spots_in_the_photo_lie_on_the_true_lattice(camera: Camera) -> None:
    centres, art = spots(camera)
    assert len(centres) > 50
    lattice = Lattice(photograph(art, camera).truth.basis_mm)
    cloth = camera.unproject(centres)
    # a blob's centre of mass is not quite its centre under perspective: a tenth of a mm covers it
    residual = [lattice.residual_mm(tuple(p - cloth[0])) for p in cloth]
    assert max(residual) < 0.12
    # measured against another, wrong by 1 %, the same points do not fit
    wrong = lattice.scaled(1.01, 1.01)
    assert max(wrong.residual_mm(tuple(p - cloth[0])) for p in cloth) > 0.5


def test_truth_homography_and_corner_arguments_agree_with_opencv() -> None:
    """cv2.getPerspectiveTransform on the stated corners gives the stated homography (no lens)."""
    camera = Camera(view_mm=300, size_px=(1600, 1200), tilt_deg=18, tilt_towards_deg=200, turn_deg=5)
    truth = photograph(prints.plain(np.random.default_rng(0)), camera, reference="corners").truth
    points, size = truth.args[1].split("=")
    seen = np.array([float(v) for v in points.split(",")], np.float32).reshape(4, 2)
    w, h = (float(v) for v in size[:-2].split("x"))
    box = np.array([[-w, -h], [w, -h], [w, h], [-w, h]], np.float32) / 2
    found = cv2.getPerspectiveTransform(box, seen)
    stated = np.array(truth.homography)
    grid = np.array([[[x, y]] for x in (-100.0, 0, 100) for y in (-80.0, 0, 80)])
    a, b = cv2.perspectiveTransform(grid, found), cv2.perspectiveTransform(grid, stated)
    assert np.abs(a - b).max() < 0.3  # corners are written to a tenth of a pixel
    # and the scale at the centre is that homography's
    mid = np.array([[[799.5, 599.5]], [[800.5, 599.5]], [[799.5, 600.5]]])
    o, x, y = cv2.perspectiveTransform(mid, np.linalg.inv(stated))[:, 0]
    area = abs(np.linalg.det(np.column_stack([x - o, y - o])))
    assert truth.mm_per_px == pytest.approx(math.sqrt(area), rel=1e-3)


def test_span_argument_measures_the_lattice() -> None:
    camera = Camera(view_mm=240, size_px=(1200, 900), turn_deg=6, **PERFECT)
    truth = photograph(prints.plain(np.random.default_rng(0)), camera, reference="span").truth
    points, length = truth.args[1].split("=")
    ax, ay, bx, by = (float(v) for v in points.split(","))
    assert float(length[:-2]) / math.hypot(bx - ax, by - ay) == pytest.approx(0.2, rel=2e-4)


@pytest.mark.parametrize("tilt", [0.0, 22.0])
def test_object_corners_are_where_the_object_is(tilt: float) -> None:
    """Area and centre of a white card on black cloth against the polygon of its stated corners."""
    camera = Camera(view_mm=260, size_px=(1600, 1200), tilt_deg=tilt, tilt_towards_deg=70, k1=0.01, **PERFECT)
    white = objects.picture(np.full((54, 86, 3), 255, np.uint8), (86.0, 54.0))
    black = bars.check("black", [(10.0, (0, 0, 0))], [(10.0, (0, 0, 0))])
    photo = photograph(black, camera, objects=(Laid(white, (30, -20), 33, shadow=0.0),))
    seen = cv2.cvtColor(photo.bgr, cv2.COLOR_BGR2GRAY).astype(np.float64) / 255
    corners = np.array(photo.truth.objects[0]["corners_px"])
    polygon = cv2.moments(corners.astype(np.float32)[:, None])
    drawn = cv2.moments(seen.astype(np.float32))
    assert drawn["m00"] == pytest.approx(polygon["m00"], rel=1.5e-3)
    for axis in ("m10", "m01"):
        assert drawn[axis] / drawn["m00"] == pytest.approx(polygon[axis] / polygon["m00"], abs=0.15)


def test_a_thick_object_looks_larger() -> None:
    """A card 0.76 mm nearer reads 0.15 % large at 500 mm (trade rule derived from similar triangles)."""
    camera = Camera(view_mm=500 / 0.92, focal=0.92)
    assert camera.distance_mm == pytest.approx(500)
    rng = np.random.default_rng(0)
    corners = camera.project(Laid(objects.card(rng)).corners_mm(), objects.CARD_THICK_MM)
    seen = np.linalg.norm(corners[1] - corners[0]) * camera.mm_per_px
    assert seen / 85.60 == pytest.approx(1 + 0.76 / 499.24, rel=1e-6)


def test_card_has_rounded_corners_and_its_size() -> None:
    """ISO/IEC 7810: 85.60 x 53.98 mm, corner radius 2.88 to 3.48."""
    _, cover = objects.card(np.random.default_rng(2)).draw(20.0)
    area = cover.sum() / 400
    assert area == pytest.approx(85.60 * 53.98 - (4 - math.pi) * 3.18**2, rel=2e-3)


def test_strain_leaves_the_mean_lattice_alone() -> None:
    strain = Strain(0.012, (200.0, 150.0), seed=4)
    x, y = np.meshgrid(np.linspace(-100, 100, 80), np.linspace(-75, 75, 60))
    dx, dy = strain.field(x.astype(np.float32), y.astype(np.float32))
    design = np.column_stack([np.ones(x.size), x.ravel(), y.ravel()])
    for d in (dx, dy):
        slope = np.linalg.lstsq(design, d.ravel().astype(float), rcond=None)[0]
        assert np.abs(slope[1:]).max() < 3e-4
    largest = max(np.abs(np.gradient(d, 200 / 79, axis=1)).max() for d in (dx, dy))
    assert 0.004 < largest < 0.016


def test_tape_ticks_stand_a_millimetre_apart() -> None:
    face, _ = metal.tape(np.random.default_rng(1), 200.0, start_mm=0.0).draw(12.0)
    row = face[2].astype(float).mean(-1)
    spectrum = np.abs(np.fft.rfft(row - row.mean()))
    assert np.argmax(spectrum[150:250]) + 150 == 200  # 200 ticks in 200 mm
    # the fives are longer and the tens longest
    deep = [int((face[: 9 * 12, round(i * 12)].mean(-1) < 120).sum()) for i in (11, 15, 20)]
    assert deep[0] < deep[1] < deep[2]


def test_two_tone_coin_has_two_metals() -> None:
    face, cover = metal.coin(np.random.default_rng(1), 23.25, metal="two-tone").draw(12.0)
    lab = cv2.cvtColor(face.astype(np.float32) / 255, cv2.COLOR_BGR2Lab)
    n = len(face)
    y, x = np.mgrid[0:n, 0:n] + 0.5 - n / 2
    r = np.hypot(x, y) / (n / 2)
    ring, core = lab[(r > 0.76) & (r < 0.88)], lab[r < 0.68]
    assert np.median(ring[:, 2]) - np.median(core[:, 2]) > 15
    assert cover.sum() == pytest.approx(math.pi / 4 * n * n, rel=2e-3)


def test_two_cameras_see_one_cloth() -> None:
    """The picture moves by the shift of the camera and shows the same print there."""
    art = prints.one_motif(np.random.default_rng(2), Cell(70.0, 60.0))
    camera = Camera(view_mm=200, size_px=(800, 600), **PERFECT)
    one = photograph(art, camera, seed=3).bgr.astype(int)
    other = photograph(art, replace(camera, look_mm=(50.0, 25.0)), seed=3).bgr.astype(int)
    assert np.abs(one[100:, 200:] - other[:-100, :-200]).mean() < 1.5
    assert np.abs(one - other).mean() > 5


def test_hand_made_cells_differ_a_little() -> None:
    art = prints.one_motif(np.random.default_rng(2), Cell(40.0, 50.0))
    raster = art.raster(0.2)
    assert art.loose is not None
    exact = art.loose(raster, (2, 2), Hand())
    assert np.array_equal(exact, np.tile(art.paint(raster), (2, 2, 1)))
    loose = art.loose(raster, (2, 2), Hand(shift_mm=0.5, turn_deg=3, size=0.03, shade=5, seed=1))
    left, right = np.split(loose.astype(np.float32), 2, axis=1)
    assert departure(left, right) > 20
    assert 0.8 < float(correlation(left, right).max()) < 0.999


def test_focal_length_in_exif() -> None:
    """Read back by Pillow; tag 0xA405 is FocalLengthIn35mmFilm."""
    camera = Camera(size_px=(800, 600), focal=0.9, exif=True)
    photo = photograph(prints.plain(np.random.default_rng(0)), camera)
    tags = Image.open(io.BytesIO(photo.jpeg)).getexif().get_ifd(0x8769)
    assert tags[0xA405] == round(0.9 * 800 / 1000 * 43.267)


def test_inks_differ_as_asked() -> None:
    rng = np.random.default_rng(0)
    base = colours.from_lab((60.0, 20.0, 10.0))
    for distance in (4.0, 10.0, 20.0):
        near = colours.near(rng, base, distance)
        assert colours.delta_e(near, base) == pytest.approx(distance, rel=0.1, abs=0.8)
    hue = colours.near(rng, base, 20.0, hue_only=True)
    assert abs(colours.to_lab(hue)[0] - colours.to_lab(base)[0]) < 1.0


def test_scenes_come_again() -> None:
    one, again = scene("references", 3), scene("references", 3)
    assert one.photo.jpeg == again.photo.jpeg
    assert one.truth == again.truth
    assert scene("references", 3, seed=1).photo.jpeg != one.photo.jpeg


def test_corpora_are_large_enough_and_hold_every_kind() -> None:
    assert CORPORA["lattice"].usual >= 300
    assert CORPORA["near-repeats"].usual >= 84
    assert CORPORA["references"].usual >= 200
    assert CORPORA["no-reference"].usual >= 200
    assert CORPORA["lattice"].usual % len({**LATTICE, **WITHOUT}) == 0


@pytest.mark.parametrize("name", sorted(CORPORA))
def test_first_scenes_of_each_corpus(name: str) -> None:
    for one in corpus(name, 3, start=20):
        truth = json.loads(json.dumps(one.truth.as_dict()))
        assert one.bgr.shape == (truth["height_px"], truth["width_px"], 3)
        assert one.args == one.truth.args
        assert one.truth.kind in ("lattice", "stripe", "none", "beyond-photo")
        assert len(one.truth.basis_mm) == {"lattice": 2, "stripe": 1}.get(one.truth.kind, 0)
        if name == "references" and "cut" not in one.kind and not one.kind.startswith("rule"):
            corners = np.array(one.truth.objects[0]["corners_px"])
            assert (corners >= 0).all()
            assert (corners < (truth["width_px"], truth["height_px"])).all()


def same_but_for_rounding(one: object, other: object) -> bool:
    """Whether two truths agree; processors differ in the last bits of a sine."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same_but_for_rounding(one[k], other[k]) for k in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same_but_for_rounding, one, other))
    return one == (pytest.approx(other, rel=1e-9) if isinstance(other, float) else other)


def test_sample_images_are_small_and_can_be_made_again() -> None:
    """Byte for byte with the same libraries; else a mean of one grey level, as the folder's README says."""
    make = runpy.run_path(str(SAMPLES / "make.py"))
    truth = json.loads((SAMPLES / "truth.json").read_text(encoding="utf-8"))
    assert len(make["SAMPLES"]) >= 6
    for name in make["SAMPLES"]:
        path = SAMPLES / f"{name}.jpg"
        assert path.stat().st_size < 300_000
        photo = make["draw"](name)
        assert same_but_for_rounding(json.loads(json.dumps(photo.truth.as_dict())), truth[path.name])
        if photo.jpeg != path.read_bytes():
            kept = cv2.imread(str(path)).astype(float)
            assert np.abs(kept - photo.bgr).mean() < 1.0
