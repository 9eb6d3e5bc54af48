"""An invented bar whose batches scatter about hidden losses; all of it drawn from a seed."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from prepkit.learn import LearntBatch
from prepkit.plan.plan import Plan, make_plan, read_recipe
from prepkit.plan.recipe_file import Readings, read_readings

RECIPE = """title = "Invented bar"
serves = 20

[items.peel-oleo]
calculator = "oleo"
peel = "300 g lemon peel"
sugar = "300 g white sugar"
liquid = "90 g water"
water_loss = 0.40
solids_gain = 0.08

[items.sour]
calculator = "blend"
part = ["400 g lemon juice", "300 g peel-oleo"]

[[serve]]
name = "Trial"
part = ["40 g sour", "40 ml gin 43 %"]
"""
# every calculator of safety behind items whose losses can be learnt; INVENTED
SAFETY = """title = "Gas and cold, invented"
serves = 20

[vessels.north]
vessel_volume = "1.30 l"
max_fill = "1.0 l"
rated = "17 bar"
allowed_gas = ["n2o", "n2"]
allowed_charger = "8 g"
most_chargers = 2
hottest = "30 C"
head = "metal"
inspection_due = "2099-01-01"

[items.peel-oleo]
calculator = "oleo"
peel = "300 g lemon peel"
sugar = "300 g white sugar"
liquid = "90 g water"
water_loss = 0.40
solids_gain = 0.08

[items.steep]
calculator = "infuse"
liquid = "700 ml gin 43 %"
botanical = "60 g ground coffee"

[items.flower]
calculator = "cordial"
part = ["900 g water", "30 g dried elderflower"]
sweeten = "white sugar"
brix = "50 Bx"
sour = "citric acid"
acidity = "1.0 % w/w"

[items.mix]
calculator = "blend"
part = ["300 g peel-oleo", "500 g steep", "400 g flower", "800 g water"]

[items.charged]
calculator = "siphon"
contents = "500 g mix"
vessel = "north"
gas = "n2o"
chargers = 1
temperature = "5 C"

[items.does-it-keep]
calculator = "keep"
part = "500 g flower"
check = true

[items.the-room]
calculator = "room"
volume = "20 m3"
release = "20 g n2o"
air_changes = 1
check = true

[items.cold]
calculator = "cryogen"
cryogen = "dry ice"
part = "2 kg mix"
target = "2 C"
room_volume = "20 m3"
air_changes = "1 /h"
check = true

[[serve]]
name = "Trial"
part = ["80 g charged"]
"""
FIRST = datetime(2026, 1, 5, 12, tzinfo=UTC)


def plan(folder: Path | None = None, text: str = RECIPE) -> Plan:
    """The plan of the invented bar."""
    return make_plan(read_recipe(text, str((folder or Path()) / "invented.toml")))


def hidden(seed: int, mean: float, spread: float, count: int) -> list[float]:
    """The true losses of batches, per cent, never below 0."""
    draw = random.Random(seed)
    return [max(0.0, draw.gauss(mean, spread)) for _ in range(count)]


def batch(kept: float, number: int, **more: float) -> LearntBatch:
    """A measured batch with what its peel kept, per cent, as `record` would write it."""
    data: dict[str, object] = {
        "loss": kept, "loss_kind": "peel", "loss_of": "lemon peel", "loss_unit": "%",
        "loss_low": 20.0, "loss_high": 60.0, "loss_practice": False, **more,
    }  # fmt: skip
    return LearntBatch("peel-oleo", f"b{number}", FIRST + timedelta(days=number), data)


def readings(words: str) -> dict[str, Readings]:
    """Readings of the invented bar's items, as a file has them."""
    return read_readings(words, ("peel-oleo", "sour"))


def masses(of: Plan, kept: list[float]) -> Iterator[str]:
    """What the scale shows of each batch where the peel keeps so much, by the balance of masses."""
    made = next(one for one in of.made if one.item.id == "peel-oleo")
    _, answer = of.prepared.ran["peel-oleo"]
    assert answer is not None
    before_g = answer.values["mass"].value + answer.values["kept"].value
    peel_g = answer.values["peel_after"].value
    for share in kept:
        grams = made.demand.scale * (before_g - share / 100 * peel_g)
        yield f'[peel-oleo]\nmass = "{grams:.4f} g"\n'
