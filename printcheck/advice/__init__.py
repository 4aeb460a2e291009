"""Measurements become classes, what a seam shows, and difficulty."""

from __future__ import annotations

from printcheck.advice.verdict import judge, shown_waves
from printcheck.advice.without_size import judged_without_size, named_length

__all__ = ["judge", "judged_without_size", "named_length", "shown_waves"]
