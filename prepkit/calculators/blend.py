"""blend: parts put together, by mass, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from prepkit import derived
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, output, parts, quantity
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.pantry import Part

EXAMPLE = 'prepkit blend --part "700 ml spirit 43 %" --part "300 ml water"'


class Inputs(BaseInputs):
    """What goes in."""

    part: tuple[Part, ...] = parts(
        "the parts",
        "An amount of one ingredient; give the option once for each.",
        "700 ml spirit 43 %",
    )
    temperature: float = quantity(
        "C",
        "temperature of the blend",
        "At which the volume and density are shown; strengths stay at 20 C.",
        "20 C",
        default=20.0,
        low=-20,
        high=40,
        because="the density of spirit is published from -20 to 40 C",
    )


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What comes out."""

    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume", "ml", 0, extensive=True)
    density: float | None = output("density", "kg/m3", 1)
    abv: float | None = output("strength at 20 C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 2)
    refractometer: float | None = output("refractometer shows, at 20 C", "Bx", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    contraction: float | None = output("lost by contraction", "ml", 1, extensive=True)


def compute(inputs: Any) -> Result:
    """Masses add; everything else follows from the sum."""
    mixture = Mixture.total(part.mixture for part in inputs.part)
    temperature_c = float(inputs.temperature)
    volume_ml = 1e6 * mixture.volume_m3(temperature_c)
    volumes = [derived.volume_ml(part.mixture, temperature_c) for part in inputs.part]
    apart_ml = sum(one for one in volumes if one is not None)
    contracts = mixture.ethanol_kg and None not in volumes
    shown, error = derived.of(mixture, "abv", "dissolved_solids", "refractometer", "acidity", "ph")
    steps = [
        Step(
            "mass",
            " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.part),
            1000 * mixture.mass_kg,
            "g",
        ),
        Step(
            "volume",
            f"{1000 * mixture.mass_kg:.1f} g / {mixture.density_kg_m3(temperature_c) / 1000:.4f} "
            f"g/ml at {temperature_c:g} C",
            volume_ml,
            "ml",
            "OIML-R22" if mixture.ethanol_kg else "SPS-4",
        ),
    ]
    if mixture.ethanol_kg:
        steps.append(
            Step(
                "strength",
                f"{1000 * mixture.ethanol_kg:.1f} g ethanol / 0.78924 g/ml / "
                f"{1e6 * mixture.volume_20_m3:.1f} ml",
                shown["abv"],
                "% vol",
                "OIML-R22",
            )
        )
    steps += [
        Step(name, f"not shown: {why}")
        for name, why in derived.refusals(mixture, "ph", "refractometer").items()
    ]
    rows = tuple(
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture)) for part in inputs.part
    )
    return Result(
        product=mixture,
        mass=1000 * mixture.mass_kg,
        volume=volume_ml,
        density=mixture.density_kg_m3(temperature_c),
        ethanol=1000 * mixture.ethanol_kg or None,
        sugar=100 * mixture.sugar,
        sugar_g_l=mixture.of("sucrose", "glucose", "fructose", "lactose", "maltose")
        / mixture.volume_20_m3,
        contraction=apart_ml - volume_ml if contracts else None,
        facts={"temperature_c": temperature_c, **derived.facts(mixture)},
        working=tuple(steps),
        tables=(
            Table(
                "weigh",
                "weigh",
                (Column("part"), Column("mass", "g", 1), Column("volume at 20 C", "ml", 1)),
                rows,
            ),
        ),
        model_error=error,
        **shown,
    )
