"""What may be asked over HTTP: the types that check a request and that ``/openapi.json`` is written from."""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeVar

import msgspec
from msgspec import Meta

from printcheck.core.errors import InputError
from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan

Text = Annotated[str, Meta(max_length=400)]
Short = Annotated[str, Meta(max_length=60)]
Ticket = Annotated[str, Meta(pattern="^[A-Za-z0-9]{8,40}$")]
T = TypeVar("T")


class MeasureForm(msgspec.Struct, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """Fields of the form beside its photos; at most one of the first nine."""

    reference: Annotated[Text, Meta(description="Object of known size: auto, card, board, rule, A4, A5, A6, "
        "letter, coin:NAME, coin:23.25mm or rect:105x148mm.", examples=["card"])] | None = None  # fmt: skip
    mm_per_px: Annotated[Text, Meta(description="Millimetres per pixel.", examples=["0.12"])] | None = None
    dpi: Annotated[Text, Meta(description="Dots per inch of a scan.", examples=["300"])] | None = None
    photo_width: (
        Annotated[Text, Meta(description="Cloth shown from left to right.", examples=["40 cm"])] | None
    ) = None
    cloth_width: (
        Annotated[Text, Meta(description="Width of the cloth, shown from selvedge to selvedge.")] | None
    ) = None
    repeat_is: Annotated[Text, Meta(description="The print's repeat where it is known.")] | None = None
    motif_is: (
        Annotated[Text, Meta(description="Larger side of the largest motif where it is known.")] | None
    ) = None
    span: Annotated[Text, Meta(description="Two points and their distance.",
        examples=["120,300,980,310=20cm"])] | None = None  # fmt: skip
    corners: Annotated[Text, Meta(description="Four corners of a flat rectangle and its size.",
        examples=["10,10,400,12,398,260,12,258=85.6x53.98mm"])] | None = None  # fmt: skip
    bar: Annotated[Text, Meta(description="Length of the bar on a printed scale card.")] | None = None
    selvedge: Literal["vertical", "horizontal"] = "vertical"
    overlay: Annotated[Literal["0", "1"], Meta(description="1 adds the key overlay: what was found, "
        "as points of the photo.")] = "0"  # fmt: skip
    ticket: Annotated[Ticket, Meta(description="Word of your own to ask /progress/{ticket} with.")] | None = (
        None
    )


class ClothKeys(msgspec.Struct, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """The cloth as sold; lengths are texts with a unit, shares texts with a per cent sign."""

    width: Annotated[Short, Meta(examples=["140 cm"])] | None = None
    selvedge: Short | None = None
    shrink_along: Annotated[Short, Meta(examples=["4 %"])] | None = None
    shrink_across: Short | None = None
    sold_by: Annotated[Short, Meta(examples=["10 cm"])] | None = None
    price: Annotated[float, Meta(ge=0)] | None = None
    price_per: Annotated[Short, Meta(examples=["1 m"])] | None = None
    currency: Annotated[str, Meta(max_length=12, examples=["EUR"])] | None = None


class LengthRequest(msgspec.Struct, forbid_unknown_fields=True, kw_only=True, omit_defaults=True):
    """A print (``measurement`` or ``repeat``), a project (``kind`` with ``sizes``, or ``project``), cloth."""

    measurement: Annotated[dict[str, Any], Meta(description="A document printcheck.measurement.")] | None = (
        None
    )
    repeat: (
        Annotated[Text, Meta(description="The print in words.", examples=["64mm x 64mm half-drop"])] | None
    ) = None
    kind: Annotated[Short, Meta(description="A built-in project.", examples=["skirt"])] | None = None
    sizes: dict[Short, Short] = {}
    project: Annotated[dict[str, Any], Meta(description="A project file as JSON.")] | None = None
    cloth: ClothKeys = msgspec.field(default_factory=ClothKeys)
    have: Annotated[Short, Meta(description="A length at hand.", examples=["2 m"])] | None = None
    match: Literal["all", "visible", "none"] | None = None
    start_allowance: bool = False
    seconds: Annotated[float, Meta(ge=0.5, le=10, description="Effort of the search.")] = 3.0
    shapes: Annotated[bool, Meta(description="Add the key pieces: every copy with its outline.")] = False
    ticket: Ticket | None = None


class Trouble(msgspec.Struct):
    """What went wrong and what to do about it."""

    code: str
    message: str
    remedy: str


class ErrorDocument(msgspec.Struct):
    """``printcheck.error/1``."""

    schema: Literal["printcheck.error/1"]
    error: Trouble


class ProgressDocument(msgspec.Struct):
    """How far a request has come: its place in the queue, or the stage of the work."""

    state: Literal["waiting", "working", "unknown"]
    place: int = 0
    stage: str = ""


ANSWERS = (Measurement, LengthPlan, ErrorDocument, ProgressDocument)
REQUESTS = (MeasureForm, LengthRequest)


def checked(raw: object, kind: type[T], *, what: str) -> T:
    """A request of its type, or one sentence that says which key is wrong."""
    try:
        return msgspec.convert(raw, kind)
    except msgspec.ValidationError as error:
        raise InputError("wrong-key", f"{what}: {error}.", "See /openapi.json for the keys.") from None
