"""Writes prepkit/unit_table.py from prepkit/data/units.txt by the units library: run it by itself.

Each size is worked out in fractions, so that the table holds the nearest float to the exact one.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pint

PACKAGE = Path(__file__).parent.parent / "prepkit"
TABLE = PACKAGE / "unit_table.py"
BASES = {
    "mass": "kilogram", "volume": "meter ** 3", "pressure": "pascal", "length": "meter",
}  # fmt: skip
UNITS = {
    "oz": ("mass", "ounce"), "lb": ("mass", "pound"),
    "US fl oz": ("volume", "us_fluid_ounce"), "imp fl oz": ("volume", "imperial_fluid_ounce"),
    "US cup": ("volume", "us_cup"), "US tbsp": ("volume", "us_tablespoon"),
    "US tsp": ("volume", "us_teaspoon"), "US pint": ("volume", "us_pint"),
    "US quart": ("volume", "us_quart"), "US gal": ("volume", "us_gallon"),
    "imp pint": ("volume", "imperial_pint"), "imp quart": ("volume", "imperial_quart"),
    "imp gal": ("volume", "imperial_gallon"), "ft3": ("volume", "cubic_foot"),
    "psi": ("pressure", "psi"), "atm": ("pressure", "standard_atmosphere"),
    "in": ("length", "inch"), "ft": ("length", "foot"),
}  # fmt: skip
HEAD = '''"""Kitchen and US units in the base unit of their kind, written by tests/unit_table.py.

All are exact by definition (international yard and pound, US gallon of 231 cubic inches, imperial
gallon of 4.54609 litres); psi is the pound-force on a square inch, to 16 digits.
"""

EXACT: dict[str, tuple[str, float]] = {
'''


def text() -> str:
    """The module's text."""
    registry = pint.UnitRegistry(None, non_int_type=Fraction, autoconvert_offset_to_baseunit=False)
    registry.load_definitions((PACKAGE / "data" / "units.txt").read_text("utf-8").splitlines())
    lines = []
    for word, (kind, name) in UNITS.items():
        size = registry.Quantity(Fraction(1), name).to(BASES[kind]).magnitude
        lines.append(f'    "{word}": ("{kind}", {float(size)!r}),\n')
    return f"{HEAD}{''.join(lines)}}}\n"


if __name__ == "__main__":
    TABLE.write_text(text(), "utf-8")
