"""The demo recipes written in US units: every number of the plan is the one of the metric file."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from prepkit.plan import load_recipe, make_plan
from prepkit.units import convert

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
# what a US kitchen would write instead
TO = {
    "g": ("oz", "oz wt"), "kg": ("lb", "lb"), "ml": ("US fl oz", "US fl oz"),
    "l": ("US fl oz", "US fl oz"), "C": ("F", "F"), "bar": ("psi", "psi"), "m3": ("ft3", "ft3"),
}  # fmt: skip
# an amount at the beginning of a text, or after "at"
AMOUNT = re.compile(
    r'(?P<before>"|at )(?P<number>\d+(?:\.\d+)?) (?P<unit>g|kg|ml|l|C|bar|m3)(?![\w/])'
)


def in_us_units(text: str) -> str:
    """A recipe or house file with its amounts in US units, and nothing else changed."""

    def us(found: re.Match[str]) -> str:
        unit, words = TO[found["unit"]]
        value = convert(float(found["number"]), found["unit"], unit)
        return f"{found['before']}{value:.15g} {words}"

    # what a thermometer may be off by is a difference: 0.5 C is 0.9 F
    text = text.replace('thermometer = "0.5 C"', 'thermometer = "0.9 F"')
    return AMOUNT.sub(us, text)


def numbers(said: Any, where: str = "") -> dict[str, float]:
    """Every number of a plan by its place; words that repeat the input are left out."""
    if isinstance(said, dict):
        return {
            k: v for key, one in said.items() for k, v in numbers(one, f"{where}/{key}").items()
        }
    if isinstance(said, list):
        return {k: v for n, one in enumerate(said) for k, v in numbers(one, f"{where}/{n}").items()}
    if isinstance(said, bool) or not isinstance(said, int | float):
        return {}
    return {where: float(said)}


@pytest.mark.parametrize("path", RECIPES, ids=lambda one: one.stem)
def test_the_same_numbers_from_either_unit(path: Path, tmp_path: Path) -> None:
    metric = make_plan(load_recipe(path), 40).to_dict()
    shutil.copytree(FOLDER, tmp_path / "us")
    changed = 0
    for file in (tmp_path / "us" / path.name, tmp_path / "us" / "house" / "house.toml"):
        text = file.read_text(encoding="utf-8")
        file.write_text(in_us_units(text), encoding="utf-8")
        changed += len(AMOUNT.findall(text))
        assert not re.search(r'"\d+(\.\d+)? (ml|kg|m3)(?![\w/])', file.read_text(encoding="utf-8"))
    assert changed > 15
    us = make_plan(load_recipe(tmp_path / "us" / path.name), 40).to_dict()
    for said in (metric, us):  # how a pack is called, and its working in words
        for item in said["items"]:
            item.pop("working", None)
    got, want = numbers(us), numbers(metric)
    assert set(got) == set(want)
    off = {
        key: (got[key], value)
        for key, value in want.items()
        if got[key] != pytest.approx(value, rel=1e-7, abs=1e-7)
    }
    assert off == {}
    assert us["verdict"] == metric["verdict"]
    assert [one["id"] for one in us["cautions"]] == [one["id"] for one in metric["cautions"]]
