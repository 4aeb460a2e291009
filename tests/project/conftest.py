"""Project files for the tests of the project room."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from printcheck.core.plan import Project
from printcheck.project import load_project

CLOTH = '[cloth]\nwidth = "140 cm"\n'
PIECE = '[[piece]]\nname = "front"\nwidth = "52 cm"\nlength = "70 cm"\n'


@pytest.fixture
def load(tmp_path: Path) -> Callable[[str], Project]:
    """Load a project from text; a cloth and a piece are added where the text has none."""

    def loaded(text: str) -> Project:
        kind = text.startswith("kind")  # a built-in kind brings both
        if "[cloth]" not in text and not kind:
            text += "\n" + CLOTH
        if "[[piece]]" not in text and not kind:
            text += "\n" + PIECE
        path = tmp_path / "thing.toml"
        path.write_text(text, encoding="utf-8")
        return load_project(path)

    return loaded
