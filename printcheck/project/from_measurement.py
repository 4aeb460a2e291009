"""A print from a measurement, or from the JSON file of one."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from printcheck.core.errors import InputError, NoAnswerError
from printcheck.core.lattice import Lattice
from printcheck.core.measurement import Measurement, Repeat
from printcheck.core.plan import Print
from printcheck.core.results import read_json
from printcheck.core.system.limits import MOST_TEXT_BYTES
from printcheck.core.units import format_length
from printcheck.project.print_spec import sensible

MOST_SKEW_DEG = 45.0  # degrees: no cloth is that far off its grain
_REMEDY = "Make it again with printcheck measure PHOTO --json."


def print_from_measurement(document: Mapping[str, Any] | Measurement) -> Print:
    """Print as measured from a photo, of a measurement or its document ``printcheck.measurement/2``.

    It has no lattice for plain cloth. A print that lies off square to the selvedge is given as it was meant,
    its skew beside it. ``error_share`` is the error of the worse vector over the length of the longer one. A
    way that the photo could not tell is taken as one-way, which no print minds.

    Raises
    ------
    NoAnswerError
        If the photo had no scale, or the repeat did not fit into it.
    InputError
        If the document is none of ours, or broken.
    """
    if isinstance(document, Measurement):
        return _print(document, "photo")
    return _print(read_json.measurement(dict(document)), "measurement")


def read_measurement(path: Path) -> Print:
    """Print from a file that ``printcheck measure --json`` wrote; see :func:`print_from_measurement`."""
    try:
        if path.stat().st_size > MOST_TEXT_BYTES:
            raise InputError(
                "not-a-measurement", f"{path.name} is larger than 4 MB.", "Check that it is the file."
            )
        content = path.read_bytes()
    except OSError:
        raise InputError(
            "measurement-not-found", f"{path}: the file cannot be read.", "Check its name."
        ) from None
    return print_from_measurement(read_json.loads(content, place=path.name))


def _print(m: Measurement, source: str) -> Print:
    if m.scale is None and m.repeat.kind != "none":
        raise NoAnswerError(
            "no-scale",
            f"{m.photo.file}: the photo has no scale, so no length can be said.",
            "Photograph the cloth with a bank card on it, state a size with --cloth-width, --repeat-is or "
            "--photo-width, or give the repeat with --repeat.",
        )
    if m.repeat.kind == "beyond-photo" and not m.repeat.border:
        seen = m.repeat.at_least_mm
        least = f" It is at least {format_length(seen)}." if seen is not None else ""
        raise NoAnswerError(
            "repeat-beyond-photo",
            f"The print's repeat does not fit into the photo, so no match can be planned.{least}",
            "Photograph two repeats or more each way, or measure it with a tape and give --repeat.",
        )
    printed = Print(
        None,
        "none",
        m.direction.way or "one-way",
        source,
        motif_width_mm=_size(m.motif.width_mm),
        motif_height_mm=_size(m.motif.height_mm),
        pattern_delta_e=_size(m.seams.pattern_delta_e),
        needs=m.seams.needs,
        family=m.stripe_or_check.family if m.stripe_or_check else None,
    )
    if m.repeat.border:
        return _as_border(printed, m.repeat)
    if m.repeat.kind == "none" or m.repeat.lattice is None:
        return printed
    skew = m.repeat.skew_deg
    if not abs(skew) <= MOST_SKEW_DEG:
        raise InputError("broken-measurement", f"measurement: a skew of {skew!r} degrees.", _REMEDY)
    # the print as meant, its rows square to the selvedge: rows that lean by a degree would meet almost any
    # height in some column, so that matching them would seem to cost nothing, a lattice in the letter alone
    slope, lattice = math.tan(math.radians(skew)), m.repeat.lattice
    if not lattice.is_stripe:
        lattice = Lattice(tuple((a, b - slope * a) for a, b in lattice.basis_mm))
    lattice = sensible(lattice, "measurement")
    share = (_size(m.repeat.error_mm) or 0.0) / max(math.hypot(*v) for v in lattice.reduced().basis_mm)
    return replace(printed, lattice=lattice, layout=m.repeat.layout, error_share=share, skew_deg=skew)


def _as_border(printed: Print, repeat: Repeat) -> Print:
    """A border runs along one selvedge, however the photo was turned, and repeats along it alone."""
    every = _size(repeat.along_mm or repeat.across_mm)
    if not every:
        raise InputError("broken-measurement", "measurement: a border without a repeat.", _REMEDY)
    lattice = sensible(Lattice(((0.0, every),)), "measurement")
    share = (_size(repeat.error_mm) or 0.0) / every
    return replace(printed, lattice=lattice, layout="stripe", error_share=share, border=True)


def _size(value: float | None) -> float | None:
    if value is not None and not (math.isfinite(value) and value >= 0):
        raise InputError("broken-measurement", f"measurement: {value!r} is not a size.", _REMEDY)
    return value
