"""Measurements and plans set up by hand, so that the writers are tested without the stages."""

from __future__ import annotations

from dataclasses import replace

from printcheck.core.findings import finding
from printcheck.core.measurement import (
    Bar,
    Clump,
    Colour,
    Difficulty,
    Direction,
    FiguresAtRisk,
    Measurement,
    Motif,
    PhotoFacts,
    PrintName,
    Reason,
    Repeat,
    Scale,
    SeamsSeen,
    StripeOrCheck,
)
from printcheck.core.plan import (
    Buy,
    Cloth,
    ClothFacts,
    CutLayout,
    CuttingStep,
    FiguresCut,
    LengthPlan,
    Piece,
    Placement,
    PrintStart,
    PrintUsed,
    Project,
    RepeatError,
    Seam,
    SeamEnd,
    SeamResidual,
    StepMatch,
)
from printcheck.core.results.comparisons import MatchChoice, RuleOfThumb, WidthRow, Worth

HOSTILE = "<script>alert(1)</script>\"'&\x1b[31m\u202e"


def flowers() -> Measurement:
    """Large one-way half-drop print, measured well."""
    return Measurement(
        photo=PhotoFacts("tulips.jpg", 3000, 2250),
        scale=Scale("card", 0.1234567, 0.0031, 12.4, "bank card"),
        repeat=Repeat(
            "lattice", "half-drop", 0.5, 240.4, 312.6, ((120.2, 156.3), (0.0, 312.6)), 1.23, 0.93, 2.4, 1.7,
            skew_deg=0.2, raw_basis_mm=((120.1, 156.0), (0.2, 312.9)),
        ),
        motif=Motif(104.3, 131.7, 3, 0.43, 12.1, (88.0, 92.0), 60.0, 40.0, ((10.0, 12.0, 104.3, 131.7),)),
        direction=Direction("one-way", 0.71, "half turn"),
        stripe_or_check=None,
        clump=Clump("#c03028", 118.0, 240.4, 9.7, (60.0, 80.0)),
        classes=("large", "busy", "directional"),
        seams=SeamsSeen(33.2, 21.4, 1.5, "plain-to-see", "both"),
        difficulty=Difficulty(
            "hard",
            (
                Reason("long-repeat"),
                Reason("one-way"),
            ),
        ),
        figures=FiguresAtRisk(0.62, 0.18),
        findings=(finding("repeat-few-seen", seen=2.4),),
        print_name=PrintName("large-motif", "large-scale motif print"),
        colours=(Colour("white", (94.0, 0.0, 2.0), 0.57), Colour("red", (45.0, 60.0, 40.0), 0.3)),
    )  # fmt: skip


def gingham() -> Measurement:
    """Small check, nothing to match."""
    bars = (Bar(6.35, "#ffffff"), Bar(6.35, "#3050a0"))
    return Measurement(
        photo=PhotoFacts("gingham.jpg", 1200, 900),
        scale=Scale("given", 0.2, 0.0),
        repeat=Repeat("lattice", "straight", 0.0, 12.7, 12.7, ((12.7, 0.0), (0.0, 12.7)), 0.02, 0.99, 18.0),
        motif=Motif(),
        direction=Direction("four-way", 0.95),
        stripe_or_check=StripeOrCheck("check", True, True, bars, bars, 6.35),
        clump=None,
        classes=("small", "check"),
        seams=SeamsSeen(15.1, 0.4, 1.5, "unseen", "none"),
        difficulty=Difficulty("easy", (Reason("small-check"),)),
        print_name=PrintName("even-gingham", "even gingham"),
    )


def stripe() -> Measurement:
    """Uneven stripe with one period."""
    bars = (Bar(20.0, "#ffffff"), Bar(5.0, "#203040"), Bar(9.0, "#a02020"))
    return replace(
        gingham(),
        repeat=Repeat("stripe", "stripe", None, 34.0, None, ((34.0, 0.0),), 0.3, 0.7, 5.0, -2.5),
        direction=Direction("two-way", 0.6),
        stripe_or_check=StripeOrCheck("stripe", False, None, bars),
        classes=("medium", "stripe"),
        print_name=PrintName("uneven-stripe", "uneven stripe"),
        seams=SeamsSeen(28.0, 7.0, 1.5, "slight", "upright"),
        difficulty=Difficulty("care"),
    )


def beyond() -> Measurement:
    """Print whose repeat does not fit in the photo."""
    return replace(
        flowers(),
        repeat=Repeat("beyond-photo", confidence=0.3, at_least_mm=410.0),
        scale=Scale("coin", 0.62, 0.041, None, "coin 23.25 mm"),
        motif=Motif(),
        clump=None,
        figures=None,
        seams=SeamsSeen(0.0, 0.0, 1.5, "slight", "none"),
        difficulty=Difficulty("care"),
    )


def plain_cloth() -> Measurement:
    """Cloth without a print."""
    return replace(
        gingham(),
        repeat=Repeat("none"),
        stripe_or_check=None,
        classes=("plain",),
        print_name=PrintName("plain", "plain cloth"),
        difficulty=Difficulty("easy", (Reason("plain"),)),
    )


MEASUREMENTS = {f.__name__: f for f in (flowers, gingham, stripe, beyond, plain_cloth)}


def skirt() -> tuple[Project, LengthPlan]:
    """Two rectangles and a slanted piece, matched by hand on a half-drop of 240 by 312 mm."""
    outline = ((0.0, 0.0), (300.0, 40.0), (300.0, 400.0), (60.0, 420.0))
    mirror = tuple((300.0 - x, y) for x, y in outline)
    pieces = (
        Piece("front#1", 520.0, 700.0),
        Piece("front#2", 520.0, 700.0, mirrored=True),
        Piece("yoke#1", 300.0, 420.0, outline),
        Piece("yoke#2", 300.0, 420.0, mirror, mirrored=True),
    )
    seam = Seam((SeamEnd("front#1", (500.0, 100.0)), SeamEnd("front#2", (20.0, 100.0))), "both")
    project = Project(
        "Gathered skirt", Cloth(1400.0, 10.0, 0.04, 0.02, 100.0, 12.5, 1000.0, "EUR"), pieces, (seam,)
    )
    # seam: x 0 + 500 against 740 + 20: 260 - 20 = 240 apart, one repeat across
    matched = (
        Placement("front#1", 0.0, 0.0),
        Placement("front#2", 720.0, 0.0, mirrored=True),
        Placement("yoke#1", 0.0, 730.25),
        Placement("yoke#2", 340.5, 730.25, turned=True, mirrored=True),
    )
    plain = (
        Placement("front#1", 0.0, 0.0),
        Placement("front#2", 520.0, 0.0, mirrored=True),
        Placement("yoke#1", 1040.0, 0.0),
        Placement("yoke#2", 1040.0, 420.0, turned=True, mirrored=True),
    )
    free = CutLayout(840.0, 812.3, False, 1.2, plain)
    kept = CutLayout(1150.25, 1150.25, True, 3.4, matched)
    plan = LengthPlan(
        project="Gathered skirt",
        cloth=ClothFacts(1400.0, 1352.4, 0.04, 0.02),
        print=PrintUsed(((120.0, 156.0), (0.0, 312.0)), "half-drop", "one-way", "photo"),
        plain=free,
        one_way=free,
        matched=kept,
        extra_mm=310.25,
        buy=Buy(900.0, 900.0, 1200.0, 11.25, 11.25, 15.0, "EUR", 1200.0, 900.0, 15.0, 11.25),
        seams=(SeamResidual(seam.join, "both", 0.0),),
        rule_of_thumb=RuleOfThumb(624.0, 2),
        findings=(finding("seam-ring-open", seam="Seam 2 (a to b)", what="the rows", miss_mm=12.7),),
        repeat_error=RepeatError(0.011, 1163.5),
        figures=FiguresCut(5, 31, (60.0, 78.0)),
        worth=Worth(
            (
                MatchChoice("all", 1150.25, 310.25, 1200.0, 15.0, 1),
                MatchChoice("visible", 990.0, 150.0, 1100.0, 13.75, 0),
                MatchChoice("none", 840.0, 0.0, 900.0, 11.25, 0),
            ),
            21.4,
            "both",
        ),
        start=PrintStart("motif", (60.0, 78.0), False, (0.0, 100.0), 120.0),
        steps=(
            CuttingStep("A", "front#1", 0.0, 0.0, 520.0, 700.0, room_mm=(0.0, 200.0, 0.0, 30.25)),
            CuttingStep(
                "B",
                "front#2",
                720.0,
                0.0,
                520.0,
                700.0,
                mirrored=True,
                matches=(StepMatch(1, "front#1", "both", (740.0, 100.0)),),
            ),
            CuttingStep("C", "yoke#1", 0.0, 730.25, 300.0, 420.0, free=True),
            CuttingStep("D", "yoke#2", 340.5, 730.25, 300.0, 420.0, turned=True, mirrored=True, free=True),
        ),
        widths=(
            WidthRow(1150.0, 1490.0, 1490.0, None, False, 1600.0, 20.0, finding("width-too-narrow")),
            WidthRow(1500.0, 812.5, 830.0, 1102.5, True, 1200.0, 15.0),
        ),
        layout=kept,
    )
    return project, plan


def unmatched() -> LengthPlan:
    """Plan whose seam cannot be met."""
    plan = skirt()[1]
    buy = replace(
        plan.buy,
        matched_mm=None,
        matched_cost=None,
        plain_cost=None,
        one_way_cost=None,
        currency="",
        advised_mm=900.0,
        advised_cost=None,
        unmatched_cost=None,
    )
    seams = tuple(replace(seam, residual_mm=None) for seam in plan.seams)
    steps = tuple(replace(step, matches=()) for step in plan.steps)
    return replace(
        plan,
        start=None,
        steps=steps,
        matched=None,
        layout=plan.one_way,
        extra_mm=None,
        buy=buy,
        seams=seams,
        worth=None,
        widths=(),
        repeat_error=None,
    )


PLANS = {"skirt": lambda: skirt()[1], "unmatched": unmatched}
