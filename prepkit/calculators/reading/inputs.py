"""Inputs and Result of reading."""

from __future__ import annotations

from prepkit.errors import named
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, quantity
from prepkit.model import Figure, Screen, output
from prepkit.model import Result as BaseResult
from prepkit.shared import instruments
from prepkit.units import Measured

# ---- what reading is told ----


class Inputs(BaseInputs):
    """What was read, on which instrument, and what is known of the liquid."""

    groups = (
        (
            "Most needed",
            "refractometer hydrometer alcoholometer acid abv temperature tds brew dose ",
        ),
        ("Instruments", "atc scale scale_from hydrometer_scale specific_gravity baume"),
        ("Sample", "acid_kind solids invert thinned liquid"),
        ("Coffee", "water beverage"),
    )

    refractometer: Measured | None = quantity(
        "Bx", "refractometer reading", "As read on the scale, strained, zeroed on water.",
        "24", default=None, low=0, high=95, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer: Measured | None = quantity(
        ("Bx", "kg/m3"), "hydrometer reading", "On a sugar scale (Bx) or as a density; the float "
        "is made for 20 °C.", "15.8 Bx", default=None, low=0,
    )  # fmt: skip
    specific_gravity: float | None = number(
        "specific gravity", "A float with a scale of relative density 20/20.", "1.064",
        default=None, low=0.78, high=1.45, because="no drink lies outside",
    )  # fmt: skip
    baume: float | None = number(
        "degrees Baume", "A float with a Baume scale (modulus 145).", "4.0",
        default=None, low=0, high=45, because="no syrup is denser",
    )  # fmt: skip
    alcoholometer: Measured | None = quantity(
        "% vol", "alcoholometer reading", "A spirit float made for 20 °C; plain spirit only.",
        "43 % vol", default=None, low=0, high=100, because="a strength", bare=True,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the sample", "When it was read, on every instrument.", "24 C",
        default=20.0, low=instruments.LOW_C, high=instruments.HIGH_C,
        because="no correction is known outside; bring the sample to 20 °C",
    )  # fmt: skip
    atc: bool = flag(
        "the refractometer corrects for temperature", "Its reading is then taken as at 20 °C."
    )
    scale: Measured | None = quantity(
        "Bx", "highest mark of the refractometer", "A reading there is over range.", "32",
        default=None, above=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    scale_from: Measured | None = quantity(
        "Bx", "lowest mark of the refractometer", "A reading there is under range.", "58",
        default=None, low=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer_scale: Measured | None = quantity(
        ("Bx", "kg/m3"), "highest mark of the hydrometer", "A reading there is over range.",
        "40 Bx", default=None, above=0,
    )  # fmt: skip
    acid: Measured | None = quantity(
        ("% w/w", "g/l"), "acid in the liquid", "From the recipe or a titration, as the acid "
                                                f"named by {named('acid_kind')}. No instrument "
                                                "can tell it from sugar.", "0.5 %",
        default=None, low=0,
        high=120, because="not computed beyond",
    )  # fmt: skip
    acid_kind: str = choice(
        ("citric", "malic", "tartaric", "lactic", "acetic"), "which acid",
        f"The acid that {named('acid')} is written as.", default="citric",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "known strength", "From the recipe or the label, where one instrument is read; "
        "0 where there is none.", "12 % vol", default=None, low=0, high=60,
        because="not computed in stronger liquids", bare=True,
    )  # fmt: skip
    solids: Measured | None = quantity(
        "g/l", "solids in the spirit", "Weighed after drying off a measured volume; with "
        f"{named('alcoholometer')}.", "5 g/l",
        default=None, low=0, high=900, because="no more dissolves",
    )  # fmt: skip
    invert: Measured | None = quantity(
        "% w/w", "invert sugar", "Glucose and fructose in the syrup, by weight; with "
        f"{named('refractometer')} alone.", "20 %",
        default=None, low=0, high=85, because="no more dissolves",
    )  # fmt: skip
    thinned: float = number(
        "water added to the sample", "g of water weighed to each g of sample before reading.",
        "1", default=0.0, low=0, high=20, because="a thinner sample reads nothing",
    )  # fmt: skip
    liquid: str = choice(
        ("drink", "honey", "coffee"), "what was read", "Drink: anything of sugar, acid and "
        "alcohol. Honey: all its solids count as invert sugar. Coffee: black, filtered.",
        default="drink",
    )  # fmt: skip
    tds: Measured | None = quantity(
        "% w/w", "dissolved solids of the coffee", "From a coffee refractometer, in place of "
        f"{named('refractometer')}.", "1.35 %",
        default=None, low=0, high=30, because="no coffee has more",
    )  # fmt: skip
    brew: str | None = choice(
        ("percolation", "immersion"), "how it was brewed", "Percolation: espresso, filter. "
        "Immersion: all the water stays with the grounds.", default=None,
    )  # fmt: skip
    dose: Measured | None = quantity(
        "g", "dry coffee", "Coffee that was ground.", "18 g", default=None, above=0, high=1e6,
        because="a batch", extensive=True,
    )  # fmt: skip
    water: Measured | None = quantity(
        "g", "water poured", "On to the grounds.", "300 g", default=None, above=0, high=1e7,
        because="a batch", extensive=True,
    )  # fmt: skip
    beverage: Measured | None = quantity(
        "g", "coffee that ran out", "Weighed in the cup or jug.", "36 g", default=None, above=0,
        high=1e7, because="a batch", extensive=True,
    )  # fmt: skip


# ---- what reading answers ----


class Result(BaseResult):
    """What is in it, as far as the readings tell."""

    screen = Screen(
        headline=(
            "{sugar} sugar and {abv}.",
            "{sugar} sugar.",
            "{extraction} extraction, {tds} dissolved.",
            "{tds} dissolved.",
            "{abv} strength.",
            "{sugar_if_neither} sugar, if it holds neither alcohol nor acid.",
            "{sugar_if_no_alcohol} sugar, if it holds no alcohol.",
            "{apparent_abv} by the alcoholometer, before solids.",
            "{juice_brix} on the juice trade's scale.",
            "Density {density} at 20 °C.",
        ),
        primary=(
            "sugar",
            "sugar_if_neither",
            "sugar_if_no_alcohol",
            Figure("true dissolved solids", "dissolved_solids"),
            "dissolved_solids_if",
            "sugar_g_l",
            "sugar_g_l_if",
            Figure("strength", "abv"),
            "apparent_abv",
            "obscuration",
            "ethanol",
            "tds",
            "extraction",
            "beverage_mass",
            "juice_brix",
        ),
        check=(
            "refractometer_20",
            "hydrometer_20",
            "hydrometer_would_show",
            Figure("density", "density"),
        ),
    )

    sugar: float | None = output("sugar", "% w/w", 1)
    sugar_g_l: float | None = output("sugar in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 1)
    sugar_if_neither: float | None = output("sugar (if no alcohol or acid)", "% w/w", 1)
    sugar_if_no_alcohol: float | None = output("sugar (if no alcohol)", "% w/w", 1)
    sugar_g_l_if: float | None = output("sugars per litre (if no alcohol)", "g/l", 0)
    dissolved_solids_if: float | None = output("true dissolved solids (if no alcohol)", "% w/w", 1)
    juice_brix: float | None = output("soluble solids, juice scale", "Bx", 1)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol by weight", "% w/w", 1)
    apparent_abv: float | None = output("alcoholometer reading, uncorrected (20 °C)", "% vol", 2)
    obscuration: float | None = output("strength hidden by solids", "% vol", 2)
    us_proof: float | None = output("US proof (60 °F)", "proof", 1)
    refractometer_20: float | None = output("refractometer reading (20 °C)", "Bx", 2)
    hydrometer_20: float | None = output("sugar hydrometer reading (20 °C)", "Bx", 2)
    hydrometer_would_show: float | None = output(
        "expected sugar hydrometer reading (20 °C)", "Bx", 1
    )
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    tds: float | None = output("dissolved solids of the coffee", "% w/w", 2)
    extraction: float | None = output("extraction of the dose", "%", 1)
    beverage_mass: float | None = output("coffee that ran out", "g", 0, extensive=True)
