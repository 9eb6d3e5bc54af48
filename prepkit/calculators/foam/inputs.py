"""What foam is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit.calculators.foam.foamers import PASTEURISED, RAW, WAYS, WHERE, Chosen
from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, count, number, parts, quantity, words
from prepkit.pantry import Pantry, Part
from prepkit.units import Measured, split_amount


class Inputs(BaseInputs):
    """What is foamed, with what, how, and for how many."""

    groups = (
        ("Most needed", "liquid foamer dose serves scoop temperature ph method"),
        ("Foamer", "stabiliser stabiliser_dose egg saponins"),
        ("Foam, measured", "expansion overrun cup_liquid cup_foam bubble height thickness"),
        ("Conditions", "jurisdiction"),
    )
    takes = (
        ("foamer", "name"),
        ("stabiliser", "name"),
    )

    liquid: tuple[Part, ...] = parts(
        "liquid",
        "The liquid, without the foamer. One entry for each part.",
        "400 ml lemon juice",
    )
    foamer: Chosen = words(
        "foamer",
        "Such as lecithin, egg white, gelatine or quillaja. Cream foams by itself.",
        "lecithin",
    )
    dose: Measured | None = quantity(
        ("% w/w", "g/l", "g"),
        "dose of the foamer",
        "% of the liquid by mass, g per litre of liquid at 20 °C, or grams in all.",
        "0.6 %",
        default=None,
        above=0,
        high=1000,
        because="a dose is at most all of it",
    )
    stabiliser: Chosen | None = words(
        "a stabiliser", "Xanthan beside the foamer, where there is one.", "xanthan", default=None
    )
    stabiliser_dose: Measured | None = quantity(
        ("% w/w", "g/l", "g"),
        "dose of the stabiliser",
        "On the same basis as the foamer's.",
        "0.1 %",
        default=None,
        above=0,
        high=1000,
        because="a dose is at most all of it",
    )
    egg: str | None = choice(
        (PASTEURISED, RAW),
        "egg",
        "Whether fresh egg white is pasteurised or raw from the shell.",
        default=None,
    )
    saponins: float | None = quantity(
        "% w/w",
        "saponins in the quillaja product",
        "From its label or data sheet. Legal limits count saponins.",
        "20 %",
        default=None,
        above=0,
        high=100,
        because="it is a share of the product",
    )
    method: str | None = choice(
        WAYS,
        "way of foaming",
        "Air is frothed at the surface and scooped. Whip is whisked or shaken. Siphon is "
        "charged. Without it, the usual way of the foamer.",
        default=None,
    )
    temperature: float | None = quantity(
        "C",
        "temperature while foaming",
        "Volumes are always shown at 20 °C.",
        "8 C",
        default=None,
        low=-5,
        high=100,
        because="water freezes and boils outside",
    )
    ph: float | None = number(
        "pH that was measured",
        "Of the liquid, by a calibrated meter; worked out where it is not given.",
        "2.6",
        default=None,
        low=0,
        high=14,
    )
    expansion: float | None = number(
        "expansion that was measured",
        "Litres of foam from one litre of liquid.",
        "30",
        default=None,
        low=1,
        high=1000,
    )
    overrun: float | None = quantity(
        "%",
        "overrun that was measured",
        "Gas taken in, per cent of the volume of the liquid (not of the foam).",
        "300 %",
        default=None,
        low=0,
        high=99900,
        because="a foam is no smaller than its liquid; per cent of the liquid's volume",
    )
    cup_liquid: float | None = quantity(
        "g", "a cup of the liquid", "Level, less the cup; for the overrun.", "238 g",
        default=None, above=0, high=1e5, because="a cup",
    )  # fmt: skip
    cup_foam: float | None = quantity(
        "g", "the same cup of foam", "Level, less the cup; for the overrun.", "120 g",
        default=None, above=0, high=1e5, because="a cup",
    )  # fmt: skip
    bubble: float | None = quantity(
        "mm",
        "bubbles across",
        "For the drainage. Without it, 1 mm for an air and 0.3 mm for whipped foam.",
        "1 mm",
        default=None,
        low=0.01,
        high=50,
        because="the drainage relation is for bubbles of that size",
    )
    height: float = quantity(
        "mm",
        "height of the foam",
        "For the drainage.",
        "20 mm",
        default=20.0,
        low=1,
        high=1000,
        because="the drainage relation is for foams of that height",
    )
    thickness: float | None = number(
        "viscosity against water",
        "Against water at 20 °C, timed through one funnel. Without it, from the dissolved "
        "solids, no gum counted.",
        "2",
        default=None,
        low=0.3,
        high=1e5,
    )
    serves: int | None = count(
        "serves", "How many the batch is for.", "40", default=None, low=1, high=100000,
        extensive=True,
    )  # fmt: skip
    scoop: Measured | None = quantity(
        ("ml", "g"),
        "one scoop of foam",
        "Foam on one serve, by volume or by mass.",
        "60 ml",
        default=None,
        above=0,
        high=10000,
        because="volume of the drink",
    )
    jurisdiction: str | None = choice(
        tuple(WHERE), "whose food law", "Without it, all three are shown.", default=None
    )

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: a foamer with its amount ("2 g lecithin") is foamer and dose."""
        found = dict(said)
        for name, dose in (("foamer", "dose"), ("stabiliser", "stabiliser_dose")):
            words = found.get(name)
            if not isinstance(words, str) or not words.strip()[:1].isdigit():
                continue
            amount, rest = split_amount(words, named(name), pantry.measures)
            if amount.unit != "g" or not rest:
                raise BadInput(
                    f'{named(name, words)}: write its weight and its name, such as "2 g lecithin", '
                    f"or its name alone and the dose beside it.",
                    name,
                )
            if found.get(dose) is not None:
                raise BadInput(
                    f"{named(name, words)} says an amount, and so does {named(dose)}; "
                    f"leave one of the two out.",
                    dose,
                )
            found |= {name: rest.removeprefix("of "), dose: amount}
        return found

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: foamers and stabilisers by their words."""
        if value is None or name not in ("foamer", "stabiliser"):
            return value
        chosen = Chosen.read(value, pantry, named(name))
        if name == "stabiliser" and chosen.row.role != "stabiliser":
            raise BadInput(
                f"{named('stabiliser')} is {value}, which is a foamer; write {named('foamer')} "
                f"{chosen.row.name}, "
                f"and xanthan as the stabiliser.",
                "stabiliser",
            )
        return chosen
