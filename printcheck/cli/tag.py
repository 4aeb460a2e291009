"""``printcheck tag``."""

from __future__ import annotations

import sys
from typing import Any

import click

from printcheck.cli import options
from printcheck.cli.options import PATH

SOME_FAILED = 3  # exit status where some rows have no answer


@click.command()
@click.argument("source", metavar="FOLDER")
@options.scale_options
@options.selvedge_option
@click.option("--out", type=PATH, metavar="OUT.csv", help="Write the table there; else it is printed.")
@click.option("--jsonld", type=PATH, metavar="OUT.jsonld", help="Write schema.org product markup.")
@click.option(
    "--contact-sheet", "sheet", type=PATH, metavar="OUT.html", help="Write a page of small pictures."
)
@options.open_option
@click.option("--kind", default="", metavar="NAME", help="Built-in project: what matching adds to it.")
@options.units_option
@click.option("--workers", type=click.IntRange(1, 256), help="Processes; by default one per core.")
@click.option("--time-limit", type=click.FloatRange(1, 3600), default=60.0, help="Seconds for one photo.")
@click.option("--journal", type=PATH, metavar="FILE", help="Where results are kept to go on from.")
@click.option("--cluster", metavar="ADDRESS", help="Dask scheduler that does the work instead.")
def tag(source: str, time_limit: float, show_page: bool, **asked: Any) -> None:  # noqa: ANN401
    """Tag every photo below FOLDER, or of a CSV list: one row each, in the order given.

    Exits with 0 when every row has an answer, with 3 when some failed. Stop it as you like and run it
    again: only the rest is done. A list has a column file and, as you like, one scale of its own in each
    row, by the names of the options (mm_per_px, cloth_width and so on); further columns are carried
    through.
    """
    from printcheck.batch import TagOptions
    from printcheck.batch import tag as run_tag

    options.check_page(show_page, asked["sheet"], "--contact-sheet OUT.html")
    try:
        with options.Progress("reading the list") as say:

            def progress(done: int, total: int, seconds_each: float) -> None:
                say(_rate(done, total, seconds_each), done / total)

            summary = run_tag(
                source, TagOptions(seconds=time_limit, **asked), stdout=sys.stdout, progress=progress
            )
    except KeyboardInterrupt:
        click.echo("Run the same command again to go on from there.", err=True)
        raise
    click.echo(summary.text(), err=True)
    if show_page:
        options.show_page(asked["sheet"])
    if summary.failed:
        raise click.exceptions.Exit(SOME_FAILED)


def _rate(done: int, total: int, seconds_each: float) -> str:
    left = round((total - done) * seconds_each)
    rate = 1 / max(seconds_each, 1e-9)
    return f"tagging: {done} of {total} are done, {rate:.1f} a second, {left // 60}:{left % 60:02d} left"
