"""The page itself: one template, its words in one file to a language, and the built-in kinds as data."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec
from starlette.responses import HTMLResponse, Response

if TYPE_CHECKING:
    from starlette.requests import Request

HERE = Path(__file__).parent
LANGUAGES = ("en", "de")


async def page(request: Request) -> Response:
    """The page in the language the browser asks for, or that ``?lang=`` names."""
    language = request.query_params.get("lang", "")
    if language not in LANGUAGES:
        language = preferred(request.headers.get("accept-language", ""))
    headers = {"Vary": "Accept-Language", "Cache-Control": "no-cache"}
    return HTMLResponse(rendered(language), headers=headers)


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
def rendered(language: str) -> str:
    """The page as HTML."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("printcheck.web")
    pages = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    words = strings(language)
    data = {"lang": language, "words": words, "kinds": kinds(words)}
    return pages.get_template("page.html").render(
        t=words, lang=language, languages=LANGUAGES, data=msgspec.json.encode(data).decode()
    )


@cache
def strings(language: str) -> dict[str, Any]:
    """The words of a language: one file, nested by where they stand."""
    return dict(msgspec.json.decode((HERE / "words" / f"{language}.json").read_bytes()))


def kinds(words: dict[str, Any]) -> list[dict[str, Any]]:
    """Built-in kinds with their sizes, named in the page's language where it has a name for them."""
    from printcheck.project.kinds import KINDS

    names, sizes = words["kinds"], words["sizes"]
    return [
        {
            "name": kind.name,
            "title": names.get(kind.name, kind.title),
            "width_mm": kind.cloth.width_mm,
            "shrink_along": kind.cloth.shrink_along,
            "sizes": [
                {
                    "name": name,
                    "text": sizes.get(f"{kind.name}.{name}", sizes.get(name, size.text)),
                    "kind": size.kind,
                    "default": size.default,
                    "least": size.least,
                    "most": size.most,
                }
                for name, size in kind.sizes.items()
            ],
        }
        for kind in KINDS.values()
    ]
