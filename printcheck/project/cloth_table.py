"""``[cloth]`` of a project file: the cloth as sold."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from printcheck.core.errors import InputError
from printcheck.core.plan import Cloth
from printcheck.core.units import format_length, parse_length, parse_positive_length, parse_share
from printcheck.project.schema import ClothTable, Mistakes, read_table


def read_cloth(
    raw: Mapping[str, Any] | None, *, width: str | None, mistakes: Mistakes, usual: Cloth | None = None
) -> Cloth | None:
    """Cloth of the ``[cloth]`` table; ``usual`` fills the keys that are left out."""
    before = len(mistakes.found)
    if raw is None and usual is None and width is None:
        mistakes.add("cloth", "there is no [cloth]. Give its width.", code="missing-key")
        return None
    table = read_table(raw or {}, ClothTable, place="cloth", mistakes=mistakes)
    sizes: dict[str, Any] = {}
    for key, (field, parse) in _CLOTH_SIZES.items():
        if (text := getattr(table, key)) is not None:
            with mistakes.noting():
                sizes[field] = parse(text, place=f"cloth.{key}")
    with mistakes.noting():
        if width is not None:
            sizes["width_mm"] = parse_positive_length(width, place="--width")
        elif table.width is None and usual is None:
            raise InputError(
                "missing-key", "cloth.width: width is missing.", "Give it as sold, before washing."
            )
    with mistakes.noting():
        sizes.update(_money(table, usual))
    if table.join is not None:
        sizes["join"] = table.join
    if len(mistakes.found) > before:
        return None
    cloth = replace(usual, **sizes) if usual is not None else Cloth(**sizes)
    if cloth.usable_width_mm <= 0:
        mistakes.add(
            "cloth.selvedge",
            f"two selvedges of {format_length(cloth.selvedge_mm)} leave nothing of the width "
            f"{format_length(cloth.width_mm)}. Check both.",
            code="no-usable-width",
        )
        return None
    return cloth


def _money(table: ClothTable, usual: Cloth | None) -> dict[str, Any]:
    price, currency = table.price, table.currency.strip()
    if price is None:
        return {"currency": currency} if currency else {}
    if not (math.isfinite(price) and price >= 0):
        raise InputError("bad-price", f"cloth.price: {price} is not a price.", "Give a number such as 12.50.")
    if not currency and not (usual and usual.currency):
        raise InputError(
            "price-without-currency", "cloth.currency: there is a price but no currency.", 'Such as "EUR".'
        )
    return {"price": price, **({"currency": currency} if currency else {})}


def parse_from_zero(text: object, *, place: str) -> float:
    """Millimetres of a length that may be zero."""
    mm = parse_length(text, place=place)
    if mm < 0:
        raise InputError("length-negative", f"{place}: {text!r} is less than zero.", "Give 0 cm or more.")
    return mm


_CLOTH_SIZES: dict[str, tuple[str, Callable[..., float]]] = {
    "width": ("width_mm", parse_positive_length),
    "selvedge": ("selvedge_mm", parse_from_zero),
    "shrink_along": ("shrink_along", parse_share),
    "shrink_across": ("shrink_across", parse_share),
    "sold_by": ("sold_by_mm", parse_positive_length),
    "price_per": ("price_per_mm", parse_positive_length),
}
