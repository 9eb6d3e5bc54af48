"""A plan with stock: the oldest first, never past its date, no stop hidden, no mass invented."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.trial import RECIPE, STOPPED

from prepkit.errors import BadInput
from prepkit.plan.house_file import Container, HouseStock
from prepkit.plan.plan import Plan, plan_of, read_recipe
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.sites import account, read_stock, taking, with_stock
from prepkit.stock import Ledger, actions, events_of, open_ledger, put_in, rebuild, text_of
from prepkit.stock.events import NO_DATE, Event
from prepkit.units import Measured
from prepkit.workflows.plan_command import PlanOptions, worked

TODAY = date.today()
SERVES = 40
TRIAL = prepare(read_recipe(RECIPE))
COUNTS = {one.name: SERVES for one in TRIAL.recipe.serve}
PLAIN = plan_of(TRIAL, COUNTS)
INGREDIENTS = ("spirit 40 %", "cream 35 %", "citric acid")
ITEMS = ("my-base", "my-sour", "my-mix", "my-nitro")


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    with open_ledger(str(tmp_path / "house.db"), create=True) as opened:
        yield opened


def put(ledger: Ledger, item: str, g: float, batch: str = "a", **more: object) -> None:
    said: dict[str, Any] = {"made_on": TODAY - timedelta(days=9), "use_by": TODAY, **more}
    ledger.append(Event(kind="made", item=item, batch=batch, change_mg=round(1000 * g), **said))


def planned(
    ledger: Ledger, prepared: Prepared = TRIAL, **par: Measured
) -> tuple[Plan, dict[str, Any]]:
    house = HouseStock(par={name.replace("_", "-"): level for name, level in par.items()})
    stock = read_stock(ledger, prepared, house.site, TODAY)
    plan = plan_of(with_stock(prepared, stock, house), COUNTS)
    return plan, dict(account(plan, stock))


def made(plan: Plan) -> dict[str, float]:
    return {one.item.id: 1000 * one.demand.made_kg for one in plan.made}


def bought(plan: Plan) -> dict[str, float]:
    return {row["name"]: row["g"] for row in plan.to_dict()["shopping"]}


def test_what_stands_is_not_made_and_what_it_is_made_of_is_not_bought(ledger: Ledger) -> None:
    put(ledger, "my-base", 1000.0)
    plan, said = planned(ledger)
    needed = 1000 * next(one for one in PLAIN.made if one.item.id == "my-base").demand.needed_kg
    assert made(plan)["my-base"] == pytest.approx((needed - 1000.0) / 0.9)  # 10 % is lost
    (row,) = said["rows"]
    assert (row["used_g"], row["left_g"]) == (1000.0, 0.0)
    assert row["make_g"] == pytest.approx(made(plan)["my-base"])
    share = made(plan)["my-base"] / made(PLAIN)["my-base"]
    assert bought(plan)["spirit 40 %"] == pytest.approx(share * bought(PLAIN)["spirit 40 %"])


def test_enough_of_an_item_is_not_made_at_all_and_not_called_unused(ledger: Ledger) -> None:
    put(ledger, "my-mix", 1e5)
    plan, _ = planned(ledger)
    assert "my-mix" not in made(plan)
    assert "my-mix" not in plan.unused
    assert "my-base" in plan.unused  # nothing of it is wanted now


def test_the_oldest_goes_first_and_nothing_past_its_date(ledger: Ledger) -> None:
    put(ledger, "my-base", 500.0, "late", use_by=TODAY + timedelta(days=3))
    put(ledger, "my-base", 500.0, "soon")
    put(ledger, "my-base", 500.0, "past", use_by=TODAY - timedelta(days=1))
    put(ledger, "my-base", 500.0, "undated", use_by=None)
    _, said = planned(ledger)
    (row,) = said["rows"]
    assert [one["batch"] for one in row["batches"]] == ["soon", "late"]
    why = {one["batch"]: one["why"] for one in said["not_used"]}
    assert why.keys() == {"past", "undated"}
    assert "last day" in why["past"]
    assert "not known" in why["undated"]


def test_ingredients_in_stock_are_not_bought(ledger: Ledger) -> None:
    put(ledger, "cream 35 %", 300.0, use_by=TODAY)
    put(ledger, "spirit 40 %", 1e6, use_by=NO_DATE)
    plan, said = planned(ledger)
    assert bought(plan)["cream 35 %"] == pytest.approx(bought(PLAIN)["cream 35 %"] - 300.0)
    assert "spirit 40 %" not in bought(plan)
    assert not {row["made_here"] for row in said["rows"]} - {False}


def test_a_par_is_made_up_to(ledger: Ledger) -> None:
    put(ledger, "my-sour", 100.0)
    plan, said = planned(ledger, my_sour=Measured(800.0, "g"))
    wanted = 1000 * next(one for one in PLAIN.made if one.item.id == "my-sour").demand.needed_kg
    (row,) = said["rows"]
    assert row["par_g"] == 800.0
    # after the evening 800 g stand there: what is left of the stock and what is made beyond it
    used = min(100.0, wanted)
    assert row["left_g"] + made(plan)["my-sour"] - (wanted - used) == pytest.approx(800.0)


def test_a_par_that_stands_already_makes_nothing_more(ledger: Ledger) -> None:
    put(ledger, "my-sour", 5000.0)
    plan, _ = planned(ledger, my_sour=Measured(800.0, "g"))
    assert "my-sour" not in made(plan)


def test_what_is_under_gas_is_never_taken_from_stock(ledger: Ledger) -> None:
    put(ledger, "my-nitro", 1e5)
    plan, said = planned(ledger)
    assert made(plan) == made(PLAIN)
    assert "under gas" in said["not_used"][0]["why"]


def test_a_stop_stands_whatever_is_in_stock(ledger: Ledger) -> None:
    for text in (STOPPED, RECIPE.replace('"6 % w/w"', '"80 % w/w"')):
        prepared = prepare(read_recipe(text))
        before = plan_of(prepared, COUNTS)
        assert before.verdict == "stop"
        for item in ITEMS:
            put(ledger, item, 1e5, f"{item} {len(text)}", use_by=NO_DATE)
        plan, _ = planned(ledger, prepared)
        assert plan.verdict == "stop"
        assert {stop["of"] for stop in plan.to_dict()["stops"]} >= {
            stop["of"] for stop in before.to_dict()["stops"]
        }
        with pytest.raises(BadInput, match="nothing is taken"):
            taking(plan, read_stock(ledger, prepared, "house", TODAY), "x")


RATED = HouseStock(
    containers={
        "keg": Container("keg", 20_000.0, 1000.0, 6.0), "jar": Container("jar", 1000.0),
    }
)  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from((*ITEMS, *INGREDIENTS)),
            st.sampled_from(["keg", "jar", "bag", None]),  # a bag is no container of this house
            st.sampled_from([None, False, True]),
            st.integers(1, 900),
        ),
        max_size=6,
    ),
    st.booleans(),
)
def test_nothing_under_gas_is_taken_as_still(
    stood: list[tuple[str, str | None, bool | None, int]], copied: bool
) -> None:
    house = TRIAL.recipe.house._replace(stock=RATED)
    prepared = TRIAL.replaced(recipe=TRIAL.recipe._replace(house=house))
    with ExitStack() as open_:
        ledgers = [open_.enter_context(open_ledger(":memory:", create=True)) for _ in range(3)]
        for ledger, every in zip(ledgers, (True, False, True), strict=True):
            for number, (item, kind, gas, g) in enumerate(stood):
                still = kind is None or (gas is False) or (gas is None and kind == "jar")
                if every or still:
                    event = Event(kind="made", item=item, batch=f"b{number}", change_mg=1000 * g,
                                  use_by=NO_DATE)  # fmt: skip
                    fills = [] if kind is None else [(kind, 1000 * g)]
                    actions.add(ledger, event, fills, charged=gas if kind else None)
            if ledger is ledgers[1]:
                break
        seen = ledgers[0]
        if copied:
            put_in(ledgers[2], events_of(text_of(ledgers[0].events()), "x.csv"))
            rebuild(ledgers[2])
            seen = ledgers[2]
        plan, said = planned(seen, prepared)
        only_still, _ = planned(ledgers[1], prepared)
        assert made(plan) == made(only_still)
        assert bought(plan) == bought(only_still)
        assert plan.verdict == PLAIN.verdict
        used = {one["batch"] for row in said["rows"] for one in row["batches"]}
        for held in seen.stock_at():
            if held.charged:
                assert held.cell.batch not in used


@settings(max_examples=25)
@given(
    st.dictionaries(st.sampled_from((*ITEMS, *INGREDIENTS)), st.floats(0.001, 20_000.0), max_size=6)
)
def test_what_is_used_and_what_is_made_is_what_is_wanted(grams: dict[str, float]) -> None:
    with open_ledger(":memory:", create=True) as ledger:
        for name, g in grams.items():
            put(ledger, name, g, use_by=NO_DATE)
        plan, said = planned(ledger)
        for row in said["rows"]:
            have = round(1000 * grams[row["name"]]) / 1000
            assert row["used_g"] + row["left_g"] == pytest.approx(have)
            lost = 0.9 if row["name"] == "my-base" else 1.0
            assert row["used_g"] + lost * row["make_g"] == pytest.approx(row["need_g"], abs=0.002)
        # more in stock never makes or buys more, and the worst of the verdicts is no milder
        for name, g in made(plan).items():
            assert g <= made(PLAIN)[name] * (1 + 1e-9)
        for name, g in bought(plan).items():
            assert g <= bought(PLAIN)[name] * (1 + 1e-9)
        assert plan.verdict == PLAIN.verdict
        ledger.append(*taking(plan, read_stock(ledger, TRIAL, "house", TODAY), "x" * 900))
        left = {one.cell.item: one.mg / 1000 for one in ledger.stock_at()}
        for row in said["rows"]:
            assert left.get(row["name"], 0.0) == pytest.approx(row["left_g"], abs=0.002)


def test_the_command_line_takes_only_when_it_is_told_to(tmp_path: Path) -> None:
    place, file = str(tmp_path / "house.db"), tmp_path / "trial.toml"
    file.write_text(RECIPE, encoding="utf-8")
    with open_ledger(place, create=True) as ledger:
        put(ledger, "my-base", 1000.0)
    for take in (False, True, False):
        said = worked(PlanOptions(str(file), stock=place, take_stock=take), str(file)).said["stock"]
        assert said["taken"] == take
    with open_ledger(place) as ledger:
        assert len(list(ledger.events(kind="taken"))) == 1
        assert (
            sum(one.mg for one in ledger.stock_at()) / 1000
            == said["rows"][0]["left_g"] + (said["rows"][0]["used_g"])
        )


@pytest.mark.parametrize("days", [-3, 0, 3])
def test_stock_past_its_date_today_is_used_for_no_day_of_service(tmp_path: Path, days: int) -> None:
    place, file = str(tmp_path / "house.db"), tmp_path / "trial.toml"
    file.write_text(RECIPE, encoding="utf-8")
    with open_ledger(place, create=True) as ledger:
        put(ledger, "my-base", 1000.0, use_by=TODAY - timedelta(days=1))
    service = f"{TODAY + timedelta(days=days)} 18:00"
    said = worked(PlanOptions(str(file), stock=place, service=service), str(file)).said["stock"]
    assert said["rows"] == []
    assert "its last day was" in said["not_used"][0]["why"]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"take_stock": True}, "--take-stock goes with --stock"),
        ({"stock": ""}, "no ledger is named"),
        ({"stock": "x.db", "have": ("1 l my-base",)}, "--stock does not go with --from"),
        ({"stock": "x.db", "compare": "1,2"}, "--stock does not go with --compare"),
    ],
)
def test_what_does_not_go_together(tmp_path: Path, more: dict[str, Any], said: str) -> None:
    file = tmp_path / "trial.toml"
    file.write_text(RECIPE, encoding="utf-8")
    with pytest.raises(BadInput, match=said):
        worked(PlanOptions(str(file), **more), str(file))
