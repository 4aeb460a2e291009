"""For the site: its first page is the README and the contributors' page DEVELOPERS.md, links moved along."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
PAGES = {"index.md": "README.md", "contributing.md": "DEVELOPERS.md"}


def moved(text: str) -> str:
    """The page's text with links as they are from within the docs folder."""
    for name, source in PAGES.items():
        text = text.replace(f"]({source})", f"]({name})")
    return re.sub(r"\]\(docs/", "](", text)


def on_files(files: Any, config: Any) -> Any:  # noqa: ANN401 - the generator's own, an extra
    """Add the pages that lie beside the docs folder."""
    from mkdocs.structure.files import File

    for name, source in PAGES.items():
        text = moved((ROOT / source).read_text(encoding="utf-8"))
        files.append(File.generated(config, name, content=text))
    return files
