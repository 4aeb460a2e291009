"""The command line: a thin shell that reads options, calls the pipeline and prints.

Results go to standard output, everything else to standard error. With ``--json`` standard output holds
exactly one JSON document, on failure the error document. No traceback ever reaches a user.
"""

from __future__ import annotations

import os
import sys
from collections import UserDict
from importlib import import_module
from typing import Any

import click

from printcheck import __version__
from printcheck.cli import defaults
from printcheck.core.errors import InputError, PrintcheckError

DEBUG_VARIABLE = "PRINTCHECK_DEBUG"  # set it to see the traceback of a fault of ours
STOPPED = 130  # the shell's own exit status for a stop by Ctrl-C


SETTINGS = {
    "help_option_names": ["-h", "--help"],
    "max_content_width": 100,
    "auto_envvar_prefix": "PRINTCHECK",  # PRINTCHECK_MEASURE_UNITS=imperial and so on
}

LISTED = {  # command -> its module, and its line in the list of commands, which then needs no module
    "compare": ("compare", "Two or more cloths for one project, side by side."),
    "demo": ("others", "Run the whole job on the bundled sample images and project."),
    "length": ("length", "Length to buy for a sewing project, and how to lay it out."),
    "measure": ("measure", "Scale, repeat, motif, way and difficulty of a photo."),
    "scalecard": ("others", "Write a card to print and lay on the cloth."),
    "serve": ("others", "Serve the page for a phone or a desk until stopped with Ctrl-C."),
    "tag": ("tag", "Tag every photo of a folder or a list: one row each."),
}


class _Commands(UserDict[str, Any]):
    """Commands by name, each imported when it is looked at."""

    def __getitem__(self, name: str) -> click.Command:
        module, _ = self.data[name]
        command: click.Command = getattr(import_module(f"printcheck.cli.{module}"), name)
        return command


class _Group(click.Group):
    """Lists its commands without importing them."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in LISTED.items()])


@click.group(cls=_Group, commands=_Commands(LISTED), context_settings=SETTINGS)
@click.version_option(__version__, prog_name="printcheck")
@click.pass_context
def cli(context: click.Context) -> None:
    """Measure a printed cloth from a photo, and the length to buy."""
    defaults.apply(context, cli)


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
    said = error.format_message()
    return InputError("usage", said if said.endswith("?") else said.rstrip(".") + ".", remedy)


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
