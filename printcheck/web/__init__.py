"""The page for a phone or a desk, and the two questions behind it over HTTP.

``run`` serves; everything heavy happens in worker processes (:mod:`printcheck.web.workers`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from printcheck.core.errors import InputError

PARTS = ("starlette", "uvicorn", "python_multipart", "segno", "jinja2")  # modules of the extra ``web``


@dataclass(frozen=True)
class Wanted:
    """How to serve."""

    host: str = "127.0.0.1"
    port: int = 8421  # 0 takes any free one
    share: bool = False  # let phones of the same network in, with a code that works once
    public: str = ""  # address under which a proxy shows the page, such as ``https://cloth.example``
    seconds: float = 20.0  # for one request's work


def run(wanted: Wanted, *, say: Callable[[str], None]) -> None:
    """Serve the page until stopped; ``say`` takes the lines for the user.

    Raises
    ------
    InputError
        If the extra ``web`` is not installed or the port cannot be listened on.
    """
    import importlib.util

    if missing := [name for name in PARTS if importlib.util.find_spec(name) is None]:
        raise InputError(
            "web-missing",
            f"The page needs parts that are not installed: {', '.join(missing)}.",
            f"Install them with: {install_command()}",
        )
    from printcheck.web.serving import serve

    serve(wanted, say=say)


def install_command() -> str:
    """The command that installs the missing parts from where the user is.

    It names the packages themselves, since printcheck may have been installed from a folder that is gone.
    """
    import shlex
    import sys
    from importlib.metadata import PackageNotFoundError, requires

    try:
        stated = requires("printcheck") or []
    except PackageNotFoundError:
        stated = []
    wanted = [line.partition(";")[0].strip() for line in stated if 'extra == "web"' in line.replace("'", '"')]
    return shlex.join([sys.executable, "-m", "pip", "install", *(wanted or PARTS)])
