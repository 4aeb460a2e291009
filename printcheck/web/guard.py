"""Before every request and after every answer: who may ask, and the headers that keep a browser safe."""

from __future__ import annotations

import asyncio
import hmac
import secrets
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, RedirectResponse, Response

from printcheck.web.problems import RefusedError, internal

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "printcheck"
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; "
    "img-src 'self' blob: data:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=()",
    "Cache-Control": "no-store",
}
SAME_SITE = {"same-origin", "none"}  # values of Sec-Fetch-Site that a page of ours or the user causes
WRONG_HOST = RefusedError(
    "wrong-host", 421, "The page is not served under this name.", "Use the address it told."
)
WRONG_ORIGIN = RefusedError(
    "wrong-origin", 403, "The request comes from another site.", "Use the page itself."
)
NO_CODE = RefusedError(
    "no-code", 403, "This page is shared by a code that works once.", "Point the camera at the code again."
)
STOPPING = RefusedError("stopping", 503, "The page is being closed.", "Open it again later.")
FREE = {"/health"}  # answers without the code of a shared page


@dataclass
class Codes:
    """Codes that let a phone in, each once; a new one is told when the last is taken."""

    tell: Callable[[str], None]
    code: str = ""
    tokens: set[str] = field(default_factory=set)

    def renew(self) -> None:
        """Make a new code and tell it."""
        self.code = secrets.token_urlsafe(12)  # 96 bits: cannot be guessed
        self.tell(self.code)

    def taken(self, code: str) -> str | None:
        """Token for the browser that shows the code, which is worth nothing from then on."""
        if not hmac.compare_digest(code.encode(), self.code.encode()):
            return None
        token = secrets.token_urlsafe(24)
        self.tokens.add(token)
        self.renew()
        return token


class Guard:
    """Middleware round the whole application; without ``codes`` everyone is let in who reaches it."""

    def __init__(self, app: ASGIApp, *, hosts: set[str], codes: Codes | None = None) -> None:
        self.app, self.hosts, self.codes = app, hosts, codes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        sent = _Sent(send)
        try:
            answer = self._refusal(scope)
            await (answer or self.app)(scope, receive, sent)
        except asyncio.CancelledError:  # the page is stopped while it works
            if not sent.started:
                await error_answer(STOPPING)(scope, receive, sent)
            raise
        except Exception as error:
            sys.stderr.write(f"printcheck: fault of the page: {type(error).__name__}\n")
            if not sent.started:
                await error_answer(internal(error))(scope, receive, sent)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if headers.get("host", "").lower() not in self.hosts:
            return error_answer(WRONG_HOST)
        origin = headers.get("origin")
        if scope["method"] not in ("GET", "HEAD") and (
            (origin is not None and origin.lower().partition("://")[2] not in self.hosts)
            or headers.get("sec-fetch-site", "none") not in SAME_SITE
        ):
            return error_answer(WRONG_ORIGIN)
        return None if self.codes is None or scope["path"] in FREE else self._admission(scope, headers)

    def _admission(self, scope: Scope, headers: Headers) -> Response | None:
        assert self.codes is not None
        cookies = [part.strip().partition("=") for part in headers.get("cookie", "").split(";")]
        if any(name == COOKIE and value in self.codes.tokens for name, _, value in cookies):
            return None
        code = parse_qs(scope["query_string"].decode("latin-1")).get("code", [""])[0]
        if scope["method"] == "GET" and (token := self.codes.taken(code)):
            answer = RedirectResponse("/", 303)
            answer.set_cookie(COOKIE, token, httponly=True, samesite="lax")
            return answer
        return error_answer(NO_CODE)


class _Sent:
    """Sends an answer with our headers."""

    def __init__(self, send: Send) -> None:
        self.send, self.started = send, False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(raw=message.setdefault("headers", []))
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await self.send(message)


def error_answer(error: RefusedError) -> Response:
    """The error document with its status."""
    from printcheck.report import write_json

    body: dict[str, Any] = write_json.error(error)
    return JSONResponse(body, error.status)
