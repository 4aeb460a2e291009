"""``printcheck serve``."""

from __future__ import annotations

import click

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
