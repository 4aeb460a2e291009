"""Options that several commands share, and how their texts are read."""

from __future__ import annotations

import functools
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from printcheck.core.errors import InputError
from printcheck.core.reference.objects import spellings
from printcheck.core.request import SCALES, one_scale
from printcheck.core.units import parse_positive_length

F = TypeVar("F", bound=Callable[..., Any])
NEAREST_M, FARTHEST_M = 0.1, 100.0  # metres: a viewing distance outside these is a slip
QUIET_S = 0.5  # seconds of work before it shows a sign of life
PROGRESS_WIDTH = 60  # letters of the stage in the line of progress

SCALE_NAMES = (*SCALES, "bar")
SCALE_OPTIONS = (
    click.option("--reference", metavar="OBJECT", help=f"Object of known size to look for: {spellings()}."),
    click.option("--mm-per-px", metavar="F", help="Millimetres per pixel of the photo."),
    click.option("--dpi", metavar="F", help="Dots per inch of a scan."),
    click.option("--photo-width", metavar="LENGTH", help="Cloth shown from left to right, such as 40cm."),
    click.option("--cloth-width", metavar="LENGTH", help="Whole width of the cloth, such as 140cm; both its "
                 "edges must be in the photo."),
    click.option("--repeat-is", metavar="LENGTH", help="The print's repeat where you know it, such as 64mm."),
    click.option("--motif-is", metavar="LENGTH", help="Larger side of its largest motif, where you know it."),
    click.option("--span", metavar="X1,Y1,X2,Y2=LENGTH", help="Two points of the photo and their distance."),
    click.option("--corners", metavar="X1,Y1,...,X4,Y4=WxHmm", help="Four corners of a rectangle, in "
                 "order round it; undoes the tilt."),
    click.option("--bar", metavar="LENGTH", help="Length of the bar on your printed scale card."),
)  # fmt: skip


class _FileName(click.Path):
    """A path; a zero byte, which a file of defaults may hold, is refused before the system is asked."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:  # noqa: ANN401
        """Path of the text."""
        if "\0" in str(value):
            self.fail("A file's name holds no zero byte.", param, ctx)
        return super().convert(value, param, ctx)


PATH = _FileName(path_type=Path)


def scale_options(command: F) -> F:
    """Give a command the scale options and hand it one ``scale``."""

    @functools.wraps(command)
    def with_scale(*args: Any, **kwargs: Any) -> Any:  # noqa: ANN401  click hands over anything
        kwargs["scale"] = one_scale(**{name: kwargs.pop(name) for name in SCALE_NAMES})
        return command(*args, **kwargs)

    for option in reversed(SCALE_OPTIONS):
        with_scale = option(with_scale)
    return with_scale  # type: ignore[return-value]


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
units_option = click.option(
    "--units", type=click.Choice(["metric", "imperial"]), default="metric", help="Units of the text."
)
selvedge_option = click.option(
    "--selvedge",
    type=click.Choice(["vertical", "horizontal"]),
    default="vertical",
    help="How the selvedge (the woven edge of the cloth) runs in the photo.",
)
viewing_option = click.option(
    "--viewing-distance", metavar="LENGTH", default="1.5m", help="From where a seam is judged."
)
report_option = click.option(
    "--report", type=PATH, metavar="OUT.html|pdf", help="Write a page to keep or print."
)


def metres_of(text: str) -> float:
    """Metres of a viewing distance."""
    metres = parse_positive_length(text, place="--viewing-distance") / 1000
    if not NEAREST_M <= metres <= FARTHEST_M:
        raise InputError(
            "viewing-distance", f"--viewing-distance: {text!r} is out of range.", "Give 0.1 m to 100 m."
        )
    return metres


def wrote(path: Path) -> None:
    """Say which file was written, on standard error."""
    click.echo(f"wrote {path}", err=True)


open_option = click.option("--open", "show_page", is_flag=True, help="Show the page once it is written.")


def check_page(asked: bool, page: Path | None, option: str) -> None:
    """Refuse ``--open`` where no page will be written."""
    if asked and page is None:
        raise InputError("nothing-to-open", "--open: no page is asked for.", f"Name one with {option}.")


def show_page(page: Path) -> None:
    """Open a page in the user's own browser or viewer, or say where it lies."""
    if click.launch(str(page.absolute())):
        click.echo(f"{page} could not be shown here; open it yourself.", err=True)


class Progress:
    """One line on standard error that is rewritten, on a terminal alone.

    It shows what is being done once that has taken half a second, and where it stood if it is stopped.
    """

    def __init__(self, doing: str, *, show: bool = True) -> None:
        self._show = show and sys.stderr.isatty()
        self._doing, self._share = doing, 0.0
        self._timer = threading.Timer(QUIET_S, self._draw)
        self._timer.daemon = True

    def __enter__(self) -> Callable[[str, float], None]:
        if self._show:
            self._timer.start()
        return self._say

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        self._timer.cancel()
        if self._show:
            click.echo("\r" + " " * (PROGRESS_WIDTH + 8) + "\r", nl=False, err=True)
        if kind is KeyboardInterrupt:
            share = f" ({100 * self._share:.0f} % done)" if self._share else ""
            click.echo(f"stopped while {self._doing}{share}.", err=True)

    def _say(self, stage: str, share: float) -> None:
        self._doing, self._share = stage, min(1.0, share)
        if self._show:
            self._timer.cancel()
            self._draw()

    def _draw(self) -> None:
        share = f"{100 * self._share:4.0f} %" if self._share else "   ..."
        line = f"{self._doing[: PROGRESS_WIDTH - 1]:<{PROGRESS_WIDTH}}{share}"
        click.echo(f"\r{line}", nl=False, err=True)
