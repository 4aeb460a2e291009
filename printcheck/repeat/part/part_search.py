"""A photo that shows more than the cloth: the lattice is found in a part of it, and followed to its edge."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import cv2
import numpy as np

from printcheck.core.findings import finding
from printcheck.core.handover import FlatCloth, PrintLattice
from printcheck.repeat.arrays import Mask, Vectors
from printcheck.repeat.cells.refine import Fit
from printcheck.repeat.part.extent import extent_of
from printcheck.repeat.part.swatch import apart_by_colour, unlikeness
from printcheck.repeat.surface.illumination import outline_on

WINDOW = 0.6  # of each side: people put what they photograph in the middle
ASIDE = 0.12  # of the side: an object of known size further from the middle is looked around as well
SURE = 0.5  # confidence that a lattice needs over all its cloth
PROMISING = 0.25  # confidence that it needs in the window, where few repeats are seen, to be followed
CUT_SQUARE = 0.87  # of the least rectangle round a piece: a disc fills 0.79 of it, a cut piece 0.9 and more
UNLIKE = 0.7  # of the picture's own power left in a cell: it shows something else
SAME_CLOTH = 0.12  # unlikeness: of one plaid's parts up to 0.09, of cloth and what it lay on 0.15 and more
MOST = 0.5  # of the cloth seen: a lattice that holds on so much is its own
SIDES = (0.4, 0.25)  # of the cloth: a border's field fills as much beside it, where both are photographed
MARKED = 0.5  # of what lies within the given corners: more is hidden than an edge of the mask
UNLIKE_CELLS = 0.06  # of the cells, above which the cloth may end within the picture

Search = Callable[[FlatCloth], PrintLattice]


def on_its_part(cloth: FlatCloth, search: Search, *, striped: bool = False) -> PrintLattice | None:
    """Lattice of the cloth in the middle of the picture or under the object; None where there is none.

    A cut piece that its looks set apart is judged alone even if little or nothing repeats in it: plain
    cloth stays plain whatever it lies on.

    Parameters
    ----------
    cloth : FlatCloth
        In the whole of which no repeat was found.
    search : callable
        Finds the lattice of a flat picture within its mask.
    striped : bool, keyword-only
        Whether the picture stays the same along one direction: what looks set apart is then a bar.
    """
    found = _within_corners(cloth, search)
    if found is not None:
        return found
    piece = None if striped else _piece(cloth)
    if piece is None:
        return _from_a_window(cloth, search)
    part = replace(cloth, mask=piece)
    alone = search(part)
    if _is_sure(alone):
        followed = followed_from(part, alone, middle_of(part), search)
        return _noted(cloth, followed if _is_sure(followed) else alone, piece)
    return _from_a_window(cloth, search) or _noted(cloth, alone, piece)


def _within_corners(cloth: FlatCloth, search: Search) -> PrintLattice | None:
    """Within the corners that the user gave, where that was taken for an object but is the cloth itself."""
    marked = _marked(cloth)
    within = None if marked is None else search(replace(cloth, mask=marked))
    if marked is None or within is None or not _is_sure(within):
        return None
    whole = replace(cloth, mask=cloth.mask | marked)
    return _noted(whole, followed_from(whole, within, marked, search), marked)


def _piece(cloth: FlatCloth) -> Mask | None:
    """A cut piece that its looks set apart from what lies around it; part of a large print is none."""
    piece = apart_by_colour(cloth)
    if piece is None or not _is_cut_square(piece) or unlikeness(cloth, piece) < SAME_CLOTH:
        return None
    return piece


def _from_a_window(cloth: FlatCloth, search: Search) -> PrintLattice | None:
    """Found in a part of the picture and followed from there."""
    for window in _windows(cloth):
        found = _followed_in(window, cloth, search)
        if found is not None and _is_of_the_cloth(cloth, found, window):
            return _noted(cloth, found, window)
    return None


def _followed_in(window: Mask, cloth: FlatCloth, search: Search) -> PrintLattice | None:
    """What repeats in a part, followed from there; None where it does not hold on."""
    found = search(replace(cloth, mask=cloth.mask & window))
    if not _is_sure(found, PROMISING):
        return None
    followed = followed_from(cloth, found, window, search)
    return followed if followed is not found and _is_sure(followed) else None


def with_its_field(cloth: FlatCloth, one: PrintLattice, search: Search) -> PrintLattice:
    """What repeats along one direction alone, as a border where one side of the cloth has its own lattice.

    Parameters
    ----------
    one : PrintLattice
        With a repeat across or along.
    """
    if one.repeat.border:
        return one
    low, size = _bounds(cloth)
    way = 1 if one.repeat.across_mm is not None else 0
    place = (np.arange(cloth.mask.shape[1 - way]) - low[way]) / size[way]
    place = place[:, None] if way else place
    if not any(_has_a_field(cloth, share, place, search) for share in SIDES):
        return one
    every = one.repeat.across_mm or one.repeat.along_mm or 0.0
    told = finding("repeat-border-of-field", every_mm=every)
    kept = (f for f in one.findings if f.code != "repeat-one-direction")
    return replace(one, repeat=replace(one.repeat, border=True), findings=(told, *kept))


def _has_a_field(cloth: FlatCloth, share: float, place: Vectors, search: Search) -> bool:
    """Whether one side that looks unlike the rest, and not the other, has a lattice of its own."""
    sides = [cloth.mask & beside for beside in (place < share, place > 1 - share)]
    unlike = [side for side in sides if unlikeness(cloth, side) >= SAME_CLOTH]  # much quicker than a search
    return sum(_followed_in(side, cloth, search) is not None for side in unlike) == 1


def followed_from(cloth: FlatCloth, found: PrintLattice, seed: Mask, search: Search) -> PrintLattice:
    """The lattice again over all the cloth on which it holds, and no more than that.

    Parameters
    ----------
    found : PrintLattice
        To be followed from the seed; returned as it is where it holds everywhere, or not even there.
    seed : (H, W) bool
        Part of the mask where it was found.
    """
    extent = extent_of(cloth, found, seed)
    if extent is None:
        return found
    again = search(replace(cloth, mask=extent))
    return replace(again, extent=extent)


def _is_of_the_cloth(cloth: FlatCloth, found: PrintLattice, window: Mask) -> bool:
    """Whether it holds on most of the cloth, or something else lies beyond.

    Where the same cloth goes on without it, the cloth's own repeat is a larger one.
    """
    extent = window if found.extent is None else found.extent
    return float(extent.sum()) >= MOST * float(cloth.mask.sum()) or unlikeness(cloth, extent) >= SAME_CLOTH


def _noted(cloth: FlatCloth, found: PrintLattice, part: Mask) -> PrintLattice:
    """The answer with the part of the cloth it holds on, and a remark on the rest."""
    extent = part if found.extent is None else found.extent
    left_out = 1 - float(extent.sum()) / max(float(cloth.mask.sum()), 1.0)
    remark = finding("repeat-part-of-photo", percent=100 * left_out)
    return replace(found, extent=extent, findings=(*found.findings, remark))


def _is_sure(found: PrintLattice, least: float = SURE) -> bool:
    return len(found.basis_px) > 0 and found.repeat.confidence >= least


def on_its_cloth(cloth: FlatCloth, found: PrintLattice, search: Search) -> PrintLattice:
    """A lattice found in the whole picture, without the places where something else shows."""
    followed = followed_from(cloth, found, middle_of(cloth), search)
    return _noted(cloth, followed, cloth.mask) if followed is not found and len(followed.basis_px) else found


def _is_cut_square(part: Mask) -> bool:
    """Whether the part has the outline of a cut piece, which no motif and no pool of light has."""
    outlines, _ = cv2.findContours(part.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    outline = max(outlines, key=cv2.contourArea)
    width, height = cv2.minAreaRect(outline)[1]
    return bool(cv2.contourArea(outline) >= CUT_SQUARE * width * height)


def is_patchy(fit: Fit) -> bool:
    """Whether some cells show something else altogether: what lies beyond the cloth's edge, or on it."""
    count = fit.weight.sum(axis=(2, 3))
    seen = count > 0.3 * count.max()
    level = np.einsum("rc,rck->k", fit.count, fit.mean) / max(float(fit.count.sum()), 1.0)
    off = np.einsum("jirck,jirc->ji", np.square(fit.cells - fit.mean), fit.weight)[seen] / count[seen]
    usual = float(np.square(fit.mean - level).sum(axis=2).mean())
    return bool((off > UNLIKE * usual).mean() > UNLIKE_CELLS)


def middle_of(cloth: FlatCloth) -> Mask:
    """The middle of what is seen."""
    low, size = _bounds(cloth)
    return _window(cloth, low + size / 2, size)


def _bounds(cloth: FlatCloth) -> tuple[Vectors, Vectors]:
    """Top left corner and size of the mask, (x, y) pixels."""
    rows, columns = np.flatnonzero(cloth.mask.any(axis=1)), np.flatnonzero(cloth.mask.any(axis=0))
    if not len(rows):
        return np.zeros(2), np.zeros(2)
    low = np.array([columns[0], rows[0]], dtype=np.float64)
    return low, np.array([columns[-1] + 1, rows[-1] + 1]) - low


def _windows(cloth: FlatCloth) -> Iterator[Mask]:
    """Parts of the mask to look at: the middle, then round the object of known size where that lies aside."""
    low, size = _bounds(cloth)
    middle = low + size / 2
    yield _window(cloth, middle, size)
    if cloth.outline_px is not None and len(cloth.outline_px) > 2:
        at = outline_on(cloth).mean(axis=0)
        if (np.abs(at - middle) > ASIDE * size).any():
            margin = WINDOW * size / 2
            yield _window(cloth, np.clip(at, low + margin, low + size - margin), size)


def _marked(cloth: FlatCloth) -> Mask | None:
    """What is hidden within the corners that the user gave."""
    if cloth.scale.source != "corners" or cloth.outline_px is None:
        return None
    inside = np.zeros(cloth.mask.shape, np.uint8)
    cv2.fillConvexPoly(inside, np.round(outline_on(cloth)).astype(np.int32), 1)
    hidden = (inside > 0) & ~cloth.mask
    return hidden if hidden.sum() > MARKED * inside.sum() else None


def _window(cloth: FlatCloth, middle: Vectors, size: Vectors) -> Mask:
    left, top = np.round(middle - WINDOW * size / 2).astype(int)
    right, bottom = np.round(middle + WINDOW * size / 2).astype(int)
    window = np.zeros_like(cloth.mask)
    window[max(top, 0) : bottom, max(left, 0) : right] = True
    return np.asarray(window & cloth.mask)
