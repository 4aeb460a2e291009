"""A TOML file or a built-in kind becomes pieces and seams."""

from __future__ import annotations

from printcheck.project.load import load_project
from printcheck.project.prints import parse_print, print_from_measurement

__all__ = ["load_project", "parse_print", "print_from_measurement"]
