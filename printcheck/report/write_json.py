"""Results as JSON documents whose keys are the fixed surface other programs rely on."""

from __future__ import annotations

import json
import math
from typing import Any

import msgspec

from printcheck.core.errors import PrintcheckError
from printcheck.core.findings import Finding
from printcheck.core.measurement import Measurement, Reason
from printcheck.core.plan import LengthPlan, RuleOfThumb
from printcheck.core.results.comparisons import Comparison, KindsAtHand
from printcheck.report.words.findings import said
from printcheck.report.words.planned import rule_of_thumb
from printcheck.report.words.reasons import why

REASON_KEYS = {"code"}
THUMB_KEYS = {"extra_mm", "lengths"}
FINDING_KEYS = {"code", "severity", "values"}
ERROR_SCHEMA = "printcheck.error/1"


def measurement(m: Measurement) -> dict[str, Any]:
    """Document ``printcheck.measurement/2``: millimetres, degrees, shares; null where there is nothing."""
    document = _document(m)
    return document if m.scale is not None else _without_empty_mm(document)


def length(plan: LengthPlan) -> dict[str, Any]:
    """Document ``printcheck.length/1``: everything on washed cloth but what to buy."""
    return _document(plan)


def beside(result: KindsAtHand | Comparison) -> dict[str, Any]:
    """Document of several projects, or of several cloths, side by side."""
    return _document(result)


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


def _document(result: Measurement | LengthPlan | KindsAtHand | Comparison) -> dict[str, Any]:
    plain = msgspec.to_builtins(result)
    body = {key: _spoken(_finite(value)) for key, value in plain.items() if key != "schema"}
    return {"schema": result.schema, **body}


def _spoken(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Every finding with its sentence and remedy, in metric units, between its code and its values."""
    if isinstance(value, list):
        return [_spoken(item) for item in value]
    if not isinstance(value, dict):
        return value
    if value.keys() == REASON_KEYS:
        reason = why(Reason(**value))
        return {**value, "text": reason.text, "advice": reason.advice}
    if value.keys() == THUMB_KEYS:
        return {**value, "text": rule_of_thumb(RuleOfThumb(**value))}
    if value.keys() == FINDING_KEYS:
        words = said(Finding(**value))
        values = value.pop("values")
        return {**value, "text": words.text, "remedy": words.remedy, "values": values}
    return {key: _spoken(item) for key, item in value.items()}


def _without_empty_mm(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Null for each list of millimetres: without a scale there is no such number at all."""
    if isinstance(value, list):
        return [_without_empty_mm(item) for item in value]
    if not isinstance(value, dict):
        return value
    return {key: None if key.endswith("_mm") else _without_empty_mm(item) for key, item in value.items()}


def _finite(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Null in place of NaN and infinity, which JSON does not know; lists in place of tuples."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
