"""Sets of overlapping photos of one cloth, hand-held: poses, lens, light and the cloth move between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.drawn import bars, colours, empty, motifs, nearly
from tests.drawn.art import HALF, Art, Cell
from tests.drawn.camera import Camera
from tests.drawn.photo import Photo, photograph

Rng = np.random.Generator
Sides = tuple[float, float]
SIZE_PX = (1600, 1200)
ROOM = 1.2  # repeats that the photos of a large repeat show together, each way: fewer show none twice
CLOSE = 1.1  # of the step from figure to figure: the step the other way
LARGE = ("floral", "packed", "damask", "plaid", "near-dense", "near-sparse", "figures")
SHAPES: dict[str, tuple[tuple[int, int], ...]] = {
    "pair": ((0, 0), (1, 0)),
    "strip": ((0, 0), (1, 0), (2, 0), (3, 0)),
    "column": ((0, 0), (0, 1), (0, 2), (0, 3)),
    "square": ((0, 0), (1, 0), (0, 1), (1, 1)),
    "long-strip": ((0, 0), (1, 0), (2, 0), (3, 0), (4, 0)),
    "long-column": ((0, 0), (0, 1), (0, 2), (0, 3), (0, 4)),
}


@dataclass(frozen=True)
class PhotoSet:
    """Photos of one cloth and what is true of them.

    Parameters
    ----------
    kind, shape : str
        Of the print, and of how the photos lie.
    overlap : float
        Share of a photo's side that its neighbour shows as well.
    times : float
        Repeat over the photo's side, in the direction where that is largest; 0 where nothing repeats.
    photos : tuple of Photo
        Two points of the first are told.
    """

    kind: str
    shape: str
    overlap: float
    times: float
    photos: tuple[Photo, ...]


def photo_set(index: int, seed: int = 0) -> PhotoSet:
    """One set: every third within a view, the others of 1 to 2.5 views, now and then a scatter.

    Examples
    --------
    >>> photo_set(0).kind
    'floral'
    """
    rng = np.random.default_rng([seed, index])
    within = index % 3 == 2
    kind = "scatter" if index % 12 == 10 else LARGE[index % len(LARGE)]
    shape = str(rng.choice(["pair", "strip", "column", "square"] if within else list(SHAPES)[1:]))
    overlap = float(rng.uniform(0.25, 0.6))
    view = float(rng.uniform(180, 320))
    sides = np.array([view, view * SIZE_PX[1] / SIZE_PX[0]])
    times = _times_within(rng) if within else _times_beyond(rng, shape, overlap)
    art = PRINTS[kind](rng, (float(times[0] * sides[0]), float(times[1] * sides[1])))
    photos = _photos(rng, art, SHAPES[shape], sides, overlap, seed=1000 * seed + index)
    longest = float((np.abs(art.basis_mm) / sides).max()) if art.basis_mm else 0.0
    return PhotoSet(kind, shape, overlap, longest, photos)


def laid_set(
    kind: str, steps: tuple[tuple[int, int], ...], *, size_px: tuple[int, int] = SIZE_PX
) -> PhotoSet:
    """Photos of a print of 1.3 views each way, taken at these steps, two fifths of each over its neighbour.

    Examples
    --------
    >>> len(laid_set("plaid", ((0, 0),), size_px=(160, 120)).photos)
    1
    """
    rng = np.random.default_rng([len(steps), *size_px])
    sides = np.array([240.0, 240.0 * size_px[1] / size_px[0]])
    art = PRINTS[kind](rng, (float(1.3 * sides[0]), float(1.3 * sides[1])))
    photos = _photos(rng, art, steps, sides, 0.4, seed=len(steps), size_px=size_px)
    return PhotoSet(kind, f"{len(steps)} photos", 0.4, 1.3, photos)


def large_print(kind: str, seed: list[int]) -> Photo:
    """One photo of 0.9 to 2.2 repeats each way: what photos laid together show of a large repeat, or less."""
    rng = np.random.default_rng(seed)
    view = float(rng.uniform(250, 700))
    sides = np.array([view, view * SIZE_PX[1] / SIZE_PX[0]]) / rng.uniform(0.9, 2.2, 2)
    art = PRINTS[kind](rng, (float(sides[0]), float(sides[1])))
    camera = Camera(
        view_mm=view,
        size_px=SIZE_PX,
        turn_deg=float(rng.normal(0, 3)),
        k1=float(rng.uniform(-0.01, 0.01)),
        strain=float(rng.uniform(0.001, 0.004)),
        light=float(rng.uniform(0.02, 0.2)),
        noise=float(rng.uniform(2, 5)),
    )
    return photograph(art, camera, reference="span", seed=int(rng.integers(1 << 30)))


def stranger_set(index: int, seed: int = 0) -> PhotoSet:
    """Two photos that share nothing: of one large print well apart (even numbers), or of two cloths."""
    rng = np.random.default_rng([seed, index, 1])
    kind = LARGE[index // 2 % len(LARGE)]
    sides = np.array([240.0, 240.0 * SIZE_PX[1] / SIZE_PX[0]])
    if index % 2 == 0:
        art = PRINTS["scatter"](rng, (float(sides[0]), float(sides[1])))
        photos = _photos(rng, art, ((0, 0), (2, 1)), sides, 0.2, seed=1000 * seed + index)
        return PhotoSet("scatter", "apart", 0.0, 0.0, photos)
    both = []
    for n in range(2):
        art = PRINTS[kind](rng, (float(0.8 * sides[0]), float(0.8 * sides[1])))
        both += _photos(rng, art, ((0, 0),), sides, 0.0, seed=1000 * seed + index + n)
    return PhotoSet(kind, "two cloths", 0.0, 0.0, tuple(both))


def _times_within(rng: Rng) -> tuple[float, float]:
    return float(rng.uniform(0.35, 0.8)), float(rng.uniform(0.35, 0.8))


def _times_beyond(rng: Rng, shape: str, overlap: float) -> tuple[float, float]:
    """Repeats over the photo's sides: more than one photo shows, no more than all together do."""
    most = (np.max(SHAPES[shape], axis=0) * (1 - overlap) + 1) / ROOM
    across, along = (float(rng.uniform(1.0, m)) if m > 1 else float(rng.uniform(0.35, 0.75)) for m in most)
    return min(across, 2.5), min(along, 2.5)


def _photos(
    rng: Rng,
    art: Art,
    steps: tuple[tuple[int, int], ...],
    sides: np.ndarray,
    overlap: float,
    *,
    seed: int,
    size_px: tuple[int, int] = SIZE_PX,
) -> tuple[Photo, ...]:
    taken = []
    for n, step in enumerate(steps):
        look = (np.array(step) * (1 - overlap) + rng.normal(0, 0.03, 2)) * sides
        camera = Camera(
            view_mm=float(sides[0] * rng.uniform(0.93, 1.07)),
            size_px=size_px,
            tilt_deg=0.0 if n == 0 else float(rng.uniform(0, 7)),
            tilt_towards_deg=float(rng.uniform(0, 360)),
            turn_deg=float(rng.normal(0, 3)),
            k1=float(rng.uniform(-0.015, 0.015)),
            look_mm=(float(look[0]), float(look[1])),
            strain=float(rng.uniform(0.001, 0.004)),
            light=float(rng.uniform(0.05, 0.3)),
            noise=float(rng.uniform(2, 5)),
        )
        taken.append(photograph(art, camera, reference="given" if n else "span", seed=seed))
    return tuple(taken)


def _damask(rng: Rng, sides: Sides) -> Art:
    """A half-drop of one large emblem among small sprigs, each with its mirror image."""
    cell = Cell(sides[0] / 2, sides[1], HALF)
    return motifs.mirrored_sprigs(rng, cell)


def _plaid(rng: Rng, sides: Sides) -> Art:
    ground = colours.ground(rng)
    inks = [ground, *colours.inks(rng, 3, ground)]
    warp, weft = (bars.random_sequence(rng, side, inks, even=False) for side in sides)
    return bars.check("uneven-plaid", warp, weft)


def _near_dense(rng: Rng, sides: Sides) -> Art:
    """Figures close together that alternate along the longer side: nearly a repeat of half of it."""
    what = str(rng.choice(["facing", "turned", "colour"]))
    across, along = sides[0] / 2, sides[1] / 2
    if across >= along:
        along = min(2 * along, CLOSE * across)
        return nearly.alternating_figures(rng, across, what=what, pattern="columns", along_mm=along)
    across = min(2 * across, CLOSE * along)
    return nearly.alternating_figures(rng, across, what=what, pattern="rows", along_mm=along)


def _near_sparse(rng: Rng, sides: Sides) -> Art:
    """A field of like flowers, two of them in another colour."""
    return nearly.odd_ones(rng, sides, odd=2)


def _scatter(rng: Rng, sides: Sides) -> Art:
    return empty.scatter(rng, 2 * max(sides), spot_mm=max(sides) / 7)


PRINTS: dict[str, Callable[[Rng, Sides], Art]] = {
    "floral": lambda rng, sides: motifs.floral(rng, Cell(*sides)),
    "packed": lambda rng, sides: motifs.floral(rng, Cell(*sides), packed=True),
    "damask": _damask,
    "plaid": _plaid,
    "near-dense": _near_dense,
    "near-sparse": _near_sparse,
    "figures": lambda rng, sides: motifs.figures_print(rng, Cell(*sides), heads="one-way", count=9, kinds=3),
    "scatter": _scatter,
}
