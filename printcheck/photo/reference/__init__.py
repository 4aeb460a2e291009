"""Objects of known size, one file each, all giving the same thing."""

from __future__ import annotations
