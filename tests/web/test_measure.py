"""``POST /measure``: the document, and every refusal as an error document in words of a request."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
from starlette.testclient import TestClient

from printcheck.core.measurement import MEASUREMENT_SCHEMA
from printcheck.web.upload import MOST_BYTES, MOST_PHOTOS
from tests.photo.drawn import UNIT_PX, drawn_sheet
from tests.web.damaged import damaged

WIDTH = {"photo_width": "120 mm"}
WHOLE = 5  # one damaged picture of so many, of each format in turn, is measured whole, the others searched


def test_a_photo_becomes_a_document(measured: dict) -> None:
    assert measured["schema"] == MEASUREMENT_SCHEMA
    assert measured["photo"]["file"] == "a.jpg"
    assert measured["repeat"]["across_mm"] == pytest.approx(12.0, rel=0.01)  # as drawn


def test_the_overlay_lies_on_the_photo(measured: dict) -> None:
    drawn = measured["overlay"]
    (x1, y1), (x2, y2) = drawn["across"]
    # 640 pixels show 120 mm, so a repeat of 12 mm is 64 pixels, and the drawn print lies level
    assert np.hypot(x2 - x1, y2 - y1) == pytest.approx(64, rel=0.02)
    assert abs(y2 - y1) < 4
    assert all(0 <= x <= 640 and 0 <= y <= 480 for x, y in drawn["cell"])


@pytest.mark.slow
def test_several_photos_are_laid_together(client: TestClient) -> None:
    sheet = drawn_sheet(3)
    views = [sheet[100:1060, left : left + 700] for left in (100, 500)]
    sent = [("photo", ("image.jpg", cv2.imencode(".png", view)[1].tobytes())) for view in views]
    asked = {"span": "100,300,600,300=250mm"}  # half a millimetre per pixel, in the first
    answer = client.post("/measure", files=sent, data=asked).json()
    assert {"photos-combined", "photos-scale-shared"} <= {f["code"] for f in answer["findings"]}
    assert answer["repeat"]["across_mm"] == pytest.approx(UNIT_PX / 2, rel=0.01)  # as drawn
    too_many = client.post("/measure", files=sent * MOST_PHOTOS, data=asked)
    assert (too_many.status_code, too_many.json()["error"]["code"]) == (400, "too-many-photos")


@pytest.mark.parametrize(
    ("data", "content", "status", "code"),
    [
        ({"photo_width": "120"}, None, 400, "length-without-unit"),
        (WIDTH, b"no picture", 400, "not-a-picture"),
        ({"reference": "coin:a lot"}, None, 400, "unknown-coin"),
        ({**WIDTH, "reference": "card"}, None, 400, "two-scales"),
        ({"mm_per_px": "1e-9"}, None, 400, "scale-out-of-range"),
        ({"mm_per_px": "51"}, None, 400, "scale-out-of-range"),
        ({"dpi": "1e300"}, None, 400, "scale-out-of-range"),
        ({"photo_width": "100 m"}, None, 400, "scale-out-of-range"),
        ({"span": "0,0,600,0=0.1mm"}, None, 400, "scale-out-of-range"),
        ({"corners": "0,0,400,0,400,252,0,252=85.6x53.98m"}, None, 400, "scale-out-of-range"),
        ({"colour": "red"}, None, 400, "wrong-key"),
        ({"ticket": "<script>"}, None, 400, "wrong-key"),
    ],
)
def test_trouble_is_told_in_words_of_the_request(
    data: dict[str, str], content: bytes | None, status: int, code: str, client: TestClient, photo: bytes
) -> None:
    answer = client.post("/measure", files={"photo": photo if content is None else content}, data=data)
    assert (answer.status_code, answer.json()["error"]["code"]) == (status, code)
    assert answer.json()["schema"] == "printcheck.error/1"
    assert "--" not in answer.json()["error"]["message"] + answer.json()["error"]["remedy"]


def test_no_photo_and_a_request_of_another_kind(client: TestClient) -> None:
    assert client.post("/measure", data=WIDTH).status_code == 415
    assert client.post("/measure", files={"photo": b""}, data=WIDTH).json()["error"]["code"] == "no-photo"
    assert client.post("/measure", files={"note": b"x"}, data=WIDTH).status_code == 400
    kind = {"content-type": "multipart/form-data"}
    assert client.post("/measure", content=b"x", headers=kind).status_code == 400


def test_too_many_bytes_are_refused_stated_or_not(client: TestClient) -> None:
    kind = {"content-type": "multipart/form-data; boundary=x"}
    stated = client.post("/measure", content=b"", headers={**kind, "content-length": str(MOST_BYTES + 1)})
    assert stated.status_code == 413
    head = b'--x\r\ncontent-disposition: form-data; name="photo"; filename="a"\r\n\r\n'
    part = b"\0" * 1_000_000
    most = MOST_BYTES // len(part)
    unstated = client.post("/measure", content=iter([head, *[part] * (most + 1)]), headers=kind)
    assert unstated.status_code == 413


def test_too_many_pixels_are_refused_by_the_header_alone(client: TestClient) -> None:
    size = struct.pack(">II", 13_800, 13_800)
    body = b"IHDR" + size + b"\x10\x06\0\0\0"
    png = b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    assert client.post("/measure", files={"photo": png}, data=WIDTH).status_code == 413


@pytest.mark.parametrize(
    "name", ["../../etc/passwd.jpg", "..", "a" * 400 + ".jpg", "a\\b\0.jpg", "\U0001f9f5" * 80]
)
def test_no_name_leaves_its_folder(name: str, client: TestClient) -> None:
    answer = client.post("/measure", files={"photo": (name, b"no picture")}, data=WIDTH)
    assert answer.status_code == 400


def test_damaged_pictures_are_answered_without_a_fault_of_ours(client: TestClient) -> None:
    """A few of those that docs/load_page.py sends by hundreds."""
    seen = set()
    for seed in range(14):
        asked = WIDTH if seed % WHOLE == 0 else {"reference": "card"}
        answer = client.post("/measure", files={"photo": damaged(seed)}, data=asked)
        seen.add(answer.status_code)
        assert answer.status_code < 500, (seed, answer.text)
        assert "Traceback" not in answer.text
    assert {200, 400, 422} <= seen  # some are beyond help, some are opened all the same, most hold no card


def test_nothing_is_kept(client: TestClient, photo: bytes) -> None:
    root = Path(client.app.app.state.workers._root)
    client.post("/measure", files={"photo": photo}, data=WIDTH)
    client.post("/measure", files={"photo": photo[: len(photo) // 2]}, data=WIDTH)
    assert list(root.iterdir()) == []
