"""A shirt with yoke, collar on a stand, sleeves with cuffs, and a pocket."""

from __future__ import annotations

from printcheck.core.plan import Seam
from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, Values, seam_between, sewn
from printcheck.project.kinds.garments import tops
from printcheck.project.kinds.rows import kind


def _yoke(size: Values) -> PieceRow:
    """Shoulder to shoulder, the neck cut out of its upper edge."""
    wide, high = size["yoke_share"] * size["chest"] / 2 + SEAM_MM, size["yoke"] + 2 * SEAM_MM
    neck = tops.NECK_WIDE_SHARE * tops.neck_mm(size["chest"]) - SEAM_MM
    half = ((neck / 2, tops.BACK_NECK_MM), (neck, 0.0), (wide, tops.SLOPE_MM / 2), (wide, high))
    ring = (*[(wide - x, y) for x, y in half], *[(wide + x, y) for x, y in reversed(half)])
    return PieceRow("yoke", 2 * wide, high, 2, on_border=False, on_fold=True, outline=ring)


def _small(size: Values) -> tuple[PieceRow, ...]:
    """Collar, stand, cuff, placket and pocket, each as cut."""
    neck = tops.neck_mm(size["chest"])
    cuff = size["wrist_share"] * size["chest"] + size["cuff_ease"]
    boxes = {
        "collar": (neck, size["collar"], 2),
        "stand": (neck + 2 * size["overlap"], size["stand"], 2),
        "cuff": (cuff, 2 * size["cuff"], 2),
        "placket": (size["placket_width"] - 2 * SEAM_MM, size["placket_height"] - 2 * SEAM_MM, 2),
        "pocket": (size["pocket_width"], size["pocket_height"] + size["pocket_hem"], 1),
    }
    return tuple(
        PieceRow(name, wide + 2 * SEAM_MM, high + 2 * SEAM_MM, count, on_border=False)
        for name, (wide, high, count) in boxes.items()
    )


def draw(size: Values, room: Room) -> Draft:
    """Seams as a shirtmaker matches them: centre front, pocket, sides, sleeves, yoke and collar."""
    half, length = (size["chest"] + size["ease"]) / 4, size["length"] + SEAM_MM + size["hem"]
    block, cut_off = tops.Block(size["chest"], size["ease"], half, length), size["yoke"] / 2
    lower = tops.Block(
        size["chest"], size["ease"], half + size["pleat"] / 2, length - cut_off, cut_off, size["pleat"] / 2
    )
    front, back, yoke = block.pair("front", size["overlap"] + size["band"]), lower.whole("back"), _yoke(size)
    sleeve = block.sleeve(size["sleeve"] - size["cuff"], SEAM_MM)
    return Draft(
        (front, back, yoke, sleeve, *(small := _small(size))),
        (
            *block.seams(front, back, sleeve, size["overlap"] + size["band"]),
            *_upright(back, yoke, small[0]),
            _pocket(size, front),
        ),
    )


def _upright(back: PieceRow, yoke: PieceRow, collar: PieceRow) -> tuple[Seam, Seam]:
    """Columns that run up the centre back from the back over the yoke into the collar."""
    middle = yoke.width_mm / 2
    return (
        seam_between(
            "yoke",
            (back, (back.width_mm / 2, SEAM_MM)),
            (yoke, (middle, yoke.length_mm - SEAM_MM)),
            "upright",
        ),
        seam_between(
            "collar",
            (yoke, (middle, tops.BACK_NECK_MM + SEAM_MM)),
            (collar, (collar.width_mm / 2, collar.length_mm - SEAM_MM)),
            "upright",
        ),
    )


def _pocket(size: Values, front: PieceRow) -> Seam:
    """Upper inner corner of the pocket on the wearer's left front, the second copy."""
    at = (
        size["overlap"] + size["band"] + size["pocket_in"],
        SEAM_MM + min(size["pocket_down"], front.length_mm / 2),
    )
    return sewn("pocket", "front#2", at, "pocket#1", (SEAM_MM, SEAM_MM + size["pocket_hem"]), "both")


KIND = kind("shirt", draw)
