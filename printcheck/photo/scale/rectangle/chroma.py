"""Where colour stops being the cloth's own, however it is shaded.

A shadow takes from all colours alike: CIELAB, counted from L = -16, then shrinks towards that point along
its own line (a* / (L* + 16) stays; from the definition of CIELAB). What stands off the line of the cloth's
colour is therefore another thing, and the place where it begins is the thing's edge and not its shadow's.
The part off the line is linear in the colour, so that blur leaves the place of its steps where it is.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from printcheck.core.handover import Floats

    Array = NDArray[Any]

NO_LIGHT = np.array([-16 * 255 / 100, 128.0, 128.0])  # 8-bit CIELAB at which a shadow's lines meet
TO_LIGHTNESS = np.array([100 / 255, 1.0, 1.0])  # 8-bit CIELAB to equal units
CLOTH_SAMPLES = 8  # outermost ones of a profile, which are cloth: beyond most of the shadow
EDGE_PX = 1.5  # sigma of the edges looked for: a JPEG halves the colours' size
REACH_PX = 6.0  # half width in which they are
HALF_HUE = 8.0  # CIELAB: step off the line that counts half; noise has 1, JPEG up to 3
MOST_SAY = 2.0  # times the say of the other evidence, where thing and cloth differ wholly in hue


def hue_steps(profiles: Array, step_px: float) -> tuple[Array, Array]:
    """How strongly the colour leaves the cloth's at each place, and what say that has.

    Parameters
    ----------
    profiles : (sides, segments, places and a margin of REACH_PX, 3) float32
        8-bit CIELAB from outside inwards.
    step_px : float
        Between places.

    Returns
    -------
    (sides, segments, places) strength, 0 to 1; and (sides, 1, 1) its say.
    """
    colour = (profiles - NO_LIGHT) * TO_LIGHTNESS
    cloth = colour[:, :, :CLOTH_SAMPLES].mean(2, keepdims=True)
    cloth = cloth / np.maximum(np.linalg.norm(cloth, axis=-1, keepdims=True), 1e-9)
    off = colour - (colour * cloth).sum(-1, keepdims=True) * cloth
    edge = _edge(step_px)
    about = np.lib.stride_tricks.sliding_window_view(off, len(edge), axis=2)
    step = np.sqrt(((about @ edge) ** 2).sum(-1))
    usual = np.median(step.max(-1), axis=-1)[..., None, None]
    return step / (step + usual + 1e-9), MOST_SAY * usual**2 / (usual**2 + HALF_HUE**2)


@cache
def _edge(step_px: float) -> Floats:
    """Derivative of a Gaussian, to which a step of one unit answers with one."""
    x = np.arange(-REACH_PX, REACH_PX + step_px / 2, step_px)
    slope = x * np.exp(-((x / EDGE_PX) ** 2) / 2)
    return np.asarray(slope / slope[x > 0].sum(), float)
