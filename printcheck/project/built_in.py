"""Built-in kinds as projects: their sizes read, drawn for a cloth and a print, and told to the user."""

from __future__ import annotations

import contextlib
import difflib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from printcheck.core.errors import InputError
from printcheck.core.findings import Finding, finding
from printcheck.core.plan import MOST_PIECES, Cloth, Piece, Print, Project
from printcheck.project.cloth_table import read_cloth
from printcheck.project.kinds import ALSO, KINDS
from printcheck.project.kinds.breadth import from_selvedge_to_selvedge
from printcheck.project.kinds.draft import Draft, Kind, Room, Values
from printcheck.project.kinds.rows import STANDARD, TABLES
from printcheck.project.kinds.sizes import complete_sizes, parse_size_of
from printcheck.project.pieces import copies_of, too_wide
from printcheck.project.print_spec import read_print
from printcheck.project.schema import ClothTable, Mistakes, PrintTable

_FRAME = ("name", "kind", "cloth", "print")  # keys of the file that are no sizes


def built_in(
    kind: str,
    options: Mapping[str, str] | None = None,
    *,
    cloth: Cloth | None = None,
    print_: Print | None = None,
) -> Project:
    """Built-in project in the given sizes.

    Parameters
    ----------
    kind : str
        Such as ``"curtain"``; see :func:`describe_kinds`.
    options : mapping
        Its sizes as text, such as ``{"track": "180 cm", "fullness": "2.5"}``, and any key of ``[cloth]``
        as ``cloth.width``.
    cloth : Cloth, keyword-only, optional
        Cloth to draw it for, in place of the kind's own.
    print_ : Print, keyword-only, optional
        Print to draw it for: joins of full widths lie whole columns apart.

    Raises
    ------
    InputError
        If there is no such kind, no such size, or a piece does not fit the cloth.
    """
    known = find_kind(kind)
    mistakes = Mistakes()
    options = dict(options or {})
    of_cloth = {
        k.partition(".")[2]: _price(k, options.pop(k)) for k in list(options) if k.startswith("cloth.")
    }
    usual = cloth or known.cloth
    read = read_cloth(of_cloth, width=None, mistakes=mistakes, usual=usual)
    sizes = complete_sizes(known, options, mistakes=mistakes)
    mistakes.raise_any(f"the sizes of the {known.name}")
    assert read is not None
    return _project(known, sizes, read, print_, name=known.title)


def read_kind(raw: Mapping[str, Any], *, width: str | None, file: str) -> Project:
    """Project of a file that names a built-in kind and its sizes."""
    mistakes = Mistakes()
    with mistakes.noting():
        known = find_kind(str(raw["kind"]), place="kind")
    mistakes.raise_any(file)
    if "piece" in raw or "seam" in raw or "place" in raw:
        mistakes.add(
            "kind",
            "a built-in kind brings its own pieces and seams. Write it out for editing, or leave kind out.",
            code="kind-with-pieces",
        )
    wanted = (("name", str, "text in quotes"), ("cloth", dict, "a table"), ("print", dict, "a table"))
    for key, shape, text in wanted:
        if key in raw and not isinstance(raw[key], shape):
            mistakes.add(key, f"expected {text}.", code="wrong-value")
    mistakes.raise_any(file)
    tables = {
        name: _without_misplaced(known, name, raw[name], shape.__struct_fields__, mistakes=mistakes)
        for name, shape in (("cloth", ClothTable), ("print", PrintTable))
        if name in raw
    }
    cloth = read_cloth(tables.get("cloth", {}), width=width, mistakes=mistakes, usual=known.cloth)
    printed = read_print(tables.get("print"), mistakes=mistakes)
    own = {k: v for k, v in raw.items() if k not in (*_FRAME, "piece", "seam", "place")}
    sizes = complete_sizes(known, own, mistakes=mistakes)
    mistakes.raise_any(file)
    assert cloth is not None
    return _project(known, sizes, cloth, printed, name=str(raw.get("name", known.title)))


def refitted(project: Project, *, cloth: Cloth | None = None, print_: Print | None = None) -> Project:
    """Project for another cloth or print; a built-in kind is drawn anew for it, others keep their pieces.

    Raises
    ------
    InputError
        If a piece does not fit the cloth.
    """
    cloth = cloth or project.cloth
    if project.kind:
        sizes = dict(project.sizes)
        return _project(KINDS[project.kind], sizes, cloth, print_ or project.print, name=project.name)
    return replace(project, cloth=cloth)


def resized(project: Project, sizes: Mapping[str, str]) -> Project:
    """Built-in project with some of its sizes changed, on the same cloth and print.

    Raises
    ------
    InputError
        If the project is none of the built-in ones, has no such size, or a piece does not fit the cloth.
    """
    kind = find_kind(project.kind, place="kind")
    mistakes = Mistakes()
    changed = complete_sizes(kind, {**dict(project.sizes), **sizes}, mistakes=mistakes)
    mistakes.raise_any(f"the sizes of the {kind.name}")
    return _project(kind, changed, project.cloth, project.print, name=project.name)


def usual_projects(cloth: Cloth, print_: Print) -> Iterator[tuple[Kind, Project | None]]:
    """Every built-in kind, in its usual sizes; None where a piece does not fit the cloth."""
    for kind in KINDS.values():
        made = None
        with contextlib.suppress(InputError):
            made = built_in(kind.name, cloth=cloth, print_=print_)
        yield kind, made


def describe_kinds() -> str:
    """Text that names every built-in kind with its sizes and their defaults."""
    lines = []
    for kind in KINDS.values():
        lines.append(f"{kind.name}: {kind.title}. {kind.text}")
        usual = complete_sizes(kind, {}, mistakes=Mistakes())
        lines += [f"    {name} = {usual[name]}    {size.text}" for name, size in kind.sizes.items()]
    return "\n".join(lines)


def find_kind(name: str, *, place: str = "--kind") -> Kind:
    """Kind of this name, its plural, or another usual word for it."""
    word = "-".join(name.lower().replace("_", " ").split())
    for form in (word, word.removesuffix("s"), word + "s"):
        if (known := ALSO.get(form, form)) in KINDS:
            return KINDS[known]
    close = difflib.get_close_matches(word, [*KINDS, *ALSO], n=1)
    hint = f"Did you mean {ALSO.get(close[0], close[0])}?" if close else f"There are {', '.join(KINDS)}."
    raise InputError("unknown-kind", f"{place}: there is no built-in project {name!r}.", hint)


def _project(
    kind: Kind, sizes: Mapping[str, str], cloth: Cloth, print_: Print | None, *, name: str
) -> Project:
    values = {key: parse_size_of(sizes[key], size, place=key) for key, size in kind.sizes.items()}
    measures = {**kind.cut, **values}
    draft = kind.draw(measures, _room(cloth, print_))
    fitted = None if print_ is None else from_selvedge_to_selvedge(print_, cloth)
    if fitted != print_ and any(seam.name == "join" for seam in draft.seams):
        print_, draft = fitted, kind.draw(measures, _room(cloth, fitted))
    return Project(
        name=name,
        cloth=cloth,
        pieces=_pieces(draft, kind, cloth, border=print_ is not None and print_.border),
        seams=draft.seams,
        places=draft.places,
        print=print_,
        kind=kind.name,
        findings=tuple(_findings(kind, values, draft)),
        sizes=tuple(sizes.items()),
    )


def _room(cloth: Cloth, print_: Print | None) -> Room:
    along, across = 1 - cloth.shrink_along, 1 - cloth.shrink_across
    lattice = print_.lattice if print_ is not None else None
    return Room(
        cloth.usable_width_mm,
        lattice.scaled(across, along) if lattice is not None else None,
        cloth.selvedge_mm * across,
        cloth.join,
        print_.way if print_ is not None else "four-way",
        print_ is not None and print_.border,
    )


def _findings(kind: Kind, values: Values, draft: Draft) -> Iterator[Finding]:
    """What the user should know: what the sizes came to, seams left alone, measures beyond the table."""
    yield from draft.findings
    if kind.unmatched:
        yield finding("seams-not-matched", title=kind.title, seams=kind.unmatched)
    if kind.people and (found := TABLES[kind.people].first_outside(values)):
        measure, least, most = found
        yield finding(
            "measure-off-table",
            measure=measure,
            value_mm=values[measure],
            least_mm=least,
            most_mm=most,
            table=STANDARD,
            people=kind.people,
        )
    yield from (finding(code) for code in kind.findings)


def _pieces(draft: Draft, kind: Kind, cloth: Cloth, *, border: bool) -> tuple[Piece, ...]:
    total = sum(row.count for row in draft.pieces)
    if total > MOST_PIECES:
        raise InputError(
            "too-many-pieces",
            f"{kind.name}: {total} pieces are more than the {MOST_PIECES} that one layout can hold.",
            "Plan a part of them at a time.",
        )
    made: list[Piece] = []
    for row in draft.pieces:
        piece = Piece(
            row.name,
            row.width_mm,
            row.length_mm,
            row.outline,
            turn=row.turn,
            on_border=row.on_border,
            on_fold=row.on_fold,
        )
        if text := too_wide(piece, cloth, border=border):
            raise InputError("piece-too-wide", f"{kind.name}: {row.name}: {text}", "")
        made += copies_of(piece, count=row.count, alternate=row.mirrored)
    return tuple(made)


def _price(key: str, text: str) -> object:
    """Text of a cloth option as the file would hold it: a price is a number there."""
    if key != "cloth.price":
        return text
    try:
        return float(text)
    except ValueError:
        return text


def _without_misplaced(
    kind: Kind, table: str, raw: Mapping[str, Any], known: Sequence[str], *, mistakes: Mistakes
) -> dict[str, Any]:
    """Keys of a table without the kind's own sizes, which TOML puts there when they stand below it."""
    kept = {}
    for key, value in raw.items():
        if key in kind.sizes and key not in known:
            text = f"{key} is a size of the {kind.name}. Write it above [{table}]."
            mistakes.add(f"{table}.{key}", text, code="misplaced-key")
        else:
            kept[key] = value
    return kept
