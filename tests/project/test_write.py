"""Writing a project and reading it again is the identity."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from printcheck.core.errors import InputError
from printcheck.core.lattice import Lattice
from printcheck.core.plan import Cloth, Piece, Place, Print, Project, Seam, SeamEnd
from printcheck.core.units import parse_length
from printcheck.project import load_project, project_text, write_project
from printcheck.project.pieces import copies_of
from printcheck.project.write import shown

LENGTHS = st.floats(5.0, 1000.0)
NAMES = st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="#"), min_size=1).filter(
    lambda t: t.strip() == t and t
)


@given(st.floats(-1e6, 1e6))
def test_a_length_reads_back_to_the_very_same_number(mm):
    assert parse_length(shown(mm)) == mm


@st.composite
def prints(draw):
    layout = draw(st.sampled_from(["straight", "half-drop", "drop", "stripe", "none"]))
    a, b = draw(st.floats(5.0, 700.0)), draw(st.floats(5.0, 700.0))
    lattice = {
        "straight": Lattice.of_steps(a, b),
        "half-drop": Lattice.of_steps(a, b, 0.5),
        "drop": Lattice.of_steps(a, b, draw(st.sampled_from([1 / 3, 0.25, 0.4, 0.123]))),
        "stripe": Lattice((draw(st.sampled_from([(a, 0.0), (0.0, b), (a, b), (-a, b)])),)),
        "none": None,
    }[layout]
    way = draw(st.sampled_from(["one-way", "two-way", "four-way", "tossed"]))
    error = draw(st.sampled_from([0.0, 0.01, 0.0034]))
    motif_at = draw(st.none() | st.floats(0.0, 500.0))
    return Print(lattice, layout, way, "project", error_share=error, motif_from_selvedge_mm=motif_at)


@st.composite
def projects(draw):
    pieces = []
    for name in draw(st.lists(NAMES, min_size=1, max_size=4, unique=True)):
        width, length = draw(LENGTHS), draw(LENGTHS)
        outline = ()
        if draw(st.booleans()):
            outline = ((0.0, 0.0), (width, length / 3), (width / 2, length))
        piece = Piece(
            name,
            width,
            length,
            outline,
            turn=draw(st.sampled_from(["half", "none"])),
            on_border=draw(st.booleans()),
            on_fold=not outline and draw(st.booleans()),
        )
        pieces += copies_of(piece, count=draw(st.integers(1, 3)), alternate=draw(st.booleans()))
    ends = [SeamEnd(p.name, (p.width_mm / 2, p.length_mm / 3)) for p in pieces]
    seams = tuple(
        Seam((draw(st.sampled_from(ends)), draw(st.sampled_from(ends))), match, visible, name)
        for match, visible, name in draw(
            st.lists(
                st.tuples(
                    st.sampled_from(["both", "level", "upright"]),
                    st.booleans(),
                    st.sampled_from(["", "side", "centre front"]),
                ),
                max_size=3,
            )
        )
    )
    places = tuple(Place(e.piece, e.at, draw(st.sampled_from(["motif", "between"]))) for e in ends[:1])
    priced = draw(st.booleans())
    cloth = Cloth(
        draw(st.floats(1200.0, 3000.0)),
        draw(st.floats(0.0, 20.0)),
        draw(st.sampled_from([0.0, 0.03, 0.045])),
        draw(st.sampled_from([0.0, 0.02])),
        draw(LENGTHS),
        draw(st.floats(0.0, 100.0)) if priced else None,
        draw(LENGTHS) if priced else 1000.0,
        "EUR" if priced else "",
        draw(st.sampled_from([None, "selvedge", "lap"])),
    )
    name = draw(NAMES)
    return Project(name[:200], cloth, tuple(pieces), seams, places, draw(st.none() | prints()))


@settings(max_examples=150, deadline=None)
@given(projects())
def test_any_project_reads_back_the_same(project):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "out.toml"
        write_project(project, path)
        again = load_project(path)
    assert replace(again, findings=(), print=None) == replace(project, print=None)
    if project.print is None:
        assert again.print is None
    else:
        assert replace(again.print, lattice=None) == replace(project.print, lattice=None)
        ours, theirs = project.print.lattice, again.print.lattice
        assert (ours is None) == (theirs is None)
        if ours is not None:
            assert [theirs.residual_mm(v) for v in ours.basis_mm] == pytest.approx(
                [0] * len(ours.basis_mm), abs=1e-6
            )


def test_copies_that_differ_are_refused():
    pieces = (Piece("a#1", 10.0, 10.0), Piece("a#2", 20.0, 10.0))
    with pytest.raises(InputError, match="differ"):
        project_text(Project("x", Cloth(1000.0), pieces))


def test_nothing_half_written_is_left(tmp_path):
    project = Project("x", Cloth(1000.0), (Piece("a#1", 10.0, 10.0),))
    (tmp_path / "taken").mkdir()
    with pytest.raises(InputError, match="is a folder"):
        write_project(project, tmp_path / "taken")
    with pytest.raises(InputError, match="does not exist"):
        write_project(project, tmp_path / "none" / "out.toml")
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]
