"""Listening, the address and its code for a phone, and a stop within five seconds."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from printcheck.core.errors import InputError
from printcheck.web import Wanted
from printcheck.web.app import application
from printcheck.web.guard import Codes
from printcheck.web.workers import Workers

ANY_ADDRESS = ("0.0.0.0", "::")  # listening on every network of this machine
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
STOP_S = 1  # seconds for answers under way once the page is stopped
HEADERS_S = 10.0  # seconds until a connection must have asked something
MOST_CONNECTIONS = 200  # at once


class Protocol(H11Protocol):
    """HTTP whose connections are closed when their request's head does not come in time."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Start the clock."""
        super().connection_made(transport)
        self._clock = self.loop.call_later(HEADERS_S, self._close_silent)

    def on_response_complete(self) -> None:
        """Start the clock again for the next request of this connection."""
        super().on_response_complete()
        self._clock.cancel()
        self._clock = self.loop.call_later(HEADERS_S, self._close_silent)

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop the clock."""
        self._clock.cancel()
        super().connection_lost(exc)

    def _close_silent(self) -> None:
        asked: Any = self.cycle
        if (asked is None or asked.response_complete) and not self.transport.is_closing():
            self.transport.close()


def serve(wanted: Wanted, *, say: Callable[[str], None]) -> None:
    """Serve until stopped; see :func:`printcheck.web.run`."""
    host = "0.0.0.0" if wanted.share and wanted.host == "127.0.0.1" else wanted.host
    listening = _listening(host, wanted.port)
    port = listening.getsockname()[1]
    shown = own_address() if host in ANY_ADDRESS else host
    address = wanted.public.rstrip("/") or f"http://{f'[{shown}]' if ':' in shown else shown}:{port}"
    codes = None
    if wanted.share:
        codes = Codes(lambda code: _tell(f"{address}/?code={code}", say, "One phone can open, once:"))
        codes.renew()
    else:
        _tell(f"{address}/", say, "printcheck is at")
    say("Stop with Ctrl-C.")
    workers = Workers(seconds=wanted.seconds)
    app = application(hosts=hosts_of(address, port), workers=workers, codes=codes)
    config = uvicorn.Config(
        app,
        http=Protocol,
        log_level="critical",
        access_log=False,  # a query may hold a code
        proxy_headers=False,
        server_header=False,
        timeout_keep_alive=5,
        timeout_graceful_shutdown=STOP_S,
        limit_concurrency=MOST_CONNECTIONS,
    )
    with listening:
        uvicorn.Server(config).run(sockets=[listening])


def hosts_of(address: str, port: int) -> set[str]:
    """Host headers under which the page may be asked: this machine's own, and the address that was told.

    Examples
    --------
    >>> sorted(hosts_of("https://cloth.example", 8421))[-2:]
    ['cloth.example', 'localhost:8421']
    """
    return {*(f"{name}:{port}" for name in LOOPBACK), urlsplit(address).netloc.lower()}


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((host, port))
        made.listen(MOST_CONNECTIONS)
    except (OSError, UnicodeError) as error:
        made.close()
        raise InputError(
            "cannot-listen",
            f"{host}:{port} cannot be listened on: {getattr(error, 'strerror', None) or error}.",
            "Choose another --port or --host.",
        ) from None
    return made


def own_address() -> str:
    """Address of this machine in its network; no packet is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): only the route is looked up
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])


def _tell(address: str, say: Callable[[str], None], words: str) -> None:
    """The address, and its QR code in letters to point a phone at."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out, compact=True)
    say(f"{words} {address}\n{out.getvalue()}")
