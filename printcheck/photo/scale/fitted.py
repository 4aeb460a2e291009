"""Weights of the classifiers of objects, made by docs/fit_objects.py: not to be edited."""

WEIGHTS: dict[str, tuple[float, ...]] = {
    "round": (
        -10.482,  # constant
        -0.650,  # misfit
        -0.561,  # strained
        -0.299,  # steep
        -2.500,  # steep unstated
        2.168,  # cover
        3.310,  # support
        -4.692,  # rough
        13.829,  # corners
        0.710,  # unlike
        2.076,  # corners unlike
        3.587,  # once
        -4.272,  # around
        0.000,  # beyond
        2.098,  # border
        1.516,  # open side
        -1.662,  # through
        -1.222,  # hidden
        -0.989,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "paper": (
        -12.307,  # constant
        -0.656,  # misfit
        -1.362,  # strained
        0.000,  # steep
        -2.500,  # steep unstated
        2.241,  # cover
        2.483,  # support
        0.000,  # rough
        0.000,  # corners
        0.628,  # unlike
        3.202,  # corners unlike
        1.134,  # once
        -3.040,  # around
        -2.858,  # beyond
        0.000,  # border
        3.499,  # open side
        -8.235,  # through
        -2.600,  # hidden
        -1.776,  # hidden long
        3.911,  # plain
        3.511,  # light
        -2.331,  # tint
    ),
    "any": (
        -8.533,  # constant
        -0.892,  # misfit
        -1.177,  # strained
        0.000,  # steep
        -2.500,  # steep unstated
        1.067,  # cover
        3.694,  # support
        0.000,  # rough
        0.000,  # corners
        1.060,  # unlike
        3.669,  # corners unlike
        2.473,  # once
        -3.699,  # around
        -3.017,  # beyond
        0.000,  # border
        3.223,  # open side
        -8.803,  # through
        -3.898,  # hidden
        -3.032,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "coin": (
        -14.995,  # constant
        13.340,  # cover
        4.363,  # tight
        0.000,  # scatter
        3.594,  # relief
        -0.413,  # busy
        -0.409,  # tint
        1.214,  # apart
        -0.443,  # texture
        -32.852,  # hue off
        0.706,  # hue known
        -0.504,  # twins
        -6.402,  # hidden
        -40.244,  # oval
        -41.839,  # choice
    ),
}

# what the objects themselves show, on average
TYPICAL: dict[str, tuple[float, ...]] = {
    "round": (
        0.606,  # misfit
        0.173,  # strained
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
        0.028,  # through
        0.003,  # hidden
        0.002,  # hidden long
        0.420,  # plain
        0.684,  # light
        0.300,  # tint
    ),
    "paper": (
        0.268,  # misfit
        0.087,  # strained
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
        0.009,  # through
        0.000,  # hidden
        0.000,  # hidden long
        0.889,  # plain
        0.945,  # light
        0.076,  # tint
    ),
    "any": (
        0.213,  # misfit
        0.087,  # strained
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
        0.009,  # through
        0.000,  # hidden
        0.000,  # hidden long
        0.887,  # plain
        0.952,  # light
        0.075,  # tint
    ),
    "coin": (
        0.989,  # cover
        0.590,  # tight
        0.265,  # scatter
        0.675,  # relief
        0.000,  # busy
        1.108,  # tint
        0.746,  # apart
        0.773,  # texture
        0.004,  # hue off
        0.952,  # hue known
        0.024,  # twins
        0.000,  # hidden
        0.011,  # oval
        0.013,  # choice
    ),
}
