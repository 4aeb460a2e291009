"""The application: the page and its files, ``/measure``, ``/length``, their progress and description."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, Any

import msgspec
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from printcheck import __version__
from printcheck.core.errors import PrintcheckError
from printcheck.core.request import SCALES, one_scale
from printcheck.web import worker
from printcheck.web.asked import ANSWERS, REQUESTS, ProgressDocument
from printcheck.web.guard import Codes, Guard, error_answer
from printcheck.web.page import file, page, prepare
from printcheck.web.problems import RefusedError, refused
from printcheck.web.upload import MOST_PHOTOS, Photo, read_length, read_measure
from printcheck.web.workers import Workers

if TYPE_CHECKING:
    from starlette.requests import Request

JSON = "application/json"
TROUBLE = {  # status -> when
    "400": "The request or the photo is broken.",
    "403": "The request comes from another site, or without the code of a shared page.",
    "408": "The upload came too slowly.",
    "413": "The upload is larger than 25 MB, or a photo than 60 million pixels.",
    "415": "The body is of another kind.",
    "421": "The page is not served under this host name.",
    "422": "A sound question that could not be answered, or not within the limits.",
    "429": "Too many requests are waiting.",
    "503": "The page is being closed.",
}


def application(*, hosts: set[str], workers: Workers | None = None, codes: Codes | None = None) -> Guard:
    """Return the application, guarded; its workers start and stop with it.

    ``hosts`` are the Host headers under which it may be asked, ``codes`` who is let in on a shared page.
    """

    @asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        app.state.workers = workers or Workers()
        app.state.workers.start()
        prepare()  # while the workers load: nobody waits for it
        try:
            yield
        finally:
            app.state.workers.stop()

    app = Starlette(
        routes=[
            Route("/", page),
            Route("/measure", _measure, methods=["POST"]),
            Route("/length", _length, methods=["POST"]),
            Route("/progress/{ticket}", _progress),
            Route("/openapi.json", _openapi),
            Route("/health", _health),
            Route("/sw.js", file),  # at the root, so that it serves the whole page
            Route("/static/{name}", file),
        ],
        middleware=[Middleware(GZipMiddleware)],
        exception_handlers={PrintcheckError: _refused, ClientDisconnect: _left, HTTPException: _plain},
        lifespan=lifespan,
    )
    return Guard(app, hosts=hosts, codes=codes)


async def _measure(request: Request) -> Response:
    form, photos = await read_measure(request)
    scale = one_scale(bar=form.bar, **{name: getattr(form, name) for name in SCALES})
    asked = (scale, form.selvedge, form.overlay == "1")
    return await _worked(request, worker.measure, asked, photos, form.ticket)


async def _length(request: Request) -> Response:
    asked = await read_length(request)
    return await _worked(request, worker.length, asked, [], asked.ticket)


async def _worked(
    request: Request, task: Callable[..., bytes], asked: object, photos: list[Photo], ticket: str | None
) -> Response:
    async def gone() -> None:
        while (await request.receive())["type"] != "http.disconnect":
            pass

    body = await request.app.state.workers.run(task, asked, photos, ticket=ticket, gone=gone)
    return Response(body, media_type="application/json")


async def _progress(request: Request) -> Response:
    state, place, stage = request.app.state.workers.progress(request.path_params["ticket"])
    return JSONResponse(msgspec.to_builtins(ProgressDocument(state, place, stage)))


async def _openapi(_: Request) -> Response:
    return JSONResponse(description())


async def _health(_: Request) -> Response:
    return PlainTextResponse("ok")


async def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, PrintcheckError)
    return error_answer(refused(error))


async def _left(_: Request, __: Exception) -> Response:
    return Response(status_code=400)  # nobody is there to read it


async def _plain(_: Request, error: Exception) -> Response:
    """What the routes do not know: a wrong address or method."""
    assert isinstance(error, HTTPException)
    words = {404: "There is nothing at this address.", 405: "This address is not asked in this way."}
    text = words.get(error.status_code, "The request cannot be answered.")
    answer = error_answer(RefusedError("no-such-request", error.status_code, text, "See /openapi.json."))
    answer.headers.update(error.headers or {})
    return answer


def description() -> dict[str, Any]:
    """The whole document, OpenAPI 3.1."""
    _, schemas = msgspec.json.schema_components(
        [*REQUESTS, *ANSWERS], ref_template="#/components/schemas/{name}"
    )
    form = schemas["MeasureForm"]
    photos = {"type": "array", "items": {"type": "string", "format": "binary"}, "minItems": 1}
    form["properties"] = {"photo": photos | {"maxItems": MOST_PHOTOS}, **form["properties"]}
    form["required"] = ["photo"]
    runs = {"description": "It runs.", "content": {"text/plain": {"schema": {"type": "string"}}}}
    ticket = {"name": "ticket", "in": "path", "required": True, "schema": {"type": "string"}}
    how_far = {"description": "How far it has come.", "content": _ref("ProgressDocument")}
    progress = {"operationId": "progress", "parameters": [ticket], "responses": {"200": how_far}}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "printcheck",
            "version": __version__,
            "description": "A printed cloth measured from a photo, and the length to buy.",
        },
        "paths": {
            "/measure": {"post": _post("measure", "multipart/form-data", "MeasureForm", "Measurement")},
            "/length": {"post": _post("length", JSON, "LengthRequest", "LengthPlan")},
            "/health": {"get": {"operationId": "health", "responses": {"200": runs}}},
            "/progress/{ticket}": {"get": progress},
        },
        "components": {"schemas": schemas},
    }


def _ref(name: str, kind: str = JSON) -> dict[str, Any]:
    return {kind: {"schema": {"$ref": f"#/components/schemas/{name}"}}}


def _post(name: str, kind: str, asked: str, answer: str) -> dict[str, Any]:
    return {
        "operationId": name,
        "requestBody": {"required": True, "content": _ref(asked, kind)},
        "responses": {
            "200": {"description": "The answer.", "content": _ref(answer)},
            **{
                status: {"description": text, "content": _ref("ErrorDocument")}
                for status, text in TROUBLE.items()
            },
        },
    }
