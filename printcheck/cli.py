"""The command line: a thin shell that reads options, calls the pipeline and prints.

Results go to standard output, everything else to standard error. With ``--json`` standard output holds
exactly one JSON document, on failure the error document. No traceback ever reaches a user.
"""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from printcheck import __version__, pipeline
from printcheck.errors import InputError, NoAnswerError, PrintcheckError
from printcheck.scaling import ScaleRequest, one_scale
from printcheck.units import UnitSystem, parse_positive_length

if TYPE_CHECKING:
    from printcheck.plan import Print, Project

F = TypeVar("F", bound=Callable[..., Any])
PHOTO_PATH = click.Path(path_type=Path)
DEBUG_VARIABLE = "PRINTCHECK_DEBUG"  # set it to see the traceback of a fault of ours
NEAREST_M, FARTHEST_M = 0.1, 100.0  # metres: a viewing distance outside these is a slip

SCALE_OPTIONS = (
    click.option("--reference", metavar="OBJECT", help="Object of known size to look for: auto, card, board, "
                 "rule, A4, A5, A6, letter, coin:NAME, coin:23.25mm or rect:105x148mm."),
    click.option("--mm-per-px", metavar="F", help="Millimetres per pixel of the photo."),
    click.option("--dpi", metavar="F", help="Dots per inch of a scan."),
    click.option("--photo-width", metavar="LENGTH", help="Cloth shown from left to right, such as 40cm."),
    click.option("--span", metavar="X1,Y1,X2,Y2=LENGTH", help="Two points of the photo and their distance."),
    click.option("--corners", metavar="X1,Y1,...,X4,Y4=WxHmm", help="Four corners of a rectangle, in "
                 "order round it; undoes the tilt."),
    click.option("--bar", metavar="LENGTH", help="Length of the bar on your printed scale card, as measured."),
)  # fmt: skip


def scale_options(command: F) -> F:
    """Give a command the scale options and hand it one ``scale``."""

    @functools.wraps(command)
    def with_scale(*args: Any, **kwargs: Any) -> Any:  # noqa: ANN401  click hands over anything
        names = ("reference", "mm_per_px", "dpi", "photo_width", "span", "corners", "bar")
        kwargs["scale"] = one_scale(**{name: kwargs.pop(name) for name in names})
        return command(*args, **kwargs)

    for option in reversed(SCALE_OPTIONS):
        with_scale = option(with_scale)
    return with_scale  # type: ignore[return-value]


json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
units_option = click.option(
    "--units", type=click.Choice(["metric", "imperial"]), default="metric", help="Units of the text."
)
selvedge_option = click.option(
    "--selvedge",
    type=click.Choice(["vertical", "horizontal"]),
    default="vertical",
    help="How the selvedge (the woven edge of the cloth) runs in the photo.",
)
viewing_option = click.option(
    "--viewing-distance", metavar="LENGTH", default="1.5m", help="From where a seam is judged."
)
report_option = click.option(
    "--report", type=PHOTO_PATH, metavar="OUT.html|pdf", help="Write a page to keep or print."
)


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="printcheck")
def cli() -> None:
    """Measure a printed cloth from a photo, and the length to buy."""


@cli.command()
@click.argument("photo", nargs=-1, required=True, type=PHOTO_PATH)
@scale_options
@selvedge_option
@viewing_option
@units_option
@json_option
@click.option(
    "--picture", type=PHOTO_PATH, metavar="OUT.png|svg", help="Write the photo with what was found."
)
@report_option
@click.option("--working", type=PHOTO_PATH, metavar="FOLDER", help="Write each stage's debug pictures.")
def measure(
    photo: tuple[Path, ...],
    scale: ScaleRequest,
    selvedge: pipeline.Selvedge,
    viewing_distance: str,
    units: UnitSystem,
    as_json: bool,
    **outputs: Path | None,
) -> None:
    """Scale, repeat, motif, direction, clumps and difficulty of PHOTO.

    Several overlapping photos of one swatch are measured as one.
    """
    from printcheck.report import files, to_json, to_text

    files.check_outputs({f"--{name}": outputs[name] for name in ("picture", "report")}, inputs=photo)
    options = pipeline.Options(scale, selvedge, _metres(viewing_distance), _working(outputs["working"]))
    measured = pipeline.measure_photos(photo, options)
    if outputs["picture"]:
        from printcheck.report import to_picture

        to_picture.write(outputs["picture"], measured, photo=photo[0], units=units)
        _wrote(outputs["picture"])
    if outputs["report"]:
        from printcheck.report import to_page

        to_page.write(outputs["report"], measured=measured, photo=photo[0], units=units)
        _wrote(outputs["report"])
    document = to_json.measurement(measured.measurement)
    click.echo(to_json.dumps(document) if as_json else to_text.measurement(measured.measurement, units))


@cli.command()
@click.argument("project", required=False, type=PHOTO_PATH)
@click.option("--kind", metavar="NAME", help="A built-in project instead of a file; --kind list names them.")
@click.option(
    "--set", "settings", multiple=True, metavar="NAME=VALUE", help="A size of the built-in project."
)
@click.option("--write", type=PHOTO_PATH, metavar="OUT.toml", help="Write the project out for editing.")
@click.option("--photo", type=PHOTO_PATH, help="Photo of the cloth: takes the print from it.")
@click.option("--repeat", metavar="TEXT", help='Print in words, such as "64mm x 64mm half-drop".')
@click.option("--measurement", type=PHOTO_PATH, metavar="FILE.json", help="Print from measure --json.")
@scale_options
@selvedge_option
@click.option("--seconds", type=click.FloatRange(0.5, 3600), default=10.0, help="Effort of the search.")
@click.option("--match", type=click.Choice(["all", "visible", "none"]), default="all", help="Seams to match.")
@click.option("--width", "widths", multiple=True, metavar="LENGTH", help="Compare widths; give it again.")
@click.option("--start-allowance", is_flag=True, help="Add for cutting from where the shop's cut fell.")
@units_option
@json_option
@click.option("--layout", type=PHOTO_PATH, metavar="OUT.svg", help="Write the cutting layout.")
@report_option
def length(project: Path | None, units: UnitSystem, as_json: bool, **asked: Any) -> None:  # noqa: ANN401
    """Length to buy for a sewing PROJECT on a print, and its cutting layouts.

    The print comes from the project file, or from one of --photo, --repeat and --measurement.
    """
    from printcheck.report import files, to_json, to_text

    files.check_outputs(
        {f"--{name}": asked[name] for name in ("layout", "report", "write")},
        inputs=(project, asked["photo"], asked["measurement"]),
    )
    if asked["kind"] == "list":
        from printcheck.project import describe_kinds

        click.echo(describe_kinds())
        return
    job = _project(project, asked["kind"], asked["settings"])
    if asked["write"]:
        from printcheck.project import write_project

        write_project(job, asked["write"])
        _wrote(asked["write"])
        return
    measured = _measured(asked)
    effort = pipeline.Effort(asked["seconds"], asked["match"], asked["start_allowance"])
    widths = tuple(parse_positive_length(w, place="--width") for w in asked["widths"])
    with _Progress(show=not as_json) as progress:
        planned = pipeline.plan_length(
            job, _print(asked, job, measured), effort, widths_mm=widths, measured=measured, progress=progress
        )
    if asked["layout"]:
        from printcheck.report import to_layout

        to_layout.write(asked["layout"], planned)
        _wrote(asked["layout"])
    if asked["report"]:
        from printcheck.report import to_page

        to_page.write(asked["report"], measured=measured, planned=planned, photo=asked["photo"], units=units)
        _wrote(asked["report"])
    click.echo(
        to_json.dumps(to_json.length(planned.plan)) if as_json else to_text.length(planned.plan, units)
    )


@cli.command()
@click.argument("source", metavar="FOLDER")
@scale_options
@selvedge_option
@click.option("--out", type=PHOTO_PATH, metavar="OUT.csv", help="Write the table there; else it is printed.")
@click.option("--jsonld", type=PHOTO_PATH, metavar="OUT.jsonld", help="Write schema.org product markup.")
@click.option("--contact-sheet", "sheet", type=PHOTO_PATH, metavar="OUT.html", help="Write small pictures.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes; by default one per core.")
@click.option("--time-limit", type=click.FloatRange(1, 3600), default=60.0, help="Seconds for one photo.")
@click.option("--journal", type=PHOTO_PATH, metavar="FILE", help="Where results are kept to go on from.")
@click.option("--cluster", metavar="ADDRESS", help="Dask scheduler that does the work instead.")
def tag(source: str, time_limit: float, **asked: Any) -> None:  # noqa: ANN401
    """Tag every photo below FOLDER, or of a CSV list: one row each, in the order given.

    Stop it as you like and run it again: only the rest is done. A list has a column file and, as you
    like, reference, mm_per_px, dpi, photo_width, span or corners; further columns are carried through.
    """
    from printcheck.batch import TagOptions
    from printcheck.batch import tag as run_tag

    with _Progress(show=True) as say:
        done = run_tag(
            source,
            TagOptions(seconds=time_limit, **asked),
            stdout=sys.stdout,
            progress=lambda n, total, each: say(_rate(n, total, each), n / total),
        )
    click.echo(done.text(), err=True)
    if done.failed == done.done:
        raise NoAnswerError("all-failed", "No photo could be measured.", "See the message column.")


@cli.command()
@click.argument("file", type=PHOTO_PATH)
@click.option("--size", type=click.Choice(["card", "A5"]), default="card", help="Credit-card or A5 size.")
def scalecard(file: Path, size: Any) -> None:  # noqa: ANN401
    """Write a card to print (FILE ends in .pdf, .svg or .png) and lay on the cloth."""
    from printcheck.report.scalecard import write_scalecard

    write_scalecard(file, size=size)
    _wrote(file)


@cli.command()
@click.option("--folder", type=PHOTO_PATH, default=Path("printcheck-results"), help="Where results go.")
@click.option("--seconds", type=click.FloatRange(0.5, 600), default=5.0, help="Effort for the layout.")
def demo(folder: Path, seconds: float) -> None:
    """Run the whole job on the bundled sample images and project."""
    from printcheck.demo import run

    run(folder, seconds=seconds, say=click.echo)


def _project(path: Path | None, kind: str | None, settings: tuple[str, ...]) -> Project:
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
    return built_in(str(kind), {name.strip(): value.strip() for name, _, value in pairs})


def _measured(asked: dict[str, Any]) -> pipeline.MeasuredPhoto | None:
    sources = [n for n in ("photo", "repeat", "measurement") if asked[n]]
    if len(sources) > 1:
        raise InputError(
            "two-prints", f"Two prints at once: --{' and --'.join(sources)}.", "Give only one of them."
        )
    if not asked["photo"]:
        return None
    return pipeline.measure_photo(asked["photo"], pipeline.Options(asked["scale"], asked["selvedge"]))


def _print(asked: dict[str, Any], job: Project, measured: pipeline.MeasuredPhoto | None) -> Print:
    from printcheck import project

    if measured is not None:
        return project.print_from_measurement(measured.measurement)
    if asked["repeat"]:
        return project.parse_print(asked["repeat"])
    if asked["measurement"]:
        return project.read_measurement(asked["measurement"])
    if job.print is None:
        raise InputError(
            "no-print",
            f"{job.name}: the project names no print.",
            "Add [print] to the file, or give --photo, --repeat or --measurement.",
        )
    return job.print


def _metres(text: str) -> float:
    metres = parse_positive_length(text, place="--viewing-distance") / 1000
    if not NEAREST_M <= metres <= FARTHEST_M:
        raise InputError(
            "viewing-distance", f"--viewing-distance: {text!r} is out of range.", "Give 0.1 m to 100 m."
        )
    return metres


def _working(folder: Path | None) -> Callable[[Any], None] | None:
    if folder is None:
        return None
    from printcheck.report import files

    return files.working_writer(folder)


def _rate(done: int, total: int, seconds_each: float) -> str:
    left = round((total - done) * seconds_each)
    return f"{done} of {total}, {1 / max(seconds_each, 1e-9):.1f} a second, {left // 60}:{left % 60:02d} left"


def _wrote(path: Path) -> None:
    click.echo(f"wrote {path}", err=True)


class _Progress:
    """One line on standard error that is rewritten, on a terminal alone."""

    def __init__(self, *, show: bool) -> None:
        self._show = show and sys.stderr.isatty()

    def __enter__(self) -> Callable[[str, float], None]:
        return self._say

    def __exit__(self, *_: object) -> None:
        if self._show:
            click.echo("\r" + " " * 60 + "\r", nl=False, err=True)

    def _say(self, stage: str, share: float) -> None:
        if self._show:
            click.echo(f"\r{stage[:44]:<45}{100 * min(1.0, share):4.0f} %", nl=False, err=True)


def _fail(error: PrintcheckError, *, as_json: bool) -> int:
    if as_json:
        from printcheck.report import to_json

        click.echo(to_json.dumps(to_json.error(error)))
    click.echo(f"printcheck: {error}", err=True)
    return error.exit_status


def _usage(error: click.ClickException) -> PrintcheckError:
    remedy = "See printcheck --help."
    if isinstance(error, click.UsageError) and error.ctx is not None:
        remedy = f"See {error.ctx.command_path} --help."
    return InputError("usage", error.format_message().rstrip(".") + ".", remedy)


def _fault(error: BaseException) -> PrintcheckError:
    text = " ".join(str(error).split())[:200] or type(error).__name__
    if isinstance(error, MemoryError):
        return PrintcheckError(
            "out-of-memory", "There is not enough memory for this.", "Use a smaller photo."
        )
    if isinstance(error, OSError):
        return InputError("file-trouble", f"A file could not be read or written: {text}.", "Check the path.")
    return PrintcheckError(
        "internal-fault",
        f"printcheck met a fault of its own: {type(error).__name__}: {text}.",
        f"Please report it, with the photo if you may; {DEBUG_VARIABLE}=1 shows where it happened.",
    )


def run(argv: list[str]) -> int:
    """Run a command line and give its exit status."""
    as_json = "--json" in argv
    try:
        cli.main(args=argv, prog_name="printcheck", standalone_mode=False)
    except click.exceptions.Exit as stop:
        return stop.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("printcheck: stopped.", err=True)
        return 130  # the shell's own status for a stop by Ctrl-C
    except click.ClickException as error:
        return _fail(_usage(error), as_json=as_json)
    except PrintcheckError as error:
        return _fail(error, as_json=as_json)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # the reader left; say nothing more
        return 0
    except Exception as error:
        if os.environ.get(DEBUG_VARIABLE):
            raise
        return _fail(_fault(error), as_json=as_json)
    return 0


def main(argv: list[str] | None = None) -> None:
    """Entry point of the ``printcheck`` command."""
    sys.exit(run(sys.argv[1:] if argv is None else argv))
