"""Whether and how to match a print at the seams, and what that takes, in plain words."""

from __future__ import annotations

from printcheck.core.measurement import Measurement
from printcheck.core.units import UnitSystem
from printcheck.report.words.findings import said
from printcheck.report.words.quantities import size

NEEDS = {
    "none": "No row or column needs to meet.",
    "level": "Bring the rows level across each seam; the columns may fall as they like.",
    "upright": "Bring the columns in line along each seam; the rows may fall as they like.",
    "both": "Bring rows and columns together, so that the print runs on across the seam.",
}
STRIPES_NEED = {
    "none": NEEDS["none"],
    "level": "Bring the stripes level across each seam; sideways it does not matter.",
    "upright": "Let the stripes follow one another across each seam as on the cloth; up and down it does not "
    "matter.",
    "both": "Bring the stripes together where they cross the seam.",
}
MATCH = {
    "unseen": "No: a seam that does not match is lost in the print.",
    "slight": "Where seams are in plain sight, such as a centre front; elsewhere it hardly shows.",
    "plain-to-see": "Yes.",
}
PLAIN_CLOTH = ("No: plain cloth has nothing to match.", "None: there is no print to match.")
SEAMS_UNKNOWN = {  # advice on matching, and on the extra length, where no cell could be measured
    "beyond-photo": (
        "The photo does not show where the print begins again: look for that on the bolt.",
        "It cannot be said yet. The trade allows one repeat, measured on the bolt, for each length you cut; "
        "printcheck length works it out once you give that repeat.",
    ),
    "none": (
        "There is nothing to match: no repeat was found.",
        "None for matching: no repeat was found.",
    ),
}
BEYOND = {  # where the photo shows how much a seam is seen, though not where the print begins again
    "slight": "Perhaps: an unmatched seam shows a little.",
    "plain-to-see": "Probably: an unmatched seam is plain to see.",
}


def seams_known(m: Measurement) -> bool:
    """Whether it was measured what a seam shows: without a repeat there is no cell to measure it on."""
    return m.repeat.kind in ("lattice", "stripe") or "plain" in m.classes or bool(m.seams.mismatch_delta_e)


def _unknown(m: Measurement) -> tuple[str, str]:
    return SEAMS_UNKNOWN["beyond-photo" if m.repeat.kind == "beyond-photo" else "none"]


def match_advice(m: Measurement, units: UnitSystem = "metric") -> str:
    """Whether and how to match at the seams."""
    if "plain" in m.classes:
        return PLAIN_CLOTH[0]
    hangs = next((f for f in m.findings if f.code == "match-by-size"), None)
    if m.scale is None and hangs is not None:
        return said(hangs, units).text
    if seams_known(m) and m.seams.verdict == "unseen":
        return MATCH["unseen"]
    if not m.repeat.known:
        beyond = m.repeat.kind == "beyond-photo"
        shown = (BEYOND[m.seams.verdict] if seams_known(m) else "It cannot be said yet.") if beyond else ""
        return f"{shown} {_unknown(m)[0]}".strip()
    needs = STRIPES_NEED if m.repeat.kind == "stripe" else NEEDS
    return f"{MATCH[m.seams.verdict]} {needs[m.seams.needs]}"


def more_cloth(m: Measurement, units: UnitSystem) -> str:
    """The trade's rule for the extra length, as long as no project has been planned."""
    exact = "printcheck length works out the exact length for a project."
    if "plain" in m.classes:
        return f"{PLAIN_CLOTH[1]} {exact}"
    if m.scale is None:
        return "It cannot be said in lengths: the photo has no scale."
    unseen = seams_known(m) and m.seams.verdict == "unseen"
    if not m.repeat.known and not unseen:
        return _unknown(m)[1]
    if m.seams.needs == "none" or unseen:
        return f"None for the print: nothing has to meet. {exact}"
    if m.seams.needs == "upright":
        what = "stripes" if m.repeat.kind == "stripe" else "columns"
        return f"No length, perhaps some width: only {what} have to meet. {exact}"
    if m.repeat.along_mm is None:
        return f"It depends on the slant of the print. {exact}"
    return f"As a ceiling, one repeat ({size(m.repeat.along_mm, units)}) for each length you cut. {exact}"
