"""Geometry of pieces on the cloth."""
