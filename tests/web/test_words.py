"""Both languages say everything, with the same gaps, and every key the page asks for is there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from printcheck.web.page import HERE, LANGUAGES, kinds, rendered, strings

OPEN = {"reasons", "names", "colours", "findings", "values", "kinds", "sizes", "pieces"}  # English elsewhere


def leaves(node: object, path: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(node, dict):
        for key, inner in node.items():
            yield from leaves(inner, f"{path}.{key}".lstrip("."))
    elif isinstance(node, list):
        for n, inner in enumerate(node):
            yield from leaves(inner, f"{path}.{n}")
    else:
        yield path, str(node)


def own(language: str) -> dict[str, str]:
    return {path: text for path, text in leaves(strings(language)) if path.split(".")[0] not in OPEN}


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_a_language_is_complete(language: str) -> None:
    english, other = own("en"), own(language)
    assert english.keys() == other.keys()
    for path, text in english.items():
        assert set(re.findall(r"\{\w+\}", text)) == set(re.findall(r"\{\w+\}", other[path])), path


@pytest.mark.parametrize("script", sorted((HERE / "static").glob("*.js")), ids=lambda p: p.name)
def test_every_key_of_a_script_is_there(script: Path) -> None:
    known = own("en")
    for key in re.findall(r'\bT\("([\w.-]+)"', script.read_text(encoding="utf-8")):
        assert key in known, key


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_page_is_in_its_language(language: str) -> None:
    page = rendered(language).decode()
    assert f'<html lang="{language}">' in page
    assert strings(language)["photo"]["title"] in page
    assert not re.search(r"<script(?![^>]* (?:src|type=\"application/json\"))", page)
    assert " style=" not in page and " onclick" not in page


def test_kinds_come_with_their_sizes() -> None:
    found = {kind["name"]: kind for kind in kinds(strings("en"), "en")}
    assert found["curtain"]["sizes"] and all(size["text"] for size in found["curtain"]["sizes"])


def test_german_names_every_project_size_and_remark() -> None:
    from printcheck.core.findings import REMARKS
    from printcheck.project import built_in
    from printcheck.project.kinds import KINDS

    german = strings("de")
    assert [name for name in KINDS if name not in german["kinds"]] == []
    sizes = [(kind.name, size) for kind in KINDS.values() for size in kind.sizes]
    assert [one for one in sizes if not {one[1], ".".join(one)} & german["sizes"].keys()] == []
    pieces = {piece.name.partition("#")[0] for name in KINDS for piece in built_in(name, {}).pieces}
    assert pieces <= german["pieces"].keys()
    assert {kind.unmatched for kind in KINDS.values()} - {""} <= german["values"].keys()
    assert REMARKS.keys() == german["findings"].keys() == strings("en")["findings"].keys()


def test_german_names_every_print_colour_and_reason() -> None:
    from printcheck.advice.names import NAMES
    from printcheck.core.colour import SURVEY
    from printcheck.report.words.findings import WHY

    german = strings("de")
    assert {row.name for row in NAMES} <= german["names"].keys()
    assert SURVEY.keys() <= german["colours"].keys()
    assert WHY.keys() == german["reasons"].keys()


def test_a_remark_tells_the_same_numbers_in_both_languages() -> None:
    english, german = strings("en")["findings"], strings("de")["findings"]
    for code, text in english.items():
        gaps = [set(re.findall(r"\{(\w+(?::(?!count)[^}]*)?)", words)) for words in (text, german[code])]
        assert gaps[0] == gaps[1], code


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_word_of_the_page_is_an_option_of_the_command(language: str) -> None:
    assert [text for _, text in leaves(strings(language)) if re.search(r"--[a-z]", text)] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_everything_that_can_be_given_up_has_words(language: str) -> None:
    from typing import get_args

    from printcheck.core.results.comparisons import GivenUp

    assert set(get_args(GivenUp)) == strings(language)["give"].keys()
