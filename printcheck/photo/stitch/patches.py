"""A guess of how a picture lies on another, drawn tight by small patches that are looked for near it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from printcheck.photo.stitch.similarity import Copy, Lab, Matrix, Motion, Overlap, Shown, likeness, moved

LEAST_CORNER = 0.03  # lesser over greater share of gradient: below it the patch slides along an edge
LEAST_CONTRAST = 1.0  # CIELAB, rms: a barer patch shows nothing but noise
LEAST_ALIKE = 0.7  # correlation of a patch with where it was found
LEAST_PATCHES = 12
WHOLLY = 0.99  # of a patch inside the picture


@dataclass(frozen=True)
class _Round:
    """Whether on the fine copies; a patch's side, how far it is looked for, reach of the consensus (px)."""

    fine: bool
    side_px: int
    reach_px: int
    agree_px: float

    @property
    def half_px(self) -> int:
        """From a patch's middle to its edge."""
        return self.side_px // 2


FIRST = _Round(False, 25, 16, 4.0)
LATER = (_Round(False, 25, 6, 2.0), _Round(True, 41, 8, 3.0), _Round(True, 41, 4, 2.0))

SETTLING = _Round(True, 41, 10, 10.0)  # the consensus is left to the settling


def nearest(new: Shown, old: Shown, guess: Matrix, motion: Motion) -> Overlap | None:
    """The movement near a guess that the patches of the coarse copies agree on; None where they do not."""
    return _tightened(new, old, guess, motion, FIRST)


def drawn_tight(new: Shown, old: Shown, found: Overlap, motion: Motion) -> Overlap | None:
    """The same as near as the fine copies show it."""
    tight: Overlap | None = found
    for one in LATER:
        tight = None if tight is None else _tightened(new, old, tight.move, motion, one)
    return tight


def pairs_near(new: Shown, old: Shown, move: Matrix, motion: Motion) -> NDArray[np.float64]:
    """(n, 2, 2) places in the one picture and the other that the fine copies show to be the same."""
    found = _tightened(new, old, move, motion, SETTLING)
    return np.zeros((0, 2, 2)) if found is None else found.pairs


def _tightened(new: Shown, old: Shown, move: Matrix, motion: Motion, how: _Round) -> Overlap | None:
    source, target = (new.fine, old.fine) if how.fine else (new.coarse, old.coarse)
    there = target.from_whole @ move @ np.linalg.inv(source.from_whole)
    found = _pairs(source, target, there, how)
    if len(found) < LEAST_PATCHES:
        return None
    fitted, agree = motion.fit(found[:, 0], found[:, 1], how.agree_px)
    if fitted is None or agree.sum() < LEAST_PATCHES:
        return None
    whole = np.linalg.inv(target.from_whole) @ fitted @ source.from_whole
    if not motion.allowed(whole, new.size, old.size):
        return None
    pairs = np.stack(
        [
            moved(found[agree, 0], np.linalg.inv(source.from_whole)),
            moved(found[agree, 1], np.linalg.inv(target.from_whole)),
        ],
        1,
    )
    coarse = old.coarse.from_whole @ whole @ np.linalg.inv(new.coarse.from_whole)
    return Overlap(whole / whole[2, 2], pairs, likeness(new.coarse, old.coarse, coarse))


def _pairs(new: Copy, old: Copy, move: Matrix, how: _Round) -> Matrix:
    """(n, 2, 2) places in the new copy and in the old one of patches found near their guess."""
    laid = np.asarray(cv2.warpPerspective(new.lab, move, old.size, flags=cv2.INTER_LINEAR), np.float32)
    cover = cv2.warpPerspective(new.seen.astype(np.uint8), move, old.size, flags=cv2.INTER_NEAREST)
    patch = (how.side_px, how.side_px)
    whole = cv2.boxFilter(cover.astype(np.float32), -1, patch, borderType=cv2.BORDER_CONSTANT) > WHOLLY
    telling = whole & old.seen & _telling(laid, patch)
    reach, half = how.reach_px, how.half_px
    field = np.pad(old.lab, ((reach, reach), (reach, reach), (0, 0)))
    width, height = old.size
    found = []
    for y in range(half, height - half, half):
        for x in range(half, width - half, half):
            if not telling[y, x]:
                continue
            box = slice(y - half, y + half + 1), slice(x - half, x + half + 1)
            wide = slice(y - half, y + half + 1 + 2 * reach), slice(x - half, x + half + 1 + 2 * reach)
            shift = _found(laid[box], field[wide], reach)
            if shift is not None:
                found.append(((x, y), (x + shift[0], y + shift[1])))
    if not found:
        return np.zeros((0, 2, 2))
    pairs = np.array(found, dtype=np.float64)
    pairs[:, 0] = moved(pairs[:, 0], np.linalg.inv(move))
    return pairs


def _telling(lab: Lab, size: tuple[int, int]) -> NDArray[np.bool_]:
    """Where a patch has contrast, and gradients that run more than one way."""
    contrast = cv2.boxFilter(np.square(lab).sum(2), -1, size)
    across, along = (cv2.Sobel(lab, cv2.CV_32F, *way) for way in ((1, 0), (0, 1)))
    a, b, c = (
        cv2.boxFilter((u * v).sum(2), -1, size)
        for u, v in ((across, across), (across, along), (along, along))
    )
    spread = np.sqrt(np.square(a - c) / 4 + np.square(b))
    corner = ((a + c) / 2 - spread) / np.maximum((a + c) / 2 + spread, 1e-6)
    return np.asarray((contrast > LEAST_CONTRAST**2) & (corner > LEAST_CORNER))


def _found(patch: Lab, field: Lab, reach_px: int) -> tuple[float, float] | None:
    """Shift at which the patch is most like the field, to a part of a pixel; None where it is not clear."""
    alike = np.asarray(cv2.matchTemplate(field, patch, cv2.TM_CCOEFF_NORMED), np.float32)
    _, best, _, (x, y) = cv2.minMaxLoc(alike)
    if best < LEAST_ALIKE or not (0 < x < 2 * reach_px and 0 < y < 2 * reach_px):
        return None
    across, along = alike[y, x - 1 : x + 2], alike[y - 1 : y + 2, x]
    return x - reach_px + _top(across), y - reach_px + _top(along)


def _top(three: Lab) -> float:
    """Place of a parabola's top through three neighbours, from the middle one."""
    low, middle, high = (float(v) for v in three)
    bend = low - 2 * middle + high
    return 0.0 if bend >= 0 else 0.5 * (low - high) / bend
