"""What printcheck remarks on: a code, a severity and numbers; its sentences are made in ``report.words``.

A finding is data. A stage says which one and its values, ``finding("seam-ring-open", miss_mm=12.0)``; a
value in millimetres has a name that ends in ``_mm``. All codes stand in ``findings.toml``, with the sentence
and the remedy that :mod:`printcheck.report.words.findings` says in the reader's units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import msgspec

Severity = Literal["note", "caution", "warning"]
Value = str | int | float


@dataclass(frozen=True)
class Finding:
    """One remark on a result.

    Parameters
    ----------
    code : str
        Stable word for programs.
    severity : {"note", "caution", "warning"}
        ``note`` explains, ``caution`` asks for care, ``warning`` says the result may mislead.
    values : mapping
        Numbers and names that its sentences hold.
    """

    code: str
    severity: Severity
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)


@dataclass(frozen=True)
class Remark:
    """What every finding of a code has: its severity, and its sentences with gaps for the values."""

    severity: Severity
    text: str
    remedy: str


REMARKS = msgspec.toml.decode(Path(__file__).with_name("findings.toml").read_bytes(), type=dict[str, Remark])


def finding(code: str, **values: Any) -> Finding:  # noqa: ANN401 - numpy's numbers too
    """Return the finding of this code with its values; numpy's numbers become plain ones.

    Examples
    --------
    >>> finding("repeat-few-seen", seen=1.6)
    Finding(code='repeat-few-seen', severity='caution', values={'seen': 1.6})
    """
    plain = {name: v.item() if hasattr(v, "item") else v for name, v in values.items()}
    return Finding(code, REMARKS[code].severity, plain)
