"""Weights of the build: a row an input, a column a build; written by docs/fit_build.py."""

CELL = (
    (-6.50, -0.40, -0.01, -2.56, 9.47),  # one
    (5.26, -5.04, 0.35, -0.61, 0.04),  # edges one way
    (-3.19, 1.56, 2.72, -0.43, -0.65),  # edges two ways
    (-2.80, -4.45, 1.69, 2.68, 2.88),  # edges nearby
    (5.67, -3.76, -2.09, -4.23, 4.40),  # bars one way
    (-0.45, 6.28, -1.91, -3.01, -0.91),  # bars both ways
    (-0.92, -3.74, 5.74, 3.83, -4.91),  # inverse
    (4.58, -4.26, -7.81, 10.60, -3.11),  # shifted
    (-0.14, -0.12, -0.28, -0.89, 1.44),  # round pieces
    (4.46, 11.38, -4.55, -5.24, -6.06),  # bars both ways squared
    (-0.44, 0.07, 4.54, -0.41, -3.76),  # edges two ways squared
)

PICTURE = (
    (-3.40, 0.05, -1.83, 0.73, 4.44),  # one
    (9.32, -0.99, -3.83, -0.73, -3.76),  # edges one way
    (-2.02, 0.87, 2.60, 0.45, -1.89),  # edges two ways
    (2.65, -1.75, -4.59, 0.94, 2.75),  # edges nearby
    (0.94, -4.45, -1.26, 5.31, -0.54),  # bars one way
    (-0.90, 3.71, 1.59, -2.66, -1.75),  # bars both ways
    (0.73, -0.98, 0.71, 1.32, -1.79),  # inverse
    (1.01, -2.47, -0.32, 0.58, 1.20),  # shifted
    (1.65, -1.83, -0.62, -1.37, 2.17),  # round pieces
    (-0.92, 5.69, 1.08, -3.67, -2.18),  # bars both ways squared
    (-3.02, -1.03, 5.60, 0.13, -1.68),  # edges two ways squared
)

HIDE = (
    -8.27,  # one
    -2.51,  # edges two ways
    -4.79,  # bars both ways
    8.88,  # inverse
    -6.96,  # shifted
    12.21,  # three tones
    -2.83,  # colour of no hide
    5.63,  # tawny
)
