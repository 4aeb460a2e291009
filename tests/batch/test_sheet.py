"""The contact sheet in a real browser: sorting, filters that combine, counts, keyboard, an empty result.

Needs Chromium and axe-core as the page's own tests do.
"""

from __future__ import annotations

import base64
import functools
import itertools
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.batch import outputs
from printcheck.batch.jobs import COLUMNS, Job, Outcome, failed
from tests.web.test_browser import AXE, CHROMIUM, PATIENT_MS, QUIET

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

COUNT = 60
LEVELS, WAYS = ("easy", "care", "hard"), ("one-way", "two-way", "four-way", "tossed")
NEEDS, COLOURS = ("none", "level", "upright", "both"), ("red", "pale blue", "white")


def picture(index: int) -> str:
    return drawn(index % 50)


@functools.cache
def drawn(number: int) -> str:
    """A plain colour under a photo's grain: some ten kilobytes, as small pictures of cloth have."""
    bgr = (
        np.random.default_rng(number).normal((60, 120, 200), 12, (180, 240, 3)).clip(0, 255).astype(np.uint8)
    )
    return base64.b64encode(cv2.imencode(".jpg", bgr)[1].tobytes()).decode()


def listings(count: int = COUNT) -> Iterator[tuple[Job, Outcome]]:
    """Every twelfth failed, every fifth without a scale; the rest of 3 mm to 3 mm times their number."""
    for i in range(count):
        job = Job(i, f"listing {i}.jpg", "")
        if i % 12 == 11:
            yield job, failed("The photo is cut short.", thumbnail=picture(i))
            continue
        known = i % 5 != 4
        cells = {
            **dict.fromkeys(COLUMNS[1:], ""),
            "status": "ok" if known else "no-scale",
            "difficulty": LEVELS[i % 3],
            "way": WAYS[i % 4],
            "classes": "small check" if i % 2 else "large",
            "colours": f"white, {COLOURS[i % 2]}",
            "repeat_across_mm": f"{3.0 * (i + 1):.1f}" if known else "",
            "repeat": f"{3.0 * (i + 1):.1f} mm" if known else "",
            "print_name": "even gingham" if i % 2 else "dots",
        }
        yield job, Outcome(cells, {}, picture(i), 120.0 if known else 0.0, NEEDS[i % 4])


def test_a_large_sheet_keeps_its_pictures_beside_it(tmp_path: Path) -> None:
    outputs.write_sheet(listings, tmp_path / "a {b}.html", largest=1000)
    page = (tmp_path / "a {b}.html").read_text(encoding="utf-8")
    assert "base64" not in page
    assert page.count('loading="lazy"') == COUNT
    assert 'src="a%20%7Bb%7D-pictures/0000003.jpg"' in page
    kept = tmp_path / "a {b}-pictures" / "0000003.jpg"
    assert kept.read_bytes() == base64.b64decode(picture(3))


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    if not CHROMIUM.exists():
        pytest.skip(f"no Chromium at {CHROMIUM}")
    with playwright.sync_playwright() as engine:
        found = engine.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        yield found
        found.close()


@pytest.fixture(scope="module", params=["one file", "folder"])
def written(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> str:
    path = tmp_path_factory.mktemp("sheet") / "sheet.html"
    outputs.write_sheet(listings, path, largest=1000 if request.param == "folder" else outputs.LARGEST_FILE)
    return path.as_uri()


@pytest.fixture
def page(browser: object, written: str) -> Iterator[object]:
    tab = browser.new_page()
    tab.set_default_timeout(PATIENT_MS)
    said: list[str] = []
    tab.on("pageerror", lambda error: said.append(str(error)))
    tab.on("console", lambda message: said.append(message.text))
    tab.goto(written)
    yield tab
    tab.close()
    assert said == []


def shown(page: object) -> list[int]:
    files = page.eval_on_selector_all(".card:not([hidden]) h2", "all => all.map(h => h.textContent)")
    return [int(file.split()[1].removesuffix(".jpg")) for file in files]


def box(page: object, group: str, value: str) -> object:
    return page.locator(f'fieldset[data-group="{group}"] input[value="{value}"]')


def count(page: object, group: str, value: str) -> int:
    label = page.locator(f'fieldset[data-group="{group}"] label:has(input[value="{value}"])')
    return int(label.locator(".count").text_content())


@pytest.mark.browser
def test_filters_combine_and_say_how_many_each_choice_would_show(page: object) -> None:
    measured = [i for i in range(COUNT) if i % 12 != 11]
    assert shown(page) == list(range(COUNT))
    assert page.eval_on_selector(".card img", "img => img.decode().then(() => img.naturalWidth)") == 240
    box(page, "difficulty", "hard").check()
    assert shown(page) == [i for i in measured if i % 3 == 2]
    assert count(page, "difficulty", "easy") == sum(i % 3 == 0 for i in measured)  # instead, not besides
    assert count(page, "way", "one-way") == sum(i % 3 == 2 and i % 4 == 0 for i in measured)
    box(page, "way", "one-way").check()
    box(page, "way", "tossed").check()
    assert shown(page) == [i for i in measured if i % 3 == 2 and i % 4 in (0, 3)]
    box(page, "colours", "red").check()
    assert shown(page) == [i for i in measured if i % 3 == 2 and i % 4 in (0, 3) and i % 2 == 0]
    page.get_by_role("button", name="Show all").click()
    page.wait_for_function("() => document.querySelectorAll('.card[hidden]').length === 0")
    box(page, "matching", "both").check()
    assert shown(page) == [i for i in measured if i % 4 == 3]
    page.fill("#name", "listing 1")
    assert shown(page) == [i for i in measured if i % 4 == 3 and str(i).startswith("1")]
    assert page.get_by_role("status").text_content() == f"{len(shown(page))} of {COUNT} listings shown."


@pytest.mark.browser
def test_sorting_by_size_puts_the_unknown_last(page: object) -> None:
    sized = [i for i in range(COUNT) if i % 12 != 11 and i % 5 != 4]
    rest = sorted(set(range(COUNT)) - set(sized))
    page.select_option("#sort", "-size")
    assert shown(page) == sized[::-1] + rest
    page.select_option("#sort", "+size")
    assert shown(page) == sized + rest
    page.select_option("#sort", "difficulty")
    assert [i % 3 for i in shown(page)[:-5]] == sorted(i % 3 for i in range(COUNT) if i % 12 != 11)


@pytest.mark.browser
def test_nothing_found_says_what_was_asked_for(page: object) -> None:
    box(page, "status", "failed").check()
    box(page, "difficulty", "hard").check()
    assert shown(page) == []
    said = page.get_by_role("status").text_content()
    assert "Difficulty hard" in said and "Status failed" in said and "Show all" in said


@pytest.mark.browser
def test_it_is_worked_by_keyboard_and_axe_finds_nothing(page: object) -> None:
    for _ in itertools.takewhile(lambda n: n < 80, itertools.count()):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('[data-group=way] input')"):
            break
    page.keyboard.press("Space")
    way = page.evaluate("document.activeElement.value")
    assert shown(page) == [i for i in range(COUNT) if i % 12 != 11 and WAYS[i % 4] == way]
    if not AXE.is_file():
        pytest.skip("axe-core is not installed")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("axe.run()")
        assert found["passes"]
        assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found["violations"]] == []


def test_of_many_listings_the_first_are_laid_out_and_more_as_one_scrolls(
    browser: object, tmp_path: Path
) -> None:
    path = tmp_path / "many.html"
    outputs.write_sheet(functools.partial(listings, 300), path)
    tab = browser.new_page()
    tab.set_default_timeout(PATIENT_MS)
    tab.goto(path.as_uri())
    assert len(shown(tab)) == 60
    assert "300 of 300 listings found, 60 of them shown" in tab.inner_text(".status")
    tab.locator("#more").scroll_into_view_if_needed()
    tab.wait_for_function("() => document.querySelectorAll('.card:not([hidden])').length >= 120")
    tab.select_option("#sort", "-size")
    assert shown(tab)[0] == 298  # 299 is the twelfth of its dozen, which failed
    tab.close()
