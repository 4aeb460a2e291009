"""Lengths of a result by the names of their fields: made larger, told in pixels, or left out.

A field whose name ends in ``_mm`` holds millimetres: a number, a vector, or a list of them. What follows
from that alone is done here once for every result.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from printcheck.core.measurement import PrintFacts

T = TypeVar("T")


def rescaled(result: T, factor: float) -> T:
    """The result with every length ``factor`` times as large, arrays included.

    Examples
    --------
    >>> from printcheck.core.measurement import Motif
    >>> rescaled(Motif(width_mm=12.0, cover=0.4), 2.0).width_mm
    24.0
    """
    return _with_lengths(result, lambda name, value: {name: _times(value, factor)})


def facts_at(facts: PrintFacts, size: float) -> PrintFacts:
    """The facts of the print were it ``size`` times as large, its clump looked for anew."""
    grown = rescaled(facts, size)
    return grown if facts.clump_at is None else replace(grown, clump=facts.clump_at(size))


def with_pixels(result: T, mm_per_px: float) -> T:
    """The result with each single length ``x_mm`` also in ``x_px`` where it has such a field."""
    return _with_lengths(
        result,
        lambda name, value: (
            {name.removesuffix("mm") + "px": value / mm_per_px} if isinstance(value, float) else {}
        ),
    )


def without_mm(result: T, mm_per_px: float) -> T:
    """The result with no length in millimetres: None, or an empty tuple; values of findings in pixels."""
    return _with_lengths(
        result,
        lambda name, value: {name: () if isinstance(value, tuple) else None},
        lambda values: {
            (name.removesuffix("mm") + "px" if name.endswith("_mm") else name): (
                value / mm_per_px if name.endswith("_mm") else value
            )
            for name, value in values.items()
        },
    )


def _with_lengths(
    result: T,
    change: Callable[[str, Any], dict[str, Any]],
    values: Callable[[Mapping[str, Any]], dict[str, Any]] = dict,
) -> T:
    """Walk through a result and the results in it; ``change`` gives new fields for each length."""
    if isinstance(result, tuple):
        return tuple(_with_lengths(item, change, values) for item in result)  # type: ignore[return-value]
    if not is_dataclass(result) or isinstance(result, type):
        return result
    known = {field.name for field in fields(result)}
    new: dict[str, Any] = {}
    for name in known:
        value = getattr(result, name)
        if name.endswith("_mm"):
            new |= {} if value is None else change(name, value)
        elif isinstance(value, Mapping):
            new[name] = values(value)
        elif isinstance(value, tuple) or is_dataclass(value):
            new[name] = _with_lengths(value, change, values)
    return replace(result, **{name: value for name, value in new.items() if name in known})


def _times(value: Any, factor: float) -> Any:  # noqa: ANN401 - a number, an array or tuples of numbers
    return tuple(_times(item, factor) for item in value) if isinstance(value, tuple) else value * factor
