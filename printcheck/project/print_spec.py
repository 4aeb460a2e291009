"""A print from its spelling, from ``[print]`` of a project file, or from a measurement.

``across`` and ``along`` are the shortest purely crosswise and purely lengthwise translations: for a
half-drop ``across`` is two columns. For any other drop ``across`` is the step from one column to the
next. Where nothing is said of the way, the print is taken to be one-way: nothing is turned.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any, get_args

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice, Vector
from printcheck.core.measurement import Layout, Way
from printcheck.core.plan import Print
from printcheck.core.units import (
    LONGEST_MM,
    parse_fraction,
    parse_length,
    parse_positive_length,
    parse_share,
    parse_size,
)
from printcheck.project.cloth_table import parse_from_zero
from printcheck.project.schema import Mistakes, PrintTable, read_table

SMALLEST_REPEAT_MM = 1.5  # mm: below this the period is that of the weave, never a print
WAYS = get_args(Way)
_SPELLING = (
    "Write across x along and the layout, such as 64mm x 64mm half-drop, 64mm x 80mm drop 1/3 or 12mm stripe."
)
_SIZE = re.compile(
    r"\s*(.*?(?:mm|cm|m|inches|inch|in|ft|yards|yard|yd|\")(?![a-z]))(?!\s*[x\u00d7])\s*(.*)", re.I | re.S
)
# longest first, so that "half-drop" is not read as a drop
_LAYOUTS: tuple[tuple[str, Layout], ...] = (
    (r"half[- ]drop", "half-drop"),
    (r"drop\s+(?:of\s+)?(?P<after>\d+/\d+|0?\.\d+)|(?P<before>\d+/\d+|0?\.\d+)[- ]drop", "drop"),
    (r"straight", "straight"),
    (r"(?P<cross>cross[- ])?stripes?", "stripe"),
)


def parse_print(text: str) -> Print:
    """Print as it is spelled on the command line.

    Parameters
    ----------
    text : str
        ``across x along layout way``: two lengths (one alone holds both ways), then ``straight``
        (taken when nothing is said), ``half-drop`` or ``drop 1/3``, and the way where it is known.
        ``12mm stripe`` has bars along the cloth, ``12mm cross-stripe`` bars across it. ``plain`` is
        cloth without a print; ``border`` a design along one selvedge.

    Raises
    ------
    InputError
        If the text does not say that.

    Examples
    --------
    >>> parse_print("64mm x 64mm half-drop").lattice.basis_mm
    ((32.0, 32.0), (0.0, 64.0))
    >>> parse_print("12mm stripe two-way").way
    'two-way'
    """
    source = "command line"
    if text.strip().lower() in ("plain", "none"):
        return Print(None, "none", "four-way", source)
    match = _SIZE.fullmatch(text)
    if match is None:
        raise InputError("malformed-print", f"--repeat: {text!r} holds no length with a unit.", _SPELLING)
    size, words = match[1], match[2].lower()
    if re.search(r"[x\u00d7]", size):
        across, along = parse_size(size, place="--repeat")
    else:
        across = along = parse_positive_length(size, place="--repeat")
    way, words = _taken_way(words)
    border, words = "border" in words.split(), " ".join(w for w in words.split() if w != "border")
    if "brick" in words or "half-step" in words:
        raise InputError(
            "malformed-print",
            f"--repeat: {text!r}: a half-step brick and a half-drop are the same thing.",
            "Write half-drop with the shortest straight moves: a brick's own width, and two of its rows.",
        )
    layout, drop, crosswise = _taken_layout(words, text)
    if layout == "stripe":
        lattice = made_lattice(layout, None, along) if crosswise else made_lattice(layout, across, None)
    else:
        lattice = made_lattice(layout, across, along, drop)
    assert lattice is not None  # both translations are known here
    return Print(sensible(lattice, "--repeat"), layout, way, source, border=border)


def read_print(raw: Mapping[str, Any] | None, *, mistakes: Mistakes) -> Print | None:
    """Print of the ``[print]`` table; None without one, or where it holds mistakes."""
    if raw is None:
        return None
    before = len(mistakes.found)
    table = read_table(raw, PrintTable, place="print", mistakes=mistakes)
    made = None
    if len(mistakes.found) == before:
        with mistakes.noting():
            made = _print_of(table)
    return made


def _taken_way(words: str) -> tuple[Way, str]:
    found = [way for way in WAYS if re.search(rf"\b{way.replace('-', '[- ]')}\b", words)]
    if len(found) > 1:
        raise InputError("malformed-print", f"--repeat: {' and '.join(found)} at once.", "Keep one of them.")
    if not found:
        return "one-way", words
    return found[0], re.sub(rf"\b{found[0].replace('-', '[- ]')}\b", " ", words)


def _taken_layout(words: str, text: str) -> tuple[Layout, float | None, bool]:
    """Layout, drop and whether a stripe runs across, from the words that are left."""
    rest = " ".join(words.replace(",", " ").split())
    if not rest:
        return "straight", None, False
    for spelling, layout in _LAYOUTS:
        if match := re.fullmatch(spelling, rest):
            named = match.groupdict()
            share = named.get("after") or named.get("before")
            return layout, _drop(share, "--repeat") if share else None, bool(named.get("cross"))
    raise InputError("malformed-print", f"--repeat: {rest!r} in {text!r} is no layout known here.", _SPELLING)


def _drop(text: object, place: str) -> float:
    drop = parse_fraction(text, place=place)
    if not 0 <= drop < 1:
        raise InputError(
            "bad-drop",
            f"{place}: a drop of {text} is not from 0 up to, but not, 1.",
            "Give a share such as 1/3.",
        )
    return drop


def made_lattice(
    layout: Layout, across: float | None, along: float | None, drop: float | None = None
) -> Lattice | None:
    """Lattice of a layout from its shortest straight translations; None where they do not give one.

    Examples
    --------
    >>> made_lattice("half-drop", 64.0, 64.0).basis_mm
    ((32.0, 32.0), (0.0, 64.0))
    """
    if layout == "stripe" and (across or along):
        return _stripe(across, along)
    if (
        across is None
        or along is None
        or layout in ("stripe", "none")
        or (layout == "drop") != (drop is not None)
    ):
        return None
    if layout == "half-drop":
        return Lattice.of_steps(across / 2, along, 0.5)
    return Lattice.of_steps(across, along, drop or 0.0)


def _stripe(across: float | None, along: float | None) -> Lattice:
    """Stripe from its period across, along, or both (then it slants, falling to the right)."""
    if across is None or along is None:
        return Lattice(((across or 0.0, along or 0.0),))
    share = 1 / (across**-2 + along**-2)
    return Lattice(((share / across, share / along),))


def sensible(lattice: Lattice, place: str) -> Lattice:
    """Return the lattice, refusing one as fine as a weave or longer than any cloth."""
    if not max(math.hypot(*v) for v in lattice.basis_mm) <= LONGEST_MM:
        raise InputError(
            "repeat-too-large", f"{place}: the repeat is longer than any cloth.", "Check the unit."
        )
    smallest = min(math.hypot(*v) for v in lattice.reduced().basis_mm)
    if smallest < SMALLEST_REPEAT_MM:
        raise InputError(
            "repeat-too-small",
            f"{place}: a repeat of {smallest:.2f} mm is that of a weave, not of a print.",
            "Check the unit.",
        )
    return lattice


def _print_of(table: PrintTable) -> Print:
    layout: Layout = table.layout or ("none" if _says_nothing(table) else "straight")
    motif = parse_size(table.motif, place="print.motif") if table.motif is not None else (None, None)
    return Print(
        _table_lattice(table, layout),
        layout,
        table.way or ("four-way" if layout == "none" else "one-way"),  # plain cloth has no up unless said
        "project",
        error_share=parse_share(table.error, place="print.error") if table.error is not None else 0.0,
        motif_width_mm=motif[0],
        motif_height_mm=motif[1],
        border=table.border,
        motif_from_selvedge_mm=None
        if table.motif_from_selvedge is None
        else parse_from_zero(table.motif_from_selvedge, place="print.motif_from_selvedge"),
        family=table.family,
    )


def _says_nothing(table: PrintTable) -> bool:
    return table.across is None and table.along is None and table.basis is None


def _table_lattice(table: PrintTable, layout: Layout) -> Lattice | None:
    if layout == "none":
        if not _says_nothing(table):
            raise InputError(
                "two-layouts", "print.layout: plain cloth has no repeat, but one is given.", "Leave one out."
            )
        return None
    if table.drop is not None and layout != "drop":
        raise InputError(
            "bad-drop", f"print.drop: a {layout} layout takes no drop.", 'Write layout = "drop" beside it.'
        )
    if table.basis is not None:
        return sensible(_of_basis(table, layout), "print.basis")
    across, along = (
        None if text is None else parse_positive_length(text, place=f"print.{axis}")
        for axis, text in (("across", table.across), ("along", table.along))
    )
    if across is None and along is None:
        raise InputError("missing-key", "print.across: across and along are missing.", "Give the repeat.")
    if layout != "stripe" and (across is None or along is None):
        missing = "across" if across is None else "along"
        raise InputError(
            "missing-key", f"print.{missing}: {missing} is missing.", "Give both across and along."
        )
    if layout == "drop" and table.drop is None:
        raise InputError("missing-key", 'print.drop: layout "drop" needs it.', 'Write it as "1/3".')
    drop = _drop(table.drop, "print.drop") if layout == "drop" else None
    lattice = made_lattice(layout, across, along, drop)
    assert lattice is not None  # every gap is told of above
    return sensible(lattice, "print")


def _of_basis(table: PrintTable, layout: Layout) -> Lattice:
    if table.across is not None or table.along is not None or table.drop is not None:
        raise InputError(
            "two-layouts",
            "print.basis: basis says it all; across, along and drop are too much.",
            "Leave them out.",
        )
    vectors: list[Vector] = []
    for number, vector in enumerate(table.basis or (), start=1):
        place = f"print.basis[{number}]"
        vectors.append((parse_length(vector[0], place=place), parse_length(vector[1], place=place)))
    if len(vectors) != (1 if layout == "stripe" else 2):
        raise InputError(
            "bad-basis",
            "print.basis: give two vectors, or one for a stripe.",
            'Such as [["60 mm", "40 mm"], ...].',
        )
    try:
        return Lattice(tuple(vectors))
    except (ValueError, ZeroDivisionError) as error:
        raise InputError(
            "bad-basis", f"print.basis: {error}.", "Give two that point different ways."
        ) from None
