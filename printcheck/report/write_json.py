"""Results as JSON documents whose keys are the fixed surface other programs rely on."""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec

from printcheck.core.errors import PrintcheckError
from printcheck.core.findings import Finding
from printcheck.core.measurement import Measurement, Reason
from printcheck.core.plan import LengthPlan
from printcheck.core.results.comparisons import Comparison, KindsAtHand, RuleOfThumb
from printcheck.report.words.findings import said, why

REASON_KEYS = {"code"}
THUMB_KEYS = {"extra_mm", "lengths"}
FINDING_KEYS = {"code", "severity", "values"}
ERROR_SCHEMA = "printcheck.error/1"


def document(result: Measurement | LengthPlan | KindsAtHand | Comparison) -> dict[str, Any]:
    """Document of a result, its schema first: millimetres, degrees, shares; null where there is nothing.

    Of a length everything is on washed cloth but what to buy. Of a photo without a scale there is no
    millimetre at all: null, for a list of them too.
    """
    sized = not isinstance(result, Measurement) or result.scale is not None
    told: dict[str, Any] = _told(msgspec.to_builtins(result), sized=sized)
    return {"schema": result.schema, **told}


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


def _told(value: Any, *, sized: bool = True) -> Any:  # noqa: ANN401 - any JSON value
    """Value as the document has it: null for NaN and infinity, sentences in metric units beside codes."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (list, tuple)):
        return [_told(item, sized=sized) for item in value]
    if not isinstance(value, dict):
        return value
    told = {key: _told(item, sized=sized) for key, item in value.items() if sized or not key.endswith("_mm")}
    told = {key: told.get(key) for key in value}
    if value.keys() == REASON_KEYS:
        reason = why(Reason(**value))
        return {**told, "text": reason.text, "advice": reason.remedy}
    if value.keys() == THUMB_KEYS:
        from printcheck.report.words.planned import rule_of_thumb  # a measurement has none

        return {**told, "text": rule_of_thumb(RuleOfThumb(**value))}
    if value.keys() == FINDING_KEYS:
        words, values = said(Finding(**{**value, "values": _told(value["values"])})), told.pop("values")
        return {**told, "text": words.text, "remedy": words.remedy, "values": values}
    return told
