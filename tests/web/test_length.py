"""``POST /length``: from a measurement or from words, for a kind or a project, with the cloth's keys."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

CUSHION = {"kind": "cushion", "seconds": 0.5}
PROJECT = {
    "name": "Two strips",
    "cloth": {"width": "100 cm"},
    "piece": [{"name": "strip", "count": 2, "width": "40 cm", "length": "50 cm"}],
}


def test_a_measured_print_needs_no_second_upload(client: TestClient, measured: dict) -> None:
    cloth = {"width": "110 cm", "price": 12.5, "price_per": "1 m", "currency": "EUR", "sold_by": "10 cm"}
    asked = {**CUSHION, "measurement": measured, "cloth": cloth, "shapes": True}
    plan = client.post("/length", json=asked).json()
    assert plan["schema"] == "printcheck.length/1"
    assert plan["cloth"]["width_mm"] == 1100
    assert plan["buy"]["matched_cost"] == pytest.approx(plan["buy"]["matched_mm"] / 1000 * 12.5, abs=0.01)
    assert {spot["piece"] for spot in plan["plain"]["placements"]} == {p["name"] for p in plan["pieces"]}


def test_sizes_and_a_print_in_words(client: TestClient) -> None:
    small = client.post("/length", json={**CUSHION, "repeat": "64mm"}).json()
    large = client.post("/length", json={**CUSHION, "repeat": "64mm", "sizes": {"size": "60 cm"}}).json()
    assert large["plain"]["length_mm"] >= small["plain"]["length_mm"]


def test_a_project_as_json(client: TestClient) -> None:
    plan = client.post("/length", json={"project": PROJECT, "repeat": "plain", "seconds": 0.5}).json()
    assert plan["project"] == "Two strips"
    assert plan["plain"]["length_mm"] == pytest.approx(500)  # both strips side by side on 100 cm
    narrow = {"project": PROJECT, "repeat": "plain", "seconds": 0.5, "cloth": {"width": "70 cm"}}
    assert client.post("/length", json=narrow).json()["plain"]["length_mm"] == pytest.approx(1000)


def test_a_project_reads_no_file(client: TestClient) -> None:
    piece = {"name": "a", "outline_svg": {"file": "../../etc/passwd", "id": "a"}}
    for file in ("../../etc/passwd", "stage"):
        piece["outline_svg"] = {"file": file, "id": "a"}
        answer = client.post("/length", json={"project": {**PROJECT, "piece": [piece]}, "repeat": "plain"})
        assert answer.status_code == 400
        assert "root:" not in answer.text


@pytest.mark.parametrize(
    ("asked", "status", "code"),
    [
        ({**CUSHION}, 400, "no-print"),
        ({**CUSHION, "repeat": "64"}, 400, "malformed-print"),
        ({"repeat": "64mm"}, 400, "no-project"),
        ({**CUSHION, "project": PROJECT, "repeat": "64mm"}, 400, "no-project"),
        ({**CUSHION, "kind": "spaceship", "repeat": "64mm"}, 400, "unknown-kind"),
        ({**CUSHION, "measurement": {"schema": "other"}}, 400, "wrong-schema"),
        ({**CUSHION, "repeat": "64mm", "seconds": 1e9}, 400, "wrong-key"),
        ({**CUSHION, "repeat": "64mm", "cloth": {"price": -1}}, 400, "wrong-key"),
        ([], 400, "wrong-key"),
        ("kind", 400, "wrong-key"),
    ],
)
def test_trouble_is_told(asked: object, status: int, code: str, client: TestClient) -> None:
    answer = client.post("/length", json=asked)
    assert (answer.status_code, answer.json()["error"]["code"]) == (status, code)
    assert "--" not in answer.json()["error"]["message"]


def test_only_sound_json_is_read(client: TestClient) -> None:
    kind = {"content-type": "application/json"}
    assert client.post("/length", content=b"{", headers=kind).status_code == 400
    assert client.post("/length", content=b"[" * 100_000, headers=kind).status_code == 400
    assert client.post("/length", content=b"{}", headers={"content-type": "text/plain"}).status_code == 415
