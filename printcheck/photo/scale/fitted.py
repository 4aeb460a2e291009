"""Weights of the classifiers of objects, made by docs/fit_objects.py: not to be edited."""

WEIGHTS: dict[str, tuple[float, ...]] = {
    "round": (
        -11.475,  # constant
        -0.623,  # misfit
        -0.451,  # steep
        -0.208,  # steep unstated
        1.998,  # cover
        3.792,  # support
        -5.532,  # rough
        13.966,  # corners
        0.814,  # unlike
        2.243,  # corners unlike
        3.453,  # once
        -4.412,  # around
        -0.017,  # beyond
        2.944,  # border
        1.485,  # open side
        -1.128,  # hidden
        -0.921,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "paper": (
        -13.933,  # constant
        -0.683,  # misfit
        0.000,  # steep
        -0.587,  # steep unstated
        2.198,  # cover
        3.385,  # support
        0.000,  # rough
        0.000,  # corners
        0.549,  # unlike
        3.492,  # corners unlike
        1.194,  # once
        -3.516,  # around
        -2.463,  # beyond
        0.000,  # border
        3.305,  # open side
        -2.420,  # hidden
        -1.707,  # hidden long
        4.513,  # plain
        3.584,  # light
        -1.882,  # tint
    ),
    "any": (
        -8.833,  # constant
        -0.905,  # misfit
        0.000,  # steep
        -1.043,  # steep unstated
        0.945,  # cover
        3.796,  # support
        0.000,  # rough
        0.000,  # corners
        0.992,  # unlike
        3.834,  # corners unlike
        2.003,  # once
        -3.852,  # around
        -2.402,  # beyond
        0.000,  # border
        3.225,  # open side
        -3.845,  # hidden
        -3.088,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "coin": (
        -15.506,  # constant
        14.153,  # cover
        5.872,  # tight
        -0.478,  # scatter
        2.854,  # relief
        -0.345,  # busy
        -0.552,  # tint
        1.485,  # apart
        -0.888,  # texture
        -20.247,  # hue off
        0.581,  # hue known
        -0.459,  # twins
        -6.529,  # hidden
        -36.180,  # oval
        -44.140,  # choice
    ),
}

# what the objects themselves show, on average
TYPICAL: dict[str, tuple[float, ...]] = {
    "round": (
        0.606,  # misfit
        0.130,  # steep
        0.011,  # steep unstated
        0.985,  # cover
        0.865,  # support
        0.240,  # rough
        0.301,  # corners
        1.165,  # unlike
        0.790,  # corners unlike
        0.947,  # once
        0.270,  # around
        0.255,  # beyond
        0.978,  # border
        0.922,  # open side
        0.003,  # hidden
        0.002,  # hidden long
        0.420,  # plain
        0.684,  # light
        0.300,  # tint
    ),
    "paper": (
        0.268,  # misfit
        0.082,  # steep
        0.000,  # steep unstated
        0.948,  # cover
        0.826,  # support
        0.273,  # rough
        -0.077,  # corners
        1.351,  # unlike
        0.788,  # corners unlike
        0.865,  # once
        0.179,  # around
        0.179,  # beyond
        0.941,  # border
        0.907,  # open side
        0.000,  # hidden
        0.000,  # hidden long
        0.889,  # plain
        0.945,  # light
        0.076,  # tint
    ),
    "any": (
        0.213,  # misfit
        0.065,  # steep
        0.000,  # steep unstated
        0.950,  # cover
        0.828,  # support
        0.249,  # rough
        -0.128,  # corners
        1.295,  # unlike
        0.789,  # corners unlike
        0.886,  # once
        0.205,  # around
        0.198,  # beyond
        0.954,  # border
        0.925,  # open side
        0.000,  # hidden
        0.000,  # hidden long
        0.887,  # plain
        0.952,  # light
        0.075,  # tint
    ),
    "coin": (
        0.988,  # cover
        0.586,  # tight
        0.275,  # scatter
        0.677,  # relief
        0.000,  # busy
        1.175,  # tint
        0.747,  # apart
        0.696,  # texture
        0.004,  # hue off
        0.947,  # hue known
        0.026,  # twins
        0.000,  # hidden
        0.012,  # oval
        0.014,  # choice
    ),
}
