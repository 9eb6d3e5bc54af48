"""What reading answers."""

from __future__ import annotations

from dataclasses import dataclass

from prepkit.first_screen import Figure, Screen
from prepkit.model import Result as BaseResult
from prepkit.model import output


@dataclass(frozen=True, kw_only=True)
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
