"""A batch by its container: a tub, a case, 4 l; nothing under gas into what is not rated for it."""

from __future__ import annotations

from pathlib import Path

import pytest
from plan.trial import RECIPE

from prepkit.errors import BadInput
from prepkit.workflows.plan_command import PlanOptions, worked

HOUSE = """
[containers.tub]
volume = "4 l"
[containers.bottle]
volume = "770 ml"
headspace = "20 ml"
case = 12
[containers.keg]
volume = "5 l"
headspace = "500 ml"
rated = "6 bar"
"""


@pytest.fixture
def file(tmp_path: Path) -> str:
    (tmp_path / "house.toml").write_text(HOUSE, encoding="utf-8")
    found = tmp_path / "trial.toml"
    found.write_text(f'house = "house.toml"\n{RECIPE}', encoding="utf-8")
    return str(found)


def needed(file: str, *words: str, serves: str | None = None) -> dict[str, float]:
    """What each item must give, ml at 20 C."""
    plan = worked(PlanOptions(file, serves, fill=words), file).plan
    return {
        one.item.id: 1e6 * one.product.of_mass(one.demand.needed_kg).volume_m3(20.0)
        for one in plan.made
        if one.product is not None
    }


@pytest.mark.parametrize(
    ("words", "ml"),
    [
        ("1 tub my-base", 4000.0),
        ("2 tubs of my-base", 8000.0),
        ("1 case of bottles my-base", 12 * 750.0),
        ("2 cases my-base", 24 * 750.0),  # one container has a case
        ("1 bottle my-base", 750.0),
        ("4 l my-base", 4000.0),
    ],
)
def test_so_much_of_an_item_is_made_and_nothing_is_served(file: str, words: str, ml: float) -> None:
    found = needed(file, words)
    assert found == {"my-base": pytest.approx(ml)}
    said = worked(PlanOptions(file, fill=(words,)), file).said
    assert said["fill"] == [words]
    assert said["serve"] == []


def test_beside_serves_and_what_it_is_made_of(file: str) -> None:
    plain = needed(file, serves="40")
    both = needed(file, "1 tub my-base", "1 l my-base", serves="40")
    assert both["my-base"] == pytest.approx(plain["my-base"] + 5000.0)
    assert both["my-mix"] == pytest.approx(plain["my-mix"])
    deep = needed(file, "1 tub my-mix")
    assert deep.keys() == {"my-base", "my-sour", "my-mix"}


def test_the_verdict_is_that_of_what_is_made(file: str) -> None:
    text = Path(file).read_text(encoding="utf-8").replace('"6 % w/w"', '"80 % w/w"')
    Path(file).write_text(text, encoding="utf-8")
    assert worked(PlanOptions(file, fill=("1 tub my-sour",)), file).verdict == "stop"
    assert worked(PlanOptions(file, fill=("1 tub my-mix",)), file).verdict == "stop"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("1 tub my-nitro", "write headspace, .* and rated"),
        ("1 jug my-base", '"jug" is no container of the house'),
        ("1 bottl my-base", "the nearest is bottle"),
        ("1 tub nothing", 'makes no "nothing"'),
        ("1 l gin 40 %", 'makes no "gin 40 %"'),
        ("0 tub my-base", "more than 0"),
        ("tub my-base", "does not start with a number"),
        ("1 case of tubs my-base", "a case of which container"),
        ("1 case", "makes no"),
        ("1", "write --fill"),
    ],
)
def test_wrong_words(file: str, words: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        needed(file, words)


def test_what_is_under_gas_goes_into_what_is_rated(file: str) -> None:
    assert needed(file, "1 keg my-nitro")["my-nitro"] == pytest.approx(4500.0, rel=0.01)
