"""The command line: a thin shell that reads options, calls the pipeline and prints.

Results go to standard output, everything else to standard error. With ``--json`` standard output holds
exactly one JSON document, on failure the error document. No traceback ever reaches a user.
"""

from __future__ import annotations

import os
import sys

import click

from printcheck import __version__
from printcheck.cli import defaults
from printcheck.cli.compare import compare
from printcheck.cli.length import length
from printcheck.cli.measure import measure
from printcheck.cli.others import demo, scalecard
from printcheck.cli.serve import serve
from printcheck.cli.tag import tag
from printcheck.core.errors import InputError, PrintcheckError

DEBUG_VARIABLE = "PRINTCHECK_DEBUG"  # set it to see the traceback of a fault of ours
STOPPED = 130  # the shell's own exit status for a stop by Ctrl-C


SETTINGS = {
    "help_option_names": ["-h", "--help"],
    "max_content_width": 100,
    "auto_envvar_prefix": "PRINTCHECK",  # PRINTCHECK_MEASURE_UNITS=imperial and so on
}


@click.group(context_settings=SETTINGS)
@click.version_option(__version__, prog_name="printcheck")
@click.pass_context
def cli(context: click.Context) -> None:
    """Measure a printed cloth from a photo, and the length to buy."""
    defaults.apply(context, cli)


for _command in (measure, length, compare, tag, scalecard, serve, demo):
    cli.add_command(_command)


def _fail(error: PrintcheckError, *, as_json: bool) -> int:
    if as_json:
        from printcheck.report import write_json

        click.echo(write_json.dumps(write_json.error(error)))
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
        status = cli.main(args=argv, prog_name="printcheck", standalone_mode=False)
        return status if isinstance(status, int) else 0  # click hands over what a command exits with
    except (click.Abort, KeyboardInterrupt):
        click.echo("printcheck: stopped.", err=True)
        return STOPPED
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


def main(argv: list[str] | None = None) -> None:
    """Entry point of the ``printcheck`` command."""
    sys.exit(run(sys.argv[1:] if argv is None else argv))
