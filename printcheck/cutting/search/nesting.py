"""Free layouts of outlines from the nesting engine: a strip of the cloth's width, as short as it finds.

The engine runs in a process of its own. It cannot be stopped once it has begun, overruns its time and
breaks down on outlines it does not bear: as a process it is ended in time, on an interrupt, too, and takes
nothing with it. It works on both cores beside our own moves, for it does not share the interpreter's lock.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from typing import Any

from printcheck.cutting.demand.demands import Spot
from printcheck.cutting.shape.simplify import Ring

SAME_POINT_MM = 0.25  # mm: the engine counts in 32-bit numbers and breaks down on points that coincide
EDGE_MM = 0.005  # mm: added to the width, so that a piece as wide as the cloth is not refused for rounding
HALF_TURN_DEG = 180.0
LOOK_S = 0.1  # s between looks whether the engine is still wanted
# what the process does: our own search path, so that it finds the same packages, then one line of JSON;
# beside that it looks whether the process that asked still lives
ENGINE = """
import json, os, sys, threading, time
asked = json.load(sys.stdin)
def watch():
    while os.getppid() == asked["parent"]:
        time.sleep(0.5)
    os._exit(1)
threading.Thread(target=watch, daemon=True).start()
sys.path[:] = asked["path"]
import spyrrow
items = [
    spyrrow.Item(name, [tuple(point) for point in ring], count, turns)
    for name, ring, count, turns in asked["items"]
]
config = spyrrow.StripPackingConfig(early_termination=True, **asked["config"])
found = spyrrow.StripPackingInstance("cloth", asked["width"], items).solve(config)
print(json.dumps([(item.id, *item.translation, item.rotation) for item in found.placed_items]))
"""


def nested(
    rings: Sequence[Ring],
    may_turn: Sequence[bool],
    *,
    width_mm: float,
    seconds: int,
    seed: int,
    workers: int = 1,
    wanted: Callable[[], bool] = lambda: True,
) -> list[Spot] | None:
    """Places for outlines counted from the corners of their boxes; None where the engine fails.

    Places are good to about a hundredth of a millimetre;
    :mod:`printcheck.cutting.search.compact` makes them exact.

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
    wanted : callable
        Asked every tenth of a second; the engine is ended once it returns False.
    """
    kinds: dict[tuple[Ring, bool], list[int]] = {}
    for n, key in enumerate(zip(rings, may_turn, strict=True)):
        kinds.setdefault(key, []).append(n)
    items = [
        (str(k), _strip_points(ring), len(copies), [0.0, HALF_TURN_DEG] if turns else [0.0])
        for k, ((ring, turns), copies) in enumerate(kinds.items())
    ]
    config = {"total_computation_time": seconds, "num_workers": workers, "seed": seed}
    placed = _run({"items": items, "config": config, "width": width_mm + EDGE_MM}, wanted)
    left = {str(k): list(copies) for k, copies in enumerate(kinds.values())}
    spots: list[Spot | None] = [None] * len(rings)
    for name, along, across, rotation in placed:
        n = left[name].pop()
        spots[n] = _spot(rings[n], (along, across), rotation)
    return [spot for spot in spots if spot is not None] if None not in spots else None


def _run(asked: dict[str, Any], wanted: Callable[[], bool]) -> list[tuple[str, float, float, float]]:
    """Run the engine; nothing where it fails or is no longer wanted."""
    pipe = subprocess.PIPE
    engine = subprocess.Popen(
        [sys.executable, "-c", ENGINE],
        stdin=pipe,
        stdout=pipe,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,  # an interrupt from the keyboard is ours to pass on
    )
    question: str | None = json.dumps({**asked, "path": sys.path, "parent": os.getpid()})
    try:
        while wanted():
            try:
                answer, _ = engine.communicate(question, timeout=LOOK_S)
            except subprocess.TimeoutExpired:
                question = None
            else:
                return json.loads(answer) if engine.returncode == 0 else []
        return []
    finally:
        engine.kill()
        engine.communicate()


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
