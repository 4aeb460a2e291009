"""Cloths that things lie on in the tests of this folder."""

from __future__ import annotations

import numpy as np

from printcheck.synthetic import prints
from printcheck.synthetic.art import Art


def art_of(name: str, seed: int = 3) -> Art:
    rng = np.random.default_rng(seed)
    return {
        "plain": lambda: prints.plain(rng),
        "dots": lambda: prints.dots(rng, 14.0),
        "gingham": lambda: prints.gingham(rng, 12.0),
        "stripes": lambda: prints.stripe(rng, 9.0, even=True),
    }[name]()
