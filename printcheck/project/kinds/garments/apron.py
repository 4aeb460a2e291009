"""A bib apron cut in one, with a pocket, a neck strap and two ties."""

from __future__ import annotations

from printcheck.core.plan import Place
from printcheck.project.kinds.draft import SEAM_MM, Draft, PieceRow, Room, Values, seam_between
from printcheck.project.kinds.rows import kind


def draw(size: Values, room: Room) -> Draft:
    """Apron with a motif in the middle of the bib; the pocket runs on in the print."""
    wide = size["width"] + 2 * size["side_hem"]
    high = size["length"] + size["top_hem"] + size["foot_hem"]
    bib = min(size["bib"] + 2 * size["side_hem"], wide)
    left, right = (wide - bib) / 2, (wide + bib) / 2
    arm = size["top_hem"] + size["bib_share"] * size["length"]
    bend = size["bend_share"] * arm
    ring = (
        (left, 0.0), (right, 0.0), (right + left / 2, bend), (wide, arm), (wide, high), (0.0, high),
        (0.0, arm), (left / 2, bend),
    )  # fmt: skip
    apron = PieceRow("apron", wide, high, on_fold=True, outline=ring if left > 1 else ())
    pocket_wide = min(size["pocket_width"], size["width"] / 2)
    pocket = PieceRow(
        "pocket",
        pocket_wide + 2 * SEAM_MM,
        size["pocket_height"] + SEAM_MM + size["top_hem"],
        on_border=False,
    )
    strap = 2 * size["strap"] + 2 * SEAM_MM
    upper = ((wide - pocket_wide) / 2, size["top_hem"] + size["pocket_share"] * size["length"])
    return Draft(
        (
            apron,
            pocket,
            PieceRow("neck strap", strap, size["neck"], on_border=False),
            PieceRow("tie", strap, size["tie"], 2, on_border=False),
        ),
        (seam_between("pocket", (apron, upper), (pocket, (SEAM_MM, size["top_hem"])), "both"),),
        (Place("apron#1", (wide / 2, size["top_hem"] + size["bib_share"] * size["length"] / 2)),),
    )


KIND = kind("apron", draw)
