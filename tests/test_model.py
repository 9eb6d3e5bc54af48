"""A figure has no more decimals than two figures of its ± allow, in any units."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepkit.model import Limit, Value, amount, decimals
from prepkit.plan import load_recipe, make_plan
from prepkit.registry import run
from prepkit.render.plan_text import shown_value
from prepkit.render.text import value_words


@pytest.mark.parametrize(
    ("value", "spread", "digits", "shown"),
    [
        (1246.04, 62.3, 1, "1246 ± 62"), (8.574, 2.19, 2, "8.6 ± 2.2"),
        (13.1, 0.7, 1, "13.1 ± 0.7"),
        (1.424, 0.002, 3, "1.424 ± 0.002"), (1246.04, None, 1, "1246.0"), (30.2, 0.0, 1, "30.2"),
        (1246.04, 162.0, 1, "1246 ± 162"),
    ],
)  # fmt: skip
def test_digits_follow_the_spread(
    value: float, spread: float | None, digits: int, shown: str
) -> None:
    held = Value(value, "bar", spread, "peak", digits, False)
    assert value_words(held, "metric")[0] == shown
    assert amount(held, "metric") == f"{shown.partition(' ±')[0]} bar"


def test_the_spread_in_us_units_decides_there() -> None:
    held = Value(1246.04, "ml", 62.3, "volume", 1, False)
    assert decimals(held, "us") == 1  # 2.1 US fl oz
    assert value_words(held, "us") == ("42.1 ± 2.1", "US fl oz")


@pytest.mark.parametrize(
    ("value", "unit", "spread", "digits", "limit", "metric", "us"),
    [
        (453.1, "m3", 12.6, 1, "least", "454 m3", "16002 ft3"),
        (1.177, "kg", 0.589, 3, "most", "1.17 kg", "2.5 lb"),
        (1.177, "kg", None, 3, "most", "1.177 kg", "2.594 lb"),
        (283.2, "m3", None, 1, "least", "283.2 m3", "10001.2 ft3"),
        (8.2, "m3", 0.0, 1, "least", "8.2 m3", "289.6 ft3"),
    ],
)
def test_a_limit_is_never_shown_milder_than_it_is(
    value: float, unit: str, spread: float | None, digits: int, limit: Limit, metric: str, us: str
) -> None:
    held = Value(value, unit, spread, "limit", digits, False, limit)
    assert (amount(held, "metric"), amount(held, "us")) == (metric, us)
    assert value_words(held, "metric")[0].split(" ±")[0] == metric.split(maxsplit=1)[0]


def test_the_limits_of_a_room_are_strict_beside_a_spread() -> None:
    found = run("room", {"release": ["8 kg dry ice"], "volume": "300 m3 ± 100 m3",
                         "air_changes": "4", "temperature": "20 C ± 8 C"}).values  # fmt: skip
    most, least = found["room_stands"], found["room_needed"]
    for system, lb, ft3 in (("metric", 1.0, 1.0), ("us", 0.45359237, 0.3048**3)):
        assert decimals(most, system) < most.digits
        assert float(value_words(most, system)[0].split()[0]) * lb <= most.value + 1e-9
        assert float(value_words(least, system)[0].split()[0]) * ft3 >= least.value - 1e-9


def test_a_limit_stays_one_in_a_plan(tmp_path: Path) -> None:
    file = tmp_path / "air.toml"
    text = """title = "Air"
serves = 4
[items.air]
calculator = "room"
check = true
release = ["0.5 kg co2"]
volume = "300 m3 ± 100 m3"
air_changes = 4
temperature = "20 C ± 8 C"
worst_corner = 3
[items.base]
calculator = "blend"
part = ["1 kg water"]
[[serve]]
name = "One"
part = "90 g base"
"""
    file.write_text(text, encoding="utf-8")
    said = make_plan(load_recipe(file), 4).to_dict()
    (air,) = [item for item in said["items"] if item["id"] == "air"]
    values = {one["name"]: one for one in air["values"]}
    limits = {name for name, one in values.items() if "limit" in one}
    assert limits == {"room_stands", "room_needed", "oxygen", "co2"}
    for system, lb, ft3 in (("metric", 1.0, 1.0), ("us", 0.45359237, 0.3048**3)):
        most, least = (
            float(shown_value(values[name], system)[0].split()[0])
            for name in ("room_stands", "room_needed")
        )
        assert most * lb <= values["room_stands"]["value"] + 1e-9
        assert least * ft3 >= values["room_needed"]["value"] - 1e-9
