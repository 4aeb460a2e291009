"""Flat cloth becomes a lattice with an error."""

from __future__ import annotations

from printcheck.repeat.search import find_lattice
from printcheck.repeat.tilt import shows_tilt

__all__ = ["find_lattice", "shows_tilt"]
