"""Measure a printed cloth from a photo: scale, repeat, way, trouble, and the length to buy."""

from __future__ import annotations

__version__ = "0.1.0"
