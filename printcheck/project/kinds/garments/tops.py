"""Bodices and sleeves drafted from the bust by the usual block, in its simplest form (common practice).

Half a body is drawn from its centre: across, the distance from it; down, from the cut at the neck. The neck
is a quarter of an ellipse as wide as a fifth of its girth; the shoulder slopes; the armhole runs straight
down to the across line and in another quarter of an ellipse to the side seam. A sleeve's cap is a cosine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from printcheck.core.lattice import Vector
from printcheck.core.plan import Place, Seam
from printcheck.project.kinds.draft import (
    SEAM_MM,
    Draft,
    PieceRow,
    Room,
    Values,
    centre_seam,
    seams_at_both_sides,
)
from printcheck.project.kinds.rows import kind

ARMHOLE_SHARE, ARMHOLE_MM = 0.1, 120.0  # depth below the shoulder: a tenth of the bust and 12 cm
ACROSS_SHARE, ACROSS_MM = 0.125, 55.0  # half the back between the armholes: an eighth of the bust and 5.5 cm
STRAIGHT_SHARE = 0.6  # of the armhole's depth down to the across line
NECK_SHARE, NECK_MM = 0.25, 140.0  # neck girth: a quarter of the bust and 14 cm (37 cm for a bust of 92)
NECK_WIDE_SHARE = 0.2  # of its girth: half its width, and its depth in front
SLOPE_MM, BACK_NECK_MM = 40.0, 20.0  # mm: fall of a shoulder, and depth of the neck behind
BICEPS_SHARE, BICEPS_MM = 0.25, 80.0  # sleeve with its ease: a quarter of the bust, 8 cm, and half the ease
CAP_SHARE = 0.7  # height of the cap, of the depth of the armhole: its edge is then as long as the armhole
TAPER_SHARE = 0.12  # of a sleeve's length below the cap: by which each of its edges comes in
BELOW_ARMHOLE_MM = 60.0  # mm: side seams are matched here, clear of the curve
NOTCH_IN_MM = 50.0  # mm: front notches lie so far in from the side seam
SHORTEST_SHARE = 0.8  # of a length or width that a point or curve may take up where pieces are small
STEPS = 4  # straight lines for a quarter of an ellipse


@dataclass(frozen=True)
class Block:
    """Half a body from its centre to the side seam, in mm of stitching lines; ``length_mm`` is as cut."""

    bust_mm: float
    ease_mm: float
    half_mm: float  # centre to side seam
    length_mm: float
    yoke_mm: float = 0.0  # cut off at the top, square: no neck and no shoulder are left
    extra_mm: float = 0.0  # laid in a pleat at the centre

    @property
    def armhole_mm(self) -> float:
        """Depth of the armhole below the top, deeper by a tenth of the ease."""
        depth = ARMHOLE_SHARE * (self.bust_mm + self.ease_mm) + ARMHOLE_MM - self.yoke_mm
        return min(depth, SHORTEST_SHARE**2 * self.length_mm)

    @property
    def across_mm(self) -> float:
        """Centre to the straight of the armhole."""
        across = ACROSS_SHARE * self.bust_mm + ACROSS_MM + self.extra_mm
        return min(across, SHORTEST_SHARE * self.half_mm)

    @property
    def side_point_mm(self) -> float:
        """Where a side seam is matched, below the cut top edge."""
        return min(SEAM_MM + self.armhole_mm + BELOW_ARMHOLE_MM, SHORTEST_SHARE * self.length_mm)

    @property
    def notch(self) -> Vector:
        """Front notch on the armhole's stitching line: in from the side seam, and below the cut top."""
        wide = self.half_mm - self.across_mm
        straight = STRAIGHT_SHARE * self.armhole_mm
        share = min(SHORTEST_SHARE, NOTCH_IN_MM / wide)
        return share * wide, SEAM_MM + straight + (self.armhole_mm - straight) * math.sqrt(1 - share**2)

    def half(self, neck_deep_mm: float) -> list[Vector]:
        """Cutting line from the centre of the neck over shoulder and armhole to the foot of the side."""
        across, straight = self.across_mm, STRAIGHT_SHARE * self.armhole_mm
        wide = NECK_WIDE_SHARE * neck_mm(self.bust_mm) - SEAM_MM
        top = [(0.0, 0.0), (across + SEAM_MM, 0.0)]
        if not self.yoke_mm:
            neck = [(wide * math.sin(t), neck_deep_mm * math.cos(t)) for t in _quarter()]
            top = [*neck, (across + SEAM_MM, SLOPE_MM)]
        armhole = [
            (
                across + (self.half_mm - across) * (1 - math.cos(t)) + SEAM_MM * math.cos(t),
                SEAM_MM + straight + (self.armhole_mm - straight - SEAM_MM) * math.sin(t),
            )
            for t in _quarter()
        ]
        side = self.half_mm + SEAM_MM
        return [*top, *armhole, (side, self.armhole_mm), (side, self.length_mm)]

    def pair(self, name: str, beyond_mm: float, *, back: bool = False) -> PieceRow:
        """Two mirrored halves, the side seam at the left as drawn, with so much cloth beyond the centre."""
        half = self.half(self._neck_deep_mm(back=back))
        reach, width = self.half_mm + SEAM_MM, self.half_mm + SEAM_MM + beyond_mm
        edge = [(reach - d, y) for d, y in half]
        ring = (*edge, (width, self.length_mm), (width, half[0][1]))
        return PieceRow(name, width, self.length_mm, 2, mirrored=True, outline=ring)

    def whole(self, name: str, *, back: bool = False) -> PieceRow:
        """Both halves in one, symmetrical about the fold."""
        half = self.half(self._neck_deep_mm(back=back))
        reach = self.half_mm + SEAM_MM
        ring = (*[(reach - d, y) for d, y in half], *[(reach + d, y) for d, y in reversed(half) if d])
        return PieceRow(name, 2 * reach, self.length_mm, on_fold=True, outline=ring)

    def _neck_deep_mm(self, *, back: bool) -> float:
        return BACK_NECK_MM if back else NECK_WIDE_SHARE * neck_mm(self.bust_mm) + SEAM_MM

    def sleeve(self, length_mm: float, hem_mm: float) -> PieceRow:
        """Pair of sleeves; the cap is a part of the length."""
        wide = BICEPS_SHARE * self.bust_mm + BICEPS_MM + self.ease_mm / 2 + 2 * SEAM_MM
        long = SEAM_MM + length_mm + hem_mm
        cap = self._cap_mm(long)
        taper = min(TAPER_SHARE * (long - cap), (1 - SHORTEST_SHARE) * wide)
        edge = [wide * k / (4 * STEPS) for k in range(4 * STEPS + 1)]
        crown = [(x, cap * (1 + math.cos(2 * math.pi * x / wide)) / 2) for x in edge]
        ring = (*crown, (wide - taper, long), (taper, long))
        return PieceRow("sleeve", wide, long, 2, mirrored=True, on_border=False, outline=ring)

    def seams(self, front: PieceRow, back: PieceRow, sleeve: PieceRow, beyond_mm: float) -> tuple[Seam, ...]:
        """Centre front, sides and sleeves of what is buttoned in front; a back cut lower is matched there."""
        low = self.side_point_mm
        on_back = (back.width_mm - SEAM_MM, low + back.length_mm - front.length_mm)
        return (
            centre_seam("centre front", front, (front.width_mm - beyond_mm, low)),
            *seams_at_both_sides("side", (front, (SEAM_MM, low)), (back, on_back)),
            *self.sleeve_seams(sleeve, front),
        )

    def _cap_mm(self, sleeve_mm: float) -> float:
        return min(CAP_SHARE * self.armhole_mm, sleeve_mm / 2)

    def sleeve_seams(self, sleeve: PieceRow, front: PieceRow) -> tuple[Seam, ...]:
        """Front notches of both armholes: the rows of the sleeve run on into the front.

        The first sleeve is the right one: its front edge lies on the right as it is seen from outside. The
        first front, or the left half of a whole front as it is looked at, is the wearer's right.
        """
        x = sleeve.width_mm - SEAM_MM - NOTCH_IN_MM
        cap = self._cap_mm(sleeve.length_mm) * (1 + math.cos(2 * math.pi * x / sleeve.width_mm)) / 2
        in_mm, down = self.notch
        on_sleeve, on_front = (x, SEAM_MM + cap), (SEAM_MM + in_mm, down)
        return seams_at_both_sides("sleeve", (sleeve, on_sleeve), (front, on_front))


def neck_mm(bust: float) -> float:
    """Girth of the neck."""
    return NECK_SHARE * bust + NECK_MM


def _quarter() -> Sequence[float]:
    return [math.pi / 2 * k / STEPS for k in range(STEPS + 1)]


def draw_blouse(size: Values, room: Room) -> Draft:
    """As drawn, the side seam of a front lies on the left and the centre front on the right."""
    half, length = (size["bust"] + size["ease"]) / 4, size["length"] + SEAM_MM + size["hem"]
    block = Block(size["bust"], size["ease"], half, length)
    beyond, sleeve = size["overlap"] + size["facing"], block.sleeve(size["sleeve"], size["hem"])
    front, back = block.pair("front", beyond), block.whole("back", back=True)
    collar = neck_mm(size["bust"]) + 2 * size["overlap"] + 2 * SEAM_MM
    return Draft(
        (front, back, sleeve, PieceRow("collar", collar, size["collar"] + 2 * SEAM_MM, 2, on_border=False)),
        block.seams(front, back, sleeve, beyond),
    )


def draw_dress(size: Values, room: Room) -> Draft:
    """A front, two backs, two sleeves, three neck facings; the front's centre lies on a motif.

    As drawn, a back's side seam lies on the left and its centre on the right.
    """
    half = max(size["bust"] + size["ease"], size["hip"] + size["ease"]) / 4
    block = Block(size["bust"], size["ease"], half, size["length"] + SEAM_MM + size["hem"])
    front, back = block.whole("front"), block.pair("back", SEAM_MM, back=True)
    sleeve, low = block.sleeve(size["sleeve"], size["sleeve_hem"]), block.side_point_mm
    half_facing = size["facing_width"] / 2 + SEAM_MM
    return Draft(
        (
            front,
            back,
            sleeve,
            PieceRow(
                "front facing", size["facing_width"], size["facing_height"], on_border=False, on_fold=True
            ),
            PieceRow("back facing", half_facing, size["facing_height"], 2, mirrored=True, on_border=False),
        ),
        (
            centre_seam("centre back", back, (back.width_mm - SEAM_MM, low)),
            *seams_at_both_sides("side", (front, (SEAM_MM, low)), (back, (SEAM_MM, low)), crossed=True),
            *block.sleeve_seams(sleeve, front),
        ),
        (Place("front#1", (front.width_mm / 2, low)),),
    )


KINDS = kind("blouse", draw_blouse), kind("dress", draw_dress)
