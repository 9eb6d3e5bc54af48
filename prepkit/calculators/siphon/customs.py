"""Customs of the trade: what a charger holds, how many go into which style, and the gases."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

# [CHARGER-PAGES], customs: grams in one charger. Nitrogen bulbs hold 2.0 to 2.4 g: the heavier.
CHARGER_G = {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
BULB_ML = 10.0


class Style(NamedTuple):
    """A use of the siphon: its gases, chargers per litre by custom, least pressure to pour at."""

    gases: tuple[str, ...]
    chargers_per_l: float
    least_bar: float


# [SIPHON-PRACTICE] for the chargers; the least pressures are this tool's own judgement.
STYLES = {
    "whipped-cream": Style(("n2o",), 2.0, 1.0),
    "cold-foam": Style(("n2o",), 2.0, 1.0),
    "nitro": Style(("n2",), 2.0, 1.0),
    "soda": Style(("co2",), 1.0, 0.5),
    "infusion": Style(("n2o", "co2"), 2.0, 0.0),
}


def practice_count(style: str, fill_m3: float) -> int:
    """Chargers that custom puts into one vessel.

    >>> practice_count("whipped-cream", 0.5e-3), practice_count("soda", 1.0e-3)
    (1, 1)
    """
    return max(1, ceil(STYLES[style].chargers_per_l * fill_m3 * 1e3 - 1e-6))
