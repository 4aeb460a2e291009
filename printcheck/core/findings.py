"""What printcheck remarks on: a code, a severity and numbers; its sentences are made in ``report.words``.

A finding is data. A stage says which one and its values, ``finding("seam-ring-open", miss_mm=12.0)``; a
value in millimetres has a name that ends in ``_mm``. The sentence and the remedy of each code stand in
:mod:`printcheck.report.words.findings`, which says them in the reader's units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

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


SEVERITIES: dict[str, Severity] = {}


def define(code: str, severity: Severity) -> None:
    """Enter a finding into the table; its words go into :mod:`printcheck.report.words.findings`."""
    if code in SEVERITIES:
        raise ValueError(f"finding {code!r} is defined twice")
    SEVERITIES[code] = severity


def finding(code: str, **values: Any) -> Finding:  # noqa: ANN401 - numpy's numbers too
    """Return the finding of this code with its values; numpy's numbers become plain ones.

    Examples
    --------
    >>> finding("repeat-few-seen", seen=1.6)
    Finding(code='repeat-few-seen', severity='caution', values={'seen': 1.6})
    """
    plain = {name: v.item() if hasattr(v, "item") else v for name, v in values.items()}
    return Finding(code, SEVERITIES[code], plain)


# -- photo ------------------------------------------------------------------------------------------
define("scale-tilt-unknown", "note")
define("corners-misfit", "caution")
define("scale-two-objects-disagree", "warning")
define("scale-two-objects-agree", "note")
define("scale-board-unmeasured", "note")
define("scale-board-bent", "caution")
define("scale-coin-tilt", "note")
define("reference-weak", "caution")
define("reference-could-be", "caution")
define("reference-cut", "note")
define("scale-rule-tilt", "note")
define("photos-combined", "note")
define("photos-scale-shared", "note")
define("photos-scales-differ", "caution")
define("photos-twice", "note")
define("photos-join-doubtful", "warning")
define("photos-place-error", "note")
define("photos-place-open", "warning")
define("scale-none", "note")
define("tilt-by-print", "note")
define("scale-sheet-unnamed", "caution")
define("scale-coin-unnamed", "caution")

# -- repeat -----------------------------------------------------------------------------------------
define("repeat-few-seen", "caution")
define("repeat-off-grain", "caution")
define("repeat-odd-motifs", "warning")
define("repeat-plain", "note")
define("repeat-beyond-photo", "caution")
define("repeat-one-direction", "caution")
define("repeat-border", "note")
define("repeat-border-of-field", "note")
define("repeat-part-of-photo", "note")
define("repeat-uneven-cloth", "caution")
define("repeat-either", "caution")
define("repeat-crossed-stripe", "caution")
define("repeat-tilt-unknown", "caution")
define("repeat-tilt-disagrees", "caution")

# -- motif and judge --------------------------------------------------------------------------------
define("way-unsure", "caution")
define("way-unknown", "caution")
define("motif-at-least", "note")
define("cells-unlike", "caution")
define("cell-few", "note")
define("match-by-size", "note")

# -- project and cutting ----------------------------------------------------------------------------
define("seam-widths-do-not-join", "warning")
define("seam-ring-open", "warning")
define("place-cannot-be-met", "warning")
define("seams-clash", "warning")
define("repeat-cliff", "warning")
define("near-miss", "note")
define("near-miss-fullness", "note")
define("near-miss-step", "note")
define("cloth-off-grain", "caution")
define("repeat-error-not-held", "caution")
define("matched-not-found", "warning")
define("seam-on-cutting-line", "caution")
define("skirt-panels", "note")
define("curtain-widths", "note")
define("curtain-joins", "note")
define("curtain-selvedge", "note")
define("curtain-railroaded", "note")
define("curtain-border", "note")
define("backing-sideways", "note")
define("binding-squares", "note")
define("seams-not-matched", "note")
define("measure-off-table", "caution")
define("dxf-no-grain", "caution")
define("dxf-turned", "caution")
define("dxf-notch-off", "caution")
define("width-too-narrow", "warning")
define("childrens-rules", "caution")
define("nightwear-rules", "caution")
