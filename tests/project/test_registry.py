"""A kind is one object: whoever adds one touches its own file only."""

from __future__ import annotations

import sys
import types

import pytest

from printcheck.project import built_in, describe_kinds, kinds, load_project, write_project
from printcheck.project.kinds import KINDS, registered
from printcheck.project.kinds.draft import Draft, Kind, PieceRow, Size

SCARF = Kind(
    "scarf",
    "Scarf",
    "One long strip.",
    {"run": Size("180 cm", "finished length"), "hem": Size("1 cm", "hem", least=0)},
    lambda size, room: Draft((PieceRow("scarf", 400.0, size["run"] + 2 * size["hem"]),)),
    group="small things",
    also=("shawl",),
)


@pytest.fixture
def with_a_scarf(monkeypatch):
    """A module with a kind, as a new file in the package would be."""
    module = types.ModuleType("printcheck.project.kinds.scarf")
    module.KIND = SCARF
    monkeypatch.setitem(sys.modules, module.__name__, module)
    found = pytest.importorskip("pkgutil").ModuleInfo(None, module.__name__, False)
    walk = kinds.pkgutil.walk_packages
    monkeypatch.setattr(kinds.pkgutil, "walk_packages", lambda *a: [*walk(*a), found])
    for known in registered():
        monkeypatch.setitem(KINDS, known.name, known)
        for word in known.also:
            monkeypatch.setitem(kinds.ALSO, word, known.name)


def test_a_new_kind_is_known_to_all(with_a_scarf, tmp_path):
    assert "scarf: Scarf. One long strip." in describe_kinds()
    made = built_in("shawls", {"run": "2 m"})
    assert (made.kind, made.pieces[0].length_mm) == ("scarf", 2020.0)
    write_project(made, tmp_path / "scarf.toml")
    assert load_project(tmp_path / "scarf.toml").pieces == made.pieces
    (tmp_path / "kind.toml").write_text('kind = "scarf"\nrun = "2 m"\n')
    assert load_project(tmp_path / "kind.toml").pieces == made.pieces


def test_kinds_stand_in_the_order_of_their_groups():
    groups = [kind.group for kind in KINDS.values()]
    assert groups == sorted(groups, key=["clothes", "home", "small things"].index)
    assert [k.title for k in KINDS.values() if k.group == "clothes"] == sorted(
        k.title for k in KINDS.values() if k.group == "clothes"
    )


def test_no_word_means_two_kinds():
    words = [word for kind in KINDS.values() for word in (kind.name, *kind.also)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    "word",
    # what sewers sew most, common practice
    [
        "A-line skirt", "gathered skirt", "blouse", "shirt", "trousers", "dress", "pyjamas", "apron",
        "child's dungarees", "curtain", "roman blind", "cushion", "tablecloth", "napkins", "duvet set",
        "quilt backing", "tote", "bunting", "bias binding",
    ],
)  # fmt: skip
def test_what_people_sew_is_there(word):
    assert built_in(word).pieces
