"""Things of known size that may lie on the cloth: one row each, which is all there is to say of one.

To add one, add its row (and, where no search of ``photo.scale`` fits it, a file with a ``find``): its
spelling, its words, its size and its place in the search follow from it everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from printcheck.core.errors import listed
from printcheck.core.measurement import ScaleSource

Takes = Literal["", "size", "coin"]


@dataclass(frozen=True)
class KnownObject:
    """One kind of thing of known size."""

    name: str  # its spelling for ``--reference``, in front of any colon
    words: str  # what to call it to a user, with the article
    finder: str  # module of ``photo.scale`` whose ``find`` looks for it
    source: ScaleSource | None  # what an answer says the scale is from; None for the search for any of them
    label: str = ""  # what an answer calls it; by default its words without the article
    takes: Takes = ""  # behind the colon: nothing, a width and height, a coin's name or diameter
    examples: tuple[str, ...] = ()  # spellings to show a user; by default the name
    size_mm: tuple[float, float] = (0.0, 0.0)  # long and short side; 0 where that is not fixed
    size_sigma: float = 0.0  # one sigma of the size, as a share
    corner_mm: float = 0.0  # radius of its corners; 0 for sharp ones
    thick_mm: float = 0.0  # how far its upper face lies above the cloth
    paper: bool = False  # plain and pale as a rule
    auto: bool = False  # a rectangle looked for where nothing is named: its size can be seen from its shape

    @property
    def ratio(self) -> float:
        """Long side over short, of a rectangle."""
        return self.size_mm[0] / self.size_mm[1]

    @property
    def spellings(self) -> tuple[str, ...]:
        """As a user writes it."""
        return self.examples or (self.name,)


PAPER_MM = 0.1  # thickness of paper
SMALL_SHEET_MM, SMALL_TOLERANCE_MM, LARGE_TOLERANCE_MM = 150.0, 1.5, 2.0  # ISO 216


def sheet(name: str, long_mm: float, short_mm: float, *, auto: bool = False) -> KnownObject:
    """Row of a sheet of paper, with the tolerance of ISO 216 taken as three sigma."""
    tolerance = SMALL_TOLERANCE_MM if long_mm <= SMALL_SHEET_MM else LARGE_TOLERANCE_MM
    return KnownObject(
        name,
        f"a sheet of {name} paper",
        "rectangle.select",
        "sheet",
        label=f"{name} sheet",
        size_mm=(long_mm, short_mm),
        size_sigma=tolerance / 3 / long_mm,
        thick_mm=PAPER_MM,
        paper=True,
        auto=auto,
    )


# A board cannot be mistaken; a card and a letter sheet have shapes of their own. Other sheets and coins are
# only known by name: A4, A5 and A6 have one shape, and the size of a coin is in its name alone.
_ROWS = (
    KnownObject(
        "auto", "a card, a printed scale card, a tape or any other object of known size", "auto", None
    ),
    KnownObject(
        "card",
        "a bank card",
        "rectangle.select",
        "card",
        label="bank card",
        size_mm=(85.60, 53.98),  # ISO/IEC 7810, with its tolerance of +/- 0.13 mm on 85.60 as two sigma
        size_sigma=0.0008,
        corner_mm=3.18,  # ISO/IEC 7810 allows 2.88 to 3.48
        thick_mm=0.76,  # ISO/IEC 7810, +/- 0.08
        auto=True,
    ),
    KnownObject("board", "a printed scale card", "chessboard", "board"),
    KnownObject("rule", "a tape measure or ruler", "rule.find_rule", "rule"),
    sheet("A4", 297.0, 210.0),  # ISO 216
    sheet("A5", 210.0, 148.0),
    sheet("A6", 148.0, 105.0),
    sheet("letter", 279.4, 215.9, auto=True),  # US Letter, 8 1/2 x 11 in; from memory
    KnownObject(
        "coin", "a coin", "coin.find_coin", "coin", takes="coin", examples=("coin:NAME", "coin:23.25mm")
    ),
    KnownObject(
        "rect", "a rectangle", "rectangle.select", "rect", takes="size", examples=("rect:105x148mm",)
    ),
)
OBJECTS: dict[str, KnownObject] = {row.name.lower(): row for row in _ROWS}


def known_object(name: str) -> KnownObject:
    """The row of this spelling, in capitals or not; KeyError where there is none."""
    return OBJECTS[name.lower()]


def spellings() -> str:
    """All spellings as a list in words.

    Examples
    --------
    >>> spellings()[-30:]
    'coin:23.25mm or rect:105x148mm'
    """
    return listed([spelling for row in OBJECTS.values() for spelling in row.spellings], "or")
