"""Results as JSON documents whose keys are the fixed surface other programs rely on."""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec

from printcheck.core.errors import PrintcheckError
from printcheck.core.measurement import Measurement
from printcheck.core.plan import LengthPlan

ERROR_SCHEMA = "printcheck.error/1"


def measurement(m: Measurement) -> dict[str, Any]:
    """Document ``printcheck.measurement/2``: millimetres, degrees, shares; null where there is nothing."""
    return _document(m)


def length(plan: LengthPlan) -> dict[str, Any]:
    """Document ``printcheck.length/1``: everything on washed cloth but what to buy."""
    return _document(plan)


def error(e: PrintcheckError) -> dict[str, Any]:
    """Document ``printcheck.error/1`` of a failure."""
    return {
        "schema": ERROR_SCHEMA,
        "error": {"code": e.code, "message": e.message, "remedy": e.remedy},
    }


def dumps(document: dict[str, Any]) -> str:
    """Text of a document: indented, ending in a newline, strict JSON (no NaN or Infinity).

    Letters beyond ASCII are written as they are, but for lone surrogates (a file name that is no
    text), which no UTF-8 stream takes.
    """
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)
    return text.encode("utf-8", "backslashreplace").decode("utf-8") + "\n"


def _document(result: Measurement | LengthPlan) -> dict[str, Any]:
    plain = msgspec.to_builtins(result)
    body = {key: _finite(value) for key, value in plain.items() if key != "schema"}
    return {"schema": result.schema, **body}


def _finite(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Null in place of NaN and infinity, which JSON does not know; lists in place of tuples."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
