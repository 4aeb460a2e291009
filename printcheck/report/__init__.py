"""Results become text, JSON, pictures and pages."""

from __future__ import annotations
