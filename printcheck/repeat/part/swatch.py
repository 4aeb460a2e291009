"""A first guess at the cloth's outline by its looks: what is like the middle and unlike the photo's frame.

Only a guess: prints share colours with tables, and a cloth that fills the photo has no outline at all. It
says where to search; whether there is a lattice, and how far it reaches, is decided by the lattice.

A place is judged by its patch, by the mean and the scatter of its colours: a colour alone says little
where a print has many and so have the things around it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np

from printcheck.core.handover import FlatCloth
from printcheck.repeat.arrays import Bgr, Image, Mask

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

LONGEST_PX = 240  # working pixels along the longer side
MIDDLE = 0.35  # of each side: taken for cloth
FRAME = 0.06  # of each side: taken for what lies around
PATCH = 0.05  # of the longer side: a place is judged with its neighbourhood, motifs and all
EVERY = 5  # places to one that is kept as an example: patches overlap by far more
LEAST_EXAMPLES = 20  # fewer show nothing
NEIGHBOURS = 8  # examples to the one whose distance is usual: the nearest are the same patch, moved a little
UNLIKE = 4.0  # usual distances, beyond which a patch shows something else
LEAST_UNLIKE_LAB = 3.0  # CIELAB: less is uneven light
LAB_WEIGHT = np.array([0.5, 1.0, 1.0], np.float32)  # a pool of light changes the lightness most
NO_BOX = (0, 0, 0, 0)  # the labels say where the piece is
COLOUR_MODEL = 65  # numbers that OpenCV keeps of one side's colours
CUTS = 3  # rounds of colours and cut
HEM_PX = 2  # working pixels taken off along the edge: rather a little less cloth than table with it
LEAST, MOST = 0.08, 0.92  # of the picture: less is a motif, more is the whole


def apart_by_colour(cloth: FlatCloth) -> Mask | None:
    """Part of the mask that looks like the middle and not like the frame; None where they look alike.

    Parameters
    ----------
    cloth : FlatCloth

    Returns
    -------
    (H, W) bool or None

    Notes
    -----
    A place is cloth where the example most like it in the middle is nearer than the one in the frame
    (nearest neighbour; Cover and Hart 1967).
    """
    small, patches, seen = _patches(cloth)
    middle, frame = _box(seen, (1 - MIDDLE) / 2), seen & ~_box(seen, FRAME)
    inside, outside = patches[middle][::EVERY], patches[frame][::EVERY]
    if min(len(inside), len(outside)) < LEAST_EXAMPLES:
        return None
    inside, outside = _told_apart(inside, outside)
    if min(len(inside), len(outside)) < LEAST_EXAMPLES:
        return None
    places = patches[seen]
    nearer = _examples(inside).query(places)[0] < _examples(outside).query(places)[0]
    like = np.zeros_like(seen)
    like[seen] = nearer
    on = _along_edges(small, _around_middle(like, middle))
    if not LEAST < on.mean() < MOST:
        return None
    on_px = cv2.erode(on.astype(np.uint8), np.ones((2 * HEM_PX + 1, 2 * HEM_PX + 1), np.uint8))
    whole = cv2.resize(on_px, cloth.mask.shape[::-1], interpolation=cv2.INTER_NEAREST)
    return np.asarray(cloth.mask & (whole > 0))


def unlikeness(cloth: FlatCloth, part: Mask) -> float:
    """Share of the mask's other places that look like nothing in this part of it."""
    _, patches, seen = _patches(cloth)
    on = cv2.resize(part.astype(np.uint8), seen.shape[::-1], interpolation=cv2.INTER_NEAREST) > 0
    inside, outside = patches[seen & on][::EVERY], patches[seen & ~on][::EVERY]
    if min(len(inside), len(outside)) < LEAST_EXAMPLES:
        return 0.0
    return float(_unlike(inside, outside).mean())


def _told_apart(inside: Image, outside: Image) -> tuple[Image, Image]:
    """Examples of cloth and of what lies around, without those of the one that are like the other.

    What both show belongs to the one that it makes up more of: cloth that reaches the photo's edge, or a
    table that reaches into the middle.
    """
    cloth, around = _unlike(outside, inside), _unlike(inside, outside)
    return (inside[cloth], outside) if cloth.mean() > around.mean() else (inside, outside[around])


def _unlike(known: Image, patches: Image) -> Mask:
    """Which patches look like none that is known, further off than those are from one another."""
    tree = _examples(known)
    usual = float(np.median(tree.query(known, k=NEIGHBOURS)[0][:, -1]))
    return np.asarray(tree.query(patches)[0] > max(UNLIKE * usual, LEAST_UNLIKE_LAB))


def _examples(patches: Image) -> cKDTree:
    """Patches in which the nearest are looked up."""
    from scipy.spatial import cKDTree  # a fifth of a cold start, and most photos never come here

    return cKDTree(patches)


def _patches(cloth: FlatCloth) -> tuple[Bgr, Image, Mask]:
    """A small picture, mean and scatter of CIELAB round each place (h, w, 6), and where the mask is."""
    height, width = cloth.mask.shape
    k = min(1.0, LONGEST_PX / max(height, width))
    size = max(16, round(width * k)), max(16, round(height * k))
    small = np.asarray(cv2.resize(cloth.bgr, size, interpolation=cv2.INTER_AREA), np.uint8)
    lab = cv2.cvtColor(small.astype(np.float32) / np.float32(255), cv2.COLOR_BGR2LAB) * LAB_WEIGHT
    seen = cv2.resize(cloth.mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    side = _side(size)
    weight = seen.astype(np.float32)[..., None]
    share = np.maximum(cv2.blur(weight, (side, side)), 1e-3)[..., None]
    mean, power = (cv2.blur(part * weight, (side, side)) / share for part in (lab, np.square(lab)))
    scatter = np.sqrt(np.maximum(power - np.square(mean), 0))
    return small, np.concatenate([mean, scatter], axis=-1).astype(np.float32), np.asarray(seen)


def _along_edges(small: Bgr, on: Mask) -> Mask:
    """The piece, its edge moved by up to a patch to where the picture has one (GrabCut; Rother 2004)."""
    side = _side(on.shape)
    patch = np.ones((side, side), np.uint8)
    sure, near = cv2.erode(on.astype(np.uint8), patch), cv2.dilate(on.astype(np.uint8), patch)
    if not sure.any() or near.all():
        return on
    labels = np.where(sure > 0, cv2.GC_FGD, np.where(near > 0, cv2.GC_PR_FGD, cv2.GC_BGD)).astype(np.uint8)
    labels[(near > 0) & ~on] = cv2.GC_PR_BGD
    cv2.setRNGSeed(0)
    cloth, around = np.zeros((2, 1, COLOUR_MODEL))
    cv2.grabCut(small, labels, NO_BOX, around, cloth, CUTS, cv2.GC_INIT_WITH_MASK)
    return np.asarray((labels == cv2.GC_FGD) | (labels == cv2.GC_PR_FGD))


def _side(shape: tuple[int, ...]) -> int:
    """Of a patch, working pixels."""
    return 2 * round(PATCH * max(shape) / 2) + 1


def _box(seen: Mask, margin: float) -> Mask:
    """What is seen, less a margin (share of each side) round the picture."""
    inner = np.zeros_like(seen)
    top, left = (round(margin * n) for n in seen.shape)
    part = np.s_[top : seen.shape[0] - top, left : seen.shape[1] - left]
    inner[part] = seen[part]
    return inner


def _around_middle(on: Mask, middle: Mask) -> Mask:
    """The piece with most of the middle in it, its holes filled and its necks cut."""
    side = _side(on.shape)
    broad = cv2.morphologyEx(on.astype(np.uint8), cv2.MORPH_OPEN, np.ones((side, side), np.uint8))
    _, labels = cv2.connectedComponents(broad, connectivity=4)
    counts = np.bincount(labels[middle & (broad > 0)], minlength=1)
    if not counts[1:].any():
        return np.zeros_like(on)
    piece = (labels == 1 + int(np.argmax(counts[1:]))).astype(np.uint8)
    outlines, _ = cv2.findContours(piece, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return np.asarray(cv2.drawContours(np.zeros_like(piece), outlines, -1, 1, cv2.FILLED) > 0)
