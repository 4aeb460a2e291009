"""``printcheck scalecard``, ``demo`` and ``serve``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from printcheck.cli import options
from printcheck.cli.options import PATH, wrote


@click.command()
@click.argument("file", type=PATH)
@click.option("--size", type=click.Choice(["card", "A5"]), default="card", help="Credit-card or A5 size.")
def scalecard(file: Path, size: Any) -> None:  # noqa: ANN401
    """Write a card to print (FILE ends in .pdf, .svg or .png) and lay on the cloth."""
    from printcheck.report.page.scalecard_file import write_scalecard

    write_scalecard(file, size=size)
    wrote(file)


@click.command()
@click.option("--folder", type=PATH, default=Path("printcheck-results"), help="Where results go.")
@click.option("--seconds", type=click.FloatRange(0.5, 600), default=5.0, help="Effort for the layout.")
@options.open_option
def demo(folder: Path, seconds: float, show_page: bool) -> None:
    """Run the whole job on the bundled sample images and project."""
    from printcheck.demo import FIRST_PAGE, run

    with options.Progress(f"working on the samples; the results so far lie in {folder}", show=False):
        run(folder, seconds=seconds, say=click.echo)
    if show_page:
        options.show_page(folder / FIRST_PAGE)


PORT = 8421  # for the page: a free one of the registered range, from memory


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True)
@click.option("--share", is_flag=True, help="Let phones of the same network in, with a code that works once.")
@click.option("--public", default="", metavar="URL", help="Address under which a proxy shows the page.")
def serve(host: str, port: int, share: bool, public: str) -> None:
    """Serve the page for a phone or a desk until stopped with Ctrl-C."""
    from printcheck.web import Wanted, run

    run(Wanted(host, port, share, public), say=lambda text: click.echo(text, err=True))
