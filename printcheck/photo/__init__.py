"""A file becomes a flat picture of cloth with a scale."""

from __future__ import annotations
