"""Outlines of pieces: polygons, and the files they come from."""
