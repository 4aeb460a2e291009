"""Weights of the build: a row an input, a column a build; written by docs/fit_build.py."""

CELL = (
    (-7.68, -3.02, 0.74, -0.88, 10.84),  # one
    (5.08, -5.25, 0.62, -0.55, 0.10),  # edges one way
    (-3.94, 0.86, 3.16, 0.64, -0.72),  # edges two ways
    (5.67, -3.97, -2.05, -4.20, 4.55),  # bars one way
    (-0.83, 5.53, -1.83, -3.48, 0.60),  # bars both ways
    (-1.36, -3.47, 5.67, 3.52, -4.36),  # inverse
    (4.47, -4.62, -7.87, 10.27, -2.25),  # shifted
    (-0.15, -0.52, -0.12, -0.71, 1.50),  # round pieces
    (4.77, 12.15, -4.79, -5.59, -6.54),  # bars both ways squared
    (-0.81, -0.36, 4.91, 0.49, -4.23),  # edges two ways squared
)

PICTURE = (
    (-4.73, 1.58, -4.05, 1.89, 5.31),  # one
    (10.08, -4.64, -4.19, 0.12, -1.38),  # edges one way
    (-1.04, 0.54, 2.37, 0.09, -1.95),  # edges two ways
    (2.53, -1.04, -3.64, 1.88, 0.27),  # bars one way
    (-2.13, 0.81, 2.25, -0.36, -0.56),  # bars both ways
    (0.17, -1.87, 5.49, 1.60, -5.39),  # inverse
    (-0.56, -0.52, -2.89, -0.60, 4.57),  # shifted
    (-0.01, -1.65, -0.80, -0.75, 3.21),  # round pieces
    (-0.69, 4.74, 2.92, -3.98, -2.99),  # bars both ways squared
    (1.17, -1.87, 3.37, 0.84, -3.51),  # edges two ways squared
)
