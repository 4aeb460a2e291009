"""``printcheck compare``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from printcheck import pipeline
from printcheck.cli import options
from printcheck.cli.length import project_asked
from printcheck.cli.options import PATH
from printcheck.core.errors import InputError
from printcheck.core.units import UnitSystem

if TYPE_CHECKING:
    from printcheck.core.measurement import Measurement
    from printcheck.core.plan import Print

FEWEST = 2  # cloths to compare


@click.command()
@click.argument("cloths", nargs=-1, required=True, type=PATH)
@click.option("--project", type=PATH, help="Project file to cut from each.")
@click.option("--kind", metavar="NAME", help="A built-in project instead; length --kind list names them.")
@click.option(
    "--set", "settings", multiple=True, metavar="NAME=VALUE", help="A size of the built-in project."
)
@options.scale_options
@options.selvedge_option
@click.option("--seconds", type=click.FloatRange(0.5, 3600), default=10.0, help="Effort of the search.")
@options.units_option
@options.json_option
def compare(
    cloths: tuple[Path, ...],
    units: UnitSystem,
    as_json: bool,
    **asked: Any,  # noqa: ANN401
) -> None:
    """Two or more CLOTHS for one project side by side: photos, or files of measure --json."""
    from printcheck.batch import side_by_side
    from printcheck.project import refitted
    from printcheck.report import write_json
    from printcheck.report.words import length_at_hand, text
    from printcheck.report.words.headline import kind_of_print

    if len(cloths) < FEWEST:
        raise InputError("one-cloth", "compare: one cloth alone is named.", "Name two photos or more.")
    job = project_asked(asked["project"], asked["kind"], asked["settings"])
    with options.Progress(f"comparing {len(cloths)} cloths", show=not as_json):
        found = side_by_side.compare(
            [(path, *_read(path, asked)) for path in cloths],
            lambda printed: refitted(job, print_=printed),
            kind_of_print,
            seconds=asked["seconds"],
        )
    words = text.write(length_at_hand.comparison(found, units))
    click.echo(write_json.dumps(write_json.document(found)) if as_json else words)


def _read(path: Path, asked: dict[str, Any]) -> tuple[Measurement, Print]:
    from printcheck.core.results import read_json
    from printcheck.project import print_from_measurement, read_measurement

    if path.suffix.lower() == ".json":
        printed = read_measurement(path)  # tells what is wrong with the file
        return read_json.measurement(read_json.loads(path.read_bytes())), printed
    photo = pipeline.measure_photo(path, pipeline.Options(asked["scale"], asked["selvedge"]))
    return photo.measurement, print_from_measurement(photo.measurement)
