"""Weights of the classifiers of objects, made by docs/fit_objects.py: not to be edited."""

WEIGHTS: dict[str, tuple[float, ...]] = {
    "round": (
        -11.146,  # constant
        -0.532,  # misfit
        -0.461,  # steep
        -0.241,  # steep unstated
        1.816,  # cover
        4.140,  # support
        -5.622,  # rough
        13.419,  # corners
        1.201,  # unlike
        2.244,  # corners unlike
        3.152,  # once
        -4.330,  # around
        -0.693,  # beyond
        2.675,  # border
        1.236,  # open side
        -1.090,  # hidden
        -0.860,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "paper": (
        -14.166,  # constant
        -0.662,  # misfit
        0.000,  # steep
        -0.507,  # steep unstated
        2.139,  # cover
        4.795,  # support
        0.000,  # rough
        0.000,  # corners
        0.399,  # unlike
        4.057,  # corners unlike
        0.929,  # once
        -3.164,  # around
        -2.269,  # beyond
        0.000,  # border
        2.968,  # open side
        -2.468,  # hidden
        -1.593,  # hidden long
        4.444,  # plain
        2.727,  # light
        -2.329,  # tint
    ),
    "any": (
        -10.211,  # constant
        -0.858,  # misfit
        0.000,  # steep
        -0.941,  # steep unstated
        0.816,  # cover
        5.689,  # support
        0.000,  # rough
        0.000,  # corners
        0.784,  # unlike
        4.589,  # corners unlike
        1.688,  # once
        -3.521,  # around
        -2.133,  # beyond
        0.000,  # border
        2.814,  # open side
        -3.905,  # hidden
        -2.864,  # hidden long
        0.000,  # plain
        0.000,  # light
        0.000,  # tint
    ),
    "coin": (
        -6.594,  # constant
        5.458,  # cover
        4.080,  # tight
        -3.319,  # scatter
        2.914,  # relief
        -0.372,  # busy
        -0.561,  # tint
        1.138,  # apart
        -0.486,  # texture
        0.000,  # hue off
        0.539,  # hue known
        -0.603,  # twins
        -6.496,  # hidden
        -45.168,  # oval
        -28.580,  # choice
    ),
}
