"""What is on disk stays: torn lines, strangers' lines, passing failures, a full disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from printcheck.batch.jobs import COLUMNS, Outcome, failed
from printcheck.batch.journal import Journal
from printcheck.core.errors import InputError, PrintcheckError

OK = Outcome({**dict.fromkeys(COLUMNS[1:], "x"), "status": "ok", "message": "ü, \n"}, {"a": 1.5}, "aGk=")


def test_what_was_added_is_there_again(tmp_path: Path) -> None:
    with Journal(tmp_path / "j") as journal:
        journal.add("one", OK)
        assert journal.get("one") == OK
    with Journal(tmp_path / "j") as journal:
        assert "one" in journal
        assert journal.get("one") == OK
        journal.add("two", failed("no"))
        assert journal.get("one") == OK
        assert journal.get("two") == failed("no")


@pytest.mark.parametrize("cut", [1, 2, 40, 100])
def test_a_torn_line_is_done_again(cut: int, tmp_path: Path) -> None:
    path = tmp_path / "j"
    with Journal(path) as journal:
        journal.add("one", OK)
        journal.add("two", OK)
    path.write_bytes(path.read_bytes()[:-cut])
    with Journal(path) as journal:
        assert "one" in journal
        assert "two" not in journal
        journal.add("two", OK)
        journal.add("three", OK)
    with Journal(path) as journal:
        assert all(key in journal and journal.get(key) == OK for key in ("one", "two", "three"))


def test_damage_in_the_middle_costs_one_photo(tmp_path: Path) -> None:
    path = tmp_path / "j"
    with Journal(path) as journal:
        for key in ("one", "two", "three"):
            journal.add(key, OK)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + b"\x00garbage\n" + lines[2])
    with Journal(path) as journal:
        assert [k in journal for k in ("one", "two", "three")] == [True, False, True]
        assert journal.get("three") == OK


def test_a_failure_that_may_pass_is_tried_again_next_time(tmp_path: Path) -> None:
    with Journal(tmp_path / "j") as journal:
        journal.add("slow", failed("too slow", passing=True))
        assert journal.get("slow").cells["message"] == "too slow"
    with Journal(tmp_path / "j") as journal:
        assert "slow" not in journal


def test_two_runs_do_not_share_a_journal(tmp_path: Path) -> None:
    pytest.importorskip("fcntl")
    with Journal(tmp_path / "j"), pytest.raises(InputError, match="another run"), Journal(tmp_path / "j"):
        pass


def test_a_full_disk_is_said_and_keeps_what_is_done(tmp_path: Path) -> None:
    resource = pytest.importorskip("resource")
    path = tmp_path / "j"
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    with Journal(path) as journal:
        journal.add("one", OK)
        resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + 30, limits[1]))
        try:
            with pytest.raises(PrintcheckError, match="could not be kept") as caught:
                journal.add("two", OK)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert "run the same command again" in caught.value.remedy
    with Journal(path) as journal:
        assert "one" in journal
        assert "two" not in journal
        journal.add("two", OK)
        assert journal.get("two") == OK
