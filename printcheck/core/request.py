"""How the user says how large things are: the scale options as data, and their spelling.

One request reaches the photo stage. Pixel coordinates are those of the photo after its EXIF
orientation, the centre of the top left pixel being 0, 0.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import TypeAlias

from printcheck.core.errors import InputError
from printcheck.core.measurement import Scale
from printcheck.core.reference.objects import OBJECTS, spellings
from printcheck.core.system.limits import check_scale
from printcheck.core.units import INCH_MM, parse_positive_length, parse_size


@dataclass(frozen=True)
class Given:
    """Scale given outright; ``by`` says which option, for messages."""

    mm_per_px: float
    by: str = "--mm-per-px"

    def __post_init__(self) -> None:
        check_scale(self.mm_per_px, self.by)


@dataclass(frozen=True)
class PhotoWidth:
    """The photo shows this much cloth from left to right."""

    width_mm: float


@dataclass(frozen=True)
class Span:
    """Two points of the photo and the distance between them."""

    start_px: tuple[float, float]
    end_px: tuple[float, float]
    length_mm: float


@dataclass(frozen=True)
class Corners:
    """Four corners of a flat rectangle, in order round it; the first side is ``width_mm`` long."""

    corners_px: tuple[tuple[float, float], ...]
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class RepeatIs:
    """The print's repeat: along the cloth, else across, else from stripe to stripe."""

    length_mm: float


@dataclass(frozen=True)
class MotifIs:
    """The larger side of the print's largest motif."""

    length_mm: float


@dataclass(frozen=True)
class ClothWidth:
    """The whole width of the cloth, both edges of which are in the photo."""

    width_mm: float


@dataclass(frozen=True)
class Reference:
    """An object of known size to look for: the name of its row, and what the user wrote."""

    kind: str
    name: str
    width_mm: float | None = None  # of a rectangle whose size is stated
    height_mm: float | None = None
    diameter_mm: float | None = None  # coin given by its diameter; by name: see coin names in the photo room
    bar_mm: float | None = None  # board: its printed bar as measured, where the printer scaled


ScaleRequest = Given | PhotoWidth | Span | Corners | RepeatIs | MotifIs | ClothWidth | Reference
AUTO = Reference("auto", "auto")
PER_PX = re.compile(r"\s*([\d.eE+-]+)\s*(mm/px|dpi)\s*")


def parse_reference(text: str, *, bar_mm: float | None = None) -> Reference:
    """Reference to look for, from its spelling on the command line.

    Examples
    --------
    >>> parse_reference("rect:105x148mm").height_mm
    148.0
    """
    head, _, rest = (part.strip() for part in text.strip().partition(":"))
    row = OBJECTS.get(head.lower())
    if row is None or bool(rest) != bool(row.takes):
        raise InputError(
            "unknown-reference", f"--reference: {text!r} is not a known object.", f"Choose {spellings()}."
        )
    if row.takes == "size":
        width, height = parse_size(rest, place=f"--reference {row.name}")
        return Reference(row.name, text.strip(), width, height)
    if row.takes == "coin" and re.match(r"[\d.]", rest) and re.search(r"(mm|cm|in|\")$", rest):
        diameter = parse_positive_length(rest, place=f"--reference {row.name}")
        return Reference(row.name, text.strip(), diameter_mm=diameter)
    return Reference(row.name, rest or row.name, bar_mm=bar_mm)


def parse_span(text: str) -> Span:
    """Span from ``X1,Y1,X2,Y2=LENGTH``."""
    points, length = _split(text, "--span", "X1,Y1,X2,Y2=LENGTH", 4)
    span = Span((points[0], points[1]), (points[2], points[3]), parse_positive_length(length, place="--span"))
    if math.dist(span.start_px, span.end_px) < 1:
        raise InputError(
            "span-too-short", "--span: the two points lie on each other.", "Give two points far apart."
        )
    return span


def parse_corners(text: str) -> Corners:
    """Corners from ``X1,Y1,X2,Y2,X3,Y3,X4,Y4=WxHmm``."""
    points, size = _split(text, "--corners", "X1,Y1,X2,Y2,X3,Y3,X4,Y4=WxHmm", 8)
    width, height = parse_size(size, place="--corners")
    return Corners(tuple(zip(points[::2], points[1::2], strict=True)), width, height)


def parse_mm_per_px(text: str, *, by: str = "--mm-per-px") -> Given:
    """Scale from a plain number of millimetres per pixel."""
    return Given(_positive(text, by, "millimetres per pixel, such as 0.12"), by)


def parse_dpi(text: str) -> Given:
    """Scale from dots per inch of a scan.

    Examples
    --------
    >>> parse_dpi("300").mm_per_px
    0.08466666666666667
    """
    return Given(INCH_MM / _positive(text, "--dpi", "dots per inch, such as 300"), "--dpi")


def _length_of(kind: Callable[[float], ScaleRequest], option: str) -> Callable[[str], ScaleRequest]:
    return lambda text: kind(parse_positive_length(text, place=option))


# name of the option, of the column of a list, and of the form's field (underscores) -> its reader
SCALES: dict[str, Callable[[str], ScaleRequest]] = {
    "reference": parse_reference,
    "mm_per_px": parse_mm_per_px,
    "dpi": parse_dpi,
    "photo_width": _length_of(PhotoWidth, "--photo-width"),
    "cloth_width": _length_of(ClothWidth, "--cloth-width"),
    "repeat_is": _length_of(RepeatIs, "--repeat-is"),
    "motif_is": _length_of(MotifIs, "--motif-is"),
    "span": parse_span,
    "corners": parse_corners,
}


def one_scale(*, bar: str | None = None, **asked: str | None) -> ScaleRequest:
    """The one scale asked for; looks for any known object where none is, and refuses two at once.

    Parameters
    ----------
    bar : str or None, keyword-only
        Length of the bar on a printed scale card, which goes with ``reference``.
    **asked : str or None
        Texts by the names of :data:`SCALES`.
    """
    given = {name: text for name, text in asked.items() if text is not None}
    if len(given) > 1:
        options = " and ".join(f"--{name.replace('_', '-')}" for name in given)
        raise InputError("two-scales", f"Two scales at once: {options}.", "Give only one of them.")
    bar_mm = None if bar is None else parse_positive_length(bar, place="--bar")
    for name, text in given.items():
        return parse_reference(text, bar_mm=bar_mm) if name == "reference" else SCALES[name](text)
    return AUTO if bar_mm is None else Reference("board", "board", bar_mm=bar_mm)


@dataclass(frozen=True)
class StatedScale:
    """How large things are in a photo; give one of these, or none to have known objects looked for.

    Parameters
    ----------
    reference : str
        Object of known size to look for: ``"card"``, ``"A4"``, ``"coin:23.25mm"`` and so on.
    mm_per_px, dpi : float
        Millimetres to the photo's pixel, or dots to the inch of a scan.
    photo_width, cloth_width : str
        What the photo shows from left to right; the cloth's own width where both its edges are in view.
    repeat_is, motif_is : str
        The print's repeat, or the larger side of its largest motif.
    span : str
        Two points and their distance, ``"X1,Y1,X2,Y2=LENGTH"``.
    corners : str
        Four corners of a rectangle, ``"X1,Y1,X2,Y2,X3,Y3,X4,Y4=WxHmm"``.
    bar : str
        Length of the bar on a printed scale card.

    Examples
    --------
    >>> StatedScale(photo_width="40 cm").request()
    PhotoWidth(width_mm=400.0)
    """

    reference: str | None = None
    mm_per_px: float | None = None
    dpi: float | None = None
    photo_width: str | None = None
    cloth_width: str | None = None
    repeat_is: str | None = None
    motif_is: str | None = None
    span: str | None = None
    corners: str | None = None
    bar: str | None = None

    def request(self) -> ScaleRequest:
        """The scale as the photo stage takes it.

        Raises
        ------
        InputError
            If two scales are given at once, or one cannot be read.
        """
        given = {one.name: getattr(self, one.name) for one in fields(self)}
        return one_scale(**{name: None if value is None else str(value) for name, value in given.items()})


AnyScale: TypeAlias = "str | StatedScale | Scale | ScaleRequest"


def any_scale(scale: AnyScale) -> ScaleRequest:
    """The scale as the photo stage takes it, of whatever a program gives for it.

    Examples
    --------
    >>> any_scale("0.2 mm/px").mm_per_px
    0.2
    """
    if isinstance(scale, StatedScale):
        return scale.request()
    if isinstance(scale, Scale):
        return StatedScale(mm_per_px=scale.mm_per_px).request()
    if not isinstance(scale, str):
        return scale
    stated = PER_PX.fullmatch(scale)
    if stated is None:
        return one_scale(reference=scale)
    return SCALES["mm_per_px" if stated[2] == "mm/px" else "dpi"](stated[1])


def _split(text: str, place: str, form: str, count: int) -> tuple[list[float], str]:
    left, _, right = text.partition("=")
    try:
        numbers = [float(part) for part in left.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != count or not right or not all(math.isfinite(n) for n in numbers):
        raise InputError(
            "malformed-points", f"{place}: {text!r} is not of the form {form}.", f"Write {place} {form}."
        )
    return numbers, right


def _positive(text: str, place: str, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value > 0):
        raise InputError("not-a-scale", f"{place}: {text!r} is not a number above zero.", f"Give {what}.")
    return value
