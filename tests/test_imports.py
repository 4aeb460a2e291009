"""The rooms and the direction of the arrows between them, held as data."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from printcheck.cli import LISTED

PACKAGE = Path(__file__).parent.parent / "printcheck"
CORE = {"core"}
STAGES = {"photo", "repeat", "motif", "advice", "project", "cutting", "report"}
# room -> the rooms it may import besides itself
MAY_IMPORT = {
    **dict.fromkeys(CORE, CORE),
    **dict.fromkeys(STAGES, CORE),
    "pipeline": CORE | STAGES,
    "batch": CORE | STAGES | {"pipeline"},
    "cli": CORE | STAGES | {"pipeline", "batch", "web", "demo"},
    "web": CORE | STAGES | {"pipeline", "batch"},
    "demo": CORE | STAGES | {"pipeline", "batch"},
    "__main__": {"cli"},
    "interface": CORE | STAGES | {"pipeline", "batch"},
    "__init__": CORE | {"batch", "interface"},
}
HEAVY = {"numpy", "cv2", "skimage", "scipy", "ortools", "shapely", "PIL", "jinja2", "fpdf"}
HEAVY |= {"fontTools", "ezdxf"}
WITHOUT_HEAVY = CORE | {"cli", "__init__", "__main__", "interface", "pipeline"}  # at import time


def room_of(path: Path) -> str:
    relative = path.relative_to(PACKAGE).with_suffix("")
    return relative.parts[0]


def imports_of(path: Path, top_level_only: bool = False) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    nodes = tree.body if top_level_only else ast.walk(tree)
    found: set[str] = set()
    for node in nodes:
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write absolute imports"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


MODULES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_arrows_point_downwards(path: Path) -> None:
    room = room_of(path)
    assert room in MAY_IMPORT, f"{room} is a new room: enter it into the table"
    own = {name.split(".")[1] for name in imports_of(path) if name.startswith("printcheck.")}
    wrong = own - MAY_IMPORT[room] - {room, "__version__"}
    assert not wrong, f"{path.name} may not import {sorted(wrong)}"


@pytest.mark.parametrize("name", sorted(WITHOUT_HEAVY))
def test_words_and_shells_load_nothing_heavy(name: str) -> None:
    paths = (
        [PACKAGE / f"{name}.py"] if (PACKAGE / f"{name}.py").exists() else [*(PACKAGE / name).rglob("*.py")]
    )
    assert paths, f"{name} is named in the table but does not exist"
    for path in paths:
        assert not {n.split(".")[0] for n in imports_of(path, top_level_only=True)} & HEAVY


def test_help_loads_no_picture_library_and_no_command() -> None:
    commands = {f"printcheck.cli.{module}" for module, _ in LISTED.values()}
    code = (
        "import sys\nfrom printcheck.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        f"print(sorted({HEAVY | commands | {'printcheck.pipeline'}!r} & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.splitlines()[-1] == "[]"
