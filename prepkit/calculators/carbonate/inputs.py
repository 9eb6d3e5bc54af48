"""What carbonate asks for: the drink, what it goes into with its plates, gas or pressure."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import ClassVar

from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, number, part, quantity
from prepkit.model import words as free_words
from prepkit.pantry import Pantry, Part
from prepkit.units import Measured, parse_quantity

LEAST_CO2 = 0.05
BOTTLES = ("glass-bottle", "plastic-bottle", "other-bottle")
RATINGS = {
    "rated": "the rating of keg or bottle",
    "line_rated": "the rating of the lines",
    "regulator_rated": "the rating of the regulator",
}
_CO2, _N2 = ("co2", "carbon dioxide"), ("n2", "nitrogen")
_TWO = re.compile(r"^\d+(?:[.,]\d+)?\s*%?\s*[/:-]\s*\d+(?:[.,]\d+)?\s*%?(?!\s*%?\s*[a-z])")


class GasMix(str):
    """The words of the gas, and the share of carbon dioxide in it."""

    share: float

    @classmethod
    def read(cls, said: str) -> GasMix:
        """Read "co2", "70 % co2" or "70 % co2, 30 % n2"; BadInput where it does not say which."""
        self = cls(said)
        text = " ".join(said.lower().replace("₂", "2").split())
        if _TWO.match(text):
            first = re.split(r"[%/:-]", text)[0].strip()
            raise BadInput(
                f"{named('gas', said)}: which of the two is carbon dioxide? Some makers name it "
                f"first, some last. Write {first} % co2 or {first} % n2, by the cylinder's label.",
                "gas",
            )
        shares = dict(_share(one, said) for one in re.split(r"\s*(?:,|/|\band\b|\+)\s*", text))
        if shares.keys() == {"co2"}:
            self.share = shares["co2"]
        elif shares.keys() == {"n2"}:
            self.share = 1.0 - shares["n2"]
        elif abs(math.fsum(shares.values()) - 1.0) < 1e-6:
            self.share = shares["co2"]
        else:
            raise BadInput(
                f"{named('gas', said)} does not add up to 100 %; write for example "
                f"{named('gas', '70 % co2')}.",
                "gas",
            )
        if self.share < LEAST_CO2:
            raise BadInput(
                f"{named('gas', said)} holds {100 * self.share:g} % carbon dioxide; it takes "
                f"{100 * LEAST_CO2:g} % or more to carbonate.",
                "gas",
            )
        return self


def _share(words: str, said: str) -> tuple[str, float]:
    """One gas of a mixture with its share; without a figure it is all of it."""
    for key, names in (("co2", _CO2), ("n2", _N2)):
        for name in names:
            if words == name:
                return key, 1.0
            found = words.removesuffix(name).strip(), words.removeprefix(name).strip()
            figure = next((one for one in found if one != words and "%" in one), None)
            if figure is not None:
                share = float(parse_quantity(figure, ("%",), named("gas"))) / 100
                if 0.0 < share <= 1.0:
                    return key, share
    raise BadInput(
        f'{named("gas")} "{said}" is not known here; write co2, or a mixture by its label, such as '
        f"{named('gas', '70 % co2')}.",
        "gas",
    )


class Inputs(BaseInputs):
    """The drink, what it goes into with its plates, and either the gas wanted or the pressure."""

    groups = (
        (
            "Most needed",
            "contents into temperature volumes pressure rated line_rated regulator_rated warmest "
            "headspace",
        ),
        ("Gas", "gas how first_pressure own_time read_pressure"),
        ("Room", "cylinder room_volume air_changes jurisdiction altitude"),
        ("Line", "bore lift pour_rate"),
    )
    takes = (("gas", "gas"), ("jurisdiction", "place"))
    only_read: ClassVar[tuple[str, ...]] = (
        "rated", "line_rated", "regulator_rated", "room_volume", "air_changes", "altitude",
        "read_pressure", "own_time", "cylinder",
    )  # fmt: skip

    contents: Part = part(
        "the still drink", "All of it, or several liquids.", "18 l water", several=True,
    )  # fmt: skip
    into: str = choice(
        ("keg", *BOTTLES), "goes into",
        "A glass or plastic bottle made for fizzy drinks. Any other bottle is refused.",
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the drink", "While it takes up the gas.", "4 C",
        low=0, high=40, because="the solubility of the gas is known there",
    )  # fmt: skip
    volumes: float | None = number(
        "gas wanted, volumes",
        "Litres of gas at 0 °C and 1 atm in a litre. Enter this or the pressure.", "3.5",
        default=None, above=0, high=6, because="drinks hold up to about 5",
    )  # fmt: skip
    pressure: Measured | None = quantity(
        "bar", "regulator set pressure (gauge)", "In place of the volumes.", "2 bar",
        default=None, above=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    gas: GasMix = free_words(
        "gas", "Pure co2 if left out. A mixture by its label: 70 % co2.", "co2",
        default=GasMix.read("co2"),
    )  # fmt: skip
    rated: Measured | None = quantity(
        "bar", "rated pressure (gauge)",
        "Of keg or bottle, from its plate or maker: the working pressure, never the test pressure.",
        "9 bar", default=None, above=0.5, high=50, because="a keg or a bottle",
    )  # fmt: skip
    line_rated: Measured | None = quantity(
        "bar", "rated pressure of lines (gauge)", "The weakest of hoses, couplers and tap.",
        "8 bar", default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    regulator_rated: Measured | None = quantity(
        "bar", "highest regulator outlet pressure (gauge)", "On the regulator.", "6 bar",
        default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    warmest: Measured | None = quantity(
        "C", "warmest it will stand", "Full and shut, in a van or by a stove.", "25 C",
        default=None, low=0, high=60, because="the solubility of the gas is known there",
    )  # fmt: skip
    headspace: Measured | None = quantity(
        "%", "headspace, share", "Of keg or bottle, above the drink.", "5 %",
        default=None, low=0, high=95, because="a share of the inside volume",
    )  # fmt: skip
    how: str = choice(
        ("stand", "high-then-low", "shake", "priming", "dry-ice", "powder"), "how",
        "Left to stand, high pressure first, or shaken. The others are refused.",
        default="stand",
    )  # fmt: skip
    first_pressure: Measured | None = quantity(
        "bar", "pressure at first (gauge)", "Where it is set higher at first.", "2.5 bar",
        default=None, above=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    own_time: Measured | None = quantity(
        ("d", "h", "min"), "your own time", "How long your own keg took at this setting.", "9 d",
        default=None, above=0, high=100, because="a keg",
    )  # fmt: skip
    read_pressure: Measured | None = quantity(
        "bar", "pressure read at rest (gauge)", "Gas shut, shaken, no longer falling.", "1.2 bar",
        default=None, low=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    cylinder: Measured | None = quantity(
        "kg", "carbon dioxide in the cylinder", "All that is connected.", "6.35 kg",
        default=None, above=0, high=1000, because="cylinders of a bar",
    )  # fmt: skip
    room_volume: Measured | None = quantity(
        "m3", "net volume of the room", "Where cylinder and keg stand.", "30 m3",
        default=None, above=0, high=1e5, because="a room, not a hall of a stadium",
    )  # fmt: skip
    air_changes: Measured | None = quantity(
        ("/h", "m3/h"), "fresh air of the room", "Measured: air changes an hour, or a flow.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    jurisdiction: str | None = free_words(
        "whose limits of gases", "A country or province; the strictest of all if left out.",
        "UK", default=None,
    )  # fmt: skip
    altitude: Measured = quantity(
        "m", "altitude", "Below the sea write 0 m.", "0 m",
        default=0.0, low=0, high=5000, because="the standard atmosphere of kitchens",
    )  # fmt: skip
    bore: Measured | None = quantity(
        "mm", "bore of the line", "For the length that balances it.", "4.8 mm",
        default=None, low=3, high=16, because="lines of a bar",
    )  # fmt: skip
    lift: Measured = quantity(
        "m", "rise to the tap", "From the middle of the keg to the tap.", "1 m",
        default=0.0, low=-10, high=30, because="a building",
    )  # fmt: skip
    pour_rate: Measured | None = quantity(
        "l/min", "pour rate", "About 3.5 l/min, the trade's pour, if left out.", "3.5 l/min",
        default=None, low=0.1, high=20, because="a tap",
    )  # fmt: skip

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: which gas, and how much of it is carbon dioxide."""
        return GasMix.read(str(value)) if name == "gas" else value
