"""salt: the three percents, sodium by drop and serve, what is refused, bad input."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import RANK, assert_finite, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.registry import run
from prepkit.render.text import table_cells
from prepkit.solving import solve

SALINE: dict[str, Any] = {"dissolve": "salt", "strength": "20 % w/w", "make": "100 g"}
DOSED: dict[str, Any] = {**SALINE, "into": ["90 ml water"], "amount": "0.5 ml"}


def salt(**more: Any) -> Answer:
    return run("salt", {key: one for key, one in more.items() if one is not None})


@given(grams=st.floats(0.5, 30), water=st.floats(90, 200))
@settings(max_examples=20, deadline=None)
def test_the_three_percents_agree(grams: float, water: float) -> None:
    weighed = salt(part=[f"{grams:.4f} g salt", f"{water:.4f} g water"])
    share = value(weighed, "strength_mass")
    assert share == pytest.approx(100 * grams / (grams + water), rel=1e-3)
    by_volume = value(weighed, "strength_volume")
    assert by_volume == pytest.approx(share * value(weighed, "density") / 1000)
    again = salt(dissolve="salt", strength=f"{by_volume:.9f} % w/v")
    assert value(again, "strength_mass") == pytest.approx(share, rel=1e-6)
    assert_finite(weighed)


@given(factor=st.integers(2, 50))
@settings(max_examples=8, deadline=None)
def test_it_scales(factor: int) -> None:
    more = {**DOSED, "make": f"{100 * factor} g", "serves": 2 * factor}
    assert_scales(salt(**DOSED, serves=2), salt(**more), factor)


def test_what_is_weighed_is_what_is_made() -> None:
    found = salt(**SALINE)
    assert value(found, "dry") + value(found, "water") == pytest.approx(value(found, "mass"))
    dosed = salt(**DOSED)
    table = next(one for one in dosed.tables if one.name == "weigh")
    assert sum(row[1] for row in table.rows) == pytest.approx(1000 * dosed.product.mass_kg)


@given(drops=st.integers(1, 200))
@settings(max_examples=15, deadline=None)
def test_more_drops_are_more_sodium_and_no_milder(drops: int) -> None:
    said = {**DOSED, "weighed_drops": 20, "weighed": "1.1 g ± 0.02 g"}
    one, more = (salt(**{**said, "amount": f"{n} drops"}) for n in (drops, drops + 50))
    assert value(one, "sodium_serve") < value(more, "sodium_serve")
    assert RANK[one.verdict] <= RANK[more.verdict]
    assert value(one, "sodium_dose") == pytest.approx(drops * value(one, "sodium_drop"))


def test_a_wanted_salinity_is_met_and_solved_for() -> None:
    found = salt(**{**DOSED, "amount": None}, salinity="0.3 %")
    assert value(found, "salt_serve") == pytest.approx(0.3)
    litre = salt(**{**DOSED, "amount": None}, salinity="3 g/l")
    assert value(litre, "dose") == pytest.approx(value(found, "dose"), rel=0.01)
    back = solve("salt", "strength: sodium in the serve = 40 mg", DOSED)
    assert value(back.answer, "sodium_serve") == pytest.approx(40.0, abs=0.1)


def test_msg_brings_a_third_of_the_sodium_of_salt() -> None:
    found = salt(**{**DOSED, "dissolve": "msg", "strength": "10 % w/w", "amount": "10 g"})
    # 22.99 of 187.13 [IUPAC-WEIGHTS]
    assert value(found, "sodium_dose") == pytest.approx(1000 * 22.990 / 187.13, rel=2e-3)
    assert value(found, "glutamic") == pytest.approx(1000 * 147.13 / 187.13, rel=1e-6)
    assert "salt-glutamate" in ids(found)
    mixed = salt(part=["5 g msg", "5 g salt", "90 g water"], into="90 ml water", amount="10 g")
    assert value(mixed, "glutamic") == pytest.approx(500 * 147.13 / 187.13, rel=1e-6)
    blend = salt(**{**DOSED, "dissolve": "1 part msg and 1 part salt", "strength": "10 % w/w",
                    "amount": "10 g"})  # fmt: skip
    assert value(blend, "glutamic") == pytest.approx(500 * 147.13 / 187.13, rel=1e-6)


@pytest.mark.parametrize(
    ("more", "caution", "there"),
    [
        ({"amount": "6 ml"}, "salt-high-in-a-serve", True),
        ({"amount": "4 ml"}, "salt-high-in-a-serve", False),
        ({"amount": "4 ml"}, "salt-tell-guests", True),
        ({"amount": "13 ml"}, "serve-salt-high", True),
        ({"amount": "25 ml"}, "serve-salt-of-a-day", True),
        ({"strength": "15 % w/w"}, "salt-stock-keeps-badly", True),
        ({}, "salt-stock-keeps-badly", False),
        ({"dissolve": "potassium citrate", "strength": "10 % w/w"}, "salt-potassium", True),
        ({}, "salt-potassium", False),
        ({"dissolve": "msg", "strength": "20 % w/w", "amount": "8 g"}, "salt-glutamate-over", True),
        ({"dissolve": "msg", "strength": "20 % w/w", "amount": "4 g"}, "salt-glutamate-over",
         False),
        ({"dissolve": "sodium citrate", "strength": "10 % w/w"}, "salt-citrate-is-a-hydrate", True),
        ({"amount": "4 drops"}, "dose-drops-not-calibrated", True),
        ({"amount": "4 drops", "weighed": "1 g", "weighed_drops": 20}, "dose-drops-not-calibrated",
         False),
    ],
)  # fmt: skip
def test_cautions_from_words(more: dict[str, Any], caution: str, there: bool) -> None:
    assert (caution in ids(salt(**{**DOSED, **more}))) is there


def test_a_serve_that_poisons_is_a_stop() -> None:
    assert salt(**{**DOSED, "amount": "25 ml"}).verdict == "stop"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"strength": "20 %"}, "per cent of what"),
        ({"strength": "30 % w/w"}, "At most 26.4"),
        ({"strength": "35 % w/v"}, "At most 26.4"),
        ({"strength": None}, "needs --strength"),
        ({"dissolve": None}, "needs the stock once"),
        ({"part": ["20 g salt", "80 g water"]}, "needs the stock once"),
        ({"dissolve": "saline 20 %"}, "is a liquid already"),
        ({"amount": None}, "needs a dose"),
        ({"salinity": "1 %"}, "each say the dose"),
        ({"into": None, "amount": None, "salinity": "1 %"}, "needs --into"),
        ({"amount": "2 l"}, "outweighs the drink"),
        ({"amount": "some"}, "amount"),
        ({"amount": None, "salinity": "19 %"}, "more stock than drink"),
        ({"into": ["90 ml saline 2 %"], "amount": None, "salinity": "1 %"}, "as salty"),
        ({"weighed": "1 g"}, "needs both"),
        ({"dissolve": "glucose"}, "holds no salt"),
    ],
)
def test_bad_input_is_one_sentence(more: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        salt(**{**DOSED, **more})


def test_the_stock_as_weighed_leaves_strength_and_amount_out() -> None:
    part = ["20 g salt", "80 g water"]
    for more in ({"strength": "20 % w/w"}, {"make": "100 g"}):
        with pytest.raises(BadInput, match="leave"):
            salt(part=part, **more)
    for wrong in (["20 g salt"], ["80 g water"]):
        with pytest.raises(BadInput, match="a dry salt and a liquid"):
            salt(part=wrong)
    with pytest.raises(BadInput, match="holds no salt"):
        salt(part=["20 g erythritol", "80 g water"])


def test_no_figure_is_given_twice_and_none_finer_than_a_scale_shows() -> None:
    """One serve has one dose, and what is weighed has three figures."""
    told = {
        "into": "90 ml gin 20 %",
        "amount": "0.2345 g",
        "dissolve": "salt",
        "strength": "20 % w/w",
    }
    for name, words in (
        ("salt", {**told, "make": "100 ml"}),
        ("dose", {"stock": "citric acid", "strength": "20 % w/w", "into": "90 ml water",
                  "amount": "0.2345 g"}),
        ("foam", {"liquid": "400 ml lemon juice", "foamer": "soy lecithin", "dose": "0.6 %"}),
    ):  # fmt: skip
        answer = run(name, words)
        assert "dose_batch" not in answer.values, name
        for one in answer.tables:
            if one.name == "weigh":
                for row in table_cells(one, "metric")[2]:
                    for cell in row[1:]:
                        assert len(cell.replace(".", "").lstrip("0")) <= 3, (name, row)
        if name != "foam":
            many = run(name, {**words, "serves": 4})
            once = value(answer, "dose")
            assert value(many, "dose_batch") == pytest.approx(4 * once)
