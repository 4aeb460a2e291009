"""A TOML file or a built-in kind becomes pieces and seams."""

from __future__ import annotations
