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
    (-3.40, 0.06, -1.83, 0.73, 4.44),  # one
    (9.32, -1.00, -3.83, -0.73, -3.77),  # edges one way
    (-2.04, 0.87, 2.59, 0.47, -1.90),  # edges two ways
    (2.66, -1.76, -4.59, 0.94, 2.75),  # edges nearby
    (0.94, -4.44, -1.26, 5.33, -0.57),  # bars one way
    (-0.88, 3.68, 1.59, -2.68, -1.71),  # bars both ways
    (0.79, -0.99, 0.71, 1.31, -1.81),  # inverse
    (0.92, -2.41, -0.31, 0.60, 1.20),  # shifted
    (1.67, -1.92, -0.62, -1.38, 2.25),  # round pieces
    (-0.89, 5.66, 1.07, -3.68, -2.16),  # bars both ways squared
    (-3.00, -1.03, 5.59, 0.12, -1.68),  # edges two ways squared
)
