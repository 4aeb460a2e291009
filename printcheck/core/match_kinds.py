"""What each kind of match asks of the print at a seam: one row a kind, for search, check and words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MatchedAxes:
    """Whether columns must meet (``across``) and rows (``along``), and how that is told."""

    across: bool
    along: bool
    words: str

    @property
    def full(self) -> bool:
        """Whether the print runs on across the seam."""
        return self.across and self.along

    @property
    def rows_alone(self) -> bool:
        """Whether rows must meet and columns need not."""
        return self.along and not self.across


MATCH_KINDS = {
    "both": MatchedAxes(True, True, "rows and columns"),
    "level": MatchedAxes(False, True, "rows level"),
    "upright": MatchedAxes(True, False, "columns in line"),
}


def kind_of(across: bool, along: bool) -> str | None:
    """Kind that ties just these axes; None where there is none.

    Examples
    --------
    >>> kind_of(True, False)
    'upright'
    """
    same = (name for name, axes in MATCH_KINDS.items() if (axes.across, axes.along) == (across, along))
    return next(same, None)
