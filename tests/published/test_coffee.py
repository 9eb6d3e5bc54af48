"""Coffee and tea against published values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from prepkit.errors import BadInput
from prepkit.registry import run
from prepkit.science import solution
from published.rows import Row, load

ROWS = load("coffee")


def _value(name: str, brew: str, dose: str, **more: Any) -> float:
    found = run("coffee", {"brew": brew, "dose": dose, **more})
    return float(found.values[name].value)


def _espresso(dose: str, cup: str, tds: str, name: str = "extraction", **more: Any) -> float:
    return _value(name, "espresso", dose, beverage=cup, tds=tds, **more)


def _tables_espresso() -> float:
    """The solids that the calculator refuses by name as an espresso's strength."""
    with pytest.raises(BadInput, match=r"2\.2 % is not a strength"):
        _espresso("18 g", "36 g", "2.2 %")
    return 2.2


CHECKS: dict[str, Callable[[], float]] = {
    "COF-01": lambda: _value("extraction", "filter", "4 g", water="64 g", held=1.5, tds="1.3 %"),
    "COF-02": lambda: 1000 * solution.dose_kg(1.0, 0.0125, 0.20, 2.0),
    "COF-03a": lambda: _espresso("15 g", "30 g", "9 %", "caffeine_table"),
    "COF-03b": lambda: _value("caffeine_table", "tea", "5 g", water="250 g", beverage="240 g"),
    "COF-03c": lambda: _value("caffeine_table", "filter", "6 g", beverage="100 g"),
    "COF-04": lambda: _espresso("18 g", "36 g", "9 %"),
    "COF-05": lambda: _espresso("20 g", "45 g", "8.2 %"),
    "COF-06": lambda: _espresso("7 g", "25 g", "5 %"),
    "COF-07": lambda: _espresso("18 g", "36 g", "10 %", "density"),
    "COF-08": lambda: _espresso("18 g", "36 g", "9 %", "melt", served_at="67 C") / 36,
    "COF-09a": lambda: 1000 * solution.dose_kg(1.0, 0.0135, 0.18, 2.0),
    "COF-09b": lambda: 1000 * solution.dose_kg(1.0, 0.0115, 0.22, 2.0),
    "COF-10": _tables_espresso,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_every_row_is_checked() -> None:
    assert sorted(row.id for row in ROWS) == sorted(CHECKS)
