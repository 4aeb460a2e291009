"""Measurements become classes, what a seam shows, and difficulty."""

from __future__ import annotations
