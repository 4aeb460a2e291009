"""The three layouts of a project whose pieces are all rectangles."""

from __future__ import annotations

import time
from dataclasses import replace

from printcheck.core.plan import CutLayout, Placement
from printcheck.cutting.demand.demands import Answers, Demand, Demands, Progress, Spot, spots_of
from printcheck.cutting.search.rectangle_search import Found, shortest

PLAIN_SHARE = 0.4  # of the time at least: a poor plain layout would make matching look cheap
ONE_WAY_SHARE = 0.5  # of the matched time, where turning is tried after


def solve(demands: Demands, *, seconds: float, progress: Progress | None = None) -> Answers:
    """Return the plain, one-way and matched layouts, at equal effort.

    A rectangle looks the same turned end for end, so plain and one-way are one problem. ``matched`` is
    None where the demands have none, or where the solver proves that there is none or found none.
    """
    began = time.monotonic()
    say = progress or (lambda _text, _share: None)
    bare = demands.matched is not None and not _print_matters(demands.matched)
    share = 1.0 if demands.matched is None or bare else PLAIN_SHARE
    say("laying the pieces without the print", 0.0)
    plain = shortest(
        demands.one_way,
        seconds=share * seconds,
        tick=lambda done: say("laying the pieces without the print", share * done),
    )
    plain_s = time.monotonic() - began
    if demands.matched is None or bare:
        layout = layout_of(demands.plain, plain, plain_s)
        own = None if demands.matched is None else layout
        return Answers(layout, layout, own, own)
    matched = _matched(demands.matched, plain, seconds - plain_s, say)
    matched_s = time.monotonic() - began - plain_s
    if matched.length_mm < plain.length_mm:  # what keeps the print is a plain layout too
        plain = Found(matched.length_mm, _unturned(matched.spots), plain.bound_mm)
    layout = layout_of(demands.plain, plain, plain_s)
    own = layout_of(demands.matched, matched, matched_s) if matched.spots else None
    return Answers(layout, layout, own, own, matched.impossible)


def solve_one(
    demand: Demand, *, seconds: float, plain: CutLayout, start: CutLayout | None = None
) -> CutLayout | None:
    """Return the layout of one demand, None where none was found.

    ``start`` is a layout of a stricter demand, so that a looser one never needs more.
    """
    began = time.monotonic()
    known = Found(bound_mm=plain.bound_mm)
    if start is not None:
        known = Found(start.length_mm, spots_of(demand, start))
        known.bound_mm = plain.bound_mm
    found = _matched(demand, known, seconds, lambda _text, _share: None, known)
    return layout_of(demand, found, time.monotonic() - began) if found.spots else None


def _print_matters(demand: Demand) -> bool:
    return bool(demand.ties) or any(part.fixed_x_mm is not None for part in demand.parts)


def _matched(
    demand: Demand, plain: Found, seconds: float, say: Progress, known: Found | None = None
) -> Found:
    turnable = bool(demand.turnable)
    first = seconds * (ONE_WAY_SHARE if turnable else 1.0)
    began = time.monotonic()
    found = shortest(
        demand,
        seconds=first,
        start=(known.length_mm, known.spots) if known is not None and known.spots else None,
        bound_mm=plain.bound_mm,
        tick=lambda done: say("matching the print", PLAIN_SHARE + (1 - PLAIN_SHARE) * done * first / seconds),
    )
    if not turnable:
        return found
    if found.length_mm - plain.bound_mm <= 0.05:  # turning cannot better what needs no extra cloth
        return found
    say("trying pieces turned end for end", PLAIN_SHARE + (1 - PLAIN_SHARE) * first / seconds)
    start = (found.length_mm, found.spots) if found.spots else None
    left = seconds - (time.monotonic() - began)
    return shortest(demand, seconds=left, turning=True, bound_mm=plain.bound_mm, start=start)


def layout_of(demand: Demand, found: Found, seconds: float) -> CutLayout:
    """Return the layout as data, parts in the order of the project."""
    return CutLayout(
        length_mm=found.length_mm,
        bound_mm=found.bound_mm,
        proved=found.proved,
        solve_s=seconds,
        placements=tuple(
            Placement(part.name, spot.x_mm, spot.y_mm, spot.turned, part.mirrored, part.crosswise)
            for part, spot in zip(demand.parts, found.spots, strict=True)
            if part.name  # what stands for the print is not cut
        ),
    )


def _unturned(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    return tuple(replace(spot, turned=False) for spot in spots)
