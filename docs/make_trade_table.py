"""Write docs/accuracy/trade_verdicts.md: what the trade says of a print, and what we say of its photo.

Run from the project's root: ``python docs/make_trade_table.py``. The trade's verdicts are common practice:
pin and polka dots, small ginghams, ditsies, plain cloth, skins and small tossed motifs give little trouble;
larger checks want matching; large florals gather in bunches; bold geometrics clash at seams; whole figures
must not be beheaded. What counts as small and large: Kight, A Field Guide to Fabric Design, p. 26.
"""

from __future__ import annotations

import sys
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # tests.drawn draws the photos

from printcheck.advice import judge
from printcheck.advice.difficulty import RULES
from printcheck.core.handover import FlatCloth
from printcheck.core.measurement import Judgement, PhotoFacts, Scale
from printcheck.motif import mean_cell, read_print
from printcheck.repeat import find_lattice
from tests.drawn import Art, Camera, Cell, geometric, photograph, prints

TARGET = Path(__file__).parent / "accuracy" / "trade_verdicts.md"
HALF = Fraction(1, 2)
Rng = np.random.Generator

BARS = {"check", "large-check", "uneven-plaid", "cross-stripe", "length-stripe", "uneven-stripe"}
# the trade's verdict -> in words, and the reasons of ours that mean the same
VERDICTS: dict[str, tuple[str, set[str]]] = {
    "little": ("little or no trouble", set()),
    "match": ("wants matching", BARS),
    "bunches": ("colours gather in bunches", {"bunches", "heavy-figure"}),
    "clash": ("bold lines clash at seams", BARS | {"match-both", "match-rows", "chevron", "diagonal"}),
    "whole": ("figures must stay whole", {"figures", "figures-close", "large-figure"}),
}
assert set().union(*(codes for _, codes in VERDICTS.values())) <= {rule.code for rule in RULES}


@dataclass(frozen=True)
class Print:
    """One drawn print: what the trade says, how it is drawn, and how much cloth the photo shows."""

    name: str
    trade: str
    draw: Callable[[Rng], Art]
    view_mm: float


def _cell(across: float, along: float, drop: Fraction = Fraction(0)) -> Cell:
    return Cell(across, along, drop)


PRINTS: tuple[Print, ...] = (
    Print("pin dots 1.5 mm, 5 mm apart", "little", lambda r: prints.dots(r, 5, share=0.3), 90),
    Print(
        "pin dots 2 mm, half-drop", "little", lambda r: prints.dots(r, 5, layout="half-drop", share=0.35), 90
    ),
    Print("polka dots 5 mm", "little", lambda r: prints.dots(r, 9, share=0.55), 130),
    Print("polka dots 6 mm, brick", "little", lambda r: prints.dots(r, 11, layout="brick", share=0.55), 130),
    Print(
        "polka dots 7 mm, hexagonal",
        "little",
        lambda r: prints.dots(r, 12, layout="hexagonal", share=0.6),
        150,
    ),
    Print("polka dots 12 mm, 20 mm apart", "little", lambda r: prints.dots(r, 20, share=0.6), 180),
    Print("gingham 1/16 in", "little", lambda r: prints.gingham(r, 3.175), 90),
    Print("gingham 1/8 in", "little", lambda r: prints.gingham(r, 6.35), 90),
    Print("gingham 1/4 in", "little", lambda r: prints.gingham(r, 12.7), 130),
    Print("window check 6 mm", "little", lambda r: prints.window_check(r, 6), 90),
    Print("window check 10 mm", "little", lambda r: prints.window_check(r, 10), 110),
    Print("ditsy, 4 mm flowers", "little", lambda r: prints.ditsy(r, _cell(30, 30), flower_mm=4), 160),
    Print(
        "ditsy, 5 mm flowers, half-drop",
        "little",
        lambda r: prints.ditsy(r, _cell(26, 52, HALF), flower_mm=5),
        200,
    ),
    Print("ditsy, 6 mm flowers", "little", lambda r: prints.ditsy(r, _cell(45, 40), flower_mm=6), 200),
    Print("ditsy, 8 mm flowers", "little", lambda r: prints.ditsy(r, _cell(64, 64), flower_mm=8), 260),
    Print("plain, light", "little", prints.plain, 200),
    Print("plain, another", "little", prints.plain, 300),
    Print("skin, 4 mm spots", "little", lambda r: prints.skin(r, _cell(40, 45), spot_mm=4), 190),
    Print("skin, 6 mm spots", "little", lambda r: prints.skin(r, _cell(60, 55), spot_mm=6), 240),
    Print("skin, 8 mm spots", "little", lambda r: prints.skin(r, _cell(80, 80), spot_mm=8), 300),
    Print(
        "small tossed figures 8 mm",
        "little",
        lambda r: prints.figures_print(r, _cell(40, 40), heads="tossed", count=8),
        190,
    ),
    Print(
        "small tossed figures 10 mm",
        "little",
        lambda r: prints.figures_print(r, _cell(46, 50), heads="tossed", count=9, kinds=3),
        220,
    ),
    Print("tone-on-tone dots 10 mm", "little", lambda r: prints.dots(r, 16, share=0.6, scheme="tone"), 150),
    Print("small flowers 9 mm in rows", "little", lambda r: prints.emblem(r, _cell(12, 12)), 120),
    Print("gingham 1/2 in", "match", lambda r: prints.gingham(r, 25.4), 180),
    Print("gingham 1 in", "match", lambda r: prints.gingham(r, 50.8), 260),
    Print("window check 40 mm", "match", lambda r: prints.window_check(r, 40), 220),
    Print("window check 90 mm", "match", lambda r: prints.window_check(r, 90), 400),
    Print("even plaid 60 mm", "match", lambda r: prints.plaid(r, 60, even=True), 260),
    Print("even plaid 120 mm", "match", lambda r: prints.plaid(r, 120, even=True), 450),
    Print("uneven plaid 80 mm", "match", lambda r: prints.plaid(r, 80, even=False), 350),
    Print("uneven plaid 150 mm", "match", lambda r: prints.plaid(r, 150, even=False), 550),
    Print("even stripe 60 mm", "match", lambda r: prints.stripe(r, 60, even=True), 260),
    Print("uneven stripe 90 mm", "match", lambda r: prints.stripe(r, 90, even=False), 350),
    Print("large floral 180 mm", "bunches", lambda r: prints.floral(r, _cell(180, 180)), 560),
    Print("large floral 240 mm", "bunches", lambda r: prints.floral(r, _cell(240, 220)), 600),
    Print(
        "large floral 160 x 260 mm, half-drop",
        "bunches",
        lambda r: prints.floral(r, _cell(160, 260, HALF)),
        620,
    ),
    Print("large floral 280 mm", "bunches", lambda r: prints.floral(r, _cell(280, 260)), 650),
    Print("bold zigzag 90 mm", "clash", lambda r: geometric.zigzag(r, 90), 350),
    Print("bold ogee 80 mm", "clash", lambda r: geometric.ogee(r, 80), 400),
    Print("bold trellis 100 mm", "clash", lambda r: geometric.trellis(r, 100), 420),
    Print("bold argyle 90 mm", "clash", lambda r: geometric.argyle(r, 90), 420),
    Print("bold chequers 60 mm", "clash", lambda r: geometric.chequers(r, 60), 300),
    Print("cats 40 mm", "whole", lambda r: prints.one_motif(r, _cell(60, 70), figure="cat", share=0.65), 280),
    Print(
        "birds 60 mm, half-drop",
        "whole",
        lambda r: prints.one_motif(r, _cell(80, 150, HALF), figure="bird", share=0.7),
        450,
    ),
    Print(
        "snails 80 mm",
        "whole",
        lambda r: prints.one_motif(r, _cell(110, 120), figure="snail", share=0.7),
        420,
    ),
    Print(
        "cottages 30 mm",
        "whole",
        lambda r: prints.one_motif(r, _cell(48, 44), figure="cottage", share=0.7),
        220,
    ),
    Print(
        "mixed figures upright 45 mm",
        "whole",
        lambda r: prints.figures_print(r, _cell(120, 130), heads="one-way", count=4),
        480,
    ),
    Print(
        "mixed figures upright 30 mm",
        "whole",
        lambda r: prints.figures_print(r, _cell(90, 90), heads="one-way", count=5, kinds=3),
        380,
    ),
    Print(
        "large tossed figures 50 mm",
        "whole",
        lambda r: prints.figures_print(r, _cell(150, 160), heads="tossed", count=4),
        560,
    ),
)


def measured(one: Print) -> Judgement:
    """Judgement of a photo of the print, its repeat found from the photo."""
    rng = np.random.default_rng(zlib.crc32(one.name.encode()))
    art = one.draw(rng)
    camera = Camera(view_mm=one.view_mm, turn_deg=float(rng.uniform(-5, 5)), noise=2.5, light=0.2)
    photo = photograph(art, camera, seed=int(rng.integers(2**31)))
    bgr, mm = photo.bgr, camera.mm_per_px
    facts = PhotoFacts(one.name, bgr.shape[1], bgr.shape[0])
    cloth = FlatCloth(bgr, np.ones(bgr.shape[:2], bool), mm, np.eye(3), facts, Scale("given", mm, 0.001))
    lattice = find_lattice(cloth)
    cell = mean_cell(cloth, lattice)
    return judge(lattice.repeat, read_print(cloth, lattice, cell), cell)


def agrees(trade: str, judgement: Judgement) -> bool:
    """Whether level and reason are the trade's: easy for little trouble, else not easy and for its reason."""
    codes = {reason.code for reason in judgement.difficulty.reasons}
    if trade == "little":
        return judgement.difficulty.level == "easy"
    return judgement.difficulty.level != "easy" and bool(codes & VERDICTS[trade][1])


def table() -> str:
    """The page."""
    rows, right = [], 0
    for one in PRINTS:
        judgement = measured(one)
        same = agrees(one.trade, judgement)
        right += same
        codes = ", ".join(reason.code for reason in judgement.difficulty.reasons)
        shown = f"{judgement.seams.mismatch_delta_e:.0f} / {judgement.seams.pattern_delta_e:.1f}"
        note = "yes" if same else "**no**"
        rows.append(
            f"| {one.name} | {VERDICTS[one.trade][0]} | {judgement.difficulty.level} | {codes} "
            f"| {shown} | {note} |"
        )
    head = [
        "## The trade's verdict and ours",
        "",
        f"{len(PRINTS)} drawn prints, photographed with turn, uneven light, weave and noise; the repeat is "
        "the one found in the photo. The trade's verdict is common practice. We agree when our level is easy "
        "for little trouble, and otherwise when it is not easy and names the trade's reason. The numbers "
        "are Delta E of an unmatched seam at 1.5 m, and the same as pattern. Written by "
        "`docs/make_trade_table.py`.",
        "",
        f"Agreement: **{right} of {len(PRINTS)}** ({100 * right / len(PRINTS):.0f} %).",
        "",
        "| print | the trade | level | reasons | seam seen / as pattern | agree |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    return "\n".join([*head, *rows, ""])


def main() -> None:
    """Write the page."""
    cv2.setNumThreads(1)
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text(table(), encoding="utf-8")


if __name__ == "__main__":
    main()
