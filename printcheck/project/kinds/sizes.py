"""Sizes of a kind read from text, and those that were left out derived from the rest."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from printcheck.core.errors import InputError
from printcheck.core.units import format_length, parse_fraction, parse_length
from printcheck.project.kinds.draft import Kind, Size
from printcheck.project.schema import Mistakes

YES, NO = ("yes", "true", "1"), ("no", "false", "0")


def parse_size_of(text: object, size: Size, *, place: str) -> float:
    """Millimetres, a number, or the place of a word, within the range the size may have."""
    if size.kind == "choice":
        return float(_choice(text, size.words, place))
    if size.kind == "yes-no":
        return float(_choice(text, (*NO, *YES), place) >= len(NO))
    value = _number(text, size, place)
    if size.kind == "count" and value != int(value):
        raise InputError(
            "not-a-count", f"{place}: {text!r} is not a whole number.", "Give 1, 2, 3 and so on."
        )
    if not size.least <= value <= size.most:
        ends = [format_length(v) if size.kind == "length" else f"{v:g}" for v in (size.least, size.most)]
        raise InputError(
            "size-out-of-range", f"{place}: {text!r} is outside {ends[0]} to {ends[1]}.", "Check it."
        )
    return value


def _number(text: object, size: Size, place: str) -> float:
    if size.kind == "length":
        return parse_length(text, place=place)
    if size.kind == "fullness" and isinstance(text, str) and text.rstrip().endswith("%"):
        # extra cloth over the space: 100 % is twice the cloth (Ohio State Extension OSUE-529)
        return 1 + parse_fraction(text.rstrip().removesuffix("%"), place=place) / 100
    return parse_fraction(text, place=place)


def _choice(text: object, words: tuple[str, ...], place: str) -> int:
    word = str(text).strip().lower()
    for number, known in enumerate(words):
        if word == known.lower():
            return number
    raise InputError("unknown-word", f"{place}: {text!r} is none of {', '.join(words)}.", "Give one of them.")


def complete_sizes(kind: Kind, given: Mapping[str, object], *, mistakes: Mistakes) -> dict[str, str]:
    """Sizes as text, in the kind's own order: those given, then defaults, then those derived from both."""
    texts: dict[str, str] = {}
    values: dict[str, float] = {}
    usual = {name: size.default for name, size in kind.sizes.items() if size.default and name not in given}
    for key, text in {**given, **usual}.items():
        if key not in kind.sizes:
            close = difflib.get_close_matches(key, kind.sizes, n=1)
            hint = f"Did you mean {close[0]}?" if close else f"Its sizes are {', '.join(kind.sizes)}."
            mistakes.add(key, f"a {kind.name} has no such size. {hint}", code="unknown-key")
            continue
        with mistakes.noting():
            values[key] = parse_size_of(text, kind.sizes[key], place=key)
            texts[key] = f"{values[key]:g}" if kind.sizes[key].kind == "fullness" else str(text)
    for name, size in kind.sizes.items():
        if name not in values and size.derive is not None:
            values[name] = size.derive(values)
            texts[name] = _shown(size, values[name])
            values[name] = parse_size_of(texts[name], size, place=name)
    return {name: texts[name] for name in kind.sizes if name in texts}


def _shown(size: Size, value: float) -> str:
    """Text of a derived value: a word, or whole millimetres within the range."""
    if size.kind == "choice":
        return size.words[int(value)]
    return f"{min(max(round(value), size.least), size.most) / 10:g} cm"
