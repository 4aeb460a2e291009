"""Every example of docs/projects.md is read, and every key has one."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import ezdxf
import msgspec
import pytest

from printcheck.project import load_project, parse_print
from printcheck.project.kinds import KINDS
from printcheck.project.schema import (
    ClothTable,
    DxfTable,
    EndTable,
    FileTable,
    PieceTable,
    PlaceTable,
    PrintTable,
    SeamTable,
    SvgTable,
)  # fmt: skip

DOCS = Path(__file__).parents[2] / "docs"
PAGE = (DOCS / "projects.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.+?)```", PAGE, flags=re.DOTALL)
REST = {
    "[cloth]": '\n[cloth]\nwidth = "140 cm"\n',
    "[[piece]]": '\n[[piece]]\nname = "a piece"\nwidth = "52 cm"\nlength = "70 cm"\n',
}


@pytest.fixture
def drawings(tmp_path):
    """The drawings that the examples name."""
    document = ezdxf.new("R12")
    block = document.blocks.new("FRONT")
    block.add_polyline2d([(0, 0), (300, 0), (300, 600), (0, 600)], close=True, dxfattribs={"layer": "1"})
    block.add_line((100, 100), (100, 500), dxfattribs={"layer": "7"})
    block.add_point((300, 300), dxfattribs={"layer": "4"})
    block.add_text("Size: M", dxfattribs={"layer": "15"})
    document.saveas(tmp_path / "blouse.dxf")
    (tmp_path / "collar.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50cm" height="20cm" viewBox="0 0 500 200">'
        '<rect id="collar" x="0" y="0" width="400" height="80"/></svg>'
    )
    return tmp_path


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_is_read(example, drawings):
    if not example.startswith("kind"):
        example += "".join(text for table, text in REST.items() if table not in example)
    (drawings / "a.toml").write_text(example, encoding="utf-8")
    assert load_project(drawings / "a.toml").pieces


def keys(value, path=""):
    """Paths of all keys of a decoded example, lists left out."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield f"{path}{key}"
            yield from keys(inner, f"{path}{key}.")
    elif isinstance(value, list):
        for inner in value:
            yield from keys(inner, path)


def test_every_key_has_an_example():
    shown = {path for example in EXAMPLES for path in keys(msgspec.toml.decode(example))}
    tables = {
        "": FileTable, "cloth.": ClothTable, "print.": PrintTable, "piece.": PieceTable, "seam.": SeamTable,
        "place.": PlaceTable, "seam.join.": EndTable, "piece.outline_svg.": SvgTable,
        "piece.outline_dxf.": DxfTable,
    }  # fmt: skip
    wanted = {f"{path}{key}" for path, table in tables.items() for key in table.__struct_fields__}
    assert wanted - shown == {"place.notch"}  # as in a seam, which has one


@pytest.mark.parametrize(
    "repeat",
    re.findall(r'`(?:--repeat )?"([^"`]+)"`', PAGE.partition("On the command line")[2].partition("\n")[0]),
)
def test_prints_in_words(repeat):
    assert parse_print(repeat).source == "command line"


def test_the_table_of_kinds_is_that_of_the_program(monkeypatch):
    monkeypatch.syspath_prepend(DOCS)
    import make_kinds_table

    assert make_kinds_table.table() in PAGE, "run docs/make_kinds_table.py"
    assert all(f"| `{kind}` |" in PAGE for kind in KINDS)
    sys.modules.pop("make_kinds_table")
