"""A print from a measurement, or from the JSON file of one."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, cast, get_args

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.lattice import Lattice
from printcheck.core.measurement import MEASUREMENT_SCHEMA, Family, Layout, Measurement, Needs, Way
from printcheck.core.plan import Print
from printcheck.core.units import format_length
from printcheck.project.print_spec import sensible

MOST_SKEW_DEG = 45.0  # degrees: no cloth is that far off its grain
LARGEST_FILE = 4_000_000  # bytes: a measurement is a few kilobytes


def print_from_measurement(document: Mapping[str, Any] | Measurement) -> Print:
    """Print as measured from a photo.

    Parameters
    ----------
    document : mapping or Measurement
        A document ``printcheck.measurement/2`` as read from JSON, or the measurement itself.

    Returns
    -------
    Print
        Without a lattice for plain cloth. A print that lies off square to the selvage is given as it was
        meant, its skew beside it. ``error_share`` is the error of the worse vector over the
        length of the longer one.

    Raises
    ------
    NoAnswerError
        If the repeat did not fit into the photo.
    InputError
        If the document is none of ours, or broken.
    """
    if isinstance(document, Measurement):
        return _measured(dataclasses.asdict(document), "photo")
    if not isinstance(document, Mapping) or document.get("schema") != MEASUREMENT_SCHEMA:
        raise InputError(
            "not-a-measurement",
            f"The file is not a measurement of the form {MEASUREMENT_SCHEMA}.",
            "Make one with printcheck measure PHOTO --json.",
        )
    try:
        return _measured(document, "measurement")
    except (KeyError, TypeError, AttributeError, IndexError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            "broken-measurement",
            f"The measurement lacks or garbles something ({type(error).__name__}: {error}).",
            "Make it again with printcheck measure PHOTO --json.",
        ) from None


def read_measurement(path: Path) -> Print:
    """Print from a file that ``printcheck measure --json`` wrote; see :func:`print_from_measurement`."""
    import json

    try:
        if path.stat().st_size > LARGEST_FILE:
            raise InputError(
                "not-a-measurement", f"{path.name} is larger than 4 MB.", "Check that it is the file."
            )
        document = json.loads(path.read_bytes())
    except OSError:
        raise InputError(
            "measurement-not-found", f"{path}: the file cannot be read.", "Check its name."
        ) from None
    except (ValueError, RecursionError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            "not-a-measurement",
            f"{path.name} is not sound JSON.",
            "Make it with printcheck measure PHOTO --json.",
        ) from None
    return print_from_measurement(document)


def _measured(document: Mapping[str, Any], source: str) -> Print:
    repeat, motif = document["repeat"], document["motif"]
    way = document["direction"]["way"]
    if way not in get_args(Way):
        raise ValueError(f"way {way!r}")
    if repeat["kind"] == "beyond-photo":
        seen = repeat.get("at_least_mm")
        least = f" It is at least {format_length(float(seen))}." if seen is not None else ""
        raise NoAnswerError(
            "repeat-beyond-photo",
            f"The print's repeat does not fit into the photo, so no match can be planned.{least}",
            "Photograph two repeats or more each way, or measure it with a tape and give --repeat.",
        )
    seams = document.get("seams") or {}
    extra = {
        "motif_width_mm": _number_or_none(motif.get("width_mm")),
        "motif_height_mm": _number_or_none(motif.get("height_mm")),
        "pattern_delta_e": _number_or_none(seams.get("pattern_delta_e")),
        "needs": _needs(seams.get("needs")),
        "family": _family((document.get("stripe_or_check") or {}).get("family")),
    }
    if repeat["kind"] == "none":
        return Print(None, "none", way, source, **extra)  # type: ignore[arg-type]
    layout = repeat["layout"]
    if repeat["kind"] not in ("lattice", "stripe") or layout not in get_args(Layout):
        raise ValueError(f"repeat {repeat['kind']!r} {layout!r}")
    basis = tuple((float(v[0]), float(v[1])) for v in repeat["basis_mm"])
    skew = _skew_deg(repeat.get("skew_deg"))
    lattice = sensible(_straightened(Lattice(basis), skew), "measurement")
    longest = max(math.hypot(*v) for v in lattice.reduced().basis_mm)
    error = _number_or_none(repeat.get("error_mm")) or 0.0
    share = error / longest
    return Print(lattice, layout, way, source, error_share=share, skew_deg=skew, **extra)  # type: ignore[arg-type]


def _straightened(lattice: Lattice, skew_deg: float) -> Lattice:
    """Print as meant, its rows square to the selvage.

    Rows that lean by a degree would meet almost any height in some column, so that matching them would
    seem to cost nothing: a lattice to plan with only in the letter.
    """
    slope = math.tan(math.radians(skew_deg))
    return lattice if lattice.is_stripe else Lattice(tuple((a, b - slope * a) for a, b in lattice.basis_mm))


def _skew_deg(value: object) -> float:
    skew = 0.0 if value is None else float(cast(float, value))
    if not abs(skew) <= MOST_SKEW_DEG:
        raise ValueError(f"skew of {value!r} degrees")
    return skew


def _needs(value: object) -> Needs | None:
    if value is not None and value not in get_args(Needs):
        raise ValueError(f"needs {value!r}")
    return cast("Needs | None", value)


def _family(value: object) -> Family | None:
    if value is not None and value not in get_args(Family):
        raise ValueError(f"family {value!r}")
    return cast("Family | None", value)


def _number_or_none(value: object) -> float | None:
    if value is None:
        return None
    number = float(cast(float, value))
    if not (math.isfinite(number) and number >= 0):
        raise ValueError(f"{value!r} is not a size")
    return number
