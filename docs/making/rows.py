"""Measuring a corpus scene by scene into a file of rows; what is there already is not measured again."""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

import cv2

from making import compare
from printcheck import pipeline
from printcheck.core.errors import PrintcheckError
from printcheck.core.request import ScaleRequest, one_scale
from printcheck.photo import flatten_photo
from tests.drawn import Scene, scene

Row = dict[str, Any]
BAR_MM = 0.2  # a bar this near its true width is right


def request(args: tuple[str, ...]) -> ScaleRequest:
    """Scale asked for by the scene's arguments, as the command line would."""
    return one_scale(**{args[0][2:].replace("-", "_"): args[1]}) if args else one_scale()


def measured_row(one: Scene, path: Path) -> Row:
    """A whole measurement against the truth."""
    truth = one.truth
    answer = asdict(pipeline.measure_photo(path, pipeline.Options(scale=request(one.args))).measurement)
    repeat, motif, bars = answer["repeat"], answer["motif"], answer["stripe_or_check"]
    basis = [list(v) for v in truth.basis_mm]
    verdict, error = compare.repeat_verdict(basis, [list(v) for v in repeat["basis_mm"]])
    return {
        "verdict": verdict,
        "error": error,
        "kind_true": truth.kind,
        "kind_got": repeat["kind"],
        "layout_true": truth.layout,
        "layout_got": repeat["layout"],
        "drop_true": truth.drop,
        "drop_got": repeat["drop"],
        "across_got": repeat["across_mm"],
        "along_got": repeat["along_mm"],
        "turn": [one.truth.camera["turn_deg"], repeat["turn_deg"]],
        "confidence": repeat["confidence"],
        "error_mm": repeat["error_mm"],
        "basis_true": basis,
        "basis_got": repeat["basis_mm"],
        "way_true": truth.way,
        "way_got": answer["direction"]["way"],
        "margin": answer["direction"]["margin"],
        "motif_true": truth.motif_mm,
        "motif_got": [motif["width_mm"], motif["height_mm"]],
        **_bars_row(truth, bars),
        "scale_error": answer["scale"]["mm_per_px"] / truth.mm_per_px - 1,
        "scale_sigma": answer["scale"]["relative_error"],
        "findings": [f["code"] for f in answer["findings"]],
    }


def _bars_row(truth: Any, bars: dict[str, Any] | None) -> Row:  # noqa: ANN401 (Truth, or one like it)
    true = [list(b) for b in truth.bars]
    found = list(bars["bars"]) if bars else []
    along = list(bars["bars_along"]) if bars else []
    return {
        "bars_true": len(true),
        "bars_got": len(found) or len(along),
        "bars_error_mm": compare.bars_error_mm(true, found or along) if true else None,
        "bars_as_stated": compare.bars_as_stated(true, found or along, least_mm=BAR_MM) if true else None,
        "balanced_true": [truth.balanced_across, truth.balanced_along],
        "balanced_got": [bars["balanced_across"], bars["balanced_along"]] if bars else None,
    }


def scale_row(one: Scene, path: Path) -> Row:
    """The scale alone against the truth."""
    cloth = flatten_photo(path, request(one.args))
    if not cloth.scale_known:
        return {"verdict": "refused", "message": "measured in pixels, without a scale"}
    return {
        "verdict": "found",
        "scale_error": cloth.scale.mm_per_px / one.truth.mm_per_px - 1,
        "scale_sigma": cloth.scale.relative_error,
        "tilt_got": cloth.scale.tilt_deg,
        "object": cloth.scale.object,
        "findings": [f.code for f in cloth.findings],
    }


Measure = Callable[[Scene, Path], Row]


def rows_of(name: str, *, n: int, seed: int, store: Path, measure: Measure) -> list[Row]:
    """Rows of the first ``n`` scenes; measured now where the store has none yet."""
    store.mkdir(parents=True, exist_ok=True)
    path = store / f"{name}-{seed}.jsonl"
    known = {row["index"]: row for row in _read(path)}
    with path.open("a", encoding="utf-8") as out, tempfile.TemporaryDirectory() as folder:
        for index in range(n):
            if index not in known:
                known[index] = _row(scene(name, index, seed), index, measure, Path(folder))
                out.write(json.dumps(known[index], default=float) + "\n")
                out.flush()
                print(f"{name} {index + 1}/{n} {known[index]['verdict']}", file=sys.stderr)
    return [known[i] for i in range(n)]


def stored(name: str, *, seed: int, store: Path) -> list[Row]:
    """Rows measured so far, in order."""
    return sorted(_read(store / f"{name}-{seed}.jsonl"), key=lambda row: int(row["index"]))


def _row(one: Scene, index: int, measure: Measure, folder: Path) -> Row:
    path = one.photo.write(folder / "scene.jpg")
    begun = time.process_time()
    try:
        found = measure(one, path)
    except PrintcheckError as error:
        found = {"verdict": "refused", "message": f"{error.code}: {error}"}
    except (
        ArithmeticError,
        LookupError,
        TypeError,
        ValueError,
        AttributeError,
        ImportError,
        cv2.error,
    ) as error:
        # a fault of the program: counted as such in every table, never hidden
        found = {"verdict": "error", "message": f"{type(error).__name__}: {error}"}
    head = {"index": index, "name": one.name, "kind": one.kind, "family": one.truth.family}
    head |= {"art": one.truth.art, "note": one.truth.note, "args": list(one.args)}
    return {**head, **found, "cpu_s": time.process_time() - begun}


def _read(path: Path) -> Iterator[Row]:
    if path.exists():
        for line in path.read_text(encoding="utf-8").splitlines():
            yield json.loads(line)
