"""``printcheck measure``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from printcheck import pipeline
from printcheck.cli import options as shared
from printcheck.cli.options import PATH, metres_of, wrote
from printcheck.core.errors import NoAnswerError
from printcheck.core.request import ScaleRequest
from printcheck.core.units import UnitSystem


@click.command()
@click.argument("photo", nargs=-1, required=True, type=PATH)
@shared.scale_options
@shared.selvedge_option
@shared.viewing_option
@shared.units_option
@shared.json_option
@click.option("--detail", is_flag=True, help="Say every number too, not only what to do.")
@click.option("--picture", type=PATH, metavar="OUT.png|svg", help="Write the photo with what was found.")
@shared.report_option
@shared.open_option
def measure(
    photo: tuple[Path, ...],
    scale: ScaleRequest,
    selvedge: pipeline.Selvedge,
    viewing_distance: str,
    units: UnitSystem,
    as_json: bool,
    detail: bool,
    **outputs: Any,  # noqa: ANN401
) -> None:
    """Scale, repeat, motif, direction, clumps and difficulty of PHOTO.

    Several overlapping photos of one swatch are measured as one, and only one has to show the object of
    known size. A width, two points or corners that you state are those of the first.
    """
    from printcheck.core.system import atomic
    from printcheck.report import write_json
    from printcheck.report.words import text

    atomic.check_outputs({f"--{name}": outputs[name] for name in ("picture", "report")}, inputs=photo)
    shared.check_page(outputs["show_page"], outputs["report"], "--report OUT.html")
    options = pipeline.Options(scale, selvedge, metres_of(viewing_distance))
    with shared.Progress(f"measuring {photo[0].name}", show=not as_json) as progress:
        try:
            measured = pipeline.measure_photos(photo, options, progress=progress)
        except NoAnswerError as error:
            if outputs["picture"] and error.outline_px and len(photo) == 1:
                from printcheck.photo import open_picture
                from printcheck.report.drawing import photo_overlay

                photo_overlay.write_question(outputs["picture"], open_picture(photo[0]), error)
                wrote(outputs["picture"])
            raise
    if outputs["picture"]:
        from printcheck.report.drawing import photo_overlay

        photo_overlay.write(outputs["picture"], measured, units=units)
        wrote(outputs["picture"])
    if outputs["report"]:
        from printcheck.report.page import page_file

        page_file.write(outputs["report"], measured=measured, units=units)
        wrote(outputs["report"])
    document = write_json.document(measured.measurement)
    said = "" if as_json else text.measurement(measured.measurement, units, detail=detail)
    click.echo(write_json.dumps(document) if as_json else said)
    if outputs["show_page"]:
        shared.show_page(outputs["report"])
