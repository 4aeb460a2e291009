"""The printed scale card: where its squares, markers and measuring bar stand, in millimetres.

The card carries a ChArUco board: a chessboard with square markers in its white squares, so that any few
corners in sight say where on the card they lie (Garrido-Jurado and others 2014,
doi:10.1016/j.patcog.2014.01.005). The report room draws what stands here, and the photo room finds it.
Millimetres run right and down from the card's top left corner.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

BoardName = Literal["card", "A5"]
Box = tuple[float, float, float, float]  # left, top, width, height, mm

BAR_MM = 100.0  # mm: so that what a ruler shows is also the printer's per cent
BAR_TRUST = 0.10  # share: a printer that fits to the page scales by 3-6 %; more is a slip in the measuring
MARKER_BITS = 4  # bits each way inside a marker's dark border, one bit wide
FIRST_PATTERN = 40  # place of MARKER_PATTERNS[0] in OpenCV's DICT_4X4_100

# Bits row by row, white is 1: markers 40 to 99 of DICT_4X4_100. The low numbers, which most other boards
# use, are left out, and the two sizes share none, so a board is known by any of its markers.
MARKER_PATTERNS = (
    *(0x1718, 0x2A28, 0x328C, 0x38B2, 0x24E8, 0x2EEB, 0x2D3F, 0x4B64, 0x502E, 0x5013, 0x5194, 0x5568),
    *(0x5D41, 0x5F97, 0x6801, 0x6867, 0x6124, 0x61E9, 0x6B12, 0x6FE5, 0x67DF, 0x7E1B, 0x80A0, 0x8344),
    *(0x8BA2, 0x937A, 0x846C, 0x852A, 0x859C, 0x9C89, 0x9FA1, 0xBB7C, 0xBC04, 0xB65B, 0xBFC8, 0xB7AB),
    *(0xCA1F, 0xC962, 0xD958, 0xD3D5, 0xCC98, 0xC7A0, 0xC537, 0xE95D, 0xF925, 0xFBBB, 0xEE2A, 0xF74D),
    *(0x3575, 0x8AAD, 0x7617, 0x0ACF, 0x064B, 0x2DC1, 0x49D8, 0x43F4, 0x4F36, 0x4FD3, 0x69E4, 0x70C7),
)


@dataclass(frozen=True)
class Board:
    """One size of the card; lengths in mm."""

    name: BoardName  # as asked for on the command line
    width_mm: float  # of the card when cut out
    height_mm: float
    columns: int  # squares of the chessboard
    rows: int
    square_mm: float
    marker_mm: float  # side of a marker with its dark border
    left_mm: float  # top left corner of the chessboard on the card
    top_mm: float
    first_marker: int  # number, in the dictionary, of the board's first marker

    @property
    def marker_numbers(self) -> tuple[int, ...]:
        """Numbers of the markers in the dictionary, row by row."""
        return tuple(range(self.first_marker, self.first_marker + self.columns * self.rows // 2))

    def dark_boxes_mm(self) -> Iterator[Box]:
        """Everything dark on the board: the chessboard's dark squares and the markers' dark cells."""
        numbers = iter(self.marker_numbers)
        for row in range(self.rows):
            for column in range(self.columns):
                left = self.left_mm + column * self.square_mm
                top = self.top_mm + row * self.square_mm
                if (row + column) % 2 == 0:
                    yield (left, top, self.square_mm, self.square_mm)
                else:
                    margin = (self.square_mm - self.marker_mm) / 2
                    yield from self._marker_boxes_mm(next(numbers), left + margin, top + margin)

    def _marker_boxes_mm(self, number: int, left: float, top: float) -> Iterator[Box]:
        """Dark cells of a marker, joined along each row so that no seam shows in print."""
        cell = self.marker_mm / (MARKER_BITS + 2)
        for row, cells in enumerate(marker_rows(number)):
            for dark, run in groupby(range(len(cells)), key=cells.__getitem__):
                places = list(run)
                if dark:
                    yield (left + places[0] * cell, top + row * cell, len(places) * cell, cell)


def marker_rows(number: int) -> list[list[bool]]:
    """Cells of a marker row by row, True where dark, its border included.

    Examples
    --------
    >>> ["".join(".#"[cell] for cell in row) for row in marker_rows(40)]
    ['######', '####.#', '##...#', '####.#', '#.####', '######']
    """
    bits = f"{MARKER_PATTERNS[number - FIRST_PATTERN]:0{MARKER_BITS**2}b}"
    border = [True] * (MARKER_BITS + 2)
    rows = [bits[k : k + MARKER_BITS] for k in range(0, len(bits), MARKER_BITS)]
    return [border, *([True, *(bit == "0" for bit in row), True] for row in rows), border]


# The card is ID-1 (ISO/IEC 7810): it lives in a purse. 10 mm squares still read at 2.5 px/mm.
CARD = Board("card", 85.60, 53.98, 8, 4, 10.0, 7.5, 2.8, 2.8, 40)
A5 = Board("A5", 148.0, 210.0, 8, 11, 16.0, 12.0, 10.0, 10.0, 56)
BOARDS: dict[str, Board] = {board.name: board for board in (CARD, A5)}
