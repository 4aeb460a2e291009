"""``python -m printcheck``."""

from __future__ import annotations

from printcheck.cli import main

main()
