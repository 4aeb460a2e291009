"""The page: one file, no script, nothing hostile alive, light enough; and the PDF beside it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, replace
from html.parser import HTMLParser
from pathlib import Path

import cv2
import numpy as np
import pytest

from printcheck.core.errors import InputError
from printcheck.core.plan import LengthPlan, Project
from printcheck.report.drawing import photo_overlay
from printcheck.report.page import layout_file, page_file
from tests.report import report_given as given
from tests.report import report_swatch as swatch

ALLOWED = {
    *("html", "head", "meta", "title", "style", "body", "header", "main", "nav", "section", "footer"),
    *("figure", "figcaption", "h1", "h2", "p", "ol", "ul", "li", "a", "dl", "div", "dt", "dd", "strong"),
    *("table", "caption", "span", "thead", "tbody", "tr", "th", "td"),
    *("svg", "rect", "polygon", "polyline", "circle", "text", "image"),
}


@dataclass(frozen=True)
class Planned:
    plan: LengthPlan
    project: Project
    measured: swatch.Photo | None = None


class Reader(HTMLParser):
    """Collects elements, attributes, and words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list) -> None:
        self.tags[tag] += 1
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in ("meta",):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list) -> None:
        self.tags[tag] += 1
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)


def both(name: str = "tulips.jpg") -> tuple[swatch.Photo, Planned]:
    m = given.flowers()
    photo, _ = swatch.photo(replace(m, photo=replace(m.photo, file=name)))
    project, plan = given.skirt()
    return photo, Planned(plan, project, photo)


def page_of(tmp_path: Path, **what: object) -> str:
    page_file.write(tmp_path / "out.html", **what)
    return (tmp_path / "out.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("which", ["measured", "planned", "both"])
def test_one_sound_file_without_scripts(tmp_path: Path, which: str) -> None:
    photo, planned = both()
    what = {"measured": photo, "planned": planned}
    chosen = what if which == "both" else {which: what[which]}
    page = page_of(tmp_path, **chosen)
    read = Reader(page)
    assert read.open == [] and set(read.tags) <= ALLOWED
    assert page.startswith("<!doctype html>") and '<html lang="en-GB">' in page
    for tag, name, value in read.attributes:
        assert not name.startswith("on")
        if name in ("href", "src"):
            assert value.startswith("#" if tag == "a" else "data:image/jpeg;base64,")
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", page)  # nothing is loaded
    ids = [value for _, name, value in read.attributes if name == "id"]
    assert len(ids) == len(set(ids))
    targets = {v[1:] for tag, name, v in read.attributes if tag == "a" and name == "href"}
    assert targets <= set(ids)


def test_what_a_screen_reader_needs(tmp_path: Path) -> None:
    photo, planned = both()
    read = Reader(page_of(tmp_path, measured=photo, planned=planned))
    assert read.tags["main"] == read.tags["h1"] == 1 and read.tags["table"] == read.tags["caption"]
    images = [(tag, name, value) for tag, name, value in read.attributes if tag == "svg"]
    labels = [value for _, name, value in images if name == "aria-label"]
    assert len(labels) == read.tags["svg"] == 4 and all(len(label) > 40 for label in labels)
    scopes = [value for tag, name, value in read.attributes if tag == "th" and name == "scope"]
    assert len(scopes) == read.tags["th"] and set(scopes) <= {"col", "row"}


HOSTILE = [
    given.HOSTILE,
    "</title><img src=x onerror=alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "<!--",
    "生地 ткань عربي",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_never_reach_the_page_alive(tmp_path: Path, name: str) -> None:
    photo, planned = both(name)
    planned = replace(
        planned,
        plan=replace(
            planned.plan,
            project=name,
            buy=replace(planned.plan.buy, currency=name),
        ),
    )
    page = page_of(tmp_path, measured=photo, planned=planned)
    read = Reader(page)
    assert set(read.tags) <= ALLOWED and not any(n.startswith("on") for _, n, _ in read.attributes)
    if name.startswith("{{"):
        assert name in "".join(read.words)  # shown as it is, not worked out to 49
    page_file.write(tmp_path / "out.pdf", measured=photo, planned=planned)
    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF")


def test_heavy_photos_make_no_heavy_page(tmp_path: Path) -> None:
    photo, planned = both()
    noise = np.random.default_rng(7).integers(0, 255, (2100, 2700, 3), np.uint8)
    facts = replace(photo.measurement.photo, width_px=2700, height_px=2100)
    rough = replace(photo.cell, lab=np.random.default_rng(8).uniform(0, 90, (240, 240, 3)).astype(np.float32))
    to_photo = np.diag([3.0, 3.0, 1.0]) @ photo.cloth.to_photo
    cloth = replace(photo.cloth, photo=facts, to_photo=to_photo, photo_bgr=noise)
    heavy = swatch.Photo(photo.measurement, cloth, photo.lattice, rough)
    page_of(tmp_path, measured=heavy, planned=replace(planned, measured=heavy))
    assert (tmp_path / "out.html").stat().st_size < 1_500_000


def test_bad_outputs_are_refused_and_leave_nothing(tmp_path: Path) -> None:
    photo, planned = both()
    for write in (
        lambda: page_file.write(tmp_path / "a.doc", measured=photo),
        lambda: page_file.write(tmp_path / "no" / "a.html", measured=photo),
        lambda: layout_file.write(tmp_path / "a.gif", planned),
        lambda: photo_overlay.write(tmp_path / "a.gif", photo),
    ):
        with pytest.raises(InputError):
            write()
    assert not list(tmp_path.iterdir())


def test_every_writer_writes(tmp_path: Path) -> None:
    photo, planned = both()
    photo_overlay.write(tmp_path / "a.png", photo)
    photo_overlay.write(tmp_path / "a.svg", photo, units="imperial")
    layout_file.write(tmp_path / "l.svg", planned)
    layout_file.write(tmp_path / "l.pdf", planned)
    page_file.write(tmp_path / "r.pdf", measured=photo, planned=planned)
    assert cv2.imread(str(tmp_path / "a.png")).shape[1] == 900
    for name in ("a.svg", "l.svg"):
        assert (tmp_path / name).read_text().rstrip().endswith("</svg>")
    for name in ("l.pdf", "r.pdf"):
        assert (tmp_path / name).read_bytes().rstrip().endswith(b"%%EOF")
