"""The rows of ``kinds.toml``: a kind's words and sizes, joined to the function that draws it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from printcheck.project.kinds import body
from printcheck.project.kinds.draft import CLOTHS, Draft, Kind, Room, Size, Values

_ROWS: dict[str, dict[str, Any]] = msgspec.toml.decode(
    Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8")
)


def kind(name: str, draw: Callable[[Values, Room], Draft], **derive: Callable[[Values], float]) -> Kind:
    """Kind of this name in ``kinds.toml``; ``derive`` has what gives a size that was left out."""
    row = dict(_ROWS[name])
    people = row.get("people", "")
    sizes = {key: _size(key, size, people, derive) for key, size in row.pop("sizes").items()}
    cloth = CLOTHS[row.pop("cloth", "cotton")]
    row |= {key: tuple(row.get(key, ())) for key in ("also", "findings")}
    return Kind(name=name, draw=draw, sizes=sizes, cloth=cloth, **row)


def _size(key: str, size: Any, people: str, derive: dict[str, Callable[[Values], float]]) -> Size:  # noqa: ANN401
    if size == "letter":
        return body.TABLES[people].letter()
    return body.TABLES[people].measure(key) if size == "measure" else Size(derive=derive.get(key), **size)
