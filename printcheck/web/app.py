"""The application: the page and its files, ``/measure``, ``/length``, their progress and description."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

import msgspec
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from printcheck.core.errors import PrintcheckError
from printcheck.core.request import SCALES, one_scale
from printcheck.web import worker
from printcheck.web.asked import ProgressDocument
from printcheck.web.guard import Codes, Guard, error_answer
from printcheck.web.openapi import description
from printcheck.web.page import file, page, prepare
from printcheck.web.problems import RefusedError, refused
from printcheck.web.upload import Photo, read_length, read_measure
from printcheck.web.workers import Workers

if TYPE_CHECKING:
    from starlette.requests import Request


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
