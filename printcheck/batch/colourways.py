"""One print in several colours: listings whose lattice and cell agree once the inks are exchanged.

The inks of a colourway stand where those of the first stood, so that their edges lie at the same places and
run the same ways, whatever colours meet there: the normalised structure tensors of the two cells correlate
(as the gradient fields of Haber and Modersitzki 2006 do). Prints of one drawing whose lines or spots are a
little bolder differ by less than a blur does; they show in what is left of one cell once the other's flat
colours are mapped on its own: summed, that is how far ink has grown over its edges. A blur adds nothing to
that sum where it is taken over the photo's own values; over CIELAB, which bends them, it would seem to move
every edge. The two make one logistic score, fitted by ``docs/fit_colourways.py``. Lattices further apart
than their errors allow are of different prints; how far apart they lie within them tells nothing more.
"""

from __future__ import annotations

import base64
import bisect
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from printcheck.core.handover import MeanCell
    from printcheck.core.measurement import Repeat

    Channels = NDArray[np.float64]

SIDE_PX = 64  # of a kept cell: some kilobytes in the journal
NOISE_LAB = 0.3  # CIELAB units from one sample of a kept cell to the next that are no edge
HALF_EDGE = 0.5  # of the root mean square gradient: an edge of this step counts half of the boldest
FLAT = 0.1  # of the mean squared gradient: what is less steep shows an ink's own colour
ONE_INK = 0.1  # per cent of white: a direction in which the flat colours spread less than that shows noise
NOT_FLAT = 0.001  # weight of edges among the flat colours: ink too thin to be flat is mapped by them, ungrown
SMOOTH = 0.7  # samples, one sigma: a sharp edge moved by half a sample would ring over what is flat
GROWN_MM = 0.02  # one sigma of growth between two photos of one print of few inks
GROWN_MISFIT = 3.0  # photo px²: variance of the growth by share of misfit of the inks
GROWN_TWO_WAYS = 2.0  # sigmas of the growth by how far it differs from one print to the other and back
ASKEW = 0.02  # radians, one sigma between two cloths: up to 3 % askew is sold as straight (common practice)
PULLED = 0.003  # share, one sigma between two cloths along each axis: one was pulled more as it was printed
FARTHEST_SIGMA2 = 20.0  # lattices further apart are not compared, and growth beyond tells nothing more
WEIGHTS = (-12.07, 16.6, -0.24)  # constant, edges, squared growth: fitted
LEAST_PROBABILITY = 0.5
KEYS_HELD = 64  # prints last compared with: a quarter of a megabyte each


_STRIPE_BASES = (((1, 0), (0, 1)), ((-1, 0), (0, -1)))
_BASES = tuple(
    ((p, q), (r, s)) for p, q, r, s in itertools.product((-1, 0, 1), repeat=4) if abs(p * s - q * r) == 1
)  # of one lattice, each by the vectors of another


@dataclass(frozen=True)
class PrintKey:
    """What a listing's print is known by.

    Parameters
    ----------
    basis_mm : (n, 2) float64
        Its lattice, one vector for a stripe.
    axes_mm : (2, 2) float64
        The sides of the cell; a stripe's second is arbitrary.
    error_mm : float
        Of the lattice.
    shape_error : float
        As a share; of one vector against another, for which the scale does not matter.
    px_mm : float
        Side of a pixel of its photo.
    lab : (3, N, N) float64
        The cell in CIELAB.
    """

    basis_mm: Channels
    axes_mm: Channels
    error_mm: float
    shape_error: float
    px_mm: float
    lab: Channels

    @cached_property
    def area(self) -> float:
        """Area of the cell, mm²; the squared period of a stripe."""
        import numpy as np

        if len(self.basis_mm) == 1:
            return float(self.basis_mm[0] @ self.basis_mm[0])
        return abs(float(np.linalg.det(self.basis_mm)))

    @cached_property
    def channels(self) -> Channels:
        """RGB, per cent; edges, a structure tensor of mean 0 and variance 1; squared steepness: (7, N, N)."""
        import cv2
        import numpy as np

        across, along = self.slopes(self.lab)
        tensor = np.stack([across**2, along**2, math.sqrt(2) * across * along]).sum(1)
        steep = tensor[0] + tensor[1]
        step_mm2 = abs(np.linalg.det(self.axes_mm)) / SIDE_PX**2
        tensor /= steep + HALF_EDGE**2 * steep.mean() + NOISE_LAB**2 / step_mm2
        tensor -= tensor.mean((1, 2), keepdims=True)
        tensor /= math.sqrt(max(float((tensor**2).sum(0).mean()), 1e-12))
        rgb = cv2.cvtColor(np.moveaxis(self.lab, 0, 2).astype(np.float32), cv2.COLOR_Lab2RGB)
        return np.concatenate([100 * np.moveaxis(rgb, 2, 0), tensor, steep[None]])

    def slopes(self, values: Channels) -> Channels:
        """Change per mm across and along, (2, C, N, N), of values (C, N, N) over the cell."""
        import numpy as np

        waves = np.fft.fftfreq(SIDE_PX, 1 / SIDE_PX)
        waves[SIDE_PX // 2] = 0  # the finest wave has no slope at its samples
        to_mm = np.linalg.inv(self.axes_mm)[:, :, None, None]  # rows: mm across and along
        k = to_mm[:, 0] * waves[: SIDE_PX // 2 + 1] + to_mm[:, 1] * waves[:, None]
        return np.fft.irfft2(2j * np.pi * k[:, None] * np.fft.rfft2(values), (SIDE_PX, SIDE_PX))


def pattern_of(repeat: Repeat, cell: MeanCell | None, scale_error: float) -> dict[str, Any]:
    """Plain data of a print's key, for the journal; empty where it has no repeat.

    ``scale_error`` is one sigma of the scale, as a share: it is in the repeat's error, not in its shape's.
    """
    import cv2
    import numpy as np

    if cell is None or not repeat.known or repeat.error_mm is None:
        return {}
    rgb = cv2.resize(
        cv2.cvtColor(cell.lab, cv2.COLOR_Lab2RGB), (SIDE_PX, SIDE_PX), interpolation=cv2.INTER_AREA
    )
    small = cv2.cvtColor(rgb, cv2.COLOR_RGB2Lab)
    longest_mm = max(math.hypot(*vector) for vector in repeat.raw_basis_mm or repeat.basis_mm)
    low = small.min((0, 1))
    step = np.maximum(small.max((0, 1)) - low, 1e-3) / 255
    # or a flat ink is rounded one way all over
    dither = np.random.default_rng(0).uniform(-0.5, 0.5, small.shape)
    _, data = cv2.imencode(".png", np.clip(np.rint((small - low) / step + dither), 0, 255).astype(np.uint8))
    return {
        "vectors": len(repeat.basis_mm),
        "axes_mm": np.round(cell.basis_mm, 4).tolist(),
        "error_mm": round(repeat.error_mm, 4),
        "shape_error": round(math.sqrt(max((repeat.error_mm / longest_mm) ** 2 - scale_error**2, 0.0)), 5),
        "px_mm": round(cell.px_mm, 4),
        "low": np.round(low.astype(float), 3).tolist(),
        "step": np.round(step.astype(float), 5).tolist(),
        "cell": base64.b64encode(data.tobytes()).decode("ascii"),
    }


def key_of(pattern: dict[str, Any]) -> PrintKey:
    """Key from its plain data."""
    import cv2
    import numpy as np

    data = np.frombuffer(base64.b64decode(pattern["cell"]), np.uint8)
    picture = np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR), np.float64)
    lab = np.moveaxis(picture * pattern["step"] + pattern["low"], 2, 0)
    axes = np.array(pattern["axes_mm"], float)
    told = pattern["error_mm"], pattern["shape_error"], pattern["px_mm"]
    return PrintKey(axes[: pattern["vectors"]], axes, *told, lab)


def probability(a: PrintKey, b: PrintKey) -> float:
    """Probability that two keys are of one print, 0 to 1."""
    found = evidence(a, b)
    return 0.0 if found is None else 1 / (1 + math.exp(-score(*found)))


def score(edges: float, growth: float) -> float:
    """Log odds of one print."""
    constant, by_edges, by_growth = WEIGHTS
    return constant + by_edges * edges + by_growth * growth


def evidence(a: PrintKey, b: PrintKey) -> tuple[float, float] | None:
    """Correlation of the edges, and squared growth in sigmas.

    Of the way to lay b on a on which the edges correlate best; None where the lattices lie too far apart.
    """
    import numpy as np

    found = []
    given = np.fft.rfft2(a.channels[3:6]).conj()
    for laid in _laid(a, b):
        waves = np.fft.rfft2(laid[3:6])
        for turned in (False, True):  # upside down in the photo
            products = (given * (waves.conj() if turned else waves)).sum(0)
            surface = np.fft.irfft2(products, (SIDE_PX, SIDE_PX)) / SIDE_PX**2
            found.append((float(surface.max()), surface, turned, laid))
    if not found:
        return None
    _, surface, turned, laid = max(found, key=lambda way: way[0])
    if turned:
        laid = np.roll(laid[:, ::-1, ::-1], 1, (1, 2))
    row, column = _peak(surface)  # each is moved by half of it, so that both are blurred alike
    one, other = _moved(a.channels, -row / 2, -column / 2), _moved(laid, row / 2, column / 2)
    edges = float(np.corrcoef(one[3:6].ravel(), other[3:6].ravel())[0, 1])
    grown = [_growth(a, b, *way) for way in ((one, other), (other, one))]
    differ2 = (GROWN_TWO_WAYS * (grown[0][0] - grown[1][0])) ** 2
    growth = min(mm**2 / (variance + differ2) for mm, variance in grown)
    return edges, min(growth, FARTHEST_SIGMA2)


def _peak(surface: Channels) -> tuple[float, float]:
    """Place of the highest value, between samples: the top of a parabola along each axis."""
    import numpy as np

    from printcheck.core.parabola import peak_offset

    row, column = (int(i) for i in np.unravel_index(int(surface.argmax()), surface.shape))
    near = [np.roll(surface[:, column], 1 - row)[:3], np.roll(surface[row], 1 - column)[:3]]
    off_row, off_column = (float(peak_offset(*three)) for three in near)
    return row + off_row, column + off_column


def _moved(channels: Channels, row: float, column: float) -> Channels:
    """The channels, smoothed, with this place, in samples, at the first one."""
    import numpy as np

    down, right = np.fft.fftfreq(SIDE_PX)[:, None], np.fft.rfftfreq(SIDE_PX)[None]
    turned = np.exp(2j * np.pi * (down * row + right * column))
    smoothed = turned * np.exp(-2 * (np.pi * SMOOTH) ** 2 * (down**2 + right**2))
    return np.fft.irfft2(np.fft.rfft2(channels) * smoothed, (SIDE_PX, SIDE_PX))


def _growth(a: PrintKey, b: PrintKey, given: Channels, other: Channels) -> tuple[float, float]:
    """Growth of the other's ink over the edges of the given one's, mm, and its variance, mm².

    Notes
    -----
    Where both are flat, the affine map of the given colours on the other's is fitted, exact for up to four
    inks. The mean of what is left all over, over the mean steepness of the mapped colours, is how far edges
    moved. Its variance grows with the misfit of the flat colours, where there are more inks.
    """
    import numpy as np

    x, y = (channels[:3].reshape(3, -1).T for channels in (given, other))
    weight = (
        1 + sum(np.maximum(c[6], 0) / max(FLAT * float(c[6].mean()), 1e-9) for c in (given, other))
    ) ** -2
    flat = (weight / weight.sum() + NOT_FLAT / weight.size).reshape(-1, 1) / (1 + NOT_FLAT)
    x, y = x - (flat * x).sum(0), y - (flat * y).sum(0)
    weighed = flat * x
    mapped = x @ np.linalg.solve(weighed.T @ x + ONE_INK**2 * np.eye(3), weighed.T @ y)
    left = y - mapped
    across, along = a.slopes(mapped.T.reshape(3, SIDE_PX, SIDE_PX))
    steepness = float(np.sqrt((across**2 + along**2).sum(0)).mean())
    grown_mm = float(np.linalg.norm(left.mean(0))) / max(steepness, 1e-9)
    misfit = float((flat**2 * left**2).sum()) / max(float((flat**2 * mapped**2).sum()), 1e-9)
    return grown_mm, GROWN_MM**2 + GROWN_MISFIT * misfit * max(a.px_mm, b.px_mm) ** 2


def _laid(a: PrintKey, b: PrintKey) -> Iterator[Channels]:
    """Channels of b in the coordinates of a's cell, for every basis of b's lattice that lies near a's.

    Sizes are as sure as the scales, the shares of across and along as each lattice was seen evenly.
    """
    import numpy as np

    if len(a.basis_mm) != len(b.basis_mm):
        return
    sizes2 = math.log(b.area / a.area) ** 2 / 4 / (a.error_mm**2 / a.area + b.error_mm**2 / b.area)
    if sizes2 > FARTHEST_SIGMA2:
        return
    bases = np.array(_STRIPE_BASES if len(a.basis_mm) == 1 else _BASES)
    onto_a = np.linalg.inv(bases @ b.axes_mm) @ a.axes_mm * math.sqrt(b.area / a.area)
    shapes2 = a.shape_error**2 + b.shape_error**2 + PULLED**2
    sigmas2 = np.array([[shapes2, ASKEW**2], [ASKEW**2, shapes2]])
    distances2 = sizes2 + ((onto_a - np.eye(2)) ** 2 / sigmas2).sum((1, 2))
    v, u = np.indices((SIDE_PX, SIDE_PX))
    for m, distance2 in zip(bases, distances2, strict=True):
        if distance2 < FARTHEST_SIGMA2:
            at_v, at_u = (u * m[0, 1] + v * m[1, 1]) % SIDE_PX, (u * m[0, 0] + v * m[1, 0]) % SIDE_PX
            yield b.channels[:, at_v, at_u]


class Known:
    """Prints seen so far, by the area of their cell."""

    def __init__(self) -> None:
        self._areas: dict[int, list[tuple[float, int]]] = {1: [], 2: []}
        self._kept: list[tuple[str, Callable[[], dict[str, Any]]]] = []
        self._key = lru_cache(KEYS_HELD)(lambda place: key_of(self._kept[place][1]()))

    def same_as(
        self, file: str, pattern: dict[str, Any], recall: Callable[[], dict[str, Any]] | None = None
    ) -> str:
        """File of the first listing of this print; empty for a print not seen before, which is kept.

        ``recall`` gives the pattern again where it need not be held in memory.
        """
        if not pattern:
            return ""
        key = key_of(pattern)
        areas = self._areas[len(key.basis_mm)]
        # twice the squared error of this print's size, as if the other's were as large
        reach = math.exp(2 * math.sqrt(2 * FARTHEST_SIGMA2 * key.error_mm**2 / key.area))
        low, high = key.area / reach, key.area * reach
        near = areas[bisect.bisect_left(areas, (low, 0)) : bisect.bisect_right(areas, (high, 0))]
        chances = [(probability(self._key(i), key), -i) for _, i in near]
        chance, at = max(chances, default=(0.0, 0))
        if chance >= LEAST_PROBABILITY:
            return self._kept[-at][0]
        bisect.insort(areas, (key.area, len(self._kept)))
        self._kept.append((file, recall or (lambda: pattern)))
        return ""
