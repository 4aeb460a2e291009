"""What is said of a measured print, in plain words for someone who has never sewn."""

from __future__ import annotations

import math
import operator
from fractions import Fraction

from printcheck.core.colour import Lab, lab_of
from printcheck.core.findings import Finding
from printcheck.core.measurement import Bar, Colour, Measurement, Repeat, Scale, StripeOrCheck
from printcheck.core.units import INCH_MM, UnitSystem
from printcheck.report.words.content import TABLES, Content, Row, Section, shown_name
from printcheck.report.words.findings import remarks
from printcheck.report.words.quantities import (
    box,
    colour_name,
    degrees,
    distance,
    error_text,
    percent,
    size,
    sized,
    told_apart,
    with_error,
)
from printcheck.report.words.verdicts import (
    FEW_REPEATS,
    PLAIN_TRUTH,
    SURE,
    answers,
    bunch,
    leading,
    said_of,
    seam_by_seam,
    sureness,
    where_it_lands,
)

WIDE_ERROR = 0.02  # of the scale: 1 cm in 50 cm, about what a seam forgives
LEAST_TURN_DEG = 0.05  # smaller turns read 0.0
STEEP_DEG = 15.0  # tilt of the camera above which a straighter photo is asked for
CLOSE_PX_MM = 0.5  # millimetres per pixel above which small prints blur

WAYS, LAYOUTS, VERDICTS = TABLES["way"], TABLES["layout"], TABLES["unmatched-seam"]
TOO_LITTLE = {
    "repeat-few-seen",
    "repeat-beyond-photo",
    "repeat-one-direction",
    "repeat-border",
    "repeat-border-of-field",
    "repeat-either",
    "cell-few",
    "motif-at-least",
}
TILTED = {"repeat-tilt-unknown", "scale-tilt-unknown", "scale-coin-tilt", "scale-rule-tilt"}
NO_SCALE = "none: nothing of known size was seen, so sizes are in pixels of the photo"
ERROR_MEANS = (
    "± is one standard error: in two cases of three the true value lies within it, "
    "in nineteen of twenty within twice as much."
)


def content(m: Measurement, units: UnitSystem, *, detail: bool = True) -> Content:
    """Everything a report says of a measurement, in the order it is read.

    Without ``detail`` only what a user acts on: the five lines, the seams, the reasons, what would help.
    """
    plain = Section("Plain cloth", sentences=(PLAIN_TRUTH,)) if "plain" in m.classes else Section("")
    sections = (
        plain,
        _reasons(m),
        seam_by_seam(m),
        where_it_lands(m, units),
        _better_photo(m, units),
        remarks(_unsaid(m), units),
        *((_numbers(m, units), _how_sure(m, units)) if detail else ()),
    )
    title = f"The print in {shown_name(m.photo.file)}"
    return Content(title, answers(m, units), tuple(filter(None, sections)))


def _unsaid(m: Measurement) -> tuple[Finding, ...]:
    """Findings that neither a reason nor the line on how sure it is says already."""
    said = {reason.code for reason in m.difficulty.reasons}
    double = {"way-unsure", "match-by-size", *(("repeat-plain",) if "plain" in m.classes else ())}
    return tuple(f for f in m.findings if f.code not in said | double)


def _numbers(m: Measurement, units: UnitSystem) -> Section:
    rows = (
        *_repeat_rows(m.repeat, units),
        *_motif_rows(m, units),
        *_bar_rows(m, units),
        *_seam_rows(m, units),
    )
    return Section("The numbers", rows=rows)


def _repeat_rows(repeat: Repeat, units: UnitSystem) -> list[Row]:
    rows = []
    sides = (repeat.across_mm, repeat.across_px, "across"), (repeat.along_mm, repeat.along_px, "along")
    for mm, px, way in sides:
        if mm is not None:
            rows.append(Row(f"Repeat {way}", with_error(mm, repeat.error_mm, units), f"repeat.{way}_mm"))
        elif px is not None:
            rows.append(Row(f"Repeat {way}", sized(None, px, units), f"repeat.{way}_px"))
    if repeat.layout == "drop":
        drop = Fraction(repeat.drop or 0.0).limit_denominator(12)
        rows.append(Row("Layout", f"drop: each column is let down by {drop} of the repeat"))
    elif repeat.layout != "none":
        rows.append(Row("Layout", LAYOUTS[repeat.layout]))
    if repeat.kind == "beyond-photo" and (repeat.at_least_mm or repeat.at_least_px):
        least = sized(repeat.at_least_mm, repeat.at_least_px, units)
        key = "repeat.at_least_mm" if repeat.at_least_mm else "repeat.at_least_px"
        rows.append(Row("Repeat at least", least, key))
    if repeat.kind == "none":
        rows.append(Row("Repeat", "none found"))
    return rows


def _motif_rows(m: Measurement, units: UnitSystem) -> list[Row]:
    motif, rows = m.motif, _motif_sizes(m, units)
    if motif.cover is not None:
        rows.append(Row("Ground covered", percent(motif.cover), "motif.cover"))
    if motif.width_mm is None and motif.correlation_length_mm is not None:
        far = size(motif.correlation_length_mm, units)
        none = "none stand apart" if m.repeat.known else "none that stands apart is wholly in view"
        text = f"{none}; the print changes within about {far}"
        rows.append(Row("Motifs", text, "motif.correlation_length_mm"))
    if "plain" not in m.classes:
        rows.append(Row("Which way up", _way(m)))
    if m.clump is not None:
        rows.append(Row("Colour gathers", f"{colour_name(m.clump.colour)}. {bunch(m, units)}"))
    if m.figures is not None:
        at_random, best = percent(m.figures.cut_at_random), percent(m.figures.cut_at_best)
        cut = f"{at_random} of those along a lengthwise seam laid at random, {best} along the best placed"
        rows.append(Row("Figures cut", cut, "figures.cut_at_random"))
    return rows


def _way(m: Measurement) -> str:
    """Which way pieces may lie."""
    way = m.direction.way
    return f"{'' if way is None or m.direction.decided else 'not sure, but perhaps '}{WAYS[way or 'unknown']}"


def _motif_sizes(m: Measurement, units: UnitSystem) -> list[Row]:
    motif, rows = m.motif, []
    if motif.width_mm is not None and motif.height_mm is not None:
        rows.append(Row("Largest motif", box(motif.width_mm, motif.height_mm, units), "motif.width_mm"))
    elif motif.width_px is not None and motif.height_px is not None:
        text = f"{sized(None, motif.width_px, units)} across by {sized(None, motif.height_px, units)} along"
        rows.append(Row("Largest motif", text, "motif.width_px"))
        repeat_px, motif_px = m.repeat.along_px or m.repeat.across_px, max(motif.width_px, motif.height_px)
        if repeat_px and motif_px:
            times = f"one repeat is {repeat_px / motif_px:.1f} times its largest motif"
            rows.append(Row("In proportion", times))
    if motif.count_per_repeat is not None:
        rows += _counted(m.repeat, motif.count_per_repeat)
    if motif.gap_mm is not None or motif.gap_px is not None:
        key = "motif.gap_mm" if motif.gap_mm is not None else "motif.gap_px"
        rows.append(Row("Gap between motifs", sized(motif.gap_mm, motif.gap_px, units), key))
    return rows


def _counted(repeat: Repeat, count: int) -> list[Row]:
    """Motifs in the repeat that is quoted, across by along, which may hold several of the smallest cells."""
    text = str(count)
    if repeat.across_mm and repeat.along_mm and repeat.lattice is not None and repeat.lattice.area_mm2 > 0:
        times = round(repeat.across_mm * repeat.along_mm / repeat.lattice.area_mm2)
        if times > 1:
            text = f"{times * count}: {times} smallest units of the print with {count} each"
    return [Row("Motifs in one repeat", text, "motif.count_per_repeat")]


def _bar_rows(m: Measurement, units: UnitSystem) -> list[Row]:
    found = m.stripe_or_check
    if found is None:
        return []
    rows = []
    for label, bars in zip(_bar_labels(found), (found.bars, found.bars_along), strict=True):
        if bars:
            shown = ", ".join(
                f"{sized(bar.width_mm, bar.width_px, units)} {name}"
                for bar, name in zip(
                    bars, _bar_names(bars, m.colours if found.bars_along else ()), strict=True
                )
            )
            rows.append(Row(label, f"{shown}{_bars_error(bars, units)}"))
    if found.gingham_mm is not None:
        rows.append(Row("Gingham of", size(found.gingham_mm, units), "stripe_or_check.gingham_mm"))
    elif found.gingham_px is not None:
        rows.append(Row("Gingham of", sized(None, found.gingham_px, units), "stripe_or_check.gingham_px"))
    even = "even: the same" if found.even else "uneven: not the same"
    return [*rows, Row("Balance", f"{even} read from either end")]


def _bar_names(bars: tuple[Bar, ...], colours: tuple[Colour, ...]) -> list[str]:
    """Colours of the bars; where bars cross, of their threads: those of the print that lie to the same side.

    The mean over a bar holds what it crosses: that of a red and white gingham's white bar is pink.
    """
    codes = [bar.colour for bar in bars]
    if len(colours) < 2 or any(colour_name(code) == code for code in codes):
        return told_apart(codes)
    tones = _from_their_mean([lab_of(code) for code in codes])
    prints = _from_their_mean([colour.lab for colour in colours])
    sides = [tuple(v / (math.hypot(*lab) or 1.0) for v in lab) for lab in prints]
    names = []
    for tone in tones:
        alike = [sum(map(operator.mul, tone, side)) for side in sides]
        names.append(colours[alike.index(max(alike))].name)
    parted = all(name != before for name, before in zip(names, [names[-1], *names[:-1]], strict=True))
    return names if parted else told_apart(codes)


def _from_their_mean(labs: list[Lab]) -> list[Lab]:
    light, red, yellow = (sum(values) / len(labs) for values in zip(*labs, strict=True))
    return [(lab[0] - light, lab[1] - red, lab[2] - yellow) for lab in labs]


def _bar_labels(found: StripeOrCheck) -> tuple[str, str]:
    """How the two sequences of bars are read."""
    if found.family != "stripe" or found.balanced_along is None:
        return "Bars, left to right", "Bars, top to bottom"
    return ("Bars, top to bottom" if found.balanced_across is None else "Bars, on the slant"), ""


def _bars_error(bars: tuple[Bar, ...], units: UnitSystem) -> str:
    """The largest of the bars' errors, which holds for all."""
    errors = [bar.error_mm for bar in bars if bar.error_mm is not None]
    return f" (each ± {error_text(max(errors), units)} at most)" if errors else ""


def _seam_rows(m: Measurement, units: UnitSystem) -> list[Row]:
    seams, far = m.seams, distance(m.seams.viewing_distance_m, units)
    if "plain" in m.classes or not seams.mismatch_delta_e:
        return []
    rows = [
        Row("Unmatched seam", VERDICTS[seams.verdict].format(far=far)),
        Row(
            "Contrast at it",
            f"Delta E {seams.mismatch_delta_e:.1f} (a measure of how unlike colours are: 2.3 is just seen)",
            "seams.mismatch_delta_e",
        ),
    ]
    if seams.pattern_delta_e is not None:
        text = f"Delta E {seams.pattern_delta_e:.1f}"
        rows.append(Row("Contrast as pattern", text, "seams.pattern_delta_e"))
    return rows


def _reasons(m: Measurement) -> Section:
    """Reasons but for what the first lines say: the heaviest, and that the repeat is not known."""
    said = {"repeat-unknown", *(reason.code for reason in leading(m))}
    left = [reason for reason in m.difficulty.reasons if reason.code not in said]
    return Section("What else matters", points=tuple(said_of((reason,)) for reason in left))


def _how_sure(m: Measurement, units: UnitSystem) -> Section:
    scale, repeat = m.scale, m.repeat
    rows = [Row("Scale", NO_SCALE)]
    if scale is not None:
        rows = [
            Row(
                "Scale from",
                f"{_scale_name(scale)}, ± {percent(scale.relative_error)}",
                "scale.relative_error",
            ),
            _fineness(scale.mm_per_px, units),
        ]
    if scale is not None and scale.tilt_deg is not None:
        rows.append(Row("Camera tilt", degrees(scale.tilt_deg), "scale.tilt_deg"))
    if repeat.kind in ("lattice", "stripe"):
        rows.append(Row("The repeat is", f"{sureness(repeat.confidence)} ({percent(repeat.confidence)})"))
        if repeat.repeats_seen is not None:
            rows.append(Row("Repeats in view", f"{repeat.repeats_seen:.1f}", "repeat.repeats_seen"))
        if abs(repeat.turn_deg) >= LEAST_TURN_DEG:
            how = "clockwise" if repeat.turn_deg > 0 else "anticlockwise"
            turned = f"{degrees(abs(repeat.turn_deg))} {how}; allowed for"
            rows.append(Row("Cloth lay turned", turned, "repeat.turn_deg"))
        if abs(repeat.skew_deg) >= LEAST_TURN_DEG:
            skew = f"{degrees(abs(repeat.skew_deg))} off square"
            rows.append(Row("Print on the cloth", skew, "repeat.skew_deg"))
    way = "" if "plain" in m.classes else f"{sureness(m.direction.margin)} ({percent(m.direction.margin)})"
    rows += [Row("Up or no up is", way)] if way else []
    meant = (ERROR_MEANS,) if scale is not None else ()
    return Section("How sure, in figures", sentences=meant, rows=tuple(rows))


def _scale_name(scale: Scale) -> str:
    return shown_name(scale.object) if scale.object else scale.source


def _fineness(mm_per_px: float, units: UnitSystem) -> Row:
    if units == "imperial":
        per_inch = INCH_MM / mm_per_px if mm_per_px > 0 else 0.0
        inch = f"{mm_per_px / INCH_MM:.4f} in of cloth, {per_inch:.0f} to the inch"
        return Row("One pixel", inch, "scale.mm_per_px")
    return Row("One pixel", f"{mm_per_px:.3f} mm of cloth", "scale.mm_per_px")


def _better_photo(m: Measurement, units: UnitSystem) -> Section:
    repeat, points = m.repeat, []
    told = {f.code for f in m.findings}  # with what helps: nothing is said twice
    few = repeat.repeats_seen is not None and round(repeat.repeats_seen, 1) < FEW_REPEATS
    if (repeat.kind == "beyond-photo" or few) and not told & TOO_LITTLE:
        points.append(
            "Step back, or spread out more cloth: three repeats or more each way should be in view."
        )
    if m.scale is not None and m.scale.relative_error > WIDE_ERROR:
        points.append("Lay a bank card or the printed scale card flat on the cloth, near the middle.")
    if (
        m.scale is not None
        and m.scale.tilt_deg is not None
        and m.scale.tilt_deg > STEEP_DEG
        and not told & TILTED
    ):
        points.append("Hold the camera straight above the cloth.")
    if m.scale is not None and m.scale.mm_per_px > CLOSE_PX_MM:
        points.append("Go closer, or set the camera to larger photos: fine lines are lost in this one.")
    unsure = repeat.kind != "none" and repeat.confidence < SURE and "plain" not in m.classes
    if points or unsure:
        points.append(
            "Smooth the cloth flat, in even daylight, without flash and without a shadow of yourself."
        )
    return Section("For a better photo", points=tuple(points))


def how_sure_in_short(m: Measurement, units: UnitSystem) -> str:
    """One line on the error, for under the picture."""
    text = "No scale."
    if m.scale is not None:
        text = f"Scale from {_scale_name(m.scale)}, ± {percent(m.scale.relative_error)}."
    if m.repeat.kind in ("lattice", "stripe"):
        error = "" if m.repeat.error_mm is None else f", ± {error_text(m.repeat.error_mm, units)}"
        text += f" Repeat {sureness(m.repeat.confidence)} ({percent(m.repeat.confidence)}){error}."
    return text


def picture_caption(m: Measurement) -> str:
    """What the lines on the photo mean."""
    words = ["Arrows: the repeat across and along, with its error"] if m.repeat.known else []
    if m.repeat.kind == "lattice":
        words += ["outline: the smallest cell", "dots: places where the same motif comes again"]
    words += ["dashed: motifs"] if m.motif.boxes_mm else []
    words += ["dotted circles: where one colour gathers"] if m.clump is not None else []
    return f"{'; '.join([*words, 'the bar is true where it lies'])}."
