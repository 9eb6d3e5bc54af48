"""Two published sums for vinegar products: will E. coli die, will nothing grow."""

from __future__ import annotations

from prepkit.errors import require

PKA_ACETIC = 4.756  # in water at 25 C [PREPKIT-ACID]
SAFE, STABLE = 63.0, 63.0  # the sums must be above these [CIMSCEE-1992]
PH_RANGE = (2.5, 4.0)  # of the products it is used for here: JUDGEMENT


def undissociated_fraction(ph: float) -> float:
    """Share of acetic acid that is not split.

    >>> round(undissociated_fraction(4.756), 3)
    0.5

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    require("ph", ph, 0.0, 14.0)
    return float(1.0 / (1.0 + 10.0 ** (ph - PKA_ACETIC)))


def stability_index(
    acetic_percent: float, salt_percent: float, hexose_percent: float, disaccharide_percent: float,
    ph: float,
) -> float:  # fmt: skip
    """Above 63 no growth at room temperature is expected; no unit.

    S = 15.75 (1 - a) A + 3.08 salt + hexose + 0.5 disaccharide, each in % of the water phase, with
    a the split share of the acetic acid A.

    acetic_percent, salt_percent, hexose_percent, disaccharide_percent: % of the water phase by
    weight. ph: 2.5 to 4.0. It can be wrong, with other acids and with protein above all.

    >>> round(stability_index(2.0, 0.0, 0.0, 40.0, 3.0), 1)
    51.0

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    require("ph", ph, *PH_RANGE)
    for name, value in (
        ("acetic_percent", acetic_percent), ("salt_percent", salt_percent),
        ("hexose_percent", hexose_percent), ("disaccharide_percent", disaccharide_percent),
    ):  # fmt: skip
        require(name, value, 0.0, 100.0)
    acid = 15.75 * undissociated_fraction(ph) * acetic_percent
    return acid + 3.08 * salt_percent + hexose_percent + 0.5 * disaccharide_percent


def safety_index(
    acetic_percent: float, salt_percent: float, hexose_percent: float, disaccharide_percent: float,
    ph: float,
) -> float:  # fmt: skip
    """Above 63 E. coli falls a thousandfold in less than 72 hours; no unit.

    The stability index with 40 (4 - pH) added, same arguments and range.

    >>> round(safety_index(2.0, 0.0, 0.0, 40.0, 3.0), 1)
    91.0

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    stable = stability_index(
        acetic_percent, salt_percent, hexose_percent, disaccharide_percent, ph
    )  # fmt: skip
    return stable + 40.0 * (4.0 - ph)


__all__ = [
    "PH_RANGE", "PKA_ACETIC", "SAFE", "STABLE", "safety_index", "stability_index",
    "undissociated_fraction",
]  # fmt: skip
