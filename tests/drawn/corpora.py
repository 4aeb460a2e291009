"""Named sets of drawn photos, each scene known from (corpus, index, seed) alone."""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from tests.drawn import metal, objects, prints
from tests.drawn.art import Art, Hand, Image
from tests.drawn.camera import Camera
from tests.drawn.objects import Laid, Thing
from tests.drawn.photo import Photo, Truth, photograph
from tests.drawn.recipes import LATTICE, NEAR, WITHOUT, Recipe, Room
from tests.drawn.table import LOOKS, Table

Rng = np.random.Generator
SIZES_PX = ((1600, 1200), (1600, 1200), (1280, 960), (2000, 1500))
LARGE_PX = ((1200, 900), (2560, 1920), (4000, 3000))  # now and then: 1 to 12 megapixels
VIEW_MM = (90.0, 650.0)


@dataclass(frozen=True)
class Scene:
    """One drawn photo, its truth, and the arguments that tell its scale."""

    name: str
    kind: str
    photo: Photo

    @property
    def bgr(self) -> Image:
        """The picture, (H, W, 3) uint8."""
        return self.photo.bgr

    @property
    def truth(self) -> Truth:
        """What is true of it."""
        return self.photo.truth

    @property
    def args(self) -> tuple[str, ...]:
        """Scale options for the command line."""
        return self.photo.truth.args


def corpus(name: str, n: int | None = None, seed: int = 0, *, start: int = 0) -> Iterator[Scene]:
    """Scenes of a corpus, drawn as they are asked for.

    Parameters
    ----------
    name : str
        One of CORPORA.
    n : int, optional
        How many; the corpus's usual number by default.
    seed : int
        Another seed gives other scenes of the same kinds.
    start : int, keyword-only
        Index of the first.
    """
    for index in range(start, start + (CORPORA[name].usual if n is None else n)):
        yield scene(name, index, seed)


def scene(name: str, index: int, seed: int = 0) -> Scene:
    """One scene, the same for the same three arguments."""
    rng = np.random.default_rng([seed, zlib.crc32(name.encode()), index])
    kind, photo = CORPORA[name].draw(rng, index)
    return Scene(f"{name}-{seed}-{index:03d}-{kind}.jpg", kind, photo)


def some_camera(rng: Rng, view_mm: float, *, tilt_deg: float = 0.0, large: bool = False) -> Camera:
    """A hand-held camera over cloth as it lies."""
    sizes = LARGE_PX if large else SIZES_PX
    return Camera(
        view_mm=view_mm,
        size_px=sizes[int(rng.integers(len(sizes)))],
        tilt_deg=float(rng.uniform(0, tilt_deg)) if tilt_deg else 0.0,
        tilt_towards_deg=float(rng.uniform(0, 360)),
        turn_deg=float(rng.uniform(-8, 8) if rng.random() < 0.8 else rng.uniform(-15, 15)),
        skew_deg=float(rng.uniform(-2, 2)) if rng.random() < 0.4 else 0.0,
        k1=float(rng.uniform(-0.03, 0.03)) if rng.random() < 0.6 else 0.0,
        focal=float(rng.uniform(0.8, 1.1)),
        strain=float(rng.uniform(0, 0.012)) if rng.random() < 0.6 else 0.0,
        light=float(rng.uniform(0.05, 0.4)),
        wrinkles=float(rng.uniform(0.005, 0.04)),
        weave_mm=float(rng.uniform(0.3, 0.8)),
        weave=float(rng.uniform(0.02, 0.12)),
        blur_px=float(rng.uniform(0.45, 1.3)),
        noise=float(rng.uniform(0.6, 5.5)),
        jpeg=int(rng.integers(70, 96)),
        exif=bool(rng.random() < 0.5),
    )


def some_view(rng: Rng, low: float = VIEW_MM[0], high: float = VIEW_MM[1]) -> float:
    """Width of cloth in view, spread evenly over its logarithm."""
    return float(math.exp(rng.uniform(math.log(low), math.log(high))))


def room_of(camera: Camera) -> Room:
    """The view the print has to suit."""
    w, h = camera.size_px
    return Room(camera.view_mm, camera.view_mm * h / w, camera.mm_per_px)


def _scaled(rng: Rng) -> str:
    return str(rng.choice(["given", "span", "corners", "card", "width"], p=[0.3, 0.2, 0.3, 0.15, 0.05]))


def take(rng: Rng, recipe: Recipe, *, reference: str, rough: bool = False, large: bool = False) -> Photo:
    """A photo of one print by a recipe; with a card, the view suits it."""
    view = some_view(rng, 190, 520) if reference == "card" else some_view(rng)
    tilt = 25.0 if reference in ("corners", "card") else 0.0
    camera = some_camera(rng, view, tilt_deg=tilt, large=large)
    art = recipe(rng, room_of(camera))
    hand = None
    if rough:
        camera = roughened(rng, camera)
        if art.motif_mm and rng.random() < 0.6:
            hand = hand_made(rng, art)
    things = (placed(rng, objects.card(rng), camera),) if reference == "card" else ()
    return photograph(
        art, camera, objects=things, reference=reference, hand=hand, seed=int(rng.integers(2**31))
    )


def roughened(rng: Rng, camera: Camera) -> Camera:
    """The same camera over rougher cloth: visible weave, uneven threads and dye, folds."""
    return replace(
        camera,
        weave_mm=float(max(rng.uniform(0.4, 0.8), 2.2 * camera.mm_per_px)),
        weave=float(rng.uniform(0.1, 0.3)),
        slub=float(rng.uniform(0.0, 0.05)),
        dye=float(rng.uniform(0.0, 0.05)),
        folds=float(rng.uniform(0.03, 0.12)) if rng.random() < 0.4 else 0.0,
    )


def hand_made(rng: Rng, art: Art) -> Hand:
    """Irregularity in proportion to the print's motif."""
    size = min(art.motif_mm or (5.0, 5.0))
    return Hand(
        shift_mm=float(rng.uniform(0.005, 0.035) * size),
        turn_deg=float(rng.uniform(0, 4)),
        size=float(rng.uniform(0, 0.04)),
        shade=float(rng.uniform(0, 9)),
        seed=int(rng.integers(2**31)),
    )


def placed(rng: Rng, thing: Thing, camera: Camera, *, cut: bool = False) -> Laid:
    """The thing at a random place and turn, wholly in view, or ``cut`` by one edge of the picture."""
    w, h = camera.size_px
    shadow = float(rng.uniform(0.1, 0.5))
    fall = (float(rng.uniform(-1.5, 1.5)), float(rng.uniform(0.2, 1.8)))
    best, least = Laid(thing), math.inf
    for _ in range(200):
        seen = rng.uniform((0.05 * w, 0.05 * h), (0.95 * w, 0.95 * h))
        at = camera.unproject(seen[None])[0]
        laid = Laid(thing, (float(at[0]), float(at[1])), float(rng.uniform(0, 360)), shadow, fall)
        corners = camera.project(laid.corners_mm(), thing.height_mm)
        out = np.maximum(np.maximum(-corners, corners - (w - 1, h - 1)), 0).max(1)
        share = float(out.max()) / float(np.linalg.norm(corners[0] - corners[2]))
        wanted = 0.04 < share < 0.16 and (out > 0).sum() <= 2 if cut else share == 0
        if wanted:
            return laid
        if share < least:
            best, least = laid, share
    return best


def along_edge(rng: Rng, thing: Thing, camera: Camera) -> Laid:
    """A tape across the whole picture, near one of its edges."""
    room = room_of(camera)
    upright = bool(rng.random() < 0.25)
    off = float(rng.choice([-1, 1]) * rng.uniform(0.28, 0.4))
    lean = -camera.turn_deg + float(rng.uniform(-2, 2))
    if upright:
        return Laid(thing, (off * room.width_mm, 0.0), 90 + lean, 0.25)
    return Laid(thing, (0.0, off * room.height_mm), lean, 0.25)


def _cycle(recipes_of: dict[str, Recipe]) -> Callable[[Rng, int], tuple[str, Photo]]:
    names = list(recipes_of)

    def draw(rng: Rng, index: int) -> tuple[str, Photo]:
        kind = names[index % len(names)]
        large = (index // len(names)) % 6 == 5
        return kind, take(rng, recipes_of[kind], reference=_scaled(rng), large=large)

    return draw


def _near(rng: Rng, index: int) -> tuple[str, Photo]:
    names = list(NEAR)
    kind = names[index % len(names)]
    reference = str(rng.choice(["given", "span", "corners"]))
    return kind, take(rng, NEAR[kind], reference=reference)


def _rough(rng: Rng, index: int) -> tuple[str, Photo]:
    kinds = {**LATTICE, **WITHOUT}
    names = list(kinds)
    kind = names[index % len(names)]
    reference = str(rng.choice(["given", "span", "corners"]))
    return kind, take(rng, kinds[kind], reference=reference, rough=True)


def _swatches(rng: Rng, index: int) -> tuple[str, Photo]:
    """Cloth that does not fill the photo; a card, where there is one, lies on it."""
    names = list(LATTICE)
    kind, look = names[index % len(names)], LOOKS[index % len(LOOKS)]
    reference = str(rng.choice(["given", "corners", "card"], p=[0.35, 0.3, 0.35]))
    camera = some_camera(rng, some_view(rng, 260, 600), tilt_deg=0.0 if reference == "given" else 20.0)
    room = room_of(camera)
    cut = rng.uniform(0.55, 0.9, 2)  # of the view, across and along
    half = np.array([room.width_mm, room.height_mm]) * cut / 2
    middle = rng.uniform(-0.08, 0.08, 2) * (room.width_mm, room.height_mm)
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half * rng.uniform(0.92, 1.05, (4, 2)) + middle
    table = Table(tuple((float(u), float(v)) for u, v in corners), look, seed=int(rng.integers(2**31)))
    art = LATTICE[kind](rng, Room(2 * float(half[0]), 2 * float(half[1]), room.mm_per_px))
    thing = Laid(objects.card(rng), (float(middle[0]), float(middle[1])), float(rng.uniform(0, 360)), 0.3)
    return look, photograph(
        art,
        camera,
        objects=(thing,) if reference == "card" else (),
        reference=reference,
        table=table,
        seed=int(rng.integers(2**31)),
    )


def _prints(rng: Rng, index: int) -> tuple[str, Photo]:
    kinds = {
        **LATTICE,
        "alternating-turned": NEAR["alternating-turned"],
        "alternating-facing": NEAR["alternating-facing"],
    }
    names = list(kinds)
    kind = names[index % len(names)]
    return kind, take(rng, kinds[kind], reference=str(rng.choice(["given", "corners"])))


# kind of object -> (least view, largest view in mm, largest tilt in degrees)
VIEWS: dict[str, tuple[float, float, float]] = {
    "card": (180, 520, 25),
    "card-cut": (180, 420, 20),
    "A6": (280, 560, 25),
    "A5": (380, 700, 25),
    "A4": (520, 950, 25),
    "letter": (520, 950, 25),
    "rect:127x76mm": (260, 520, 25),
    "coin:23.25mm": (90, 240, 4),
    "coin:24.26mm": (90, 240, 4),
    "coin:25.9mm": (90, 260, 4),
    "rule": (150, 520, 4),
    "rule-in": (150, 420, 4),
}
# diameter of a coin -> its metals and its thickness in mm (from memory)
COINS: dict[float, tuple[tuple[str, ...], float]] = {
    23.25: (("two-tone",), 2.33),
    24.26: (("silver",), 1.75),
    25.9: (("copper", "gold"), 1.85),
}
NEAREST_MM = 120.0  # camera to cloth: a phone does not focus nearer, and zooms instead
REFERENCE_ORDER = (
    *("card", "A6", "coin:23.25mm", "card", "rule", "A5", "card", "coin:24.26mm", "card-cut", "A4"),
    *("card", "rect:127x76mm", "rule-in", "card", "letter", "coin:25.9mm", "card", "A6", "rule", "card"),
)


def thing_for(rng: Rng, kind: str, view_mm: float) -> Thing:
    """An object of the kind, drawn at random."""
    if kind.startswith("card"):
        return objects.card(rng)
    if kind.startswith("coin"):
        diameter = float(kind[5:-2])
        metals, thick_mm = COINS[diameter]
        return metal.coin(rng, diameter, metal=str(rng.choice(metals)), thick_mm=thick_mm)
    if kind.startswith("rule"):
        return metal.tape(rng, 1.5 * view_mm, units="in" if kind.endswith("in") else "mm")
    if kind.startswith("rect"):
        return objects.sheet(rng, name=kind, size_mm=(127.0, 76.0))
    return objects.sheet(rng, name=kind)


def _references(rng: Rng, index: int) -> tuple[str, Photo]:
    kind = REFERENCE_ORDER[index % len(REFERENCE_ORDER)]
    low, high, tilt = VIEWS[kind]
    camera = some_camera(rng, some_view(rng, low, high), tilt_deg=tilt)
    camera = replace(camera, focal=max(camera.focal, NEAREST_MM / camera.view_mm))
    art = _any_print(rng, camera)
    thing = thing_for(rng, kind, camera.view_mm)
    laid = (
        along_edge(rng, thing, camera)
        if kind.startswith("rule")
        else placed(rng, thing, camera, cut="cut" in kind)
    )
    said = {"card-cut": "card", "rule-in": "rule"}.get(kind, kind)
    return kind, photograph(art, camera, objects=(laid,), reference=said, seed=int(rng.integers(2**31)))


def _any_print(rng: Rng, camera: Camera) -> Art:
    kinds = {**LATTICE, **WITHOUT}
    names = list(kinds)
    return kinds[names[int(rng.integers(len(names)))]](rng, room_of(camera))


def _without_objects(rng: Rng, index: int) -> tuple[str, Photo]:
    asked = ("card", "A6", "coin:23.25mm", "rule", "auto", "A5", "coin:24.26mm", "auto")[index % 8]
    camera = some_camera(rng, some_view(rng, 120, 600), tilt_deg=15)
    return asked, photograph(_any_print(rng, camera), camera, reference=asked, seed=int(rng.integers(2**31)))


def _decoys(rng: Rng, index: int) -> tuple[str, Photo]:
    """Things that are nearly a card: a business card, a telephone, a card printed on the cloth itself."""
    kind = ("business-card", "telephone", "printed-card")[index % 3]
    camera = some_camera(rng, some_view(rng, 220, 450), tilt_deg=15)
    seed = int(rng.integers(2**31))
    if kind == "printed-card":
        return kind, photograph(
            prints.printed_cards(rng, camera.view_mm), camera, reference="card", seed=seed
        )
    thing = objects.card(rng, size_mm=(85.0, 55.0), name=kind, corner_mm=0.0)
    if kind == "telephone":
        thing = objects.card(rng, size_mm=(147.0, 71.5), name=kind, corner_mm=9.0)
    laid = placed(rng, thing, camera)
    return kind, photograph(_any_print(rng, camera), camera, objects=(laid,), reference="card", seed=seed)


@dataclass(frozen=True)
class Corpus:
    """How many scenes a corpus usually has, and how one is drawn."""

    usual: int
    draw: Callable[[Rng, int], tuple[str, Photo]]


CORPORA: dict[str, Corpus] = {
    "lattice": Corpus(312, _cycle({**LATTICE, **WITHOUT})),
    "near-repeats": Corpus(99, _near),
    "rough": Corpus(104, _rough),
    "references": Corpus(200, _references),
    "no-reference": Corpus(200, _without_objects),
    "decoys": Corpus(30, _decoys),
    "prints": Corpus(192, _prints),
    "swatches": Corpus(88, _swatches),
}
