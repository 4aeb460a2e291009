"""Names for the arrays this room passes about."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Image = NDArray[np.float32]  # (H, W) or (H, W, C)
Vectors = NDArray[np.float64]  # (2,) or (n, 2), as (x, y) or (across, along)
Bgr = NDArray[np.uint8]  # (H, W, 3)
Places = NDArray[np.int64]  # (n,) columns or rows
Mask = NDArray[np.bool_]  # (H, W)
