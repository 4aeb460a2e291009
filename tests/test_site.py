"""The docs are built as a site, and every link and anchor in it leads somewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


def test_the_site_is_built_without_a_broken_link(tmp_path: Path) -> None:
    pytest.importorskip("mkdocs", reason="the extra docs is not installed")
    from mkdocs.commands.build import build
    from mkdocs.config import load_config

    build(load_config(str(ROOT / "mkdocs.yml"), site_dir=str(tmp_path)))  # strict: a warning ends it
    pages = {page.name for page in tmp_path.glob("*.html")}
    assert {"index.html", "photo.html", "commands.html", "python.html", "contributing.html"} <= pages
    index = (tmp_path / "index.html").read_text(encoding="utf-8")
    assert 'href="photo.html"' in index and "images/result.png" in index
