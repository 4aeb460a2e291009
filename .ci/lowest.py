"""Print constraints that hold every dependency to the oldest series that pyproject.toml allows."""

import re
import sys
from pathlib import Path

import tomllib

project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))[
    "project"
]
extras = project["optional-dependencies"]
for wanted in [*project["dependencies"], *extras["heic"], *extras["cluster"], *extras["web"]]:
    name, oldest = re.match(r"([\w-]+)(?:\[\w+\])?>=([\d.]+)", wanted).groups()
    sys.stdout.write(f"{name}=={oldest}.*\n")
