"""Built-in kinds against a length at hand, and several cloths for one project."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from printcheck.batch.side_by_side import kinds_at_hand
from printcheck.cli import cli
from printcheck.core.plan import Cloth, Piece, Print, Project
from printcheck.cutting.money import waste_share
from printcheck.project.kinds import KINDS
from printcheck.report import write_json
from tests.report import report_given as given

PLAIN = Print(None, "none", "four-way", "command line")


def test_kinds_that_a_length_does_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A throw 1.2 m long on cloth that loses a tenth takes 1.333 m (divide by 1 - s), napkins 0.444 m.

    What the cloth is too narrow for is named as well, at the end.
    """
    cloth = Cloth(1400.0, shrink_along=0.1)
    sizes = {"wide": None, "long": 1500.0, "throw": 1200.0, "napkin": 400.0}
    made = [
        (
            replace(KINDS["napkin"], name=name),
            length and Project(name, cloth, (Piece(f"{name}#1", 1000.0, length),), kind=name),
        )
        for name, length in sizes.items()
    ]
    monkeypatch.setattr("printcheck.project.usual_projects", lambda cloth, print_: made)
    monkeypatch.setattr("printcheck.project.refitted", lambda job, **_: job)
    found = kinds_at_hand(1400.0, PLAIN, cloth, seconds=1.5)
    told = [(row.kind, row.does, row.needs_mm and round(row.needs_mm, 1)) for row in found.kinds]
    assert told[:3] == [("throw", True, 1333.3), ("napkin", True, 444.4), ("long", False, 1666.7)]
    assert told[3:] == [("wide", False, None)] and found.width_mm == 1400.0
    left = [row.left_over_mm for row in found.kinds]
    assert left[:2] == [pytest.approx(66.7, abs=0.1), pytest.approx(955.6, abs=0.1)] and left[2] is None


def test_waste_is_what_no_piece_is_cut_from() -> None:
    # two triangles of 1000 x 1000 / 2 on 1 m of cloth 1.25 m wide that loses a fifth along: half of 1.25
    ring = ((0.0, 0.0), (1000.0, 0.0), (0.0, 1000.0))
    pieces = tuple(Piece(f"t#{n}", 1000.0, 1000.0, ring) for n in (1, 2))
    project = Project("flags", Cloth(1250.0, shrink_along=0.2), pieces)
    assert waste_share(project, 1600.0) == pytest.approx(1 - 1.0 / (1.25 * 1.28))


def test_two_measured_cloths_side_by_side(tmp_path: Path) -> None:
    flowers = given.flowers()
    small = replace(flowers, photo=replace(flowers.photo, file="other.jpg"))
    for name, measured in (("a.json", flowers), ("b.json", small)):
        (tmp_path / name).write_text(write_json.dumps(write_json.document(measured)))
    files = [str(tmp_path / name) for name in ("a.json", "b.json")]
    asked = ["compare", *files, "--kind", "napkin", "--set", "cloth.price=10", "--set", "cloth.currency=EUR"]
    out = CliRunner().invoke(cli, [*asked, "--seconds", "1", "--json"])
    document = json.loads(out.stdout)
    assert document["schema"] == "printcheck.comparison/1" and len(document["cloths"]) == 2
    for cloth in document["cloths"]:
        assert cloth["difficulty"] == flowers.difficulty.level
        assert cloth["cost"] == pytest.approx(cloth["advised_mm"] / 100)
        assert 0 < cloth["waste_share"] < 1
    alone = CliRunner().invoke(cli, ["compare", files[0], "--kind", "napkin"])
    assert alone.exit_code != 0
