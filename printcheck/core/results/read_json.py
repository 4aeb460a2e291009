"""Measurements read back from their JSON documents, distrusting the file."""

from __future__ import annotations

import math
from typing import Any, TypeVar

import msgspec

from printcheck.core.errors import InputError
from printcheck.core.measurement import MEASUREMENT_SCHEMA, Measurement
from printcheck.core.plan import LENGTH_SCHEMA, LengthPlan

R = TypeVar("R", Measurement, LengthPlan)

LISTS_OF_MM = {"basis_mm", "raw_basis_mm", "boxes_mm"}
_REMEDY = "Give a file that was written with --json by this version of printcheck."


def measurement(document: dict[str, Any], *, place: str = "measurement") -> Measurement:
    """Measurement of a document ``printcheck.measurement/2``; keys we do not know are passed over.

    Raises
    ------
    InputError
        If the schema is another one, a key is missing or of the wrong kind, or the repeat is no lattice.
    """
    read = _read(document, Measurement, MEASUREMENT_SCHEMA, place)
    try:
        lattice = read.repeat.lattice
        sound = lattice is None or all(math.hypot(*vector) > 0 for vector in lattice.basis_mm)
        sound = sound and (lattice is not None or read.scale is None or not read.repeat.known)
    except ValueError:
        sound = False
    if not sound:
        raise InputError("broken-measurement", f"{place}: repeat.basis_mm is no repeat of a print.", _REMEDY)
    return read


def length(document: dict[str, Any], *, place: str = "length") -> LengthPlan:
    """Plan of a document ``printcheck.length/1``; see :func:`measurement`."""
    return _read(document, LengthPlan, LENGTH_SCHEMA, place)


def loads(text: str | bytes, *, place: str = "measurement") -> dict[str, Any]:
    """Document from strict JSON text.

    Raises
    ------
    InputError
        If the text is no JSON object.
    """
    try:
        document = msgspec.json.decode(text)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError("not-json", f"{place}: this is no JSON document ({error}).", _REMEDY) from None
    if not isinstance(document, dict):
        raise InputError("not-json", f"{place}: the JSON document is no object with keys.", _REMEDY)
    return document


def _read(document: dict[str, Any], kind: type[R], schema: str, place: str) -> R:
    if document.get("schema") != schema:
        raise InputError("wrong-schema", f"{place}: the document is not of the schema {schema}.", _REMEDY)
    try:
        return msgspec.convert(_with_empty_lists(document), kind)
    except (msgspec.ValidationError, ValueError) as error:
        raise InputError("broken-measurement", f"{place}: {error}.", _REMEDY) from None


def _with_empty_lists(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """An empty list for each null that stands for a list of millimetres, where no scale was known."""
    if isinstance(value, dict):
        return {
            key: [] if item is None and key in LISTS_OF_MM else _with_empty_lists(item)
            for key, item in value.items()
        }
    return [_with_empty_lists(item) for item in value] if isinstance(value, list) else value
