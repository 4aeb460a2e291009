"""Projects of the trade tests as a user writes them, in centimetres, and how they are planned and checked."""

from __future__ import annotations

from functools import reduce
from typing import Any

from printcheck import pipeline
from printcheck.project import load_project
from printcheck.report import write_json

SECONDS = 4.0  # proofs of rectangles end sooner
SHAPED_S = 5.0  # outlines are seldom proved, and moved until the effort is spent
SLACK_CM = 0.1  # of a length on the cloth
Case = tuple[str, list[tuple[str, float, float]]]  # a project, and what is told of it between two ends
Point = tuple[float, float]


def cm(value: float) -> str:
    return f'"{value:.6g} cm"'


def cloth(
    width: float, selvedge: float = 0.0, step: str = "10 cm", along: float = 0.0, more: str = ""
) -> str:
    return (
        f'[cloth]\nwidth = {cm(width)}\nselvedge = {cm(selvedge)}\nsold_by = "{step}"\n'
        f'shrink_along = "{along} %"\nshrink_across = "0 %"\n{more}\n'
    )


def printed(
    across: float | None,
    along: float | None,
    layout: str = "straight",
    *,
    way: str = "one-way",
    more: str = "",
) -> str:
    sizes = [f"{key} = {cm(v)}\n" for key, v in (("across", across), ("along", along)) if v]
    return f'[print]\n{"".join(sizes)}layout = "{layout}"\nway = "{way}"\n{more}\n'


def piece(name: str, width: float, length: float, count: int = 1, more: str = "") -> str:
    size = f"width = {cm(width)}\nlength = {cm(length)}\ncount = {count}"
    return f'[[piece]]\nname = "{name}"\n{size}\n{more}\n'


def outline(name: str, *corners: Point, count: int) -> str:
    ring = ", ".join(f"[{cm(x)}, {cm(y)}]" for x, y in corners)
    return f'[[piece]]\nname = "{name}"\noutline = [{ring}]\ncount = {count}\n'


def seam(one: str, at: Point, two: str, there: Point, match: str = "both") -> str:
    ends = ", ".join(
        f'{{ piece = "{name}", at = [{cm(x)}, {cm(y)}] }}' for name, (x, y) in ((one, at), (two, there))
    )
    return f'[[seam]]\njoin = [{ends}]\nmatch = "{match}"\n'


def place(name: str, at: Point, on: str = "motif") -> str:
    return f'[[place]]\npiece = "{name}"\nat = [{cm(at[0])}, {cm(at[1])}]\non = "{on}"\n'


def kind(name: str, **sizes: object) -> str:
    lines = (f'{k} = {cm(v) if isinstance(v, float) else f""""{v}" """}\n' for k, v in sizes.items())
    return f'kind = "{name}"\n' + "".join(lines)


def curtain(track: float, drop: float, curtains: int = 1, full: str = "2", **more: object) -> str:
    """Hem and heading 0 unless said, so that the cut drop is the drop."""
    sizes: dict[str, object] = {"hem": 0.0, "heading": 0.0, **more}
    return kind("curtain", track=float(track), drop=float(drop), curtains=curtains, fullness=full, **sizes)


PLAIN = printed(None, None, "none", way="four-way")
FURNISHING = cloth(140, 1.5)  # 137 printed, selvedge to selvedge
NAPKINS = kind("napkin", size=38.0, hem=1.5, count=8)  # 38 and four times 1.5: 44


def used(low: float, high: float | None = None, which: str = "matched") -> tuple[str, float, float]:
    return f"{which}.length_mm", low - SLACK_CM, (high or low) + SLACK_CM


def buy(low: float, high: float | None = None, which: str = "advised") -> tuple[str, float, float]:
    return f"buy.{which}_mm", low - SLACK_CM / 2, (high or low) + SLACK_CM / 2


def planned(
    tmp_path: Any,
    toml: str,
    *,
    start_allowance: bool | None = None,
    seconds: float | None = None,
    **asked: Any,
) -> dict[str, Any]:
    file = tmp_path / "project.toml"
    file.write_text(toml)
    project = load_project(file)
    assert project.print is not None
    shaped = any(piece.outline for piece in project.pieces)
    seconds = seconds or (SHAPED_S if shaped else SECONDS)
    effort = pipeline.Effort(seconds, start_allowance=start_allowance)
    return write_json.document(pipeline.plan_length(project, project.print, effort, **asked).plan)


def agrees(case: Case, tmp_path: Any) -> None:
    toml, checks = case
    plan = planned(tmp_path, toml)
    for what, low, high in checks:
        told: Any = reduce(lambda at, key: at[key], what.split("."), plan)  # type: ignore[arg-type, return-value]
        assert low <= told / 10 <= high, f"{what}: {told / 10:.2f}, by hand {low:.2f} to {high:.2f}"
