"""Who may ask, the headers of every answer, the code that works once, and the description."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from printcheck.web.app import application
from printcheck.web.guard import HEADERS, Codes


@pytest.mark.parametrize("path", ["/", "/measure", "/nothing", "/health", "/openapi.json", "/static/none.js"])
def test_every_answer_has_the_strict_headers(path: str, client: TestClient) -> None:
    found = client.get(path).headers
    policy = found["content-security-policy"]
    assert "unsafe" not in policy
    assert (
        "default-src 'none'" in policy and "frame-ancestors 'none'" in policy and "base-uri 'none'" in policy
    )
    assert all(name in found for name in HEADERS)


@pytest.mark.parametrize("path", ["/?lang=de", "/static/app.js", "/sw.js"])
def test_what_a_browser_has_already_is_not_sent_again(path: str, client: TestClient) -> None:
    first = client.get(path)
    assert first.status_code == 200 and first.headers["content-encoding"] == "gzip"
    again = client.get(path, headers={"if-none-match": f"W/{first.headers['etag']}"})
    assert (again.status_code, again.content) == (304, b"")
    assert client.get(path, headers={"if-none-match": '"another"'}).content == first.content


def test_another_host_is_not_answered(client: TestClient) -> None:
    assert client.get("/", headers={"host": "evil.example"}).status_code == 421
    assert client.get("/health", headers={"host": "evil.example"}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_posts_of_another_site_are_refused(headers: dict[str, str], client: TestClient) -> None:
    answer = client.post("/length", json={}, headers=headers)
    assert (answer.status_code, answer.json()["error"]["code"]) == (403, "wrong-origin")


def test_posts_of_the_page_are_answered(client: TestClient) -> None:
    own = {"origin": "http://testserver", "sec-fetch-site": "same-origin"}
    assert client.post("/length", json={}, headers=own).json()["error"]["code"] == "no-print"


def test_a_code_lets_one_browser_in_once() -> None:
    told: list[str] = []
    codes = Codes(told.append)
    codes.renew()
    app = application(hosts={"testserver"}, codes=codes)
    first, second = TestClient(app), TestClient(app)  # no lifespan: nothing is measured
    assert first.get("/").status_code == 403
    assert first.get(f"/?code={told[0][:-1]}").status_code == 403
    assert first.get(f"/?code={told[0]}").status_code == 200
    assert first.get("/").status_code == 200
    assert second.get(f"/?code={told[0]}").status_code == 403
    assert second.get(f"/?code={told[1]}").status_code == 200
    assert len(set(told)) == 3
    assert second.get("/health").status_code == 200


def test_the_description_names_both_questions(client: TestClient) -> None:
    found = client.get("/openapi.json").json()
    form = found["components"]["schemas"]["MeasureForm"]
    assert {"photo", "reference", "mm_per_px", "span", "corners"} <= set(form["properties"])
    for path, answer in (("/measure", "Measurement"), ("/length", "LengthPlan")):
        assert found["paths"][path]["post"]["responses"]["200"]["content"]["application/json"]["schema"] == {
            "$ref": f"#/components/schemas/{answer}"
        }
