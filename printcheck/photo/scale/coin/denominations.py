"""Coins by name: diameter, thickness and look, in millimetres; and those that are not round."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

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


# Diameters: Regulation (EC) 975/98; US Mint coin specifications; UK from secondary pages (1p from memory).
# Thicknesses: the same regulation and specifications, from memory; they matter little (1.9 mm seen from
# 400 mm is 0.5 % of scale, and half a millimetre off is 0.1 %).
COINS = (
    Coin("2euro", 25.75, 2.20, "gold in silver", ("2eur", "eur2", "2\u20ac", "\u20ac2")),
    Coin("1euro", 23.25, 2.33, "silver in gold", ("1eur", "eur1", "1\u20ac", "\u20ac1")),
    Coin("50cent", 24.25, 2.38, "gold", ("50ct", "eur50c", "eur050")),
    Coin("20cent", 22.25, 2.14, "gold", ("20ct", "eur20c", "eur020")),
    Coin("10cent", 19.75, 1.93, "gold", ("10ct", "eur10c", "eur010")),
    Coin("5cent", 21.25, 1.67, "copper", ("5ct", "eur5c", "eur005")),
    Coin("2cent", 18.75, 1.67, "copper", ("2ct", "eur2c", "eur002")),
    Coin("1cent", 16.25, 1.67, "copper", ("1ct", "eur1c", "eur001")),
    Coin("us-penny", 19.05, 1.52, "copper", ("penny", "1c", "us1c", "usd1c")),
    Coin("us-nickel", 21.21, 1.95, "silver", ("nickel", "5c", "us5c", "usd5c")),
    Coin("us-dime", 17.91, 1.35, "silver", ("dime", "10c", "us10c", "usd10c")),
    Coin("us-quarter", 24.26, 1.75, "silver", ("quarter", "25c", "us25c", "usd25c")),
    Coin("us-half-dollar", 30.61, 2.15, "silver", ("halfdollar", "50c", "us50c", "usd50c")),
    Coin("us-dollar", 26.49, 2.00, "gold", ("dollar", "us1dollar", "usd1", "$1")),
    Coin("uk-1p", 20.3, 1.65, "copper", ("1p", "gbp1p")),
    Coin("uk-2p", 25.9, 1.85, "copper", ("2p", "gbp2p")),
    Coin("uk-5p", 18.0, 1.70, "silver", ("5p", "gbp5p")),
    Coin("uk-10p", 24.5, 1.85, "silver", ("10p", "gbp10p")),
    Coin("uk-2pound", 28.4, 2.50, "silver in gold", ("2pound", "gbp2", "2gbp", "\u00a32")),
)
NOT_ROUND = {  # secondary pages: seven sides, seven sides, twelve sides
    "20p": ("uk20p", "gbp20p"),
    "50p": ("uk50p", "gbp50p"),
    "GBP1": ("uk1pound", "1pound", "pound", "1gbp", "\u00a31"),
}


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
