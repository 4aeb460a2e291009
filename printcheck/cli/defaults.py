"""What the user always wants: defaults in a TOML file, below variables of the environment and options.

At its top stand options by their names, for every command that has them; a table with a command's name holds
for that command alone, and the table ``cloth`` for the cloth of built-in projects::

    units = "imperial"
    [cloth]
    width = "150 cm"
    currency = "GBP"
    [length]
    seconds = 20
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import click

from printcheck.core.errors import InputError

VARIABLE = "PRINTCHECK_DEFAULTS"  # names another file
NAME = "defaults.toml"
CLOTH = "cloth"


def apply(context: click.Context, group: click.Group) -> None:
    """Give every command its defaults from the user's file, where there is one."""
    named = os.environ.get(VARIABLE)
    path = Path(named) if named else Path(click.get_app_dir("printcheck")) / NAME
    if not named and not path.is_file():
        return
    found = _read(path)
    cloth = found.pop(CLOTH, {})
    tables = {name: found.pop(name) for name in list(found) if isinstance(found[name], dict)}
    options = {
        name: {p.name for p in command.params if isinstance(p, click.Option)}
        for name, command in group.commands.items()
    }
    _refuse(path, set(found) - set().union(*options.values()), "no command has an option")
    _refuse(path, set(tables) - set(options), "there is no command")
    for name, table in tables.items():
        _refuse(path, set(table) - options[name], f"{name} has no option")
    context.default_map = {
        name: {**{k: v for k, v in found.items() if k in known}, **tables.get(name, {})}
        for name, known in options.items()
    }
    context.obj = {f"{CLOTH}.{key}": str(value) for key, value in cloth.items()}


def cloth_settings() -> dict[str, str]:
    """The user's own cloth for built-in projects, as ``--set`` would give it."""
    context = click.get_current_context(silent=True)
    return dict(context.obj or {}) if context is not None else {}


def _read(path: Path) -> dict[str, Any]:
    import msgspec

    try:
        return msgspec.toml.decode(path.read_bytes(), type=dict[str, Any])
    except OSError as error:
        raise InputError(
            "no-defaults", f"{path}: the defaults cannot be read: {error.strerror}.", f"Check {VARIABLE}."
        ) from None
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise InputError("bad-defaults", f"{path}: this is no TOML: {error}.", "Mend or remove it.") from None


def _refuse(path: Path, names: set[str], why: str) -> None:
    if names:
        raise InputError("bad-defaults", f"{path}: {why} {min(names)}.", "Mend or remove it.")
