"""The documents cannot drift from the program."""

from __future__ import annotations

import re
import runpy
import subprocess
from pathlib import Path

import click
import pytest

from printcheck.cli import cli, run

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]


def options_of(command: click.Command) -> list[click.Option]:
    return [p for p in command.params if isinstance(p, click.Option)]


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_every_command_is_in_the_readme_and_helps(name: str) -> None:
    assert f"printcheck {name}" in PAGES[0].read_text(encoding="utf-8")
    command = cli.commands[name]
    assert command.help
    for option in options_of(command):
        assert option.help or option.name == "port", f"{name} {option.opts[0]} says nothing of itself"


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), f"{page.name}: {target}"


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_options_named_in_the_pages_exist(page: Path) -> None:
    known = {o for c in cli.commands.values() for p in options_of(c) for o in p.opts} | {
        "--help",
        "--version",
    }
    for line in re.findall(r"`printcheck [^`]+`", page.read_text(encoding="utf-8")):
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]+", line):
            assert option in known, f"{page.name}: {option}"


def test_the_reference_of_the_commands_is_the_commands_own() -> None:
    made = runpy.run_path(str(ROOT / "docs" / "make_commands.py"), run_name="docs")
    page = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert made["reference"]() in page, "run docs/make_commands.py"


def test_the_two_commands_are_marked_for_ci() -> None:
    text = PAGES[0].read_text(encoding="utf-8")
    for mark, word in (("demo", "printcheck demo"), ("test", "pytest")):
        block = re.search(rf"<!-- {mark} command -->\n```sh\n(.+)\n```", text)
        assert block, f"the README marks no {mark} command"
        assert word in block[1]


@pytest.mark.slow  # a whole measurement
def test_the_readme_shows_what_the_command_prints(capsys: pytest.CaptureFixture[str]) -> None:
    said = re.findall(r"```text\n(.+?)\n```", PAGES[0].read_text(encoding="utf-8"), flags=re.DOTALL)
    assert len(said) == 2
    assert run(["measure", str(ROOT / "sample_images" / "half-drop-floral.jpg")]) == 0
    printed = capsys.readouterr().out
    for block in said:
        assert block in printed


def test_no_path_of_one_machine_is_in_the_project() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode:
        pytest.skip("not a git checkout")
    somebody_s = re.compile(r"[\"'( ]/(home|root|Users|srv|mnt)/")
    for name in listed.stdout.splitlines():
        path = ROOT / name
        if path.suffix in {".py", ".md", ".toml", ".html"} and path.exists():
            found = somebody_s.search(path.read_text(encoding="utf-8", errors="replace"))
            assert not found, f"{name}: {found}"
