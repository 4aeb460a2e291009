"""``printcheck scalecard`` and ``demo``."""

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
