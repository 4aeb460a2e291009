"""Coins by name or diameter: the rows of ``coins.toml``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import msgspec

from printcheck.core.errors import InputError
from printcheck.core.request import Reference

Metal = Literal["silver", "gold", "copper", "gold in silver", "silver in gold"]
TYPICAL_THICKNESS_MM = 1.9  # of a coin given by its diameter alone; those below lie within 0.5 mm of it
SAME_DIAMETER_MM = 0.06  # a diameter this near to a known coin's means that coin, for its thickness
SMALLEST_MM, LARGEST_MM = 10.0, 60.0  # coins in use anywhere, with room to spare; from memory


@dataclass(frozen=True)
class Coin:
    """A round coin. ``metal`` is None where only the diameter is known."""

    name: str
    diameter_mm: float
    thickness_mm: float
    metal: Metal | None
    spellings: tuple[str, ...] = ()


_TABLES = msgspec.toml.decode(Path(__file__).with_name("coins.toml").read_bytes())
COINS = tuple(msgspec.convert({"name": name, **row}, Coin) for name, row in _TABLES["round"].items())
NOT_ROUND: dict[str, list[str]] = _TABLES["not_round"]


def coin_of(request: Reference) -> Coin:
    """The coin asked for by name or diameter.

    Raises
    ------
    InputError
        For an unknown name, a coin that is not round, or a diameter no coin has.
    """
    if request.diameter_mm is not None:
        return _by_diameter(request.diameter_mm)
    asked = _plain(request.name)
    for shown, spellings in NOT_ROUND.items():
        if asked in {_plain(shown), *map(_plain, spellings)}:
            raise InputError(
                "coin-not-round",
                f"--reference: the {shown} coin is not round, so its size cannot be read off its rim.",
                "Lay a round coin on the cloth, such as 2p, 10p or 2euro, or a bank card.",
            )
    for coin in COINS:
        if asked in {_plain(coin.name), *map(_plain, coin.spellings)}:
            return coin
    raise InputError(
        "unknown-coin",
        f"--reference: {request.name[:40]!r} is not a coin we know.",
        f"Choose {', '.join(coin.name for coin in COINS)}, or give its diameter, such as coin:23.25mm.",
    )


def _by_diameter(diameter_mm: float) -> Coin:
    if not SMALLEST_MM <= diameter_mm <= LARGEST_MM:
        raise InputError(
            "coin-size-unlikely",
            f"--reference: no coin is {diameter_mm:g} mm across.",
            f"Give a diameter between {SMALLEST_MM:g} and {LARGEST_MM:g} mm.",
        )
    nearest = min(COINS, key=lambda coin: abs(coin.diameter_mm - diameter_mm))
    known = abs(nearest.diameter_mm - diameter_mm) < SAME_DIAMETER_MM
    thickness = nearest.thickness_mm if known else TYPICAL_THICKNESS_MM
    return Coin(f"{diameter_mm:g} mm", diameter_mm, thickness, None)


def _plain(name: str) -> str:
    """Spelling without capitals, spaces, dots, and strokes."""
    return re.sub(r"[\s._-]+", "", name.lower())
