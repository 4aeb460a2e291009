"""Cloth and lattice become motifs, way, bars and clumps."""

from __future__ import annotations

from printcheck.motif.cell.mean_cell import mean_cell
from printcheck.motif.facts import read_print

__all__ = ["mean_cell", "read_print"]
