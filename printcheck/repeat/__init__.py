"""Flat cloth becomes a lattice with an error."""

from __future__ import annotations
