"""What the page answers when it cannot: an error document with its HTTP status, in words of the page."""

from __future__ import annotations

import re

from printcheck.core.errors import PrintcheckError

STATUS_OF_EXIT = {1: 422, 2: 400}  # exit status of the same trouble on the command line -> HTTP's
STATUS_OF_CODE = {"no-process": 503}  # trouble of the server's own
OPTION = re.compile(r"--([a-z]+(?:-[a-z]+)*)")
# trouble whose words on the command line speak of commands or files of the user's own
SAID_ANEW = {
    "no-reference": (
        "No card, sheet, coin or tape of known size was found in the photo.",
        "Mark two points or a card's corners, or give the width the photo shows.",
    ),
    "picture-too-large": (
        "The photo has more than 60 million pixels.",
        "Send it smaller: 4000 pixels across is plenty.",
    ),
    "repeat-beyond-photo": (
        "The print's repeat does not fit into the photo, so no match can be planned.",
        "Photograph two repeats or more each way, or give the repeat in words.",
    ),
    "no-process": ("The server could not start the work.", "Try again in a minute."),
    "unknown-kind": ("There is no built-in project of this name.", "Choose one of the list."),
}


class RefusedError(PrintcheckError):
    """A request the page does not answer, with its HTTP status."""

    def __init__(self, code: str, status: int, message: str, remedy: str) -> None:
        super().__init__(code, message, remedy)
        self.args = (code, status, message, remedy)  # what a copy in another process is made from
        self.status = status


def refused(error: PrintcheckError) -> RefusedError:
    """The same trouble in words of the page: keys of the request in place of options of a command."""
    if isinstance(error, RefusedError):
        return error
    message, remedy = SAID_ANEW.get(error.code, (error.message, error.remedy))
    status = STATUS_OF_CODE.get(error.code, STATUS_OF_EXIT[error.exit_status])
    return RefusedError(error.code, status, _keys(message), _keys(remedy))


def internal(error: BaseException) -> RefusedError:
    """A fault of ours, told by its kind alone: its text could hold something of an upload."""
    kind = type(error).__name__
    return RefusedError(
        "internal-fault", 500, f"printcheck met a fault of its own ({kind}).", "Try another photo."
    )


def _keys(text: str) -> str:
    """Option names as the keys of a request.

    Examples
    --------
    >>> _keys("--photo-width: '120' is not a length with a unit.")
    "photo_width: '120' is not a length with a unit."
    """
    return OPTION.sub(lambda found: found[1].replace("-", "_"), text)
