"""The page, in process: no socket is opened."""

from __future__ import annotations

import socket
from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError
from tests.drawn import Camera, photograph, prints
from tests.photo.drawn import UNIT_PX, drawn_sheet

pytest.importorskip("starlette", reason="the extra web is not installed")
pytest.importorskip("httpx2", reason="starlette's test client needs httpx2")

from starlette.testclient import TestClient

from printcheck.web import run
from printcheck.web.app import LARGEST_UPLOAD, MOST_PHOTOS, application


@pytest.fixture(scope="module")
def client() -> TestClient:
    return TestClient(application(), raise_server_exceptions=False)


@pytest.fixture(scope="module")
def photo() -> bytes:
    shot = photograph(prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=120, size_px=(640, 480)))
    return cv2.imencode(".jpg", shot.bgr)[1].tobytes()


def test_the_form_is_a_page_of_its_own(client: TestClient) -> None:
    page = client.get("/")
    assert page.status_code == 200
    assert "default-src 'none'" in page.headers["content-security-policy"]
    assert "<script" not in page.text
    assert 'lang="en"' in page.text


def test_a_photo_becomes_a_document(client: TestClient, photo: bytes) -> None:
    answer = client.post("/measure.json", files={"photo": ("a.jpg", photo)}, data={"photo_width": "120 mm"})
    assert answer.status_code == 200
    assert answer.json()["schema"] == "printcheck.measurement/2"
    assert answer.json()["repeat"]["across_mm"] == pytest.approx(12.0, rel=0.01)  # as drawn


def test_a_photo_and_a_project_become_a_page(client: TestClient, photo: bytes) -> None:
    hostile = "<script>alert(1)</script>.jpg"
    data = {"photo_width": "120 mm", "kind": "napkin"}
    answer = client.post("/measure", files={"photo": (hostile, photo)}, data=data)
    assert answer.status_code == 200
    assert "<script" not in answer.text
    assert "Napkins" in answer.text


def test_several_photos_of_one_name_are_laid_together(client: TestClient) -> None:
    sheet = drawn_sheet(3)
    views = [sheet[100:1060, left : left + 700] for left in (100, 500)]
    sent = [("photo", ("image.jpg", cv2.imencode(".png", view)[1].tobytes())) for view in views]
    asked = {"span": "100,300,600,300=250mm"}  # half a millimetre per pixel, in the first
    answer = client.post("/measure.json", files=sent, data=asked).json()
    assert {"photos-combined", "photos-scale-shared"} <= {f["code"] for f in answer["findings"]}
    assert answer["repeat"]["across_mm"] == pytest.approx(UNIT_PX / 2, rel=0.01)  # as drawn
    assert "laid together" in client.post("/measure", files=sent, data=asked).text
    too_many = client.post("/measure.json", files=sent * MOST_PHOTOS, data=asked)
    assert too_many.status_code == 400
    assert str(MOST_PHOTOS) in too_many.json()["error"]["message"]


@pytest.mark.parametrize("name", ["../../etc/passwd.jpg", "..", "a" * 400 + ".jpg", "a\\b\0.jpg"])
def test_no_name_leaves_the_folder(name: str, client: TestClient, photo: bytes) -> None:
    answer = client.post("/measure.json", files={"photo": (name, photo)}, data={"photo_width": "120 mm"})
    assert answer.status_code == 200


@pytest.mark.parametrize(
    ("data", "content", "status"),
    [
        ({"photo_width": "120"}, None, 400),
        ({"photo_width": "120 mm"}, b"no picture", 400),
        ({"reference": "card"}, None, 422),
        ({"coin": "a lot"}, None, 400),
        ({"photo_width": "12 cm", "reference": "card"}, None, 400),
    ],
)
def test_trouble_is_said_on_the_page_and_in_the_document(
    data: dict[str, str], content: bytes | None, status: int, client: TestClient, photo: bytes
) -> None:
    files = {"photo": ("a.jpg", photo if content is None else content)}
    document = client.post("/measure.json", files=files, data=data)
    assert document.status_code == status
    assert document.json()["schema"] == "printcheck.error/1"
    page = client.post("/measure", files=files, data=data)
    assert page.status_code == status
    assert 'role="alert"' in page.text


def test_no_photo_and_too_large_a_photo(client: TestClient) -> None:
    assert client.post("/measure.json", data={"photo_width": "12 cm"}).status_code == 400
    headers = {"content-length": str(LARGEST_UPLOAD + 1)}
    assert client.post("/measure.json", content=b"", headers=headers).status_code == 413


def test_a_taken_port_is_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(InputError, match="cannot be listened on"):
            run("127.0.0.1", taken.getsockname()[1], say=print)


def test_nothing_is_kept(
    client: TestClient, photo: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    client.post("/measure.json", files={"photo": ("a.jpg", photo)}, data={"photo_width": "120 mm"})
    assert not list(tmp_path.iterdir())
