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
MOST_GROUPS = 4  # sizes tried on each axis, the largest first
LEAST_QUESTION_S = 0.15  # s: on an idle machine small questions are answered by then

Change = Callable[[float], Project]
Refit = Callable[[Project, Mapping[str, str]], Project]


@dataclass(frozen=True)
class _Trial:
    """A change by some amount: how it is told, and how much of it the layout gains anyway."""

    code: str
    what: str
    how: str
    change: Change
    most: float
    step: float
    cut_times: int = 0


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

    ``seconds`` are for all questions; ``refit`` draws a built-in project anew with some of its sizes
    changed, given as text.
    """
    cloth = project.cloth
    step = max(cloth.sold_by_mm, 0.0)
    least = max(step, NOTICEABLE_MM)
    target = plan.buy.advised_mm - least
    if step:
        target = math.floor(target / step + 1e-6) * step
    if plan.layout is None or target <= 0:
        return ()
    room = target * (1 - cloth.shrink_along) - plan.start_allowance_mm
    trials = [*_trials(project, plan), *_fuller(project, refit)]
    effort, limit = Effort(seconds), max(LEAST_QUESTION_S, seconds / (3 * max(1, len(trials))))

    def length_of(trial: _Trial, amount: float) -> float | None:
        part = effort.part(limit)
        try:
            return _laid_mm(trial.change(amount), print_, plan, room, match, part)
        except InputError:  # a piece that small, a cloth that wide: no such project
            return None
        finally:
            effort.take_back(part)

    best: tuple[float, tuple[Finding, ...]] = (0.0, ())
    for trial in trials:
        if not effort.left:
            break
        if (length := length_of(trial, trial.most)) is not None:
            amount, length = _least(trial, length, length_of)
            buy = to_buy_mm(cloth, length + plan.start_allowance_mm)
            saved = plan.buy.advised_mm - buy
            if saved > best[0] and saved >= WORTH * trial.cut_times * amount:
                best = (saved, (_finding(trial, amount, saved, buy),))
    return best[1] or _over_a_step(project, plan)


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


def _least(
    trial: _Trial, length: float, length_of: Callable[[_Trial, float], float | None]
) -> tuple[float, float]:
    """Least amount that still does, and the length it does with, by halving."""
    low, high = 0, round(trial.most / trial.step)
    while high - low > 1:
        middle = (low + high) // 2
        found = length_of(trial, middle * trial.step)
        if found is None:
            low = middle
        else:
            high, length = middle, found
    return high * trial.step, length


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


def _cut_down(project: Project, pieces: Sequence[Piece], how: str) -> Change:
    return lambda by_mm: cut_down(project, pieces, **{how: by_mm})


def _groups(pieces: Sequence[Piece], size: Callable[[Piece], float]) -> list[list[Piece]]:
    """Pieces of one size together, the largest sizes first."""
    sizes = sorted({round(size(piece), 1) for piece in pieces if size(piece) > 2 * MOST_MM}, reverse=True)
    return [[p for p in pieces if round(size(p), 1) == value] for value in sizes[:MOST_GROUPS]]


def _fuller(project: Project, refit: Refit | None) -> Iterator[_Trial]:
    """A built-in project with a little less fullness."""
    sizes = dict(project.sizes)
    if refit is None or "fullness" not in sizes:
        return
    full = float(sizes["fullness"])

    def change(share: float) -> Project:
        assert refit is not None
        return refit(project, {"fullness": f"{full * (1 - share):.4f}"})

    yield _Trial("near-miss-fullness", "", "", change, MOST_FULLNESS, FULLNESS_STEP)


def _finding(trial: _Trial, amount: float, saved: float, buy: float) -> Finding:
    if trial.code == "near-miss-fullness":
        return finding(trial.code, percent=100 * amount, saves_mm=saved, buy_mm=buy)
    return finding(trial.code, what=trial.what, how=trial.how, change_mm=amount, saves_mm=saved, buy_mm=buy)
