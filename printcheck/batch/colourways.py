"""One print in several colours: listings whose lattice and cell agree once the inks are exchanged.

The inks of a colourway stand where those of the first stood. Two features see that at the best shift: the
correlation of the edges, whatever colours meet there; and the share of one cell's variance that the best
affine map of the other's colours explains, which fits up to four inks and their blends exactly. With how
far the two lattices lie apart they make one logistic score, fitted by ``docs/fit_colourways.py``.
"""

from __future__ import annotations

import base64
import bisect
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from printcheck.core.handover import MeanCell
    from printcheck.core.measurement import Repeat

    Channels = NDArray[np.float64]

SIDE_PX = 32  # of a kept cell: two kilobytes in the journal
NOISE_LAB = 0.7  # CIELAB units of a kept cell that are no ink: its rounding and its photo's noise
HALF_EDGE = 0.5  # of the root mean square gradient: an edge of this step counts half of the boldest
LEAST_ERROR = 0.003  # of a vector: what a photo's lens and the cloth's stretch leave of any lattice
FARTHEST = 0.05  # of the cell's area: lattices further apart are not compared
WEIGHTS = (-7.5, 3.47, 7.62, -0.33)  # constant, explained share, edges, squared distance: fitted
LEAST_PROBABILITY = 0.5


@dataclass(frozen=True)
class PrintKey:
    """What a listing's print is known by: its lattice with error, in mm, and its cell as (3, N, N) CIELAB."""

    basis_mm: Channels
    error_mm: float
    lab: Channels

    @cached_property
    def area(self) -> float:
        """Area of the cell, mm²; the squared period of a stripe."""
        import numpy as np

        if len(self.basis_mm) == 1:
            return float(self.basis_mm[0] @ self.basis_mm[0])
        return abs(float(np.linalg.det(self.basis_mm)))

    @cached_property
    def variance(self) -> float:
        """Of the colours over the cell, CIELAB units squared."""
        return float(self.lab.var((1, 2)).sum())

    @cached_property
    def channels(self) -> Channels:
        """Colours without their mean; the same uncorrelated and of equal variance; edges: (7, N, N)."""
        import numpy as np

        centred = self.lab - self.lab.mean((1, 2), keepdims=True)
        flat = centred.reshape(3, -1)
        values, vectors = np.linalg.eigh(flat @ flat.T / flat.shape[1])
        whiten = vectors / np.sqrt(np.maximum(values, 0) + NOISE_LAB**2)
        steps = [np.roll(centred, -1, axis) - np.roll(centred, 1, axis) for axis in (1, 2)]
        gradient = np.sqrt(sum((step**2).sum(0) for step in steps))
        edges = gradient / (gradient + HALF_EDGE * np.sqrt((gradient**2).mean()) + NOISE_LAB)
        edges = (edges - edges.mean()) / max(float(edges.std()), 1e-9)
        return np.concatenate([centred, (whiten.T @ flat).reshape(self.lab.shape), edges[None]])


def pattern_of(repeat: Repeat, cell: MeanCell | None) -> dict[str, Any]:
    """Plain data of a print's key, for the journal; empty where it has no repeat."""
    import cv2
    import numpy as np

    if cell is None or not repeat.known or repeat.error_mm is None:
        return {}
    small = cv2.resize(cell.lab, (SIDE_PX, SIDE_PX), interpolation=cv2.INTER_AREA)
    bytes_ = np.clip(np.rint(small * (2.55, 1, 1) + (0, 128, 128)), 0, 255).astype(np.uint8)
    _, data = cv2.imencode(".png", bytes_)
    basis = cell.basis_mm[: len(repeat.basis_mm)]
    return {
        "basis_mm": np.round(basis, 4).tolist(),
        "error_mm": round(repeat.error_mm, 4),
        "cell": base64.b64encode(data.tobytes()).decode("ascii"),
    }


def key_of(pattern: dict[str, Any]) -> PrintKey:
    """Key from its plain data."""
    import cv2
    import numpy as np

    data = np.frombuffer(base64.b64decode(pattern["cell"]), np.uint8)
    picture = np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR), np.float64)
    lab = (picture - (0, 128, 128)) / (2.55, 1, 1)
    return PrintKey(np.array(pattern["basis_mm"], float), pattern["error_mm"], np.moveaxis(lab, 2, 0))


def probability(a: PrintKey, b: PrintKey) -> float:
    """Probability that two keys are of one print, 0 to 1."""
    best = max((score(*found) for found in evidence(a, b)), default=-math.inf)
    return 1 / (1 + math.exp(-best)) if best > -700 else 0.0


def score(explained: float, edges: float, distance2: float) -> float:
    """Log odds of one print."""
    constant, by_colours, by_edges, by_lattice = WEIGHTS
    return constant + by_colours * explained + by_edges * edges + by_lattice * distance2


def evidence(a: PrintKey, b: PrintKey) -> Iterator[tuple[float, float, float]]:
    """Yield explained share, correlation of edges and squared distance of each way to lay b on a."""
    import numpy as np

    spectrum = np.fft.rfft2(a.channels).conj()
    for distance2, laid in _laid(a, b):
        for turned in (laid, np.roll(laid[:, ::-1, ::-1], 1, (1, 2))):  # upside down in the photo
            other = np.fft.rfft2(turned)
            pairs = [spectrum[3:6, None] * other[None, :3], spectrum[:3, None] * other[None, 3:6]]
            products = np.concatenate(
                [*(p.reshape(9, *p.shape[2:]) for p in pairs), spectrum[6:] * other[6:]]
            )
            crossed = np.fft.irfft2(products, (SIDE_PX, SIDE_PX)) / SIDE_PX**2
            floor = NOISE_LAB**2
            explained = (crossed[:9] ** 2).sum(0) / (b.variance + floor)
            explained = (explained + (crossed[9:18] ** 2).sum(0) / (a.variance + floor)) / 2
            best = int((explained + crossed[18]).argmax())
            yield float(explained.flat[best]), float(crossed[18].flat[best]), distance2


def _laid(a: PrintKey, b: PrintKey) -> Iterator[tuple[float, Channels]]:
    """Channels of b in the coordinates of a's cell, for every basis of b's lattice that lies near a's."""
    import numpy as np

    if len(a.basis_mm) != len(b.basis_mm):
        return
    if len(a.basis_mm) == 1:
        sign = 1 if float(a.basis_mm[0] @ b.basis_mm[0]) > 0 else -1
        yield _distance2(a, b, sign * b.basis_mm), b.channels[:, :, ::sign]
        return
    v, u = np.indices((SIDE_PX, SIDE_PX))
    for entries in itertools.product((-1, 0, 1), repeat=4):
        m = np.array(entries).reshape(2, 2)
        if abs(m[0, 0] * m[1, 1] - m[0, 1] * m[1, 0]) != 1:
            continue
        apart = np.abs(m @ b.basis_mm - a.basis_mm).max() / math.sqrt(a.area)
        if apart < FARTHEST:
            at_v, at_u = (u * m[0, 1] + v * m[1, 1]) % SIDE_PX, (u * m[0, 0] + v * m[1, 0]) % SIDE_PX
            yield _distance2(a, b, m @ b.basis_mm), b.channels[:, at_v, at_u]


def _distance2(a: PrintKey, b: PrintKey, basis: Channels) -> float:
    """Mean squared distance of the vectors in sigmas."""
    sigma2 = a.error_mm**2 + b.error_mm**2 + LEAST_ERROR**2 * (a.basis_mm**2).sum(1)
    return float((((basis - a.basis_mm) ** 2).sum(1) / sigma2).mean())


class Known:
    """Prints seen so far, by the area of their cell."""

    def __init__(self) -> None:
        self._areas: dict[int, list[tuple[float, int]]] = {1: [], 2: []}
        self._kept: list[tuple[str, dict[str, Any]]] = []

    def same_as(self, file: str, pattern: dict[str, Any]) -> str:
        """File of the first listing of this print; empty for a print not seen before, which is kept."""
        if not pattern:
            return ""
        key = key_of(pattern)
        areas = self._areas[len(key.basis_mm)]
        low, high = (key.area * (1 + s * 2 * FARTHEST) for s in (-1, 1))
        near = areas[bisect.bisect_left(areas, (low, 0)) : bisect.bisect_right(areas, (high, 0))]
        chances = [(probability(key_of(self._kept[i][1]), key), -i) for _, i in near]
        chance, at = max(chances, default=(0.0, 0))
        if chance >= LEAST_PROBABILITY:
            return self._kept[-at][0]
        bisect.insort(areas, (key.area, len(self._kept)))
        self._kept.append((file, pattern))
        return ""
