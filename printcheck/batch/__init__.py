"""Listings by the thousand: a folder or a list of photos becomes a table, markup and a contact sheet.

:func:`tag` is the whole flow; each result is on disk before the next is counted, so that a run can be
stopped in any way and taken up again.
"""

from __future__ import annotations

from printcheck.batch.flow import Summary, TagOptions, tag

__all__ = ["Summary", "TagOptions", "tag"]
