"""A project written out as a TOML file for editing; reading it gives the same project again."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from printcheck.core.errors import InputError
from printcheck.core.lattice import Vector, drop_of
from printcheck.core.plan import Cloth, Piece, Place, Print, Project, Seam
from printcheck.core.system.atomic import write_atomic
from printcheck.core.units import parse_length, parse_share
from printcheck.project.kinds import KINDS
from printcheck.project.outline.polygon import mirrored
from printcheck.project.pieces import copies_of
from printcheck.project.print_spec import made_lattice

CENTIMETRES_FROM_MM = 100.0  # mm: written in cm from here, as people say it


def write_project(project: Project, path: Path, *, remarks: Sequence[str] = ()) -> None:
    """Write the project to a TOML file, whole or not at all; ``remarks`` become comments at its head.

    Raises
    ------
    InputError
        If the file cannot be written.
    """
    write_atomic(path, project_text(project, remarks), place="--write")


def project_text(project: Project, remarks: Sequence[str] = ()) -> str:
    """TOML of the project, with comments on what its keys mean."""
    blocks = [_head(project, remarks), _cloth(project.cloth)]
    if project.print is not None:
        blocks.append(_print(project.print))
    blocks += [_piece(copies) for copies in grouped(project.pieces)]
    blocks += [_seam(seam) for seam in project.seams]
    blocks += [_place(place) for place in project.places]
    return "\n\n".join("\n".join(lines) for lines in blocks) + "\n"


def grouped(pieces: Sequence[Piece]) -> list[list[Piece]]:
    """Copies of one piece together: front#1, front#2 and so on."""
    groups: list[list[Piece]] = []
    for piece in pieces:
        if groups and _base(groups[-1][0]) == _base(piece):
            groups[-1].append(piece)
        else:
            groups.append([piece])
    for group in groups:
        first = replace(group[0], name=_base(group[0]))
        if tuple(group) != copies_of(first, count=len(group), alternate=_alternate(group)):
            raise InputError(
                "cannot-write",
                f"The copies of {first.name or group[0].name} differ, so one entry cannot stand for them.",
                "Give pieces that differ names of their own: front#1, front#2 are copies of one.",
            )
    return groups


def _base(piece: Piece) -> str:
    return piece.name.rpartition("#")[0]


def _alternate(copies: Sequence[Piece]) -> bool:
    return len(copies) > 1 and copies[1] == mirrored(copies[0], copies[1].name)


def shown(mm: float) -> str:
    """Length as text that reads back to the very same number, in cm from 10 cm upwards.

    Examples
    --------
    >>> shown(520.0), shown(64.0), shown(1000 / 3)
    ('52 cm', '64 mm', '333.3333333333333 mm')
    """
    if abs(mm) >= CENTIMETRES_FROM_MM:
        text = f"{_plain(Decimal(repr(mm)) / 10)} cm"
        if parse_length(text) == mm:
            return text
    return f"{_plain(Decimal(repr(mm)))} mm"


def _head(project: Project, remarks: Sequence[str]) -> list[str]:
    lines = []
    if project.kind:
        kind = KINDS[project.kind]
        lines += [f"# {kind.title}. {kind.text}"]
        lines += [f"# Drawn with {', '.join(f'{name} = {text}' for name, text in project.sizes)}."]
    lines += [f"# {remark}" for remark in remarks]
    lines += [
        "# Sizes are those of the pieces as cut, on washed cloth: width across the cloth, length along it."
    ]
    return [*lines, f"name = {_text(project.name)}"]


def _cloth(cloth: Cloth) -> list[str]:
    lines = [
        "[cloth]  # as sold, before washing",
        f"width = {_length(cloth.width_mm)}",
        f"selvedge = {_length(cloth.selvedge_mm)}  # cannot be used, at each side",
        f"shrink_along = {_share(cloth.shrink_along)}  # in the first wash",
        f"shrink_across = {_share(cloth.shrink_across)}",
        f"sold_by = {_length(cloth.sold_by_mm)}  # the step the shop cuts in",
    ]
    if cloth.join is not None:
        lines.append(f"join = {_text(cloth.join)}  # how full widths are joined")
    if cloth.price is not None:
        lines += [
            f"price = {_plain(Decimal(repr(float(cloth.price))))}",
            f"price_per = {_length(cloth.price_per_mm)}",
        ]
    if cloth.currency:
        lines.append(f"currency = {_text(cloth.currency)}")
    return lines


def _print(print_: Print) -> list[str]:
    lines = ["[print]", *_lattice(print_), f"layout = {_text(print_.layout)}", f"way = {_text(print_.way)}"]
    if print_.error_share:
        lines.append(f"error = {_share(print_.error_share)}  # how far the repeat may be off, one sigma")
    if print_.motif_width_mm and print_.motif_height_mm:
        size = f"{shown(print_.motif_width_mm)} x {shown(print_.motif_height_mm)}"
        lines.append(f"motif = {_text(size)}")
    if print_.family:
        lines.append(f"family = {_text(print_.family)}")
    if print_.border:
        lines.append("border = true")
    if print_.motif_from_selvedge_mm is not None:
        lines.append(f"motif_from_selvedge = {_length(print_.motif_from_selvedge_mm)}")
    return lines


def _lattice(print_: Print) -> list[str]:
    """Across and along where they say it all, else the basis."""
    lattice = print_.lattice
    if lattice is None:
        return []
    across, along = lattice.shortest_along_axis(0), lattice.shortest_along_axis(1)
    drop: Fraction | None = None
    if print_.layout == "drop" and along is not None:
        drop, across = drop_of(lattice), lattice.area_mm2 / along
    if made_lattice(print_.layout, across, along, float(drop) if drop is not None else None) == lattice:
        lines = [
            f"{name} = {_length(mm)}" for name, mm in (("across", across), ("along", along)) if mm is not None
        ]
        return [*lines, *([f'drop = "{drop}"'] if drop is not None else [])]
    return [f"basis = [{', '.join(_point(v) for v in lattice.basis_mm)}]"]


def _piece(copies: Sequence[Piece]) -> list[str]:
    first = copies[0]
    lines = ["[[piece]]", f"name = {_text(first.name.rpartition('#')[0])}"]
    if len(copies) > 1:
        lines.append(f"count = {len(copies)}")
        if _alternate(copies):
            lines.append("mirrored = true  # every second copy")
    if first.outline:
        lines += ["outline = [", *(f"    {_point(p)}," for p in first.outline), "]"]
    else:
        lines += [f"width = {_length(first.width_mm)}", f"length = {_length(first.length_mm)}"]
    if first.turn != "half":
        lines.append(f"turn = {_text(first.turn)}")
    if not first.on_border:
        lines.append("border = false  # of a border print: cut from the field")
    if first.on_fold:
        lines.append("on_fold = true  # its two halves are alike")
    return lines


def _seam(seam: Seam) -> list[str]:
    ends = ", ".join(f"{{ piece = {_text(end.piece)}, at = {_point(end.at)} }}" for end in seam.join)
    named = [f"name = {_text(seam.name)}"] if seam.name else []
    lines = ["[[seam]]", *named, f"join = [{ends}]", f"match = {_text(seam.match)}"]
    return lines if seam.visible else [*lines, "visible = false"]


def _place(place: Place) -> list[str]:
    return [
        "[[place]]",
        f"piece = {_text(place.piece)}",
        f"at = {_point(place.at)}",
        f"on = {_text(place.on)}",
    ]


def _point(point: Vector) -> str:
    return f"[{_length(point[0])}, {_length(point[1])}]"


def _length(mm: float) -> str:
    return _text(shown(float(mm)))


def _share(share: float) -> str:
    """Per cent that reads back to the same share."""
    exact = Decimal(repr(float(share))) * 100
    text = f"{_plain(exact)} %"
    if parse_share(text, at_most=1.0) != share:
        text = f"{_plain(Decimal(share) * 100)} %"
    return _text(text)


def _plain(number: Decimal) -> str:
    """Digits without an exponent and without idle zeros."""
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _text(text: str) -> str:
    """Basic string of TOML: JSON's escapes are a part of TOML's; only DEL must be escaped besides."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
