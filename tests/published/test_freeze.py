"""Ice by temperature against the handbook's freezing points, and the rule on glycerol."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from prepkit import cautions
from prepkit.mixture import Mixture
from prepkit.science import keeping
from prepkit.science.solvers import bracketed
from prepkit.shared import drink
from published.rows import Row, load

ROWS = load("freeze")


def mix(brix: float, abv: float) -> Mixture:
    """A mix with so much sugar by weight and so much spirit by volume."""

    def of(spirit: float) -> Mixture:
        return Mixture({"water": 1 - brix / 100 - spirit, "sucrose": brix / 100, "ethanol": spirit})

    if not abv:
        return of(0.0)
    return of(bracketed(lambda spirit: 100 * of(spirit).abv - abv, 0.0, 0.6))


def share(brix: float, abv: float, at_c: float) -> float:
    return drink.ice_kg(mix(brix, abv), at_c)


def clear_abv(brix: float) -> float:
    return bracketed(lambda abv: mix(brix, abv).freezing_point_c + 18.0, 20.0, 40.0, 1e-6)


def per_gram(component: str) -> float:
    depression = keeping.solids_depression_k({"water": 0.9, component: 0.1})
    return depression / keeping.solids_depression_k({"water": 0.9, "sucrose": 0.1})


def allowed_ml() -> float:
    row = next(one for one in cautions.rows() if one.id == "freeze-glycerol-child")
    found = re.search(r"(\d+) ml a day", row.text)
    return float(found[1]) if found else 0.0


CHECKS: dict[str, Callable[[], float]] = {
    "FRZ-01": lambda: share(0, 10, -18),
    "FRZ-02": lambda: share(15, 0, -3),
    "FRZ-03": lambda: clear_abv(0),
    "FRZ-04": lambda: share(15, 7, -5),
    "FRZ-05": lambda: per_gram("glycerol"),
    "FRZ-07": lambda: clear_abv(10),
    "FRZ-08": allowed_ml,
    "FRZ-09": lambda: share(0, 8, -12),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance
