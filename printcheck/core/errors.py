"""What can go wrong, in one tree.

::

    PrintcheckError          one clear sentence: what, where, what to do
    +-- InputError           used wrongly, or an input is broken (exit status 2); also a ValueError
    +-- NoAnswerError        a sound question that cannot be answered (exit status 1)

Poor evidence is neither: it is a normal answer with a low confidence and a finding.
"""

from __future__ import annotations

from collections.abc import Sequence


def listed(words: Sequence[str], last: str = "and") -> str:
    """Words as a list in a sentence.

    Examples
    --------
    >>> listed(["rows", "columns", "both"]), listed(["A4", "A5"], "or")
    ('rows, columns and both', 'A4 or A5')
    """
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


class PrintcheckError(Exception):
    """Base of every error that printcheck raises on purpose.

    Parameters
    ----------
    code : str
        Stable word for programs, such as ``"not-a-picture"``.
    message : str
        What is wrong and where, one sentence.
    remedy : str
        What the user can do about it, one sentence.
    """

    exit_status = 1

    def __init__(self, code: str, message: str, remedy: str = "") -> None:
        super().__init__(code, message, remedy)
        self.code = code
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message} {self.remedy}".strip()


class InputError(PrintcheckError, ValueError):
    """The command was used wrongly or an input is broken."""

    exit_status = 2


class NoAnswerError(PrintcheckError):
    """The input is sound but the answer could not be made (no object of known size in sight, say).

    Parameters
    ----------
    code, message, remedy : str
        See :class:`PrintcheckError`.
    outline_px : tuple of (float, float), keyword-only
        Of what the sentence is about, in photo pixels, where that is something seen.
    """

    exit_status = 1

    def __init__(
        self, code: str, message: str, remedy: str = "", *, outline_px: tuple[tuple[float, float], ...] = ()
    ) -> None:
        super().__init__(code, message, remedy)
        self.outline_px = outline_px
