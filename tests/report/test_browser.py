"""The page in a real browser: accessibility, phone and desk, light and dark, and paper.

Needs Chromium (Debian: ``apt-get install chromium``; its path in PRINTCHECK_CHROMIUM if it is another
one) and axe-core, which is no Python package: ``npm install --prefix DIR axe-core`` and DIR in
PRINTCHECK_AXE_DIR. Without them these tests are skipped, and say so.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import pytest

from printcheck.core.plan import LengthPlan, Project
from printcheck.report.page import page_file
from tests.report import report_given as given
from tests.report import report_swatch as swatch

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

CHROMIUM = Path(os.environ.get("PRINTCHECK_CHROMIUM", "/usr/bin/chromium"))
AXE = Path(os.environ.get("PRINTCHECK_AXE_DIR", "")) / "node_modules" / "axe-core" / "axe.min.js"
QUIET = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
)
SIZES = {
    "small": {"width": 320, "height": 640},
    "phone": {"width": 390, "height": 844},
    "tablet": {"width": 768, "height": 1024},
    "desk": {"width": 1280, "height": 900},
}
PATIENT_MS = 120_000  # a busy machine is no failure
SMALLEST_PX = 11.0  # the issue's, for words in a drawing on a phone

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no Chromium at {CHROMIUM}"),
]


@dataclass(frozen=True)
class Planned:
    plan: LengthPlan
    project: Project
    measured: swatch.Photo | None = None


@pytest.fixture(scope="module")
def report_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("page")
    photo, bgr = swatch.photo()
    cv2.imwrite(str(folder / "tulips.png"), bgr)
    project, plan = given.skirt()
    planned = Planned(plan, project, photo)
    page_file.write(folder / "r.html", measured=photo, planned=planned)
    return folder / "r.html"


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    with playwright.sync_playwright() as engine:
        found = engine.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        yield found
        found.close()


def opened(browser: object, **options: object) -> object:
    page = browser.new_page(**options)
    page.set_default_timeout(PATIENT_MS)
    return page


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not there: see the head of this file")
@pytest.mark.parametrize(("size", "scheme"), [("small", "light"), ("desk", "dark")])
def test_axe_finds_nothing_serious(browser: object, report_file: Path, size: str, scheme: str) -> None:
    page = opened(browser, viewport=SIZES[size], color_scheme=scheme, bypass_csp=True)
    page.goto(report_file.as_uri())
    page.add_script_tag(path=str(AXE))
    found = page.evaluate("axe.run()")
    page.close()
    assert found["passes"], "axe looked at nothing"
    grave = [(v["id"], v["impact"], v["nodes"][0]["html"][:120]) for v in found["violations"]
             if v["impact"] in ("serious", "critical")]  # fmt: skip
    assert grave == []


@pytest.mark.parametrize("size", sorted(SIZES))
def test_nothing_hangs_over_the_side(browser: object, report_file: Path, size: str) -> None:
    page = opened(browser, viewport=SIZES[size])
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("request", lambda request: said.append(request.url))
    page.goto(report_file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size]["width"]
    assert [line for line in said if not line.startswith(("file:", "data:"))] == []  # no error, no request
    page.close()


def test_words_in_the_drawings_can_be_read_on_a_phone(browser: object, report_file: Path) -> None:
    page = opened(browser, viewport=SIZES["phone"])
    page.goto(report_file.as_uri())
    sizes = page.evaluate(
        "[...document.querySelectorAll('main svg text')].map(t => parseFloat(t.getAttribute('font-size'))"
        " * t.ownerSVGElement.getBoundingClientRect().width / t.ownerSVGElement.viewBox.baseVal.width)"
    )
    page.close()
    assert len(sizes) > 40 and min(sizes) >= SMALLEST_PX


@pytest.mark.parametrize("size", ["small", "phone"])
def test_every_table_folds_and_no_figure_is_cut_off(browser: object, report_file: Path, size: str) -> None:
    page = opened(browser, viewport=SIZES[size])
    page.goto(report_file.as_uri())
    ends = page.evaluate(
        "[...document.querySelectorAll('td, th[scope=row], dd, h1, h2, li, caption')]"
        ".map(e => [e.textContent, e.getBoundingClientRect().right, e.scrollWidth - e.clientWidth])"
    )
    page.close()
    assert len(ends) > 60
    assert [text for text, right, over in ends if right > SIZES[size]["width"] or over > 1] == []


def test_a_link_brings_each_piece_into_view(browser: object, report_file: Path) -> None:
    page = opened(browser, viewport=SIZES["phone"])
    page.goto(report_file.as_uri())
    for link in page.query_selector_all(".pieces a"):
        link.click()
        box = page.evaluate(
            "id => (b => [b.left, b.right])(document.querySelector(id).getBoundingClientRect())",
            link.get_attribute("href"),
        )
        assert box[0] < 390 and box[1] > 0  # of a piece wider than the screen, a part
    page.close()


def test_dark_is_dark_and_light_is_light(browser: object, report_file: Path) -> None:
    shades = {}
    for scheme in ("light", "dark"):
        page = opened(browser, color_scheme=scheme)
        page.goto(report_file.as_uri())
        colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
        shades[scheme] = sum(int(c) for c in colour.strip("rgb()").split(",")) / 3
        page.close()
    assert shades["dark"] < 60 and shades["light"] > 230


def test_on_paper_a_drawing_to_scale_has_its_size(browser: object, report_file: Path) -> None:
    page = opened(browser, viewport=SIZES["desk"])
    page.goto(report_file.as_uri())
    page.emulate_media(media="print")
    # A4 with 12 mm margins leaves 186 mm; a CSS millimetre is 96 / 25.4 pixels (CSS Values 3)
    page.set_viewport_size({"width": round(186 * 96 / 25.4), "height": 1000})
    width_px = page.evaluate(
        "[...document.querySelectorAll('figure.to-scale svg')].at(-1).getBoundingClientRect().width"
    )
    assert width_px * 25.4 / 96 == pytest.approx(180, abs=0.5)
    assert page.pdf(format="A4").startswith(b"%PDF")
    page.close()
