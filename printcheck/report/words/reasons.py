"""Why a print is easy or hard to sew with: the sentence of every reason, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import msgspec

from printcheck.core.measurement import Reason


@dataclass(frozen=True)
class Why:
    """A reason in words, and what to do about it."""

    text: str
    advice: str


WHY = msgspec.toml.decode(Path(__file__).with_name("reasons.toml").read_bytes(), type=dict[str, Why])


def why(reason: Reason) -> Why:
    """Sentence and advice of a reason; one of another version's file is told by its code."""
    return WHY.get(reason.code, Why(f"{reason.code}.", ""))
