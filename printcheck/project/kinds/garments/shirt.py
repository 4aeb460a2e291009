"""A shirt with yoke, collar on a stand, sleeves with cuffs, and a pocket."""

from __future__ import annotations

from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, SeamRow, Values, seam_between
from printcheck.project.kinds.garments import tops
from printcheck.project.kinds.rows import kind

EASE_MM = 160.0  # mm: room round the chest, common practice (14 to 20 cm)
OVERLAP_MM = 20.0  # mm: from centre front to the edge, half a button band; common practice
BAND_MM = 35.0  # mm: button band turned in, from memory
PLEAT_MM = 40.0  # mm: box pleat at the back below the yoke, common practice
YOKE_WIDE_SHARE, YOKE_HIGH_MM = 0.46, 100.0  # of the chest: shoulder to shoulder; both from memory
HEM_MM = 20.0  # mm: of the body, common practice
COLLAR_HIGH_MM, STAND_HIGH_MM, CUFF_HIGH_MM = 75.0, 35.0, 65.0  # mm: finished, from memory
WRIST_SHARE, CUFF_EASE_MM = 0.18, 70.0  # wrist of the chest, and the ease and overlap of a cuff; from memory
PLACKET_MM = (60.0, 220.0)  # mm: sleeve placket as cut, from memory
POCKET_MM = (120.0, 140.0)  # mm: pocket as finished, from memory
POCKET_AT_MM = (65.0, 200.0)  # mm: its inner upper corner from centre front and shoulder, from memory
POCKET_HEM_MM = 30.0  # mm: common practice


def _yoke(size: Values) -> PieceRow:
    """Shoulder to shoulder, the neck cut out of its upper edge."""
    wide, high = YOKE_WIDE_SHARE * size["chest"] / 2 + SEAM_MM, YOKE_HIGH_MM + 2 * SEAM_MM
    neck = tops.NECK_WIDE_SHARE * tops.neck_mm(size["chest"]) - SEAM_MM
    half = ((neck / 2, tops.BACK_NECK_MM), (neck, 0.0), (wide, tops.SLOPE_MM / 2), (wide, high))
    ring = (*[(wide - x, y) for x, y in half], *[(wide + x, y) for x, y in reversed(half)])
    return PieceRow("yoke", 2 * wide, high, 2, on_border=False, on_fold=True, outline=ring)


def _small(size: Values) -> tuple[PieceRow, ...]:
    """Collar, stand, cuff, placket and pocket, each as cut."""
    neck = tops.neck_mm(size["chest"])
    cuff = WRIST_SHARE * size["chest"] + CUFF_EASE_MM
    boxes = {
        "collar": (neck, COLLAR_HIGH_MM, 2),
        "stand": (neck + 2 * OVERLAP_MM, STAND_HIGH_MM, 2),
        "cuff": (cuff, 2 * CUFF_HIGH_MM, 2),
        "placket": (PLACKET_MM[0] - 2 * SEAM_MM, PLACKET_MM[1] - 2 * SEAM_MM, 2),
        "pocket": (POCKET_MM[0], POCKET_MM[1] + POCKET_HEM_MM, 1),
    }
    return tuple(
        PieceRow(name, wide + 2 * SEAM_MM, high + 2 * SEAM_MM, count, on_border=False)
        for name, (wide, high, count) in boxes.items()
    )


def draw(size: Values, room: Room) -> Draft:
    """Seams as a shirtmaker matches them: centre front, pocket, sides, sleeves, yoke and collar."""
    half, length = (size["chest"] + EASE_MM) / 4, size["length"] + SEAM_MM + HEM_MM
    block, cut_off = tops.Block(size["chest"], EASE_MM, half, length), YOKE_HIGH_MM / 2
    lower = tops.Block(size["chest"], EASE_MM, half + PLEAT_MM / 2, length - cut_off, cut_off, PLEAT_MM / 2)
    front, back, yoke = block.pair("front", OVERLAP_MM + BAND_MM), lower.whole("back"), _yoke(size)
    sleeve = block.sleeve(size["sleeve"] - CUFF_HIGH_MM, SEAM_MM)
    return Draft(
        (front, back, yoke, sleeve, *(small := _small(size))),
        (
            *block.seams(front, back, sleeve, OVERLAP_MM + BAND_MM),
            *_upright(back, yoke, small[0]),
            _pocket(front, small[-1]),
        ),
    )


def _upright(back: PieceRow, yoke: PieceRow, collar: PieceRow) -> tuple[SeamRow, SeamRow]:
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


def _pocket(front: PieceRow, pocket: PieceRow) -> SeamRow:
    """Upper inner corner of the pocket on the wearer's left front, the second copy."""
    at = (OVERLAP_MM + BAND_MM + POCKET_AT_MM[0], SEAM_MM + min(POCKET_AT_MM[1], front.length_mm / 2))
    return SeamRow("pocket", "front#2", at, "pocket#1", (SEAM_MM, SEAM_MM + POCKET_HEM_MM), "both")


KIND = kind("shirt", draw)
