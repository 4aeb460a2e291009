"""Built-in projects that expand to ordinary pieces and seams."""

from __future__ import annotations
