"""One application with one worker for all tests of this folder, and a photo that is drawn."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
import pytest

from tests.drawn import Camera, photograph, prints

pytest.importorskip("starlette", reason="the extra web is not installed")
pytest.importorskip("httpx2", reason="starlette's test client needs httpx2")

from starlette.testclient import TestClient

from printcheck.web.app import application
from printcheck.web.workers import Workers

HOST = "testserver"  # what the test client says
PATIENT_S = 120.0  # s of work allowed: a busy machine is no failure


@pytest.fixture(scope="session")
def client() -> Iterator[TestClient]:
    with TestClient(application(hosts={HOST}, workers=Workers(1, PATIENT_S))) as asking:
        yield asking


@pytest.fixture(scope="session")
def photo() -> bytes:
    shot = photograph(prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=120, size_px=(640, 480)))
    return cv2.imencode(".jpg", shot.bgr)[1].tobytes()


@pytest.fixture(scope="session")
def measured(client: TestClient, photo: bytes) -> dict[str, object]:
    asked = {"photo_width": "120 mm", "overlay": "1", "ticket": "abcdefgh"}
    answer = client.post("/measure", files={"photo": ("a.jpg", photo)}, data=asked)
    assert answer.status_code == 200, answer.text
    return answer.json()
