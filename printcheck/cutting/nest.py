"""Free layouts of outlines from the nesting engine: a strip of the cloth's width, as short as it finds."""

from __future__ import annotations

import math
from collections.abc import Sequence

from printcheck.cutting.greedy import Spot
from printcheck.cutting.shapes import Ring

SAME_POINT_MM = 0.25  # mm: the engine counts in 32-bit numbers and breaks down on points that coincide
EDGE_MM = 0.005  # mm: added to the width, so that a piece as wide as the cloth is not refused for rounding
HALF_TURN_DEG = 180.0


def nested(
    rings: Sequence[Ring],
    may_turn: Sequence[bool],
    *,
    width_mm: float,
    seconds: int,
    seed: int,
    workers: int = 1,
) -> list[Spot] | None:
    """Places for outlines counted from the corners of their boxes; None where the engine fails.

    Places are good to about a hundredth of a millimetre; :mod:`printcheck.cutting.press` makes them exact.

    Parameters
    ----------
    rings : sequence of rings
        Outlines in mm, across and along.
    may_turn : sequence of bool
        Which of them may lie turned end for end.
    width_mm : float
        Usable width.
    seconds : int
        Time; the engine overruns it by up to a second.
    seed, workers : int
        The same seed and one worker search the same way, as far as the clock allows.
    """
    import spyrrow

    kinds: dict[tuple[Ring, bool], list[int]] = {}
    for n, key in enumerate(zip(rings, may_turn, strict=True)):
        kinds.setdefault(key, []).append(n)
    items = [
        spyrrow.Item(str(k), _strip_points(ring), len(copies), [0.0, HALF_TURN_DEG] if turns else [0.0])
        for k, ((ring, turns), copies) in enumerate(kinds.items())
    ]
    try:
        config = spyrrow.StripPackingConfig(
            early_termination=True, total_computation_time=seconds, num_workers=workers, seed=seed
        )
        instance = spyrrow.StripPackingInstance("cloth", width_mm + EDGE_MM, items)
        solution = instance.solve(config)
    except BaseException as error:  # the engine's panics are no Exceptions
        if isinstance(error, (KeyboardInterrupt, SystemExit, GeneratorExit)):
            raise
        return None
    left = {str(k): list(copies) for k, copies in enumerate(kinds.values())}
    spots: list[Spot | None] = [None] * len(rings)
    for item in solution.placed_items:
        n = left[item.id].pop()
        spots[n] = _spot(rings[n], item.translation, item.rotation)
    return [spot for spot in spots if spot is not None] if None not in spots else None


def _strip_points(ring: Ring) -> list[tuple[float, float]]:
    """Points along the engine's strip (along, across), without those that nearly coincide."""
    kept: list[tuple[float, float]] = []
    for x, y in ring:
        if not kept or math.dist((y, x), kept[-1]) >= SAME_POINT_MM:
            kept.append((y, x))
    while len(kept) > 3 and math.dist(kept[0], kept[-1]) < SAME_POINT_MM:
        kept.pop()
    return kept


def _spot(ring: Ring, translation: tuple[float, float], rotation: float) -> Spot:
    along, across = translation
    if abs(rotation % 360 - HALF_TURN_DEG) < 1:
        return Spot(across - max(x for x, _ in ring), along - max(y for _, y in ring), True)
    return Spot(across, along, False)
