"""The page for a phone or a desk: a thin shell."""

from __future__ import annotations
