"""``printcheck length``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from printcheck import pipeline
from printcheck.cli import options
from printcheck.cli.defaults import cloth_settings
from printcheck.cli.options import PATH, wrote
from printcheck.core.errors import InputError
from printcheck.core.handover import MeasuredPhoto
from printcheck.core.units import UnitSystem, parse_positive_length

if TYPE_CHECKING:
    from printcheck.core.plan import Print, Project

# what is asked of a plan: with one of them, --write goes on to plan the project as well
PLANNED_WITH = ("photo", "repeat", "measurement", "widths", "have", "layout", "report")


@click.command()
@click.argument("project", required=False, type=PATH)
@click.option("--kind", metavar="NAME", help="A built-in project instead of a file; --kind list names them.")
@click.option(
    "--set", "settings", multiple=True, metavar="NAME=VALUE", help="A size of the built-in project."
)
@click.option("--write", type=PATH, metavar="OUT.toml", help="Write the project out for editing.")
@click.option("--photo", type=PATH, help="Photo of the cloth: takes the print from it.")
@click.option("--repeat", metavar="TEXT", help='Print in words, such as "64mm x 64mm half-drop".')
@click.option("--measurement", type=PATH, metavar="FILE.json", help="Print from measure --json.")
@options.scale_options
@options.selvedge_option
@click.option("--seconds", type=click.FloatRange(0.5, 3600), default=10.0, help="Effort of the search.")
@click.option(
    "--match",
    type=click.Choice(["all", "visible", "none"]),
    help="Seams to match: all, but none of a built-in project on a print that needs no match.",
)
@click.option("--width", "widths", multiple=True, metavar="LENGTH", help="Compare widths; give it again.")
@click.option("--have", metavar="LENGTH", help="A length at hand: is it enough, and what to give up if not.")
@click.option(
    "--start-allowance/--no-start-allowance",
    default=None,
    help="Buy more because the shop's cut falls anywhere on the print; by itself where a motif is placed.",
)
@options.units_option
@options.json_option
@click.option("--layout", type=PATH, metavar="OUT.svg|pdf|png", help="Write the cutting layout.")
@click.option(
    "--paper",
    type=click.Choice(["both", "A4", "letter", "A0"]),
    default="both",
    help="Paper of the sheets at full size in --layout OUT.pdf; both prints on A4 and letter.",
)
@options.report_option
@options.open_option
def length(project: Path | None, units: UnitSystem, as_json: bool, **asked: Any) -> None:  # noqa: ANN401
    """Length to buy for a sewing PROJECT on a print, and its cutting layouts.

    The print comes from the project file, or from one of --photo, --repeat and --measurement.
    """
    from printcheck.core.system import atomic
    from printcheck.report import write_json
    from printcheck.report.words import text

    atomic.check_outputs(
        {f"--{name}": asked[name] for name in ("layout", "report", "write")},
        inputs=(project, asked["photo"], asked["measurement"]),
    )
    options.check_page(asked["show_page"], asked["report"], "--report OUT.html")
    if asked["kind"] == "list":
        from printcheck.project import describe_kinds

        click.echo(describe_kinds())
        return
    have = None if asked["have"] is None else parse_positive_length(asked["have"], place="--have")
    if have is not None and project is None and asked["kind"] is None:
        _kinds_at_hand(have, asked, units, as_json=as_json)
        return
    job = project_asked(project, asked["kind"], asked["settings"])
    if asked["write"]:
        from printcheck.project import write_project
        from printcheck.report.words.findings import safety_remarks

        write_project(job, asked["write"], remarks=safety_remarks(job.findings))
        wrote(asked["write"])
        if not ((as_json and job.print) or any(asked[name] for name in PLANNED_WITH)):
            return
    effort = pipeline.Effort(asked["seconds"], asked["match"], asked["start_allowance"])
    widths = tuple(parse_positive_length(w, place="--width") for w in asked["widths"])
    with options.Progress("measuring the photo", show=not as_json) as progress:
        measured = measured_photo(asked)
        planned = pipeline.plan_length(
            job,
            print_asked(asked, measured, job),
            effort,
            widths_mm=widths,
            have_mm=have,
            measured=measured,
            progress=progress,
        )
    if asked["layout"]:
        from printcheck.report.page import layout_file

        layout_file.write(asked["layout"], planned, units=units, paper=asked["paper"])
        wrote(asked["layout"])
    if asked["report"]:
        from printcheck.report.page import page_file

        page_file.write(asked["report"], measured=measured, planned=planned, units=units)
        wrote(asked["report"])
    click.echo(
        write_json.dumps(write_json.document(planned.plan)) if as_json else text.length(planned.plan, units)
    )
    if asked["show_page"]:
        options.show_page(asked["report"])


def _kinds_at_hand(have_mm: float, asked: dict[str, Any], units: UnitSystem, *, as_json: bool) -> None:
    """Say which built-in kinds a length at hand does for."""
    from printcheck.batch.side_by_side import kinds_at_hand
    from printcheck.report import write_json
    from printcheck.report.words import length_at_hand, text

    cloth = project_asked(None, "napkin", asked["settings"]).cloth  # one cloth for all of them
    with options.Progress("trying each kind of project", show=not as_json):
        printed = print_asked(asked, measured_photo(asked), None)
        found = kinds_at_hand(have_mm, printed, cloth=cloth, seconds=asked["seconds"])
    words = text.write(length_at_hand.kinds(found, units))
    click.echo(write_json.dumps(write_json.document(found)) if as_json else words)


def project_asked(path: Path | None, kind: str | None, settings: tuple[str, ...]) -> Project:
    """Project of a file, or a built-in one in the sizes given as NAME=VALUE."""
    from printcheck.project import built_in, load_project

    if (path is None) == (kind is None):
        raise InputError(
            "no-project", "Give either a project file or --kind, one of the two.", "Try: length --kind list."
        )
    if path is not None:
        if settings:
            raise InputError("set-without-kind", "--set goes with --kind.", "Edit the project file instead.")
        return load_project(path)
    pairs = [s.partition("=") for s in settings]
    if any(not (name and eq) for name, eq, _ in pairs):
        raise InputError("malformed-setting", "--set: write NAME=VALUE.", "Such as --set drop=210cm.")
    given = {name.strip(): value.strip() for name, _, value in pairs}
    return built_in(str(kind), {**cloth_settings(), **given})


def measured_photo(asked: dict[str, Any]) -> MeasuredPhoto | None:
    """Measure the photo, if one is named, and refuse two sources of the print at once."""
    sources = [n for n in ("photo", "repeat", "measurement") if asked[n]]
    if len(sources) > 1:
        raise InputError(
            "two-prints", f"Two prints at once: --{' and --'.join(sources)}.", "Give only one of them."
        )
    if not asked["photo"]:
        return None
    return pipeline.measure_photo(asked["photo"], pipeline.Options(asked["scale"], asked["selvedge"]))


def print_asked(asked: dict[str, Any], measured: MeasuredPhoto | None, job: Project | None) -> Print:
    """Print from wherever it is named: photo, words, measurement or project."""
    from printcheck import project

    if measured is not None:
        return project.print_from_measurement(measured.measurement)
    if asked["repeat"]:
        return project.parse_print(asked["repeat"])
    if asked["measurement"]:
        return project.read_measurement(asked["measurement"])
    if job is None or job.print is None:
        raise InputError(
            "no-print",
            f"{job.name}: the project names no print." if job else "No print is named.",
            "Add [print] to the file, or give --photo, --repeat or --measurement.",
        )
    return job.print
