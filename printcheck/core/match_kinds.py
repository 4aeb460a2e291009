"""What each kind of match asks of the print at a seam: one row a kind, for search, check and words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MatchedAxes:
    """Whether columns must meet (``across``) and rows (``along``), and how that is told.

    ``words`` name what meets, ``meets`` how a notch lies to the one it meets, and ``room`` the two ways in
    which a piece may slide and still match, with their places among (left, right, up, down).
    """

    across: bool
    along: bool
    words: str
    meets: str
    room: tuple[tuple[str, int], ...] = ()

    @property
    def full(self) -> bool:
        """Whether the print runs on across the seam."""
        return self.across and self.along

    @property
    def rows_alone(self) -> bool:
        """Whether rows must meet and columns need not."""
        return self.along and not self.across


MATCH_KINDS = {
    "both": MatchedAxes(True, True, "rows and columns", "on the same part of the print as"),
    "level": MatchedAxes(
        False, True, "rows level", "on the same row of the print as", (("left", 0), ("right", 1))
    ),
    "upright": MatchedAxes(
        True, False, "columns in line", "on the same column of the print as", (("up", 2), ("down", 3))
    ),
}


def sideways(kind: str) -> str:
    """Kind that a piece laid across the cloth asks of the print: rows and columns change places.

    Examples
    --------
    >>> sideways("level"), sideways("both")
    ('upright', 'both')
    """
    return kind_of(MATCH_KINDS[kind].along, MATCH_KINDS[kind].across) or kind


def kind_of(across: bool, along: bool) -> str | None:
    """Kind that ties just these axes; None where there is none.

    Examples
    --------
    >>> kind_of(True, False)
    'upright'
    """
    same = (name for name, axes in MATCH_KINDS.items() if (axes.across, axes.along) == (across, along))
    return next(same, None)
