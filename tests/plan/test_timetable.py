"""Steps worked back from service, against the clock, and variants of a recipe."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.cli import main
from prepkit.errors import BadInput, BadRecipe
from prepkit.numbers import Moment, length_words
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.plan.timetable import Timetable, WaitingLoads, refuse_late, timetable
from prepkit.render.plan_text import plan_text

RECIPE = """
title = "A trial"
serves = 10
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
[items.my-syrup]
calculator = "blend"
part = ["600 g white sugar", "400 g water"]
[[items.my-syrup.step]]
text = "Stir"
takes = "30 min"
hands_on = "10 min"
before = "1 h"
[items.my-mix]
calculator = "blend"
part = ["300 g spirit 40 %", "200 g my-syrup"]
[[items.my-mix.step]]
text = "Mix"
takes = "20 min"
[[items.my-mix.step]]
text = "Chill"
takes = "3 h"
hands_on = "0 min"
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-mix"
gas = "n2"
chargers = 1
temperature = "4 C"
[[items.my-nitro.step]]
text = "Charge"
takes = "5 min"
each = "vessel"
within = "30 min"
[items.my-drops]
calculator = "acid-solution"
acid = "citric acid"
strength = "6 % w/w"
make = "100 ml"
[[serve]]
name = "Trial"
part = ["100 g my-nitro", "2 g my-drops", "5 g my-syrup"]
"""


def table(text: str = RECIPE, serves: int = 20) -> Timetable:
    found = timetable(make_plan(read_recipe(text), serves))
    assert found is not None
    return found


def starts(found: Timetable) -> dict[str, tuple[float, float]]:
    return {f"{one.item} {one.number}": (one.start, one.end) for one in found.steps}


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def test_times_worked_by_hand() -> None:
    # 2 kg at a little more than 1 kg/l: two vessels, five minutes each; before that three hours
    # cold, twenty minutes of mixing, and the syrup an hour before that
    assert starts(table()) == {
        "my-nitro 1": (-10, 0), "my-mix 2": (-190, -10), "my-mix 1": (-210, -190),
        "my-syrup 1": (-300, -270),
    }  # fmt: skip
    found = table()
    assert found.start == pytest.approx(-300)
    minutes, until = found.stands["my-syrup"]
    assert (round(minutes), until) == (270, "service")  # an hour to my-mix; the rest for the glass
    assert found.charged == ("my-nitro",)
    assert sum(one.hands_on for one in found.steps) == pytest.approx(10 + 20 + 10)


def test_the_number_of_vessels_sets_the_time_of_charging() -> None:
    assert starts(table(serves=5))["my-nitro 1"] == (-5, 0)
    assert starts(table(serves=100))["my-nitro 1"][0] < -45


def test_no_more_is_ready_at_service_than_the_house_has_vessels() -> None:
    few = RECIPE.replace('rated = "17 bar"', 'rated = "17 bar"\ncount = 2').replace(
        "[items.my-drops]",
        '[[items.my-nitro.step]]\ntext = "Rest"\ntakes = "20 min"\nhands_on = "0 min"\n'
        "[items.my-drops]",
    )
    plan = make_plan(read_recipe(few), 50)
    (nitro,) = (one for one in plan.made if one.item.id == "my-nitro")
    assert nitro.filling is not None
    assert nitro.filling.count == 5
    found = table(few, 50)
    # two of five are charged before service, and each of the others is charged and rests in it
    assert starts(found)["my-nitro 1"] == (-30, -20)
    assert starts(found)["my-nitro 2"] == (-20, 0)
    assert found.later == (WaitingLoads("my-nitro", 3, 25, 5),)
    said = plan.to_dict()
    assert said["timetable"]["later"] == [
        {"item": "my-nitro", "loads": 3, "min": 25, "hands_on_min": 5}
    ]
    assert "my-nitro: 3 more loads during service, as vessels come free: 25 min each" in " ".join(
        plan_text(said).split()
    )
    enough = few.replace("count = 2", "count = 5")
    assert table(enough, 50).later == ()
    assert starts(table(enough, 50))["my-nitro 1"] == (-45, -20)


def test_vessels_that_are_emptied_into_another_item_are_free_at_once() -> None:
    text = RECIPE.replace('rated = "17 bar"', 'rated = "17 bar"\ncount = 1').replace(
        '["100 g my-nitro", "2 g my-drops", "5 g my-syrup"]', '"100 g my-cup"'
    )
    text = text.replace(
        "[items.my-drops]",
        '[items.my-cup]\ncalculator = "layer"\nlayer = ["90 g my-nitro", "10 g water"]\n'
        "[items.my-drops]",
    )
    found = table(text, 20)
    assert found.later == ()
    assert starts(found)["my-nitro 1"] == (-10, 0)


def test_an_item_without_steps_passes_the_time_on() -> None:
    text = RECIPE.replace('[[items.my-mix.step]]\ntext = "Mix"\ntakes = "20 min"\n', "").replace(
        '[[items.my-mix.step]]\ntext = "Chill"\ntakes = "3 h"\nhands_on = "0 min"\n', ""
    )
    assert starts(table(text))["my-syrup 1"] == (-100, -70)
    assert "my-mix" not in table(text).stands


def test_a_recipe_without_steps_has_no_timetable() -> None:
    text = "\n".join(
        line for line in RECIPE.splitlines()
        if not line.startswith(("[[items", "text", "takes", "hands_on", "before", "within", "each"))
    )  # fmt: skip
    plan = make_plan(read_recipe(text), 20)
    assert timetable(plan) is None
    assert plan.to_dict()["timetable"] is None
    assert "Timetable" not in plan_text(plan.to_dict())


def test_what_must_not_be_made_has_no_times() -> None:
    found = table(RECIPE.replace('rated = "17 bar"', 'rated = "3 bar"'))
    assert {one.item for one in found.steps} == {"my-mix", "my-syrup"}
    assert found.charged == ()


def many(
    hands: int,
    minutes: list[tuple[int, int]],
    hours: tuple[str, str] | None = None,
    service: str = "",
) -> Timetable:
    """Items that are all needed at service, each with the takes and hands-on given."""
    items = "\n".join(
        f'[items.it-{n}]\ncalculator = "blend"\npart = "1 kg water"\n[[items.it-{n}.step]]\n'
        f'text = "do"\ntakes = "{takes} min"\nhands_on = "{hands_on} min"\n'
        for n, (takes, hands_on) in enumerate(minutes)
    )
    parts = ", ".join(f'"1 g it-{n}"' for n in range(len(minutes)))
    day = '\nearliest_start = "{}"\nlatest_finish = "{}"'.format(*hours) if hours else ""
    text = (
        f'title = "t"\nserves = 1\n[house]\nhands = {hands}{day}\n{items}\n[[serve]]\nname = "n"\n'
        f"part = [{parts}]\n"
    )
    if not service:
        return table(text)
    found = timetable(make_plan(read_recipe(text), 20), Moment.read(service, "service"))
    assert found is not None
    return found


def test_one_person_does_one_thing_after_the_other() -> None:
    found = many(1, [(10, 10), (20, 20), (30, 30)])
    assert sorted(starts(found).values()) == [(-60, -50), (-50, -30), (-30, 0)]
    assert many(2, [(10, 10), (20, 20), (30, 30)]).start == pytest.approx(-30)
    assert many(2, [(30, 30)] * 3).start == pytest.approx(-60)
    assert many(3, [(30, 30)] * 3).start == pytest.approx(-30)


def test_work_fits_into_a_gap() -> None:
    # the long step needs a person for its first ten minutes only
    found = many(1, [(60, 10), (40, 40)])
    assert starts(found) == {"it-0 1": (-60, 0), "it-1 1": (-40, 0)}


@settings(deadline=None, max_examples=60)
@given(
    st.integers(1, 3),
    st.lists(st.tuples(st.integers(1, 90), st.integers(0, 90)), min_size=1, max_size=12),
)
def test_nobody_does_two_things_at_once(hands: int, said: list[tuple[int, int]]) -> None:
    minutes = [(takes, min(takes, hands_on)) for takes, hands_on in said]
    found = many(hands, minutes)
    work = [(one.start, one.start + one.hands_on) for one in found.steps if one.hands_on]
    for start, _ in work:
        assert sum(a <= start + 1e-3 < b for a, b in work) <= hands
    for one in found.steps:
        assert one.end <= 1e-6
        assert one.stands >= -1e-6
    # never earlier than if all were done one after the other
    assert found.start >= -sum(takes for takes, _ in minutes) - 1e-6


@settings(deadline=None, max_examples=20)
@given(st.integers(1, 400), st.integers(1, 3))
def test_everything_is_done_before_what_uses_it(serves: int, hands: int) -> None:
    text = RECIPE.replace("[vessels.north]", f"[house]\nhands = {hands}\n[vessels.north]")
    at = starts(table(text, serves))
    assert at["my-syrup 1"][1] <= at["my-mix 1"][0] - 60 + 1e-6
    assert at["my-mix 1"][1] <= at["my-mix 2"][0] + 1e-6
    assert at["my-mix 2"][1] <= at["my-nitro 1"][0] + 1e-6


DAY = '[house]\nhands = 1\nearliest_start = "{}"\nlatest_finish = "{}"\n[vessels.north]'


def at_hours(earliest: str, latest: str, service: str, text: str = RECIPE) -> Timetable:
    said = text.replace("[vessels.north]", DAY.format(earliest, latest))
    found = timetable(make_plan(read_recipe(said), 20), Moment.read(service, "service"))
    assert found is not None
    return found


def test_what_does_not_fit_into_the_day_is_moved_to_the_day_before() -> None:
    # without hours: stir 13:00, mix 14:30, chill 14:50, charge 17:50
    assert starts(at_hours("08:00", "22:00", "18:00")) == starts(table())
    # from 14:40 on: mixing must be done before, the evening before, by 22:00, and then chills
    found = at_hours("14:40", "22:00", "18:00")
    assert starts(found)["my-mix 2"] == (-190, -10)  # needs nobody
    assert starts(found)["my-mix 1"] == (-1220, -1200)  # 21:40 to 22:00
    assert starts(found)["my-syrup 1"] == (-1310, -1280)  # an hour before that
    assert {(one.item, one.number): one.moved_days for one in found.steps} == {
        ("my-syrup", 1): 1, ("my-mix", 1): 1, ("my-mix", 2): 0, ("my-nitro", 1): 0,
    }  # fmt: skip
    assert found.hours is not None
    plan = make_plan(
        read_recipe(RECIPE.replace("[vessels.north]", DAY.format("14:40", "22:00"))), 20
    )
    assert starts(timetable(plan)) == starts(table())  # type: ignore[arg-type]  # no time of day
    said = plan.to_dict(Moment.read("18:00", "service"))
    told = " ".join(plan_text(said).split())
    assert (
        "Moved to the day before, because house hours are 14:40 to 22:00: my-syrup (Stir), "
        "my-mix (Mix)"
    ) in told


def test_a_job_longer_than_the_day_is_said_to_lie_outside_it() -> None:
    found = at_hours("17:00", "17:15", "18:00")
    late = {one.item for one in found.steps if one.outside}
    assert late == {"my-mix"}  # 20 min of mixing into a day of 15 min


@settings(deadline=None, max_examples=40)
@given(
    st.integers(0, 1439), st.integers(60, 1439), st.integers(0, 1439), st.integers(1, 3),
    st.lists(st.tuples(st.integers(1, 90), st.integers(0, 60)), min_size=1, max_size=8),
)  # fmt: skip
def test_hands_are_busy_within_hours_and_no_more_than_there_are(
    earliest: int, length: int, service: int, hands: int, said: list[tuple[int, int]]
) -> None:
    latest = (earliest + length) % 1440
    minutes = [(takes, min(takes, hands_on)) for takes, hands_on in said]
    found = many(hands, minutes, hours=(_clock(earliest), _clock(latest)), service=_clock(service))
    assert found.hours is not None
    work = [one for one in found.steps if one.hands_on]
    for one in work:
        assert not one.outside
        assert found.hours.fits(service + one.start, one.hands_on)
        assert 1 <= one.person <= hands
        assert one.end <= 1e-6
        others = [o for o in work if o is not one and o.person == one.person]
        assert all(
            o.start >= one.start + one.hands_on - 1e-3 or one.start >= o.start + o.hands_on - 1e-3
            for o in others
        )


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"


def test_what_keeps_least_is_done_last_and_what_would_stand_too_long_is_said() -> None:
    step = '[[items.my-drops.step]]\ntext = "Dissolve"\ntakes = "40 min"\n'
    said = make_plan(read_recipe(RECIPE + step), 20).to_dict()
    ends = {one["item"]: one["end_min"] for one in said["timetable"]["steps"]}
    assert (ends["my-nitro"], ends["my-drops"]) == (0, -10)
    assert "TOO LONG" not in plan_text(said)
    # both must be fresh and there is one person: the vessels would stand for forty minutes
    said = make_plan(read_recipe(f'{RECIPE}{step}within = "10 min"\n'), 20).to_dict()
    late = [one["item"] for one in said["timetable"]["steps"] if one["stands_too_long"]]
    assert late == ["my-nitro"]
    sheet = " ".join(plan_text(said).split())
    assert 'TOO LONG: my-nitro would stand 40 min after "Charge", and 30 min is the most' in sheet
    two = RECIPE.replace("[vessels.north]", "[house]\nhands = 2\n[vessels.north]")
    said = make_plan(read_recipe(f'{two}{step}within = "10 min"\n'), 20).to_dict()
    assert not any(one["stands_too_long"] for one in said["timetable"]["steps"])


TWICE = """
title = "A trial"
serves = 10
[house]
earliest_start = "10:00"
latest_finish = "23:00"
[items.base]
calculator = "blend"
part = ["600 g white sugar", "400 g water"]
[[items.base.step]]
text = "Stir"
takes = "10 min"
within = "1 h"
[items.mix]
calculator = "blend"
part = ["300 g water", "200 g base"]
[[items.mix.step]]
text = "Mix"
takes = "20 min"
[[items.mix.step]]
text = "Chill"
takes = "HOURS"
hands_on = "0 min"
[items.look]
calculator = "blend"
part = ["100 g base"]
check = true
[[serve]]
name = "Trial"
part = ["50 g mix", "10 g base"]
"""


def test_what_is_used_twice_is_fresh_for_its_last_use_or_that_is_said() -> None:
    """What goes into a mix of the day before and into the glass as well stands until service."""
    said = make_plan(read_recipe(TWICE.replace("HOURS", "12 h")), 10)
    sheet = said.to_dict(Moment.read("18:00", "service"))
    assert sheet["timetable"] is not None
    late = {one["item"]: one for one in sheet["timetable"]["steps"] if one["stands_too_long"]}
    assert late.keys() == {"base"}
    assert late["base"]["stands_min"] == pytest.approx(-late["base"]["end_min"])
    told = " ".join(plan_text(sheet).split())
    assert "TOO LONG: base would stand" in told
    assert "base stands" in told
    assert "until service" in told
    # into the mix alone it is fresh, whenever somebody looks at it
    alone = TWICE.replace("HOURS", "12 h").replace(', "10 g base"', "")
    found = timetable(make_plan(read_recipe(alone), 10), Moment.read("18:00", "service"))
    assert found is not None
    assert found.stands["base"] == (pytest.approx(0.0), "mix")
    short = timetable(make_plan(read_recipe(TWICE.replace("HOURS", "20 min")), 10))
    assert short is not None
    assert short.stands["base"] == (pytest.approx(40.0), "service")


def test_the_sheet_has_times_of_day_where_service_has_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(RECIPE, encoding="utf-8")
    _, out, _ = call(f"plan {path} --serves 20 --service 18:00", capsys)
    assert "my-syrup first, 13:00, service 18:00" in " ".join(out.split())
    _, out, _ = call(f"plan {path} --serves 20 --service 18:00 --full", capsys)
    assert "Timetable, back from service at 18:00" in out
    assert "13:00 13:30 10 min my-syrup Stir" in " ".join(out.split())
    assert "Charge (2 times)" in out
    assert "charged last: my-nitro" in out
    assert "my-syrup stands 4 h 30 min until service" in out
    _, out, _ = call(f"plan {path} --serves 20 --service '2026-01-01 03:00' --json", capsys)
    said = json.loads(out)["timetable"]
    assert said["start"] == "2025-12-31 22:00"
    assert said["charged_last"] == "my-nitro"
    _, out, _ = call(f"plan {path} --serves 20", capsys)
    assert "-5 h " in out


@pytest.mark.parametrize(
    ("service", "now", "code", "says"),
    [
        ("18:00", "13:00", 0, ""),
        ("18:00", "13:01", 2, "my-syrup had to start at 13:00"),
        ("18:00", "14:31", 2, "my-mix had to start at 14:30. The earliest service is 19:31"),
        ("18:00", "18:30", 2, "not after"),
        ("2026-01-01 03:00", "2025-12-31 21:00", 0, ""),
        ("2026-01-01 03:00", "2025-12-31 22:05", 2, "had to start at 2025-12-31 22:00"),
        ("2026-01-01 18:00", "12:00", 0, ""),
        ("18:00", "2026-01-01 13:03", 2, "The earliest service is 18:03, 3 min later"),
        ("25:00", "12:00", 2, "not a time of day"),
        ("18", "12:00", 2, "not a time of day"),
        ("18:00", "noon", 2, "--now"),
        ("2026-02-30 18:00", "12:00", 2, "not a time of day"),
    ],
)
def test_a_service_out_of_reach_says_what_had_to_start_when(
    service: str, now: str, code: int, says: str, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    path = tmp_path / "tonight.toml"
    path.write_text(RECIPE, encoding="utf-8")
    words = f"plan {path} --serves 20 --service '{service}' --now '{now}'"
    got, out, err = call(words, capsys)
    assert got == code, err
    assert (out == "") == (code == 2)
    assert says in err
    assert err.strip().count("\n") == 0


@pytest.mark.parametrize(("items", "says"), [(4, ""), (5, ", and 1 more item."),
                                             (7, ", and 3 more items.")])  # fmt: skip
def test_no_more_than_four_late_items_are_named(items: int, says: str) -> None:
    made = "".join(
        f'[items.my-{n}]\ncalculator = "blend"\npart = "100 g water"\n'
        f'[[items.my-{n}.step]]\ntext = "Stir"\ntakes = "1 h"\n'
        for n in range(items)
    )
    serve = ", ".join(f'"10 g my-{n}"' for n in range(items))
    text = f'title = "x"\nserves = 1\n{made}[[serve]]\nname = "x"\npart = [{serve}]\n'
    found = table(text, 1)
    with pytest.raises(BadInput) as error:
        refuse_late(found, Moment.read("18:00", "a"), Moment.read("17:59", "b"))
    assert error.value.message.count("had to start at") == 4
    assert ("more item" in error.value.message) == bool(says)
    assert says in error.value.message


def test_now_needs_a_service_and_steps(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(RECIPE, encoding="utf-8")
    assert "--service" in call(f"plan {path} --now 12:00", capsys)[2]
    text = 'title = "t"\nserves = 1\n[items.a-b]\ncalculator = "blend"\npart = "1 g water"\n'
    path.write_text(f'{text}[[serve]]\nname = "n"\npart = "1 g a-b"\n', encoding="utf-8")
    assert "no steps" in call(f"plan {path} --service 18:00 --now 12:00", capsys)[2]
    assert call(f"plan {path} --service 18:00", capsys)[0] == 0


def test_a_service_that_can_just_be_reached_is_not_refused() -> None:
    found = table()
    service = Moment.read("18:00", "--service")
    refuse_late(found, service, Moment.read("13:00", "--now"))
    with pytest.raises(BadInput):
        refuse_late(found, service, Moment.read("13:01", "--now"))


@given(st.integers(0, 10000))
def test_lengths_of_time_read_back(minutes: int) -> None:
    from prepkit.units import convert

    words = length_words(minutes).split()
    total = sum(
        convert(float(n), unit, "min") for n, unit in zip(words[::2], words[1::2], strict=True)
    )
    assert total == pytest.approx(minutes)


def test_days_before() -> None:
    service = Moment.read("01:30", "--service")
    assert service.before(0) == "01:30"
    assert service.before(120) == "the day before, 23:30"
    assert service.before(2 * 1440) == "2 days before, 01:30"
    assert service.before(-1440) == "the day after, 01:30"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('text = "Stir"', "", "step 1.text"),
        ('text = "Stir"', 'text = "Stir"\nspeed = 3', "speed"),
        ('takes = "30 min"', 'takes = "30 g"', "step 1.takes"),
        ('takes = "30 min"', "takes = 30", "step 1.takes"),
        ('takes = "30 min"', 'takes = "90 d"', "60 d"),
        ('takes = "30 min"', 'takes = "-5 min"', "from 0"),
        ('hands_on = "10 min"', 'hands_on = "40 min"', "longer than the 30 min"),
        ('within = "30 min"', 'within = "30 min"\nbefore = "1 h"', "shorter than before"),
        ('each = "vessel"', 'each = "glass"', "vessel"),
        ("[[items.my-syrup.step]]", "[items.my-syrup.step]", "[[items.my-syrup.step]]"),
    ],
)
def test_wrong_steps(old: str, new: str, says: str) -> None:
    assert old in RECIPE
    with pytest.raises(BadRecipe) as caught:
        read_recipe(RECIPE.replace(old, new, 1))
    assert says in str(caught.value)


# variants


VARIANT = (
    RECIPE
    + """
[variant.mild]
serves = 4
[variant.mild.items.my-mix]
part = ["300 g brewed black tea", "200 g my-syrup"]
[variant.bare.items.my-drops]
calculator = "blend"
part = ["100 g lemon juice"]
[variant.bare.items.my-new]
calculator = "blend"
part = ["100 g water"]
[[variant.bare.serve]]
name = "Bare"
part = ["50 g my-drops", "50 g my-new"]
"""
)


def strength(said: dict[str, Any]) -> float:
    readings = said["serve"][0]["readings"]
    return float(sum(one["value"] for one in readings if one["name"] == "abv"))


def test_a_variant_replaces_keys_items_and_serves() -> None:
    base = make_plan(read_recipe(VARIANT)).to_dict()
    assert base["variant"] is None
    assert base == make_plan(read_recipe(RECIPE)).to_dict()
    mild = make_plan(read_recipe(VARIANT, variant="mild")).to_dict()
    assert mild["variant"] == "mild"
    assert mild["title"] == "A trial (mild)"
    assert mild["serves"] == 4
    assert strength(base) > 15
    assert strength(mild) == 0
    # its steps stay, since only the parts were replaced
    mix = next(one for one in mild["items"] if one["id"] == "my-mix")
    assert [one["text"] for one in mix["steps"]] == ["Mix", "Chill"]
    bare = make_plan(read_recipe(VARIANT, variant="bare")).to_dict()
    assert {one["id"] for one in bare["items"]} == {"my-drops", "my-new"}
    assert set(bare["not_made"]) == {"my-syrup", "my-mix", "my-nitro"}
    assert [one["name"] for one in bare["serve"]] == ["Bare"]


def test_a_variant_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(VARIANT, encoding="utf-8")
    _, out, _ = call(f"plan {path} --variant mild", capsys)
    assert "A trial (mild)" in out
    code, _, err = call(f"plan {path} --variant milld", capsys)
    assert code == 2
    assert "mild" in err.replace("milld", "")
    path.write_text(RECIPE, encoding="utf-8")
    assert "has none" in call(f"plan {path} --variant mild", capsys)[2]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[variant]\nmild = 3\n", "variant.mild"),
        ("[variant.mild]\ncolour = 3\n", "colour"),
        ("[variant.mild.items]\nmy-mix = 3\n", "variant.mild.items.my-mix"),
        ('[variant.mild]\nitems = "x"\n', "variant.mild.items"),
        ('[variant.mild.items.my-mix]\npart = "1 g wtaer"\n', "items.my-mix.part"),
        ("[variant.mild]\nserve = 3\n", "serve"),
    ],
)
def test_wrong_variants(text: str, says: str) -> None:
    with pytest.raises(BadRecipe) as caught:
        make_plan(read_recipe(RECIPE + text, variant="mild"))
    assert says in str(caught.value)
