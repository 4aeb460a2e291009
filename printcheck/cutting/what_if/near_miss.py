"""Near misses: a little less of one size that saves a repeat, a row, a width or a step of the shop.

Each change is tried at its largest. Where the cloth then does with a step less, the least change that
still does is looked for. A question with a length ("does it go on so much?") is answered far sooner than
the shortest length is found, so many can be asked.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.plan import LengthPlan, Piece, Print, Project
from printcheck.core.results.comparisons import Match
from printcheck.cutting.demand.demands import spots_of
from printcheck.cutting.demand.unmet_seams import settled_match
from printcheck.cutting.money import to_buy_mm
from printcheck.cutting.search.effort import Effort
from printcheck.cutting.search.shortest import fits
from printcheck.cutting.what_if.changed import cut_down, names_of

MOST_MM = 20.0  # mm: more than this off a piece is another size, not a near miss (the 2 cm)
MOST_FULLNESS = 0.05  # share of the fullness that nobody sees missing, common practice
FULLNESS_STEP = 0.01  # share
STEP_MM = 1.0  # mm: changes are told in whole millimetres
NOTICEABLE_MM = 30.0  # mm of cloth: saving less is not worth a word, however finely the shop cuts
WORTH = 2.0  # times what a change takes off the lengths cut anyway: saving less is no surprise
STRIP_RATIO = 4.0  # length to width from which a rectangle is a strip, that a fold or a lining stiffens
MOST_GROUPS = 4  # sizes tried on each axis, the largest first
ROUNDING = 1e-6  # of a step of the shop
LEAST_QUESTION_S = 0.15  # s: on an idle machine small questions are answered by then

Change = Callable[[float], Project]
Refit = Callable[[Project, Mapping[str, str]], Project]


@dataclass(frozen=True)
class _Trial:
    """A change by some amount: how it is told, and how much the layout gains by it anyway."""

    code: str
    what: str
    how: str
    change: Change
    most: float
    step: float
    gained: float = 0.0  # mm of cloth for each unit of the amount


def near_misses(
    project: Project,
    print_: Print,
    plan: LengthPlan,
    *,
    seconds: float,
    match: Match = "all",
    refit: Refit | None = None,
) -> tuple[Finding, ...]:
    """The change that saves most: finding ``near-miss`` says what, by how much, and what it saves.

    Finding ``strips-turned`` says so of straps and bands cut the other way of the grain.

    ``seconds`` are for all questions; ``refit`` draws a built-in project anew with some of its sizes
    changed, given as text.
    """
    if plan.layout is None:
        return ()
    trials, strips = [*_trials(project, plan), *_fuller(project, plan, refit)], [*_strips(project, print_)]
    limit = max(LEAST_QUESTION_S, seconds / (3 * max(1, len(trials) + len(strips))))
    ask = _Questions(project, print_, plan, match, Effort(seconds), limit)
    return (ask.best_of(trials) or _over_a_step(project, plan)) + ask.best_of(strips)


@dataclass(frozen=True)
class _Questions:
    """What is asked of changed projects, and the effort for it, ``limit_s`` for each question."""

    project: Project
    print_: Print
    plan: LengthPlan
    match: Match
    effort: Effort
    limit_s: float

    def best_of(self, trials: Sequence[_Trial]) -> tuple[Finding, ...]:
        """The finding of the trial that saves most, none where none saves enough."""
        advised, start = self.plan.buy.advised_mm, self.plan.start_allowance_mm
        best: tuple[float, tuple[Finding, ...]] = (0.0, ())
        for trial in trials:
            if not self.effort.left:
                break
            buy = advised - best[0]
            if (length := self._length_of(trial, trial.most, buy)) is None:
                continue
            amount, length = self._least(trial, length, buy)
            buy = to_buy_mm(self.project.cloth, length + start)
            while (less := self._length_of(trial, amount, buy)) is not None:
                buy = to_buy_mm(self.project.cloth, less + start)
            saved = advised - buy
            if saved >= WORTH * trial.gained * amount:
                best = (saved, (_finding(trial, amount, saved, buy),))
        return best[1]

    def _length_of(self, trial: _Trial, amount: float, buy_mm: float) -> float | None:
        """Length of a layout that does with a step less than ``buy_mm``; None where none was found."""
        cloth = self.project.cloth
        step = max(cloth.sold_by_mm, 0.0)
        target = buy_mm - max(step, NOTICEABLE_MM)
        target = math.floor(target / step + ROUNDING) * step if step else target
        if target <= 0:
            return None
        room = target * (1 - cloth.shrink_along) - self.plan.start_allowance_mm
        part = self.effort.part(self.limit_s)
        try:
            return _laid_mm(trial.change(amount), self.print_, self.plan, room, self.match, part)
        except InputError:  # a piece that small, a cloth that wide: no such project
            return None
        finally:
            self.effort.take_back(part)

    def _least(self, trial: _Trial, length: float, buy_mm: float) -> tuple[float, float]:
        """Least amount that still does, and the length it does with, by halving."""
        low, high = 0, round(trial.most / trial.step)
        while high - low > 1:
            middle = (low + high) // 2
            found = self._length_of(trial, middle * trial.step, buy_mm)
            if found is None:
                low = middle
            else:
                high, length = middle, found
        return high * trial.step, length


def _over_a_step(project: Project, plan: LengthPlan) -> tuple[Finding, ...]:
    """Where the whole layout reaches only a little over a step of the shop."""
    cloth = project.cloth
    assert plan.layout is not None
    needed = (plan.layout.length_mm + plan.start_allowance_mm) / (1 - cloth.shrink_along)
    less = plan.buy.advised_mm - cloth.sold_by_mm
    over = needed - less
    if over > MOST_MM or less <= 0 or cloth.sold_by_mm < max(NOTICEABLE_MM, WORTH * over):
        return ()
    return (finding("near-miss-step", over_mm=over, saves_mm=cloth.sold_by_mm, buy_mm=less),)


def _laid_mm(
    project: Project, print_: Print, plan: LengthPlan, room_mm: float, match: Match, effort: Effort
) -> float | None:
    """Length of a layout of at most so much washed cloth; None where none was found.

    The layout there is is pressed together first.
    """
    settled = settled_match(project, print_, match)
    if settled is None or plan.layout is None:
        return None
    same = [s.piece for s in plan.layout.placements] == [piece.name for piece in project.pieces]
    return fits(settled, room_mm, spots_of(settled, plan.layout) if same else (), effort)


def _trials(project: Project, plan: LengthPlan) -> Iterator[_Trial]:
    """Every length and width a little smaller, and the cloth a little wider."""
    assert plan.layout is not None
    longest = max(piece.length_mm for piece in project.pieces)
    rows = math.ceil(plan.layout.length_mm / longest - 1e-6)
    for group in _groups(project.pieces, lambda piece: piece.length_mm):
        change = _cut_down(project, group, "shorter")
        times = min(len(group), rows)
        yield _Trial("near-miss", names_of(group), "shorter", change, MOST_MM, STEP_MM, times)
    for group in _groups(project.pieces, lambda piece: piece.width_mm):
        change = _cut_down(project, group, "narrower")
        yield _Trial("near-miss", names_of(group), "narrower", change, MOST_MM, STEP_MM)

    def widened(by_mm: float) -> Project:
        return replace(project, cloth=replace(project.cloth, width_mm=project.cloth.width_mm + by_mm))

    yield _Trial("near-miss", "Cloth", "wider", widened, MOST_MM, STEP_MM)


def _strips(project: Project, print_: Print) -> Iterator[_Trial]:
    """Straps, ties and bands that nothing matches, cut the other way of the grain."""
    held = {end.piece for seam in project.seams for end in seam.join} | {p.piece for p in project.places}
    pile = print_.lattice is None and print_.way == "one-way"  # would shade
    if pile or print_.border:
        return
    rows: dict[str, list[Piece]] = {}
    for piece in project.pieces:
        short, long = sorted((piece.width_mm, piece.length_mm))
        if long >= STRIP_RATIO * short and not piece.outline and piece.name not in held:
            rows.setdefault(piece.name.partition("#")[0], []).append(piece)
    for row in rows.values():
        how = "across" if row[0].length_mm > row[0].width_mm else "along"
        yield _Trial("strips-turned", names_of(row), how, _on_their_side(project, row), 1.0, 1.0)


def _on_their_side(project: Project, row: Sequence[Piece]) -> Change:
    names = {piece.name for piece in row}
    pieces = tuple(
        replace(p, width_mm=p.length_mm, length_mm=p.width_mm) if p.name in names else p
        for p in project.pieces
    )
    return lambda _: replace(project, pieces=pieces)


def _cut_down(project: Project, pieces: Sequence[Piece], how: str) -> Change:
    return lambda by_mm: cut_down(project, pieces, **{how: by_mm})


def _groups(pieces: Sequence[Piece], size: Callable[[Piece], float]) -> list[list[Piece]]:
    """Pieces of one size together, the largest sizes first."""
    sizes = sorted({round(size(piece), 1) for piece in pieces if size(piece) > 2 * MOST_MM}, reverse=True)
    return [[p for p in pieces if round(size(p), 1) == value] for value in sizes[:MOST_GROUPS]]


def _fuller(project: Project, plan: LengthPlan, refit: Refit | None) -> Iterator[_Trial]:
    """A built-in project with a little less fullness."""
    sizes = dict(project.sizes)
    if refit is None or "fullness" not in sizes:
        return
    full = float(sizes["fullness"])

    def change(share: float) -> Project:
        assert refit is not None
        return refit(project, {"fullness": f"{full * (1 - share):.4f}"})

    gained = plan.buy.advised_mm  # by all of the fullness
    yield _Trial("near-miss-fullness", "", "", change, MOST_FULLNESS, FULLNESS_STEP, gained)


def _finding(trial: _Trial, amount: float, saved: float, buy: float) -> Finding:
    if trial.code == "near-miss-fullness":
        return finding(trial.code, percent=100 * amount, saves_mm=saved, buy_mm=buy)
    if trial.code == "strips-turned":
        return finding(trial.code, what=trial.what, how=trial.how, less_mm=saved, buy_mm=buy)
    return finding(trial.code, what=trial.what, how=trial.how, change_mm=amount, saves_mm=saved, buy_mm=buy)
