"""Cloth and lattice become motifs, way, bars and clumps."""

from __future__ import annotations
