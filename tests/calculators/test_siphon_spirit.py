"""siphon: what the wider upper end of gas in spirit did to the verdicts: none became milder.

Until the second evidence pass the upper end of the band was 1.10 for every gas and strength; now
it goes by gas (EV3-01 to EV3-10), and the lower end, which decides safety, stayed 0.75.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from prepkit import cautions
from prepkit.calculators.siphon import compute
from prepkit.errors import PrepkitError
from prepkit.registry import validate
from prepkit.science import dissolved_gas

ORDER = ("clear", "care", "stop")
PLATE = {
    "vessel_volume": "1 l", "max_fill": "0.6 l", "charger_volume": "10 ml", "most_chargers": 6,
    "head": "metal", "inspection_due": "2027-03-01", "date": "2026-11-25", "strained": True,
    "hottest": "70 C", "allowed_charger": "9 g",
}  # fmt: skip
GRID = tuple(
    product(
        ("n2o", "co2", "n2"), (16, 30, 45, 50, 57), ("150 ml", "500 ml"), (1, 2, 3, 4),
        ("6 bar", "10 bar", "17 bar", "25 bar"), ("4 C", "25 C"),
    )
)  # fmt: skip


def judged(load: dict[str, Any]) -> tuple[str, dict[str, float]]:
    """Verdict and numbers of a load; "refused" where it is no load."""
    try:
        result = compute(validate("siphon", load))
    except PrepkitError:
        return "refused", {}
    facts = {**cautions.about(result.product), **result.facts}
    return cautions.verdict(cautions.judge("siphon", facts)), result.numbers()


def all_verdicts() -> list[tuple[str, dict[str, float]]]:
    """The grid, each load judged."""
    found = []
    for gas, percent, fill, chargers, rating, at in GRID:
        load = {
            **PLATE, "contents": f"{fill} spirit {percent} %", "gas": gas, "allowed_gas": gas,
            "chargers": chargers, "rated": rating, "temperature": at,
            "charger_gas_mass": "2.4 g" if gas == "n2" else "8 g",
        }  # fmt: skip
        found.append(judged(load))
    return found


def test_no_verdict_became_milder_by_the_wider_upper_end(monkeypatch: pytest.MonkeyPatch) -> None:
    now = all_verdicts()
    before_ends = {"co2": (1.10, 1.10), "n2o": (1.10, 1.10)}
    monkeypatch.setattr(dissolved_gas, "ETHANOL_BAND_HIGH", before_ends)
    monkeypatch.setattr(dissolved_gas, "ETHANOL_BAND_HIGH_OTHER", (1.10, 1.10))
    before = all_verdicts()
    assert {verdict for verdict, _ in now} >= {"care", "stop"}
    moved = []
    for load, (was, old), (verdict, new) in zip(GRID, before, now, strict=True):
        if was != verdict:
            moved.append((load, was, verdict))
        if was in ORDER and verdict in ORDER:
            assert ORDER.index(verdict) >= ORDER.index(was), load
        for name in ("peak", "bound", "settled_high"):
            if name in old and name in new:
                assert new[name] >= old[name] - 1e-9, (load, name)
    assert not moved, moved  # 960 loads: the lower end decides, no verdict moved
    widened = sum(old != new for (_, old), (_, new) in zip(before, now, strict=True))
    assert widened, "the settled figures did move"
