"""Matched pieces turned one by one, about the centres at which the print takes a half turn.

A turned piece reads the print backwards: with ``c`` a centre, a piece reads ``q - c`` at its seam point
``q``, and turned ``c - q``. A seam asks that its two sides read alike up to a translation. So pieces turned
alike are matched as ever, though the seams between them may lead over others, and pieces turned unlike
share the centre alone. Where it lies is chosen freely: what was one family is two.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from printcheck.core.lattice import Vector
from printcheck.core.plan import CutLayout, MatchKind
from printcheck.cutting.demand.demands import Demand, Spot, Tie, joined, spots_of
from printcheck.cutting.demand.families import Family, classes_by
from printcheck.cutting.demand.unmet_seams import SLACK_MM, settle


@dataclass(frozen=True)
class TurnedApart:
    """A demand with some parts turned beforehand; to its layouts they lie as drawn."""

    demand: Demand
    turned: tuple[bool, ...]

    def as_cut(self, layout: CutLayout) -> CutLayout:
        """The layout with the parts turned as they are on the cloth."""
        spots = zip(layout.placements, self.turned, strict=True)
        return replace(layout, placements=tuple(replace(s, turned=s.turned != t) for s, t in spots))


def turned_apart(demand: Demand, plain: CutLayout) -> Iterator[TurnedApart]:
    """Ways to turn tied parts one by one that the seams allow, each as a demand.

    Tried are the turns of a layout made without the print, every second part of a family, and every second
    of its pieces with all their copies.
    """
    steps, near = demand.steps, spots_of(demand, plain)
    if steps.askew or (steps.in_columns and steps.level_mm is None):
        return  # such ties do not run along the axes
    tried = set()
    for turned in _choices(demand, near):
        if turned not in tried:
            tried.add(turned)
            ties = _ties(demand, turned, near)
            parts = (
                replace(part, may_turn=False, outline=tuple(part.point(p, t) for p in part.outline))
                for part, t in zip(demand.parts, turned, strict=True)
            )
            tied = {n for tie in demand.ties for n in (tie.first, tie.second)}
            laid = tuple(p if n in tied else demand.parts[n] for n, p in enumerate(parts))
            settled = None if ties is None else settle(replace(demand, parts=laid, ties=ties))[0]
            if settled is not None:
                yield TurnedApart(settled, turned)


def _choices(demand: Demand, near: Sequence[Spot]) -> Iterator[tuple[bool, ...]]:
    """Which parts to turn; only choices that turn some of a family and not all of it."""
    parts, family = demand.parts, joined(len(demand.parts), demand.ties)
    as_plain = [bool(spot.turned and part.outline) for spot, part in zip(near, parts, strict=True)]
    second, by_name = [False] * len(parts), [False] * len(parts)
    for root in set(family):
        own = [n for n, of in enumerate(family) if of == root]
        names = list(dict.fromkeys(parts[n].name.split("#")[0] for n in own))
        for k, n in enumerate(own):
            second[n] = k % 2 == 1
            by_name[n] = names.index(parts[n].name.split("#")[0]) % 2 == 1
    for choice in (as_plain, second, by_name):
        turned = tuple(t and part.may_turn for t, part in zip(choice, parts, strict=True))
        both = {(root, t) for root, t in zip(family, turned, strict=True)}
        mixed = {root for root in family if {(root, False), (root, True)} <= both}
        if mixed:
            yield tuple(t and root in mixed for t, root in zip(turned, family, strict=True))


def _ties(demand: Demand, turned: Sequence[bool], near: Sequence[Spot]) -> tuple[Tie, ...] | None:
    """Ties between parts turned alike; None where the seams cannot be met."""
    parts, sign = demand.parts, [-1.0 if t else 1.0 for t in turned]
    reads: dict[int, Vector] = {}
    for n, tie in enumerate(demand.ties):
        a = parts[tie.first].point(tie.at_first, turned[tie.first])
        b = parts[tie.second].point(tie.at_second, turned[tie.second])
        one, two = sign[tie.first], sign[tie.second]
        reads[n] = (one * a[0] - two * b[0], one * a[1] - two * b[1])
    classes = classes_by(demand, reads)
    if any(miss.miss_mm > SLACK_MM for miss in classes.misses):
        return None
    ties: list[Tie] = []
    families: tuple[tuple[MatchKind, Family], ...] = (
        ("both", classes.full), ("level", classes.rows), ("upright", classes.columns)
    )  # fmt: skip
    for kind, family in families:
        mixed: list[tuple[int, int]] = []  # of each family the first part unturned, and turned
        for root in sorted(set(family.of)):
            own = [n for n, of in enumerate(family.of) if of == root]
            ways = [[n for n in own if turned[n] == way] for way in (False, True)]
            for way, s in zip(ways, (1.0, -1.0), strict=True):
                ties += [_alike(way[0], n, family, s, kind) for n in way[1:]]
            if all(ways):
                mixed.append((ways[0][0], ways[1][0]))
        if kind != "both" and len(mixed) > 1:
            if demand.steps.drop_mm:  # rows and columns do not share a centre by themselves
                return None
            ties += [tie for pair in mixed[1:] for tie in _one_centre(mixed[0], pair, family, near, kind)]
    return tuple(ties)


def _alike(first: int, second: int, family: Family, sign: float, kind: MatchKind) -> Tie:
    gap = [sign * (b - a) for a, b in zip(family.at[first], family.at[second], strict=True)]
    return Tie(first, second, (gap[0], gap[1]), (0.0, 0.0), kind)


def _one_centre(
    one: tuple[int, int], two: tuple[int, int], family: Family, near: Sequence[Spot], kind: MatchKind
) -> Iterator[Tie]:
    """Let two families share the centre: as far as the unturned part of one is moved, the other comes back.

    How far is taken from a layout made without the print, in whole millimetres.
    """
    (a, b), (c, d) = one, two
    at, spot, other = family.at, near[c], near[a]
    apart = (float(round(spot.x_mm - other.x_mm)), float(round(spot.y_mm - other.y_mm)))
    reads = [at[c][k] - at[d][k] - at[a][k] + at[b][k] for k in (0, 1)]
    yield Tie(c, a, (0.0, 0.0), apart, kind)
    yield Tie(d, b, (0.0, 0.0), (reads[0] - apart[0], reads[1] - apart[1]), kind)
