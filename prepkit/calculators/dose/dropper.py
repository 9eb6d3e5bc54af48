"""What a drop weighs: by the scale where drops were weighed, else by the liquid and the tip."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.science import drops
from prepkit.shared import acidity
from prepkit.units import Measured

USUAL_TIP_MM = 3.0
ROOM_C = 20.0
# A dropper that nobody knows: half to twice the drop of the usual tip [ESSENTIAL-OIL-DROPS].
UNKNOWN_DROPPER = 2.0
KNOWN_TIP_ERROR = 0.15  # what a pharmacopoeia allows a dropper [USP-DROPPER]
LEAST_KG, MOST_KG = 5e-6, 100e-6
_MOSTLY_OIL = 0.5
_HOLDS_FAT = 0.2


class Drop(NamedTuple):
    """Mass of a drop, the range it lies in, and how it was found."""

    kg: float
    least_kg: float
    most_kg: float
    weighed: bool
    step: Step

    @property
    def spread_kg(self) -> float:
        """The larger side of the range."""
        return max(self.most_kg - self.kg, self.kg - self.least_kg)


def weighed(count: int, mass: Measured, scale: Measured) -> Drop:
    """A drop of a calibration; BadInput where no dropper gives such drops."""
    each = 1e-3 * float(mass) / count
    if not LEAST_KG <= each <= MOST_KG:
        raise BadInput(
            f"{named('weighed')} {mass.words()} for {count} drops makes {1e6 * each:.4g} mg a "
            "drop, and "
            f"drops weigh {1e6 * LEAST_KG:g} to {1e6 * MOST_KG:g} mg; count and weigh them again.",
            "weighed",
        )
    spread = 1e-3 * max(float(scale), mass.plus_minus) / count
    return Drop(
        each,
        max(each - spread, 0.0),
        each + spread,
        True,
        Step("drop", f"{float(mass):g} g / {count} drops", 1e6 * each, "mg", "DEFINITION"),
    )


def from_tip(stock: Mixture, tip: Measured | None) -> Drop:
    """A drop by the surface tension and density of its own liquid; BadInput where not known."""
    tension, of = _surface_tension(stock)
    density = acidity.density_kg_m3(stock)
    tip_mm = USUAL_TIP_MM if tip is None else float(tip)
    each = drops.drop_mass_kg(5e-4 * tip_mm, tension, density)
    factor = UNKNOWN_DROPPER
    least, most = each / factor, each * factor
    if tip is not None:
        least, most = each * (1.0 - KNOWN_TIP_ERROR), each * (1.0 + KNOWN_TIP_ERROR)
    elif stock.fraction("essential_oil") >= _MOSTLY_OIL:
        most = max(most, drops.BOTTLE_INSERT_KG + drops.BOTTLE_INSERT_SPREAD_KG)
    tip_words = f"{tip_mm:g} mm tip" + (
        "" if tip is not None else " assumed, as its width is unknown"
    )
    return Drop(
        each,
        least,
        most,
        False,
        Step(
            "drop",
            f"falls from a {tip_words}, surface tension {1000.0 * tension:.1f} mN/m {of}, "
            f"{density:.0f} kg/m3; it may be {1e6 * least:.0f} to {1e6 * most:.0f} mg",
            1e6 * each,
            "mg",
            "HARKINS-BROWN",
        ),
    )


def _surface_tension(stock: Mixture) -> tuple[float, str]:
    """N/m of a liquid, and whose it is."""
    if stock.fraction("essential_oil") >= _MOSTLY_OIL:
        return drops.LIMONENE_N_M, "as limonene"
    if stock.fraction("fat") >= _HOLDS_FAT:
        raise BadInput("no surface tension of a fat is known here.")
    if milk_fat := stock.fraction("milk_fat"):
        if milk_fat > drops.MILK_HIGH_FAT or stock.ethanol_kg:
            raise BadInput(
                "no surface tension of cream, or of milk with spirit, is known here; its "
                "viscosity tells no weight."
            )
        return drops.milk_surface_tension_n_m(ROOM_C), "as milk"
    of = "as spirit of its strength" if stock.ethanol_kg else "as water"
    return drops.ethanol_water_surface_tension_n_m(stock.solvent_ethanol), of
