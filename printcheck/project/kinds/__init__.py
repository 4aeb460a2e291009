"""Built-in projects: every module below that holds a ``KIND`` (or several in ``KINDS``) enters it here."""

from __future__ import annotations

import importlib
import pkgutil

from printcheck.project.kinds.draft import GROUPS, Kind


def registered() -> list[Kind]:
    """Kinds of all modules of this package, clothes first, in alphabetical order within a group."""
    kinds: list[Kind] = []
    for module in pkgutil.walk_packages(__path__, f"{__name__}."):
        held = vars(importlib.import_module(module.name))
        kinds += [*held.get("KINDS", ()), *([held["KIND"]] if "KIND" in held else [])]
    return sorted(kinds, key=lambda kind: (GROUPS.index(kind.group), kind.title))


KINDS: dict[str, Kind] = {kind.name: kind for kind in registered()}
ALSO = {word: kind.name for kind in KINDS.values() for word in kind.also}  # other words people use for them
