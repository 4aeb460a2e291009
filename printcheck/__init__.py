"""Measure a printed cloth from a photo, and the length to buy.

>>> import printcheck
>>> found = printcheck.measure("swatch.jpg", scale="card")  # doctest: +SKIP
>>> plan = printcheck.plan("skirt.toml", found)  # doctest: +SKIP
>>> printcheck.save(plan, "layout.pdf")  # doctest: +SKIP

Nothing heavy is loaded until it is used.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from printcheck.batch.rows import Row
    from printcheck.core.errors import InputError, NoAnswerError, PrintcheckError
    from printcheck.core.findings import Finding
    from printcheck.core.measurement import Measurement
    from printcheck.core.plan import LengthPlan, Print, Project
    from printcheck.core.request import StatedScale as Scale
    from printcheck.interface import Found, Planned, load_project, measure, plan, save, tag

__version__ = "0.1.0"

_HOMES = {  # name -> where it is defined, and its name there
    "Finding": ("printcheck.core.findings", "Finding"),
    "Found": ("printcheck.interface", "Found"),
    "InputError": ("printcheck.core.errors", "InputError"),
    "LengthPlan": ("printcheck.core.plan", "LengthPlan"),
    "Measurement": ("printcheck.core.measurement", "Measurement"),
    "NoAnswerError": ("printcheck.core.errors", "NoAnswerError"),
    "Planned": ("printcheck.interface", "Planned"),
    "Print": ("printcheck.core.plan", "Print"),
    "PrintcheckError": ("printcheck.core.errors", "PrintcheckError"),
    "Project": ("printcheck.core.plan", "Project"),
    "Row": ("printcheck.batch.rows", "Row"),
    "Scale": ("printcheck.core.request", "StatedScale"),
    "load_project": ("printcheck.interface", "load_project"),
    "measure": ("printcheck.interface", "measure"),
    "plan": ("printcheck.interface", "plan"),
    "save": ("printcheck.interface", "save"),
    "tag": ("printcheck.interface", "tag"),
}
__all__ = [
    "Finding",
    "Found",
    "InputError",
    "LengthPlan",
    "Measurement",
    "NoAnswerError",
    "Planned",
    "Print",
    "PrintcheckError",
    "Project",
    "Row",
    "Scale",
    "__version__",
    "load_project",
    "measure",
    "plan",
    "save",
    "tag",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever the name stands for
    if name not in _HOMES:
        raise AttributeError(f"module 'printcheck' has no attribute {name!r}")
    module, own = _HOMES[name]
    return getattr(importlib.import_module(module), own)


def __dir__() -> list[str]:
    return __all__
