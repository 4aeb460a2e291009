"""Which photos are tagged, and in which order."""

from __future__ import annotations

from pathlib import Path

import pytest

from printcheck.batch.jobs import Job
from printcheck.batch.sources import find_jobs
from printcheck.core.errors import InputError
from printcheck.core.request import SCALES, Given, PhotoWidth, one_scale

DEFAULT = Job(0, "", "", Given(0.1))


def touch(folder: Path, *names: str) -> None:
    for name in names:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")


def test_a_folder_is_read_below_in_order(tmp_path: Path) -> None:
    touch(tmp_path, "b.JPG", "a/z.png", "a/notes.txt", 'c, "d"\n.webp', "žluťoučký.jpeg")
    assert [j.file for j in find_jobs(str(tmp_path), DEFAULT)] == [
        "a/z.png",
        "b.JPG",
        'c, "d"\n.webp',
        "žluťoučký.jpeg",
    ]


def test_links_that_loop_are_not_followed_for_ever(tmp_path: Path) -> None:
    touch(tmp_path, "a/x.jpg")
    (tmp_path / "a" / "again").symlink_to(tmp_path)
    assert [j.file for j in find_jobs(str(tmp_path), DEFAULT)] == ["a/x.jpg"]


def test_a_list_gives_each_row_its_scale_and_carries_columns(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(
        "sku,file,photo width,mm-per-px\n7,a.jpg,40cm,\n8,b.jpg,,0.2\n9,c.jpg,,\n10,d.jpg,forty,\n11,,,\n",
        encoding="utf-8-sig",
    )
    jobs = find_jobs(str(tmp_path / "list.csv"), DEFAULT)
    assert [j.scale for j in jobs[:3]] == [PhotoWidth(400), Given(0.2), Given(0.1)]
    assert [dict(j.extra)["sku"] for j in jobs] == ["7", "8", "9", "10", "11"]
    assert jobs[3].problem.startswith("photo_width: 'forty' is not a length")
    assert jobs[4].problem
    assert jobs[0].path == str(tmp_path / "a.jpg")


@pytest.mark.parametrize("column", SCALES)
def test_a_bad_cell_of_any_column_fails_its_row_alone(column: str, tmp_path: Path) -> None:
    other, value = ("dpi", "300") if column != "dpi" else ("mm_per_px", "0.1")
    (tmp_path / "list.csv").write_text(f"file,{column},{other},note\na.jpg,?,,x\nb.jpg,,{value},y\n")
    bad, good = find_jobs(str(tmp_path / "list.csv"), DEFAULT)
    assert column in bad.problem and "--" not in bad.problem and not good.problem
    assert (good.scale, dict(good.extra)["note"]) == (one_scale(**{other: value}), "y")


def test_two_scales_in_one_row_fail_it(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("file,dpi,photo_width\na.jpg,300,40cm\n")
    [job] = find_jobs(str(tmp_path / "list.csv"), DEFAULT)
    assert "dpi and photo_width" in job.problem


@pytest.mark.parametrize("content", ["", "name,scale\nx,1\n", "\x00\xff"])
def test_a_list_without_files_is_refused(content: str, tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_bytes(content.encode("latin-1"))
    with pytest.raises(InputError) as caught:
        find_jobs(str(tmp_path / "list.csv"), DEFAULT)
    assert caught.value.remedy


def test_nothing_to_do_is_said(tmp_path: Path) -> None:
    for source in (tmp_path, tmp_path / "nowhere", tmp_path / "nowhere.csv"):
        with pytest.raises(InputError):
            find_jobs(str(source), DEFAULT)


def test_an_object_store_is_listed_like_a_folder() -> None:
    fsspec = pytest.importorskip("fsspec")
    store = fsspec.filesystem("memory")
    store.pipe("/swatches/a.jpg", b"1")
    store.pipe("/swatches/deep/b.png", b"2")
    jobs = find_jobs("memory://swatches", DEFAULT)
    assert [j.file for j in jobs] == ["a.jpg", "deep/b.png"]
    with fsspec.open(jobs[1].path, "rb") as photo:
        assert photo.read() == b"2"
