"""Whatever a file holds: a plan, or one clear sentence, and the check tells the same."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzz import judge
from fuzz.tables import (
    NAMES,
    PANTRY,
    READINGS,
    RECIPES,
    USES_PANTRY,
    altered_tables,
    altered_text,
    house_text,
    made_up,
    text_of,
)
from fuzz.words import HOSTILE
from prepkit.calculators.siphon.register import load_register
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.measured import measured
from prepkit.plan.recipe_file import load_readings
from prepkit.render.batch import measured_text

SLOW = list(HealthCheck)  # a plan is long beside what it takes to draw a word
TIMES = (
    "18:00",
    "0:05",
    "24:00",
    "0001-01-01 00:10",
    "9999-12-31 23:59",
    "2026-11-25 18:00",
    "now",
)
HOW = st.fixed_dictionaries(
    {},
    optional={
        "serves": st.sampled_from(("1", "40", "10000", "0", "-1", "1e9", "2.5", "forty", "")),
        "have": st.sampled_from((("3 kg grapefruit juice",), ("0 g water",), ("1 l my-base",),
                                 ("1e-9 g water",), ("900 g tonight-nitro",))),
        "compare": st.sampled_from(("1,40", "1", "1,2,3,4,5", ",", "1,10000", "a,b")),
        "service": st.sampled_from(TIMES),
        "now": st.sampled_from(TIMES),
        "variant": st.sampled_from(("alcohol-free", "absent", "")) | st.sampled_from(HOSTILE),
        "as_json": st.booleans(),
        "csv": st.booleans(),
        "batch": st.booleans(),
        "units": st.sampled_from(("metric", "us")),
    },
)  # fmt: skip


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    """A folder with the demo house in it, written to again by each case."""
    with tempfile.TemporaryDirectory() as name:
        shutil.copytree(RECIPES / "house", Path(name) / "house")
        yield Path(name)


def put(folder: Path, name: str, text: str) -> Path:
    """A file of the case; what is no text is written as the bytes that it would come from."""
    path = folder / name
    path.write_bytes(text.encode("utf-8", "surrogateescape" if "\udcff" in text else "replace"))
    return path


@settings(max_examples=10, suppress_health_check=SLOW)
@given(st.sampled_from(NAMES), st.data())
def test_recipes_changed_as_text(folder: Path, name: str, data: st.DataObject) -> None:
    text = data.draw(altered_text(text_of(name)))
    judge.planned(put(folder, "tonight.toml", text), data.draw(HOW))


@settings(max_examples=10, suppress_health_check=SLOW)
@given(st.sampled_from(NAMES), st.data())
def test_recipes_changed_as_tables(folder: Path, name: str, data: st.DataObject) -> None:
    text = data.draw(altered_tables(text_of(name)))
    judge.planned(put(folder, "tonight.toml", text), data.draw(HOW))


@settings(max_examples=10, suppress_health_check=SLOW)
@given(made_up(), HOW)
def test_recipes_made_up(folder: Path, text: str, how: dict[str, Any]) -> None:
    judge.planned(put(folder, "tonight.toml", text), how)


@settings(max_examples=5, suppress_health_check=SLOW)
@given(st.data(), st.sampled_from((altered_text, altered_tables)))
def test_house_files(folder: Path, data: st.DataObject, alter: Any) -> None:
    text = data.draw(alter(house_text("house.toml")))
    path = put(folder, "tonight.toml", text_of("cold-semaphore").replace("house/", ""))
    put(folder, "house.toml", text)
    shutil.copy(RECIPES / "house" / "pantry.toml", folder / "pantry.toml")
    judge.planned(path, {})


@settings(max_examples=6, suppress_health_check=SLOW)
@given(st.data(), st.sampled_from((altered_text, altered_tables)))
def test_pantry_files(folder: Path, data: st.DataObject, alter: Any) -> None:
    put(folder, "pantry.toml", data.draw(alter(PANTRY + house_text("pantry.toml"))))
    put(folder, "house.toml", 'pantry = "pantry.toml"')
    judge.planned(put(folder, "tonight.toml", USES_PANTRY), {})


@settings(max_examples=8, suppress_health_check=SLOW)
@given(st.sampled_from(NAMES), st.data(), st.sampled_from((altered_text, altered_tables)))
def test_readings(folder: Path, name: str, data: st.DataObject, alter: Any) -> None:
    path = put(folder, "readings.toml", data.draw(alter(READINGS[name])))
    plan = make_plan(load_recipe(RECIPES / f"{name}.toml"))

    def work() -> Any:
        read = load_readings(path, plan.recipe.items)
        return measured(plan, read, str(path))

    found = judge.attempt(work)
    if found is None:
        return
    judge.finite(dict(found.account))
    judge.seen(measured_text(found.account, "us"))
    judge.finite(found.plan.to_dict())
    assert found.verdict in ("clear", "care", "stop")


REGISTER = """
[vessels.north]
vessel_volume = "0.78 l"
max_fill = "0.5 l"
rated = "17 bar"
allowed_gas = ["n2o"]
most_chargers = 2
inspection_due = 2027-03-01
"""


@settings(max_examples=8, suppress_health_check=SLOW)
@given(st.data(), st.sampled_from((altered_text, altered_tables)))
def test_registers_of_vessels(folder: Path, data: st.DataObject, alter: Any) -> None:
    path = put(folder, "vessels.toml", data.draw(alter(REGISTER)))
    words = {"contents": "500 ml cream 35 %", "gas": "n2o", "chargers": 1, "temperature": "5 C"}
    judge.attempt(lambda: load_register(path))
    judge.said("siphon", {**words, "vessel": "north", "vessel_register": str(path)})
