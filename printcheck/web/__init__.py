"""The page for a phone or a desk: a thin shell over the pipeline."""

from __future__ import annotations

import socket
from collections.abc import Callable

from printcheck.core.errors import InputError

ANY_ADDRESS = ("0.0.0.0", "::")  # listening on every network of this machine


def run(host: str, port: int, *, say: Callable[[str], None]) -> None:
    """Serve the page until stopped.

    Parameters
    ----------
    host, port : str, int
        Where to listen; ``0.0.0.0`` lets a phone in the same network open it.
    say : callable
        Takes the lines for the user.

    Raises
    ------
    InputError
        If the extra ``web`` is not installed or the port is taken.
    """
    try:
        import uvicorn

        from printcheck.web.app import application
    except ImportError:
        raise InputError(
            "web-missing", "The page needs the extra part web.", 'Install it: pip install "printcheck[web]".'
        ) from None
    _refuse_taken(host, port)
    address = f"http://{_own_address() if host in ANY_ADDRESS else host}:{port}/"
    say(f"printcheck is at {address}  (stop with Ctrl-C)")
    if host in ANY_ADDRESS:
        say(_code(address))
    uvicorn.run(application(), host=host, port=port, log_level="warning")


def _refuse_taken(host: str, port: int) -> None:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
    except (OSError, UnicodeError) as error:
        raise InputError(
            "cannot-listen",
            f"{host}:{port} cannot be listened on: {getattr(error, 'strerror', None) or error}.",
            "Choose another --port or --host.",
        ) from None


def _own_address() -> str:
    """Address of this machine in its network; no packet is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 (RFC 5737): only the route is looked up
        except OSError:
            return "127.0.0.1"
        return str(probe.getsockname()[0])


def _code(address: str) -> str:
    """QR code of the address in letters, to point a phone at."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="l").terminal(out, compact=True)
    return out.getvalue()
