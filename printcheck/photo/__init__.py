"""A file becomes a flat picture of cloth with a scale."""

from __future__ import annotations

from printcheck.photo.decode import open_picture, picture_of
from printcheck.photo.flatten import flatten_photo, lay_flat
from printcheck.photo.print_tilt import flattened_by_print

__all__ = ["flatten_photo", "flattened_by_print", "lay_flat", "open_picture", "picture_of"]
