"""The page in a real browser: the three jobs it is for, by touch on a phone and by keyboard at a desk.

Needs Chromium (Debian: ``apt-get install chromium``; its path in PRINTCHECK_CHROMIUM if it is another
one). axe-core looks at every state where PRINTCHECK_AXE_DIR names the folder it was installed into with
``npm install --prefix DIR axe-core``. Without a browser these tests are skipped, and say so.
"""

from __future__ import annotations

import html
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

import cv2
import numpy as np
import pytest

from tests.drawn import Camera, photograph, prints

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")

CHROMIUM = Path(os.environ.get("PRINTCHECK_CHROMIUM", "/usr/bin/chromium"))
AXE = Path(os.environ.get("PRINTCHECK_AXE_DIR", "")) / "node_modules" / "axe-core" / "axe.min.js"
QUIET = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
)
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True, "locale": "en-GB"}
DESK = {"viewport": {"width": 1280, "height": 900}, "color_scheme": "dark", "locale": "en-GB"}
PATIENT_MS = 120_000  # a busy machine is no failure
SERVE = f"""
import sys
from printcheck.web import Wanted, run
if __name__ == "__main__":
    tell = lambda text: print(text, file=sys.stderr, flush=True)
    run(Wanted(port=0, seconds={PATIENT_MS // 1000}), say=tell)
"""
CAMERA = """() => {  // in place of a camera: a picture drawn again and again, as no test needs a device
  const canvas = Object.assign(document.createElement("canvas"), {width: 640, height: 480});
  const draw = () => { canvas.getContext("2d").fillRect(0, 0, 640, 480); requestAnimationFrame(draw); };
  draw();
  const stream = canvas.captureStream();
  const [track] = stream.getTracks();
  const stop = track.stop.bind(track);
  track.stop = () => { window.ended = true; stop(); };
  navigator.mediaDevices.getUserMedia = async () => stream;
}"""
MOST_TAPS, TAKEN_MS = 5, 2_000  # of one thing, and how long a tap may take to be felt
MOST_TABS = 150  # presses until something must have been reached
LIGHT = 200_000  # bytes of the page before photos

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(not CHROMIUM.exists(), reason=f"no Chromium at {CHROMIUM}"),
]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    command = [sys.executable, "-c", SERVE]
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True) as server:
        assert server.stderr is not None
        try:
            found = next(filter(None, (re.search(r"http://\S+", line) for line in server.stderr)))
            yield found[0]
        finally:
            server.terminate()
            said = server.stderr.read()
            assert "Traceback" not in said and "fault" not in said


@pytest.fixture(scope="module")
def browser() -> Iterator[object]:
    with playwright.sync_playwright() as engine:
        found = engine.chromium.launch(executable_path=str(CHROMIUM), args=list(QUIET))
        yield found
        found.close()


@pytest.fixture(scope="module")
def swatches(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A gingham of 12 mm without anything of known size, 640 pixels showing 120 mm; and dots with a card."""
    folder = tmp_path_factory.mktemp("photos")
    plain = photograph(
        prints.gingham(np.random.default_rng(3), 12.0), Camera(view_mm=120, size_px=(640, 480))
    )
    cv2.imwrite(str(folder / "plain.jpg"), plain.bgr)
    samples = Path(__file__).parents[2] / "sample_images"
    return {"plain": str(folder / "plain.jpg"), "card": str(samples / "gingham.jpg")}


class Answers:
    """What the server answered: a photo sent again as it was is not measured again."""

    def __init__(self) -> None:
        self.known: dict[tuple[object, ...], tuple[int, bytes]] = {}

    def give(self, route: object, photo: str) -> None:
        scale = re.findall(rb'name="(span|corners)"\r\n\r\n(\S*)', route.request.post_data_buffer or b"")
        key = (photo, *scale)
        if key not in self.known:
            answer = route.fetch(timeout=PATIENT_MS)
            self.known[key] = answer.status, answer.body()
        status, body = self.known[key]
        route.fulfill(status=status, body=body, content_type="application/json")


class User:
    """Someone at the page: by touch, or by keyboard alone."""

    looked_at: ClassVar[set[tuple[bool, str]]] = set()  # states of the page that axe has seen

    def __init__(self, browser: object, address: str, answers: Answers, *, touch: bool) -> None:
        self.touch, self.taps, self.bytes, self.said, self.photo = touch, 0, 0, [], ""
        self.context = browser.new_context(**(PHONE if touch else DESK), bypass_csp=False)
        self.context.route("**/measure", lambda route: answers.give(route, self.photo))
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENT_MS)
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("response", self._count)
        self.page.goto(address)
        self.page.wait_for_function("() => document.documentElement.dataset.ready")

    def _count(self, response: object) -> None:
        self.bytes += int(response.headers.get("content-length", 0))

    def press(self, selector: str) -> None:
        """Tap a thing, or go to it with the tabulator and press it."""
        self.taps += 1
        if self.touch:
            self._tap(selector)
            return
        self.reach(selector)
        self.page.keyboard.press("Space" if self.page.locator(selector).get_attribute("type") else "Enter")

    def _tap(self, selector: str) -> None:
        """Tap until it is taken: short of time, Chromium now and then makes no click of a finger that came
        down and went up, as the events in the page show; one taps again then."""
        self.page.evaluate("addEventListener('click', () => { window.taken = true; }, true)")
        for _ in range(MOST_TAPS):
            self.page.evaluate("window.taken = false")
            self.page.tap(selector)
            try:
                self.page.wait_for_function("() => window.taken", timeout=TAKEN_MS)
            except playwright.TimeoutError:
                continue
            return
        raise AssertionError(f"{selector} takes no tap")

    def reach(self, selector: str) -> None:
        for _ in range(MOST_TABS):
            if self.page.evaluate("s => document.activeElement.matches(s)", selector):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"{selector} is not reached by keyboard")

    def choose(self, photo: str) -> None:
        self.taps += 1
        self.photo = photo
        with self.page.expect_file_chooser() as chooser:
            if self.touch:
                self.page.tap("label:has(#files)")
            else:
                self.reach("#files")
                self.page.keyboard.press("Enter")
        chooser.value.set_files(photo)

    def sees(self, view: str) -> None:
        """The view is there, has the focus, names the window, fits it, and axe finds nothing serious."""
        page = self.page
        page.wait_for_selector(f"#{view}:not([hidden])")
        heading = page.locator(f"#{view} h1")
        page.wait_for_function("v => document.activeElement.closest('#' + v) !== null", arg=view)
        assert page.title().startswith(heading.inner_text())
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        state = (self.touch, page.locator(f"#{view}").inner_text())
        if AXE.exists() and state not in self.looked_at:
            self.looked_at.add(state)
            self._axe()

    def _axe(self) -> None:
        # evaluated from outside the page, as its own policy lets no other script in
        self.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = self.page.evaluate("axe.run()")
        assert found["passes"], "axe looked at nothing"
        grave = [(v["id"], v["nodes"][0]["html"][:120]) for v in found["violations"]
                 if v["impact"] in ("serious", "critical")]  # fmt: skip
        assert grave == []

    def close(self) -> None:
        self.context.close()
        assert self.said == []


@pytest.fixture(scope="module")
def answers() -> Answers:
    return Answers()


@pytest.fixture(params=["touch", "keyboard"])
def user(request: pytest.FixtureRequest, browser: object, address: str, answers: Answers) -> Iterator[User]:
    one = User(browser, address, answers, touch=request.param == "touch")
    yield one
    one.close()


def test_photo_to_saved_shop_card(user: User, swatches: dict[str, str], tmp_path: Path) -> None:
    assert 0 < user.bytes < LIGHT
    user.choose(swatches["card"])
    user.sees("print")
    for inside in ("#answers", "#print-picture img"):  # in the first screen
        assert user.page.locator(inside).bounding_box()["y"] < user.page.viewport_size["height"]
    user.press("#how-much")
    user.page.wait_for_selector("#plan:not([hidden])")
    user.sees("project")
    bought = user.page.locator("#buy .big dd").inner_text().splitlines()[0]
    assert re.fullmatch(r"\d+\.\d\d\sm", bought)
    user.press("#to-card")
    user.sees("card")
    with user.page.expect_download() as saved:
        user.press("#card-save")
    assert user.taps < 6
    kept = tmp_path / saved.value.suggested_filename
    saved.value.save_as(kept)
    text = html.unescape(kept.read_text(encoding="utf-8"))
    assert kept.suffix == ".html"
    assert bought in text and "Do not cut if" in text and "data:image/jpeg" in text
    assert "<script" not in text and "http" not in text.replace("http-equiv", "")


def test_no_object_to_marked_points_to_answer(user: User, swatches: dict[str, str]) -> None:
    user.choose(swatches["plain"])
    page = user.page
    page.wait_for_selector("#failed:not([hidden]), #no-scale:not([hidden])")
    assert page.locator("#preview").is_visible() or page.locator("#print-picture img").is_visible()
    user.said.clear()  # the browser itself notes an answer of 422
    shown = "#failed" if page.locator("#failed").is_visible() else "#no-scale"
    user.press(f"{shown} [data-mark=span]")
    user.sees("mark")
    # the points start at 0.3 and 0.7 of 640 pixels, 48 mm apart; the first is moved by 64 pixels, 12 mm
    if user.touch:
        drag(page, ".handle", -64 * page.locator(".stage img").bounding_box()["width"] / 640)
    else:
        user.reach(".handle")
        for _ in range(6):
            page.keyboard.press("Shift+ArrowLeft")
        assert page.locator(".lens").is_visible()
        for _ in range(4):
            page.keyboard.press("ArrowLeft")
    x = re.search(r": (\d+),", page.locator(".handle").first.get_attribute("aria-label"))
    assert int(x[1]) == pytest.approx(128, abs=0 if not user.touch else 2)
    if user.touch:
        page.fill("#mark-length", "60 mm")
    else:
        user.reach("#mark-length")
        page.keyboard.press("Control+a")
        page.keyboard.type("60 mm")
    user.press("#mark-go")
    user.sees("print")
    across = re.search(r"([\d.]+)\smm across", page.locator("#answers").inner_text())
    assert float(across[1]) == pytest.approx(12.0, rel=0.03)  # as drawn; a finger's pixel is 1 %


@pytest.mark.slow
def test_on_without_sizes_or_by_a_cards_corners(
    browser: object, address: str, answers: Answers, swatches: dict[str, str]
) -> None:
    user = User(browser, address, answers, touch=True)
    page = user.page
    user.choose(swatches["plain"])
    user.sees("print")
    user.press("#without")
    assert not page.locator("#no-scale").is_visible()
    assert "size is not known yet" in page.locator("#answers").inner_text()
    user.press("#rescale summary")
    user.press("#rescale [data-mark=corners]")
    user.sees("mark")
    box = page.locator(".stage img").bounding_box()
    # 640 pixels show 120 mm, so that a bank card, 85.60 x 53.98 mm (ISO/IEC 7810), is 456.5 x 287.9 pixels
    for x, y in ((92, 96), (548, 384), (92, 384), (548, 96)):  # in any order
        page.touchscreen.tap(box["x"] + x * box["width"] / 640, box["y"] + y * box["width"] / 640)
    user.press("#mark-go")
    user.sees("print")
    across = re.search(r"([\d.]+)\smm across", page.locator("#answers").inner_text())
    assert float(across[1]) == pytest.approx(12.0, rel=0.03)  # as drawn; a finger's pixel is 1 %
    assert "your four corners" in page.locator("#print-more").text_content()
    user.close()


def drag(page: object, selector: str, by: float) -> None:
    """A finger on a thing, moved sideways and lifted; the magnifier stands above it."""
    box = page.locator(selector).first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    touch = page.context.new_cdp_session(page)

    def send(kind: str, *points: dict[str, float]) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    send("touchStart", {"x": x, "y": y})
    for share in (0.25, 0.5, 0.75, 1.0):
        send("touchMove", {"x": x + share * by, "y": y})
    lens = page.locator(".lens").bounding_box()
    assert lens is not None
    assert lens["y"] + lens["height"] <= y or lens["y"] >= y  # not under the finger
    send("touchEnd")


def test_the_camera_with_a_guide(
    browser: object, address: str, answers: Answers, swatches: dict[str, str]
) -> None:
    user = User(browser, address, answers, touch=True)
    user.page.evaluate(CAMERA)
    user.press("#guided")
    user.sees("guide")
    user.page.wait_for_function("() => document.querySelector('#guide-said').textContent")
    user.photo = "camera"
    user.press("#guide-take")
    user.page.wait_for_selector("#print:not([hidden]), #failed:not([hidden])")
    assert user.page.evaluate("window.ended")  # the camera is let go
    assert user.page.evaluate("document.querySelector('#preview').naturalWidth") == 640
    user.close()


@pytest.mark.slow
def test_two_swatches_compared(user: User, swatches: dict[str, str]) -> None:
    page = user.page
    for _ in range(2):
        user.choose(swatches["card"])
        user.sees("print")
        user.press("nav [data-view=photo]")
    user.press("nav [data-view=saved]")
    user.sees("saved")
    for n in (1, 2):
        user.press(f"#swatches li:nth-child({n}) input")
    user.press("#to-compare")
    user.sees("compare")
    notes = page.locator("#compare figcaption").all_inner_texts()
    assert len(notes) == 2
    assert notes[0].splitlines()[-1] == notes[1].splitlines()[-1]  # both show the same width of cloth
    assert "cm of cloth" in notes[0]
    assert page.locator("#compare-said").inner_text().startswith("Both are as easy or hard")
    page.reload()  # what is kept comes back
    page.wait_for_function("() => document.documentElement.dataset.ready")
    assert page.locator("#print-title").inner_text() or page.locator("#swatches li").count() == 2


@pytest.mark.slow
def test_an_error_loses_no_photo_and_back_no_answer(
    browser: object, address: str, answers: Answers, swatches: dict[str, str]
) -> None:
    user = User(browser, address, answers, touch=True)
    user.page.route("**/measure", lambda route: route.abort())  # before that of all pages
    user.choose(swatches["card"])
    user.page.wait_for_selector("#failed:not([hidden])")
    assert user.page.locator("#preview").is_visible()
    user.page.unroute("**/measure")
    user.press("#again")
    user.sees("print")
    told = user.page.locator("#answers").inner_text()
    user.press("#how-much")
    user.page.wait_for_selector("#project:not([hidden])")
    user.page.go_back()
    user.page.wait_for_selector("#print:not([hidden])")
    assert user.page.locator("#answers").inner_text() == told
    user.page.reload()
    user.page.wait_for_selector("#answers div")
    assert user.page.locator("#answers").inner_text() == told
    user.said.clear()  # the browser notes the refused connection
    user.close()


@pytest.mark.slow
def test_kept_swatches_open_without_a_network(
    browser: object, address: str, answers: Answers, swatches: dict[str, str]
) -> None:
    user = User(browser, address, answers, touch=True)
    user.page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    user.choose(swatches["card"])
    user.sees("print")
    user.context.set_offline(True)
    user.page.reload()
    user.page.wait_for_function("() => document.documentElement.dataset.ready")
    user.press("nav [data-view=saved]")
    user.sees("saved")
    user.press("#swatches button")
    user.sees("print")
    user.said.clear()  # the browser notes what it could not fetch
    user.close()


@pytest.mark.parametrize("width", [320, 768, 1440])
def test_the_first_view_fits_every_width_in_german(browser: object, address: str, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, locale="de-DE")
    page = context.new_page()
    page.goto(address)
    assert page.evaluate("document.documentElement.lang") == "de"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    context.close()
