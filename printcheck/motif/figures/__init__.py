"""Figures of the print: figure from ground, sizes, spacing, colour clusters."""
