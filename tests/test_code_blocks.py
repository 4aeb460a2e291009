"""Every block of code and every command of the README and the docs is run as it stands."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import cv2
import msgspec
import pytest

from printcheck.cli import run
from printcheck.core.errors import InputError
from printcheck.core.units import parse_positive_length

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
SAMPLES = ROOT / "sample_images"
BLOCK = re.compile(r"^```(\w*)\n(.*?)^```", re.DOTALL | re.MULTILINE)
RUN_BY_CI = ("pip install .", "pip install -e", "pytest", "ruff", "mypy", ".ci/run")  # .ci/run does these
NOT_OURS = ("server {",)  # the configuration of a web server
ELSEWHERE = {"docs/projects.md": "tests/project/test_projects_page.py", "docs/commands.md": "tests/cli"}
SHORT = {f"PRINTCHECK_{name}_SECONDS": "1" for name in ("LENGTH", "COMPARE", "DEMO")}


def blocks() -> list[tuple[str, str, str]]:
    """Page, language and text of every block."""
    found = []
    for page in PAGES:
        text, name = page.read_text(encoding="utf-8"), str(page.relative_to(ROOT))
        found += [(name, language, body) for language, body in BLOCK.findall(text)]
    return found


def commands() -> list[tuple[str, str]]:
    """Every command of ours that a page shows in its text or a block, with the page."""
    found: dict[tuple[str, str], None] = {}
    for page in PAGES:
        name = str(page.relative_to(ROOT))
        for line in re.findall(r"`(printcheck [^`]+)`", page.read_text(encoding="utf-8")):
            found[name, line] = None
    for name, language, body in blocks():
        for line in body.splitlines() if language == "sh" else ():
            if line.strip().startswith("printcheck "):
                found[name, line.strip()] = None
    return [one for one in found if not set("[<|…") & set(one[1]) and " COMMAND " not in one[1]]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the files that the pages name."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copy(SAMPLES / "half-drop-floral.jpg", folder / "swatch.jpg")
    photos = {"one": "gingham", "other": "ditsy", "listings/a": "gingham"}
    (folder / "listings").mkdir()
    photos |= dict.fromkeys("abc", "gingham")  # the same photo thrice, which is remarked on
    for name, sample in photos.items():  # small, so that each command is done soon
        size = (360, 270) if name in "abc" else (800, 600)
        small = cv2.resize(cv2.imread(str(SAMPLES / f"{sample}.jpg")), size, interpolation=cv2.INTER_AREA)
        cv2.imwrite(str(folder / f"{name}.jpg"), small)
    shutil.copy(SAMPLES / "project.toml", folder / "skirt.toml")
    shutil.copytree(SAMPLES, folder / "sample_images", ignore=shutil.ignore_patterns("*.jpg"))
    for photo in SAMPLES.glob("*.jpg"):
        small = cv2.resize(cv2.imread(str(photo)), (800, 600), interpolation=cv2.INTER_AREA)
        cv2.imwrite(str(folder / "sample_images" / photo.name), small)
    return folder


@pytest.mark.slow
@pytest.mark.parametrize(("page", "line"), commands())
def test_commands_of_the_pages_run(
    page: str, line: str, shop: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = shlex.split(line)[1:]
    if len(words) == 1 or words[0] == "serve" or "--cluster" in words:
        words = [words[0], "--help"]  # they wait for ever, or for machines: their own tests run them
    if any(word.partition(".")[0].isupper() for word in words):
        words = [words[0], "--help"]  # a name that stands for the user's own
    monkeypatch.chdir(shop)
    for name, value in SHORT.items():
        monkeypatch.setenv(name, value)
    assert run(words) == 0, capsys.readouterr().err


@pytest.mark.parametrize(
    ("page", "language", "body"), blocks(), ids=lambda text: text[:24].replace("\n", " ")
)
def test_every_block_is_of_a_kind_that_is_run(
    page: str,
    language: str,
    body: str,
    shop: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    if any(mark in body for mark in (*RUN_BY_CI, *NOT_OURS)):
        return
    monkeypatch.chdir(shop)
    if language == "python":
        exec(compile(body, page, "exec"), {})  # the pages are our own
        assert capsys.readouterr().out
    elif language == "toml":
        assert page in ELSEWHERE, f"{page}: no test takes this block"
        msgspec.toml.decode(body)
    elif language == "text":  # what the program prints
        assert page == "README.md" or said_of_a_mistake() in body  # the README's: tests/test_docs.py
    else:
        for line in body.strip().splitlines():
            check_line(line.strip(), page)


def said_of_a_mistake() -> str:
    """What is said of a width without a unit, as docs/projects.md shows it."""
    with pytest.raises(InputError) as caught:
        parse_positive_length(140, place="cloth.width")
    return str(caught.value)


def check_line(line: str, page: str) -> None:
    """Check a line of shell: ours is run above; what installs names parts that exist."""
    word = line.split()[0]
    if word == "printcheck":
        assert (page, line) in commands()
    elif word == "pip":
        parts = msgspec.toml.decode((ROOT / "pyproject.toml").read_bytes())["project"][
            "optional-dependencies"
        ]
        assert {
            e for extras in re.findall(r"printcheck\[([\w,]+)\]", line) for e in extras.split(",")
        } <= set(parts)
    elif word == "eval":
        shell = re.search(r"=(\w+)_source", line)[1]  # type: ignore[index]
        if shutil.which(shell):
            own = f'printcheck() {{ "{sys.executable}" -m printcheck "$@"; }}\n'
            subprocess.run([shell, "-c", own + line.partition("#")[0]], check=True)
    elif word == "dask":
        asked = set(re.findall(r"--[a-z-]+", line))
        shown = subprocess.run(
            [sys.executable, "-m", f"distributed.cli.dask_{line.split()[1]}", "--help"],
            capture_output=True,
            text=True,
        )
        assert all(option in shown.stdout for option in asked), line
    else:
        assert word in ("curl", "python"), f"{page}: nothing runs {line!r}"
