"""The page itself: one template, its words in one file to a language, the built-in kinds as data; its files.

All of it is made once and kept in memory, so that the page opens while every core measures.
"""

from __future__ import annotations

import hashlib
import mimetypes
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
from starlette.exceptions import HTTPException
from starlette.responses import Response

from printcheck.core.findings import REMARKS

if TYPE_CHECKING:
    from starlette.requests import Request

HERE = Path(__file__).parent
LANGUAGES = ("en", "de")


async def page(request: Request) -> Response:
    """The page in the language the browser asks for, or that ``?lang=`` names."""
    language = request.query_params.get("lang", "")
    if language not in LANGUAGES:
        language = preferred(request.headers.get("accept-language", ""))
    return _unless_known(request, rendered(language), "text/html", {"Vary": "Accept-Language"})


async def file(request: Request) -> Response:
    """A file of the page."""
    name = request.url.path.rpartition("/")[2]
    if name not in files():
        raise HTTPException(404)
    return _unless_known(request, files()[name], mimetypes.guess_type(name)[0] or "text/plain", {})


def _unless_known(request: Request, body: bytes, kind: str, headers: dict[str, str]) -> Response:
    """The body, or that the browser has it already."""
    tag = f'"{hashlib.sha256(body).hexdigest()[:16]}"'
    headers = {"Cache-Control": "no-cache", "ETag": tag, **headers}
    if tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    return Response(body, media_type=kind, headers=headers)


def prepare() -> None:
    """Make the page in every language and read its files."""
    files()
    for language in LANGUAGES:
        rendered(language)


@cache
def files() -> dict[str, bytes]:
    """What stands in the folder of the page's files, by name."""
    return {path.name: path.read_bytes() for path in (HERE / "static").iterdir()}


def preferred(header: str) -> str:
    """Language of ours that an Accept-Language header likes best.

    Examples
    --------
    >>> preferred("fr, de-AT;q=0.8, en;q=0.5"), preferred("")
    ('de', 'en')
    """
    wishes = []
    for part in header.split(",")[:20]:
        name, _, weight = part.strip().partition(";q=")
        try:
            wishes.append((-float(weight or 1), name.partition("-")[0].lower()))
        except ValueError:
            continue
    return next((name for _, name in sorted(wishes, key=lambda w: w[0]) if name in LANGUAGES), LANGUAGES[0])


@cache
def rendered(language: str) -> bytes:
    """The page as HTML, in UTF-8."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    loader = PackageLoader("printcheck.web")
    pages = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    from printcheck.project.kinds import KINDS

    words = strings(language)
    titles = {kind.title: words["kinds"].get(kind.name, kind.title) for kind in KINDS.values()}
    words = {**words, "values": {**words["values"], **titles}}
    data = {"lang": language, "words": words, "kinds": kinds(words, language)}
    text = msgspec.json.encode(data).decode().replace("<", "\\u003c")  # no tag ends the element it is in
    scripts = sorted(name for name in files() if name.endswith(".js") and name != "sw.js")
    return (
        pages.get_template("page.html")
        .render(t=words, lang=language, languages=LANGUAGES, data=Markup(text), scripts=scripts)
        .encode()
    )


@cache
def strings(language: str) -> dict[str, Any]:
    """The words of a language: one file, nested by where they stand."""
    words = dict(msgspec.json.decode((HERE / "words" / f"{language}.json").read_bytes()))
    if language == "en":  # of the report, but where the page has other things to say than a command
        drawn = REMARKS["skirt-panels"].remedy  # of a built-in project, to be written out by the command
        told = {
            c: said.text if said.remedy == drawn else f"{said.text} {said.remedy}"
            for c, said in REMARKS.items()
        }
        words["findings"] = told | words["findings"]
    return words


def kinds(words: dict[str, Any], language: str) -> list[dict[str, Any]]:
    """Built-in kinds with their sizes, named in the page's language where it has a name for them."""
    from printcheck.project.kinds import KINDS

    names, sizes = words["kinds"], words["sizes"]
    return [
        {
            "name": kind.name,
            "title": names.get(kind.name, kind.title),
            "lang": None if language == "en" or kind.name in names else "en",
            "width_mm": kind.cloth.width_mm,
            "shrink_along": kind.cloth.shrink_along,
            "sizes": [
                {
                    "name": name,
                    "text": _said(sizes, kind.name, name) or size.text,
                    "lang": None if language == "en" or _said(sizes, kind.name, name) else "en",
                    "kind": size.kind,
                    "default": size.default,
                    "least": size.least,
                    "most": size.most,
                    "words": getattr(size, "words", ()),
                }
                for name, size in kind.sizes.items()
            ],
        }
        for kind in KINDS.values()
    ]


def _said(sizes: dict[str, str], kind: str, name: str) -> str | None:
    """Words for a size: of this kind, or of every kind that has a size of the name."""
    return sizes.get(f"{kind}.{name}", sizes.get(name))
