"""Photos of one swatch of which only one has a scale: the others take theirs from the cloth both show."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.handover import FlatCloth
from printcheck.core.lattice import Lattice
from printcheck.core.measurement import Repeat
from printcheck.core.request import one_scale
from printcheck.photo.stitch.join import do_not_belong, flatten_photos
from printcheck.photo.stitch.pairwise import places
from printcheck.photo.stitch.placing import Pairs, laid_together
from printcheck.photo.stitch.view import View, common_colours, view
from printcheck.repeat import find_lattice
from printcheck.report.words.findings import said
from tests.drawn import nearly
from tests.drawn.camera import Camera
from tests.drawn.photo import photograph
from tests.drawn.photo_sets import photo_set
from tests.photo.drawn import MM_PER_PX, SIZE, SPAN, UNIT_PX, camera, drawn_sheet, photo


@pytest.fixture(scope="module")
def sheet() -> np.ndarray:
    return drawn_sheet(3)


@pytest.fixture(scope="module")
def four(sheet: np.ndarray, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("photos")
    seen = {
        "a.png": (camera(left=100, top=100), 1.0),
        "b.png": (camera(left=480, top=130, zoom=0.92, tilt=0.12, turn_deg=5), 0.8),
        "c.png": (camera(left=120, top=460, zoom=1.06, tilt=-0.1, turn_deg=-4), 0.9),
        "d.png": (camera(left=500, top=500, zoom=0.97, tilt=0.06, turn_deg=2), 0.85),
    }
    return [photo(folder, sheet, h, name=name, light=light) for name, (h, light) in seen.items()]


@pytest.fixture(scope="module")
def joined(four: list[Path]) -> FlatCloth:
    return flatten_photos(four[:3], one_scale(span=SPAN))


@pytest.fixture(scope="module")
def pair(four: list[Path]) -> tuple[FlatCloth, list[tuple[str, float]]]:
    """Two of them joined, and what was told meanwhile."""
    told: list[tuple[str, float]] = []
    made = flatten_photos(
        four[:2], one_scale(span=SPAN), progress=lambda stage, share: told.append((stage, share))
    )
    return made, told


@pytest.fixture(scope="module")
def found(joined: FlatCloth) -> Repeat:
    return find_lattice(joined).repeat


def test_a_scale_told_of_the_first_photo_serves_for_all(joined: FlatCloth, found: Repeat) -> None:
    assert found.kind == "lattice"
    assert found.across_mm == pytest.approx(UNIT_PX * MM_PER_PX, rel=0.01)
    assert found.along_mm == pytest.approx(UNIT_PX * MM_PER_PX, rel=0.01)
    shared = next(f for f in joined.findings if f.code == "photos-scale-shared")
    assert "b.png, c.png" in said(shared).text


def test_what_is_being_done_is_told_in_order(pair: tuple[FlatCloth, list[tuple[str, float]]]) -> None:
    told = pair[1]
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert all(0 <= share < 1 for share in shares)
    assert [any(name in stage for stage, _ in told) for name in ("a.png", "b.png")] == [True, True]


def test_the_joined_light_has_no_steps(sheet: np.ndarray, tmp_path: Path) -> None:
    views = [camera(left=100, top=100), camera(left=480, top=100)]
    photos = [
        photo(tmp_path, sheet, h, name=f"{n}.png", light=light)
        for n, (h, light) in enumerate(zip(views, (1.0, 0.8), strict=True))
    ]
    joined = flatten_photos(photos, one_scale(span=SPAN))
    seen = joined.mask[20:-20].all(axis=0).nonzero()[0]
    columns = joined.bgr.max(axis=2)[20:-20, seen].astype(float)
    ground = np.array([np.percentile(part, 80) for part in np.array_split(columns, 24, axis=1)])
    assert np.abs(np.diff(ground)).max() < 0.02 * ground.mean()
    assert abs(ground[0] / ground[-1] - 1) < 0.03  # the photos themselves differ by a fifth


def test_a_turned_selvedge_turns_the_whole(
    four: list[Path], pair: tuple[FlatCloth, list[tuple[str, float]]]
) -> None:
    turned = flatten_photos(four[:2], one_scale(span=SPAN), selvedge="horizontal")
    assert np.array_equal(turned.bgr, np.rot90(pair[0].bgr))


@pytest.mark.parametrize("seed", range(3))
def test_every_place_of_a_photo_is_a_repeat_from_the_true_one(sheet: np.ndarray, seed: int) -> None:
    """By construction: two places of one photo differ by a shift under which the print repeats."""
    rng = np.random.default_rng(seed)
    flat = camera(left=100, top=100)
    seen = camera(
        left=rng.uniform(250, 450),
        top=rng.uniform(100, 300),
        zoom=rng.uniform(0.85, 1.2),
        tilt=rng.uniform(-0.15, 0.15),
        turn_deg=rng.uniform(-8, 8),
    )
    pictures = [cv2.warpPerspective(sheet, h, SIZE, flags=cv2.INTER_CUBIC) for h in (seen, flat)]
    noisy = [np.clip(v + rng.normal(0, 6, v.shape), 0, 255).astype(np.uint8) for v in pictures]
    found = places(view("new.png", noisy[0]), view("old.png", noisy[1]))
    assert found
    for place in found:
        shared = place.link.pairs[:, :1]  # a narrow overlap tells little of the rest
        truth = cv2.perspectiveTransform(shared, flat @ np.linalg.inv(seen))[:, 0]
        apart = cv2.perspectiveTransform(shared, place.move)[:, 0] - truth
        apart -= UNIT_PX * np.round(apart.mean(0) / UNIT_PX)
        assert np.abs(apart.mean(0)).max() < 4  # pixels, of 700


@pytest.mark.parametrize("off", [(-30, 0, 0), (0, -30, 0), (0, 0, -30), (30, 0, 0), (0, 0, 30)])
def test_colours_on_every_side_of_the_light_are_kept_apart(off: tuple[float, float, float]) -> None:
    seen = np.ones((40, 40), bool)
    ground = np.zeros((40, 40, 3), np.float32)
    half = ground.copy()
    half[:20] = off
    plain, printed = (
        View("a.png", (40, 40), lab, lab.astype(np.uint8), seen, np.eye(3)) for lab in (ground, half)
    )
    assert common_colours(plain, plain) == pytest.approx(1)
    assert common_colours(plain, printed) == pytest.approx(0.5)


def test_near_repeats_are_told_apart_by_what_they_leave(tmp_path: Path) -> None:
    """Dots whose neighbours differ by 12 Delta E: one dot aside leaves more than the photos' own noise."""
    art = nearly.alternating_dots(np.random.default_rng(2), 60.0, distance=12.0)
    views = []
    for look in ((0.0, 0.0), (150.0, 20.0)):
        shot = Camera(view_mm=260.0, size_px=(1000, 750), look_mm=look, noise=3.0)
        taken = photograph(art, shot, seed=5)
        views.append((view("a.jpg", taken.bgr), np.array(taken.truth.homography)))
    (old, to_old), (new, to_new) = views
    lattice = Lattice(art.basis_mm)
    middle = np.array([[[500.0, 375.0]]])
    true = cv2.perspectiveTransform(middle, np.linalg.inv(to_new))
    off = []
    for layout in laid_together(Pairs([old, new])):
        on_old = cv2.perspectiveTransform(middle, np.linalg.inv(to_old) @ layout.moves[1])
        steps = np.linalg.solve(np.array(lattice.basis_mm).T, (on_old - true)[0, 0])
        off.append((layout.cost, float(np.abs(steps - np.rint(steps)).max())))
    assert off[0][1] < 0.1
    assert all(cost > off[0][0] + 3 for cost, aside in off if aside > 0.1)  # twenty times less likely


def test_a_tilted_field_of_small_flowers_is_found_at_a_true_place() -> None:
    """Tilt bends its rows so far that at a first glance few flowers lie on flowers."""
    first, tilted = photo_set(5, 4).photos
    found = places(view("b.jpg", tilted.bgr), view("a.jpg", first.bgr))[0]
    to_old, to_new = (np.array(one.truth.homography) for one in (first, tilted))
    middle = np.array([[[800.0, 600.0]]])
    at = cv2.perspectiveTransform(middle, np.linalg.inv(to_old) @ found.move)
    true = cv2.perspectiveTransform(middle, np.linalg.inv(to_new))
    steps = (at - true)[0, 0] @ np.linalg.inv(first.truth.basis_mm)
    assert steps == pytest.approx(np.rint(steps), abs=0.05)


def test_the_same_photo_twice_is_counted_once(four: list[Path], tmp_path: Path) -> None:
    again = tmp_path / "again.png"
    again.write_bytes(four[1].read_bytes())
    joined = flatten_photos([four[0], four[1], again], one_scale(span=SPAN))
    twice = next(f for f in joined.findings if f.code == "photos-twice")
    assert {twice.values["name"], twice.values["first"]} == {"again.png", "b.png"}
    assert next(f for f in joined.findings if f.code == "photos-combined").values["count"] == 2


def test_of_one_photo_thrice_one_is_measured(four: list[Path], tmp_path: Path) -> None:
    for name in ("again.png", "third.png"):
        (tmp_path / name).write_bytes(four[0].read_bytes())
    cloth = flatten_photos([four[0], *sorted(tmp_path.iterdir())], one_scale(span=SPAN))
    said = [(f.values["name"], f.values["first"]) for f in cloth.findings if f.code == "photos-twice"]
    assert said == [("again.png", "a.png"), ("third.png", "a.png")]
    assert "photos-combined" not in {f.code for f in cloth.findings}


@pytest.mark.slow
def test_the_order_of_the_files_changes_nothing(four: list[Path], found: Repeat) -> None:
    other = find_lattice(flatten_photos([four[0], *four[2:0:-1]], one_scale(span=SPAN))).repeat
    assert found.across_mm == pytest.approx(other.across_mm, rel=0.005)
    assert found.along_mm == pytest.approx(other.along_mm, rel=0.005)


def test_a_photo_of_another_cloth_is_named(four: list[Path], tmp_path: Path) -> None:
    other = photo(tmp_path, drawn_sheet(99), camera(left=100, top=100), name="other.png")
    with pytest.raises(NoAnswerError, match=r"other\.png"):
        flatten_photos([four[0], other], one_scale(span=SPAN))


def test_no_photo_and_no_object_are_refused(four: list[Path]) -> None:
    with pytest.raises(InputError):
        flatten_photos([], one_scale(span=SPAN))
    with pytest.raises(NoAnswerError, match=r"a\.png"):
        flatten_photos(four[:2], one_scale(reference="card"))


def test_each_refusal_names_the_photo_and_why(four: list[Path], tmp_path: Path) -> None:
    soft = tmp_path / "soft.png"
    cv2.imwrite(str(soft), cv2.GaussianBlur(cv2.imread(str(four[1])), (0, 0), 30))
    rng = np.random.default_rng(5)
    speckled = tmp_path / "speckled.png"
    grains = cv2.GaussianBlur(rng.normal(0, 1, (*SIZE[::-1], 3)), (0, 0), 6)
    cv2.imwrite(str(speckled), np.clip(100 + 3000 * grains, 0, 255).astype(np.uint8))
    with pytest.raises(NoAnswerError) as refused:
        flatten_photos([four[0], soft, speckled], one_scale(span=SPAN))
    assert "soft.png is blurred" in str(refused.value)
    assert "speckled.png shows other colours" in str(refused.value)


def test_a_photo_from_the_other_side_is_said_to_be_upside_down(four: list[Path]) -> None:
    first, second = (cv2.imread(str(path)) for path in four[:2])
    turned = view("turned.png", np.ascontiguousarray(second[::-1, ::-1]))
    assert "turned.png is upside down" in str(do_not_belong([turned], [view("a.png", first)]))
