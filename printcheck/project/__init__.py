"""A TOML file or a built-in kind becomes pieces and seams."""

from __future__ import annotations

from printcheck.project.built_in import built_in, describe_kinds, refitted, resized, usual_projects
from printcheck.project.from_measurement import print_from_measurement, read_measurement
from printcheck.project.load import load_project, project_of
from printcheck.project.print_spec import parse_print
from printcheck.project.write import project_text, write_project

__all__ = [
    "built_in",
    "describe_kinds",
    "load_project",
    "parse_print",
    "print_from_measurement",
    "project_of",
    "project_text",
    "read_measurement",
    "refitted",
    "resized",
    "usual_projects",
    "write_project",
]
