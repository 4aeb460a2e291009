"""Photos in object stores and behind HTTP, measured by a cluster in this process; refusals; time limit."""

from __future__ import annotations

import csv
import io
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from printcheck.batch import TagOptions, sources, tag
from printcheck.batch.engines import ENVIRONMENT, _check_versions, measured_by, on_cluster
from printcheck.batch.jobs import Job
from printcheck.core.errors import InputError, NoAnswerError, PrintcheckError
from printcheck.core.request import PhotoWidth
from printcheck.core.system.task_process import TaskPool
from tests.drawn import Camera, photograph, prints

distributed = pytest.importorskip("distributed", reason="the extra cluster is not installed")
fsspec = pytest.importorskip("fsspec", reason="the extra cluster is not installed")

SCALE = PhotoWidth(120)
PATIENT_S = 240.0  # a busy machine is no failure
pytestmark = pytest.mark.filterwarnings("ignore")  # Dask's own, of sockets and event loops


def photo(band_mm: float) -> bytes:
    art = prints.gingham(np.random.default_rng(5), band_mm)
    shot = photograph(art, Camera(view_mm=120, size_px=(480, 360)))
    return cv2.imencode(".jpg", shot.bgr)[1].tobytes()


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """A scheduler and a worker as threads of this process: ``memory://`` is the same for all of them."""
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None
    ) as made:
        yield made.scheduler_address


class Shop:
    """Files behind HTTP with an ETag each; a name in ``busy`` answers 503 as often as it says."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self.files, self.busy, self.asked = files, Counter(), Counter()


@pytest.fixture
def shop() -> Iterator[tuple[Shop, str]]:
    kept = Shop({})

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            name = self.path.removeprefix("/")
            kept.asked[name] += 1
            if kept.busy[name]:
                kept.busy[name] -= 1
                self.send_response(503)
                self.send_header("Content-Length", "0")
                self.end_headers()
                return
            content = kept.files.get(name)
            self.send_response(404 if content is None else 200)
            self.send_header("Content-Length", str(len(content or b"")))
            self.send_header("ETag", f'"{hash(content):x}"')
            self.end_headers()
            if self.command == "GET":
                self.wfile.write(content or b"")

        do_HEAD = do_GET  # noqa: N815  the name that the server calls

        def log_message(self, *_: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield kept, f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def table_of(source: str, out: Path, cluster: str) -> list[dict[str, str]]:
    options = TagOptions(SCALE, out=out, cluster=cluster, seconds=PATIENT_S)
    tag(source, options, stdout=io.StringIO())
    return list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"), newline="")))


def test_photos_in_memory_are_tagged_and_a_replaced_one_again(cluster: str, tmp_path: Path) -> None:
    store = fsspec.filesystem("memory")
    store.pipe("/catalogue/a.jpg", photo(12.0))
    store.pipe("/catalogue/deep/b.jpg", b"no picture")
    rows = table_of("memory://catalogue", tmp_path / "t.csv", cluster)
    assert [(r["file"], r["status"]) for r in rows] == [("a.jpg", "ok"), ("deep/b.jpg", "failed")]
    assert float(rows[0]["repeat_across_mm"]) == pytest.approx(12.0, rel=0.02)
    store.pipe("/catalogue/a.jpg", photo(15.0))
    (again, _) = table_of("memory://catalogue", tmp_path / "t.csv", cluster)
    assert float(again["repeat_across_mm"]) == pytest.approx(15.0, rel=0.02)


def test_a_busy_server_is_asked_again_and_a_missing_photo_is_no_final_row(
    cluster: str, tmp_path: Path, shop: tuple[Shop, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sources, "READ_PAUSES_S", (0.0, 0.0, 0.0))
    kept, address = shop
    kept.files |= {"list.csv": b"file\na.jpg\nlate.jpg\n", "a.jpg": photo(12.0)}
    kept.busy |= {"a.jpg": 2, "list.csv": 1}
    rows = table_of(f"{address}/list.csv", tmp_path / "t.csv", cluster)
    assert [r["status"] for r in rows] == ["ok", "failed"]
    kept.files["late.jpg"] = photo(15.0)
    rows = table_of(f"{address}/list.csv", tmp_path / "t.csv", cluster)
    assert [r["status"] for r in rows] == ["ok", "ok"]
    assert float(rows[1]["repeat_across_mm"]) == pytest.approx(15.0, rel=0.02)


def test_an_object_s_version_is_in_its_fingerprint(shop: tuple[Shop, str]) -> None:
    kept, address = shop
    kept.files["a.jpg"] = b"12345"
    first = sources.fingerprint(f"{address}/a.jpg")
    assert sources.fingerprint(f"{address}/a.jpg") == first
    kept.files["a.jpg"] = b"54321"
    assert sources.fingerprint(f"{address}/a.jpg") != first


def test_a_store_without_versions_has_its_objects_hashed(monkeypatch: pytest.MonkeyPatch) -> None:
    content = [b"one"]
    store = SimpleNamespace(info=lambda _: {"size": 3}, cat_file=lambda _: content[0])
    monkeypatch.setattr(sources, "file_system", lambda address: (store, address))
    first = sources.fingerprint("odd://a.jpg")
    content[0] = b"two"
    assert sources.fingerprint("odd://a.jpg") != first


def test_pauses_grow_and_end(monkeypatch: pytest.MonkeyPatch) -> None:
    pauses: list[float] = []
    monkeypatch.setattr(sources.time, "sleep", pauses.append)

    def busy() -> None:
        raise ConnectionError

    with pytest.raises(ConnectionError):
        sources.patiently(busy)
    assert len(pauses) == 3 and pauses == sorted(pauses)

    def missing() -> None:
        raise FileNotFoundError

    with pytest.raises(FileNotFoundError):
        sources.patiently(missing)
    assert len(pauses) == 3


@pytest.mark.parametrize("address", ["nonsense://swatches", "http://127.0.0.1:1/list.csv"])
def test_an_address_that_cannot_be_opened_is_one_sentence(
    address: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sources, "READ_PAUSES_S", ())
    with pytest.raises(InputError) as caught:
        tag(address, TagOptions(SCALE, out=tmp_path / "t.csv"), stdout=io.StringIO())
    assert caught.value.remedy


def test_a_missing_part_of_fsspec_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(_: str) -> None:
        raise ImportError("s3fs")

    monkeypatch.setattr(fsspec.core, "url_to_fs", absent)
    with pytest.raises(InputError) as caught:
        sources.file_system("s3://swatches/a.jpg")
    assert "fsspec[s3]" in caught.value.remedy


@pytest.mark.parametrize(
    ("scheduler", "worker", "said"),
    [("", None, "the scheduler has none"), (None, "0.0.0", "the worker a has 0.0.0")],
)
def test_versions_are_checked_before_the_first_photo(
    scheduler: str | None, worker: str | None, said: str
) -> None:
    client = SimpleNamespace(
        run_on_scheduler=lambda ask: ask() if scheduler is None else scheduler,
        run=lambda ask: {"a": ask() if worker is None else worker},
    )
    with pytest.raises(NoAnswerError, match=said):
        _check_versions(client)


def test_a_scheduler_without_workers_is_said() -> None:
    with (
        distributed.LocalCluster(n_workers=0, processes=False, dashboard_address=None) as empty,
        pytest.raises(PrintcheckError, match="no workers"),
    ):
        list(on_cluster([], address=empty.scheduler_address, seconds=1, wanted=lambda *_: True))


def test_a_photo_that_takes_too_long_or_ends_its_process_is_a_failed_row(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.jpg").write_bytes(photo(12.0))
    job = Job(0, "a.jpg", str(tmp_path / "a.jpg"), SCALE)
    pool = TaskPool(ENVIRONMENT, most_tasks=1)
    assert (
        "longer than 0.01 s" in measured_by(pool, job, 0.01).cells["message"]
    )  # no photo is measured so fast
    assert measured_by(pool, job, PATIENT_S).ok
    pool.end()
    assert "crashed" in measured_by(pool, job, PATIENT_S).cells["message"]
    for program in ("false", str(tmp_path / "nothing")):
        monkeypatch.setattr(sys, "executable", program)
        outcome = measured_by(TaskPool({}, most_tasks=1), job, PATIENT_S)
        assert "could be started" in outcome.cells["message"] and outcome.passing
