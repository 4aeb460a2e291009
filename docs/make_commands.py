"""Write the reference of the commands into docs/commands.md, from the commands themselves."""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator
from pathlib import Path

import click

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from printcheck.cli import cli  # noqa: E402
from printcheck.cli.options import SCALE_NAMES  # noqa: E402

PAGE = ROOT / "docs" / "commands.md"
START, END = "<!-- commands -->\n", "<!-- end of commands -->"
HEAD = "| option | by default | what it is for |\n| --- | --- | --- |"


def value_of(option: click.Option) -> str:
    """What is written behind an option: its metavariable, its choices, its range or its kind."""
    kind = option.type
    if option.is_flag:
        return ""
    if option.metavar:
        return option.metavar.replace("|", " or ")
    if isinstance(kind, click.Choice):
        return " or ".join(map(str, kind.choices))
    if isinstance(kind, (click.IntRange, click.FloatRange)):
        return f"{kind.min:g} to {kind.max:g}"
    return "FILE" if isinstance(kind, click.Path) else kind.name.upper()


def row(option: click.Option) -> str:
    """One option: how it is written, its default, what it is for."""
    names = ", ".join([*option.opts, *option.secondary_opts])
    default = option.default if isinstance(option.default, (str, int, float, Path)) else ""
    stated = "" if option.is_flag or default == "" else f"`{default}`"
    return f"| `{f'{names} {value_of(option)}'.strip()}` | {stated} | {option.help} |"


def table(options: list[click.Option]) -> str:
    """The options in a table."""
    return "\n".join([HEAD, *map(row, options)]) + "\n"


def section(name: str, command: click.Command) -> Iterator[str]:
    """One command: how it is called, what it does, its options."""
    usage = command.get_usage(click.Context(command, info_name=f"printcheck {name}"))
    yield f"### printcheck {name}\n\n`{' '.join(usage.removeprefix('Usage: ').split())}`\n"
    yield inspect.cleandoc(command.help or "") + "\n"
    options = [p for p in command.params if isinstance(p, click.Option)]
    if any(p.name in SCALE_NAMES for p in options):
        yield "It takes the [options of the scale](#the-scale-of-a-photo).\n"
    yield table([p for p in options if p.name not in SCALE_NAMES])


def reference() -> str:
    """The scale once, then all commands by name."""
    scale = [
        p for p in cli.commands["measure"].params if p.name in SCALE_NAMES and isinstance(p, click.Option)
    ]
    parts = [
        "### The scale of a photo\n\nAt most one, `--bar` with a board; none looks for any known object.\n",
        table(scale),
    ]
    for name in sorted(cli.commands):
        parts += section(name, cli.commands[name])
    return "\n".join(parts)


if __name__ == "__main__":
    text = PAGE.read_text(encoding="utf-8")
    text = text.split(START)[0] + f"{START}{reference()}{END}" + text.split(END)[1]
    PAGE.write_text(text, encoding="utf-8")
