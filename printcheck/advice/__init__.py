"""Measurements become classes, what a seam shows, and difficulty."""

from __future__ import annotations

from printcheck.advice.verdict import judge

__all__ = ["judge"]
