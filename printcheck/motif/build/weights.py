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
    (-8.50, 11.02, -15.98, -1.90, 15.36),  # one
    (9.38, -6.94, -6.08, 3.34, 0.30),  # edges one way
    (-0.73, 5.77, 2.97, -3.49, -4.52),  # edges two ways
    (5.37, 4.69, -7.68, 0.47, -2.85),  # bars one way
    (-2.73, -4.01, 1.03, 2.70, 3.01),  # bars both ways
    (-0.16, -5.52, 5.18, 8.24, -7.74),  # inverse
    (-1.69, -4.92, 4.71, 2.81, -0.91),  # shifted
    (-0.03, -3.17, -2.88, -0.43, 6.51),  # round pieces
    (1.57, 2.61, 11.18, -9.94, -5.43),  # bars both ways squared
    (4.94, -6.67, 7.78, 0.10, -6.16),  # edges two ways squared
)
