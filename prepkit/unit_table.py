"""Kitchen and US units in the base unit of their kind, written by tests/unit_table.py.

All are exact by definition (international yard and pound, US gallon of 231 cubic inches, imperial
gallon of 4.54609 litres); psi is the pound-force on a square inch, to 16 digits.
"""

EXACT: dict[str, tuple[str, float]] = {
    "oz": ("mass", 0.028349523125),
    "lb": ("mass", 0.45359237),
    "US fl oz": ("volume", 2.95735295625e-05),
    "imp fl oz": ("volume", 2.84130625e-05),
    "US cup": ("volume", 0.0002365882365),
    "US tbsp": ("volume", 1.478676478125e-05),
    "US tsp": ("volume", 4.92892159375e-06),
    "US pint": ("volume", 0.000473176473),
    "US quart": ("volume", 0.000946352946),
    "US gal": ("volume", 0.003785411784),
    "imp pint": ("volume", 0.00056826125),
    "imp quart": ("volume", 0.0011365225),
    "imp gal": ("volume", 0.00454609),
    "ft3": ("volume", 0.028316846592),
    "psi": ("pressure", 6894.757293168361),
    "atm": ("pressure", 101325.0),
    "in": ("length", 0.0254),
    "ft": ("length", 0.3048),
}
