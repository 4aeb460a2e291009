"""A project and a lattice become cutting layouts and a length to buy."""

from __future__ import annotations

from printcheck.cutting.length import plan_length

__all__ = ["plan_length"]
