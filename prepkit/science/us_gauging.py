"""US gauging of plain spirit: water parts, weights in air, obscuration (27 CFR part 30)."""

from __future__ import annotations

from prepkit.errors import require
from prepkit.science import ethanol

WATER_60F_KG_M3 = 999.01
AIR_KG_M3 = 1.222  # memory
LB_PER_GALLON_WATER_AIR = 8.32823  # [27-CFR-30] section 21.161 (read)
# [27-CFR-30] 30.31 and 30.32: solids in mg per 100 mL.
NO_OBSCURATION_MG_100_ML, DISTIL_ABOVE_MG_100_ML = 400.0, 600.0
PROOF_PER_MG_100_ML = 0.4 / 100.0


def _mass_fraction_and_density(us_proof: float) -> tuple[float, float]:
    p = ethanol.mass_fraction_from_us_proof(us_proof)
    return p, ethanol.density_kg_m3(p, ethanol.PROOF_C)


def water_parts(us_proof: float) -> float:
    """Parts of water by volume in 100 parts of spirit at 60 F (more than the gap: it contracts).

    us_proof: 0 to 200. Error: 0.01 parts.

    >>> round(water_parts(100.0), 2)
    53.74

    Raises: OutOfRange. Source: [27-CFR-30] 30.66 and Table 6 (read), by [OIML-R22].
    """
    p, density = _mass_fraction_and_density(us_proof)
    return 100.0 * (1.0 - p) * density / WATER_60F_KG_M3


def water_to_reduce_per_100(us_proof: float, wanted_proof: float) -> float:
    """Volumes of water at 60 F for 100 volumes of spirit, to bring it to a lower proof.

    us_proof: 0 to 200. wanted_proof: above 0, to us_proof. Error: 0.03.

    >>> round(water_to_reduce_per_100(112.0, 100.0), 2)
    12.43

    Raises: OutOfRange. Source: [27-CFR-30] 30.66 (read).
    """
    require("us_proof", us_proof, 0.0, 200.0, "proof", "27-CFR-30")
    require("wanted_proof", wanted_proof, 1e-6, us_proof, "proof", "27-CFR-30")
    return us_proof / wanted_proof * water_parts(wanted_proof) - water_parts(us_proof)


def specific_gravity_in_air(us_proof: float) -> float:
    """Apparent specific gravity 60/60 F in air of spirit at a proof, 0 to 200. Error: 0.0001.

    >>> round(specific_gravity_in_air(20.0), 4)
    0.9866

    Raises: OutOfRange. Source: [USP-ALCOHOL] (read), by [OIML-R22] and the weight of air (memory).
    """
    _, density = _mass_fraction_and_density(us_proof)
    return (density - AIR_KG_M3) / (WATER_60F_KG_M3 - AIR_KG_M3)


def pounds_per_gallon(us_proof: float) -> float:
    """Weight in air of one US gallon of spirit at 60 F, lb.

    us_proof: 0 to 200. Error: 0.001 lb.

    >>> round(10 * pounds_per_gallon(190.0), 1)
    67.9

    Raises: OutOfRange. Source: [27-CFR-30] (read).
    """
    return LB_PER_GALLON_WATER_AIR * specific_gravity_in_air(us_proof)


def proof_gallons_per_pound(us_proof: float) -> float:
    """Proof gallons (US gallons of 100 proof) in a pound of spirit weighed in air.

    us_proof: 0 to 200. Error: 0.0001.

    >>> round(proof_gallons_per_pound(190.0), 4)
    0.2797

    Raises: OutOfRange. Source: [27-CFR-30] 30.64 (read).
    """
    return us_proof / 100.0 / pounds_per_gallon(us_proof)


def obscuration_proof(solids_mg_100_ml: float) -> float:
    """Degrees of proof that dissolved solids hide from a hydrometer in 80 to 100 proof spirit.

    solids_mg_100_ml: 0 to 600; beyond, the strength is only found by distillation. At most
    400 may be neglected by rule.

    >>> round(obscuration_proof(500.0), 6)
    2.0

    Raises: OutOfRange. Source: [27-CFR-30] 30.31, 30.32(b) (read).
    """
    require("solids_mg_100_ml", solids_mg_100_ml, 0.0, DISTIL_ABOVE_MG_100_ML, "mg/100 mL",
            "27-CFR-30: distil above")  # fmt: skip
    return PROOF_PER_MG_100_ML * solids_mg_100_ml
