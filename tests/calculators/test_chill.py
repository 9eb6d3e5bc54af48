"""chill: published melts and end points, the freezing line, bottles, cryogens."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import RANK, assert_finite, assert_same, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.registry import run

PUBLISHED = {row.id: row for row in load_rows("heat")}
SOUR = ["60 ml spirit 40 %", "22.5 ml lemon juice", "22.5 ml syrup 50 Bx"]
PLAIN = "100 ml spirit 30 %"


def chill(part: Any, **more: Any) -> Answer:
    return run("chill", {"part": part, **more})


def near(found: float, row_id: str) -> None:
    row = PUBLISHED[row_id]
    assert abs(found - row.value) <= row.tolerance, f"{found} against {row}"


def test_published_melt_of_plain_spirit() -> None:
    mixed_before = chill(PLAIN, target="0 C")
    near(value(mixed_before, "melt"), "SPH-087a")
    # 7 C and the melt of the same drink: energy only in the row, with heat of mixing here
    assert value(chill(PLAIN, target="7 C"), "melt") == pytest.approx(16.2, abs=0.5)
    assert value(chill(PLAIN, target="7 C"), "melt") > PUBLISHED["SPH-050"].value


def test_published_sour() -> None:
    shaken = chill(SOUR, way="shake")
    near(value(shaken, "end_temperature"), "SPH-052")
    near(value(shaken, "end_temperature"), "SPH-086a")
    near(value(shaken, "melt"), "SPH-086b")
    near(value(chill(SOUR, target="0 C"), "melt"), "SPH-085a")


def test_dilution_names_its_base() -> None:
    shaken = chill(SOUR, way="shake")
    # facts of the trade: 40 to 45 % of the start mass is 28 to 30 % of the final drink
    assert 38 < value(shaken, "of_start_mass") < 50
    assert 27 < value(shaken, "of_final_volume") < 34
    assert value(shaken, "of_start_mass") > value(shaken, "of_final_volume")


def test_mass_balance_and_no_ethanol_lost() -> None:
    answer = chill(SOUR, way="shake", ice="200 g", wet="4 %")
    start = sum(run("blend", {"part": SOUR}).values[n].value for n in ("mass",))
    assert value(answer, "mass") == pytest.approx(start + value(answer, "water_in"))
    assert value(answer, "water_in") == pytest.approx(value(answer, "melt") + 8.0)
    assert value(answer, "melt") + value(answer, "ice_left") == pytest.approx(192.0)
    assert answer.product is not None
    blend = run("blend", {"part": SOUR})
    assert 1000 * answer.product.ethanol_kg == pytest.approx(value(blend, "ethanol"))


def test_without_ice_the_water_takes_the_place_of_the_melt() -> None:
    stirred = chill(PLAIN, target="-2 C")
    poured = chill(PLAIN, target="-2 C", way="no ice")
    assert value(poured, "water_in") == pytest.approx(value(stirred, "water_in"))
    warm = chill(PLAIN, target="7 C", way="no ice", dilute_like="-2 C")
    assert value(warm, "water_in") == pytest.approx(value(stirred, "water_in"))
    assert value(warm, "end_temperature") == 7.0


@settings(max_examples=25, deadline=None)
@given(st.floats(-4.0, 14.0), st.floats(20.0, 45.0))
def test_colder_melts_more(target: float, abv: float) -> None:
    words = f"100 ml spirit {abv:.2f} %"
    cold, warm = (chill(words, target=f"{t:.3f} C") for t in (target, target + 1.0))
    assert value(cold, "melt") > value(warm, "melt")


def test_freezer_cold_parts_melt_less() -> None:
    warm = chill(SOUR, target="-3 C")
    cold = chill(SOUR, target="-3 C", part_temperature=["-5 C", "4 C", "20 C"])
    assert value(cold, "melt") < 0.7 * value(warm, "melt")
    assert value(chill(SOUR, target="-3 C", tin="250 g"), "melt") > value(warm, "melt")
    batch = chill(SOUR, target="-3 C", premixed=True)
    assert value(batch, "melt") < value(warm, "melt")


def test_below_the_freezing_line_is_a_stop_that_says_what_is_possible() -> None:
    answer = chill(PLAIN, target="-15 C")
    assert answer.verdict == "stop"
    assert "chill-target-below-freezing-line" in ids(answer)
    assert set(answer.values) == {"coldest"}
    # just inside: what it can do at the end is allowed
    coldest = value(answer, "coldest")
    inside = chill(PLAIN, target=f"{coldest + 0.3:.2f} C")
    assert inside.verdict != "stop"
    assert chill(PLAIN, target=f"{coldest - 1.0:.2f} C").verdict == "stop"


def test_without_ice_below_the_freezing_line() -> None:
    answer = chill(PLAIN, target="-20 C", way="no ice")
    assert answer.verdict == "stop"
    assert "chill-without-ice-below-freezing-line" in ids(answer)
    assert "chill-target-below-freezing-line" not in ids(answer)
    assert set(answer.values) == {"coldest"}
    said = next(c for c in answer.cautions if c.id == "chill-without-ice-below-freezing-line")
    assert "was given" not in said.text
    assert said.text.count(" °C") == 2  # what was asked and what is possible
    coldest = value(answer, "coldest")
    for like in ({}, {"dilute_like": "0 C"}):
        coldest = value(chill(PLAIN, target="-30 C", way="no ice", **like), "coldest")
        above, below = (
            chill(PLAIN, target=f"{coldest + k:.3f} C", way="no ice", **like) for k in (0.02, -0.02)
        )
        assert above.verdict != "stop"
        assert below.verdict == "stop"


def test_bottle_below_its_freezing_line() -> None:
    words = {"way": "bottle", "place": "freezer", "bottle": "700 ml"}
    answer = chill("700 ml spirit 20 %", target="-15 C", **words)
    assert answer.verdict == "stop"
    assert "chill-bottle-target-below-freezing-line" in ids(answer)
    assert set(answer.values) == {"coldest", "slush"}  # no times to what is not reached
    point = value(answer, "coldest")
    inside = chill("700 ml spirit 20 %", target=f"{point + 0.1:.2f} C", **words)
    assert inside.verdict == "care"  # the place still freezes it in the end
    assert "minutes_late" in inside.values
    assert chill("700 ml spirit 20 %", target=f"{point - 0.1:.2f} C", **words).verdict == "stop"


def test_a_cryogen_is_the_last_resort() -> None:
    for way in ("liquid nitrogen", "dry ice"):
        answer = chill(PLAIN, way=way, target="0 C", room_volume="200 m3", air_changes=4)
        assert "cryogen-last-resort" in ids(answer)
    assert "cryogen-last-resort" not in ids(chill(PLAIN, target="0 C"))


def test_too_little_ice() -> None:
    assert "chill-too-little-ice" in ids(chill(SOUR, way="shake", ice="20 g"))
    assert "chill-too-little-ice" not in ids(chill(SOUR, way="shake", ice="80 g"))
    with pytest.raises(BadInput, match="would have to melt"):
        chill(SOUR, target="-2 C", ice="15 g")


def test_bottle_in_the_freezer() -> None:
    strong = chill("700 ml spirit 40 %", way="bottle", place="freezer", target="-10 C")
    assert "slush" not in strong.values
    assert "chill-bottle-freezes" not in ids(strong)
    weak = chill("700 ml spirit 20 %", way="bottle", place="freezer")
    assert "chill-bottle-freezes" in ids(weak)
    assert weak.verdict == "care"
    assert 30 < value(weak, "slush") < 60
    assert value(weak, "end_temperature") == pytest.approx(value(weak, "freezing_point"))
    assert value(weak, "minutes_soon") < value(weak, "minutes_late")
    # lever rule: the ethanol stays in the liquid, whose strength is that of the freezing line
    ice = value(weak, "slush") / 100 * 0.6815
    spirit = 0.14 * 789.24e-3
    p = spirit / (0.6815 - ice)
    from prepkit.science import ethanol

    assert ethanol.freezing_point_c(p) == pytest.approx(-18.0, abs=0.1)


def test_thin_margin_of_a_fridge() -> None:
    weak = "700 ml spirit 15 %"  # freezes at about -5.8 C
    answer = chill(weak, way="bottle", place_temperature="-4 C", target="0 C")
    assert "chill-thin-freezing-margin" in ids(answer)
    assert "chill-bottle-freezes" not in ids(answer)
    roomy = chill(weak, way="bottle", place_temperature="-2 C", target="0 C")
    assert "chill-thin-freezing-margin" not in ids(roomy)


def test_cryogen_needs_the_room_and_is_never_milder_in_a_smaller_one() -> None:
    words = {"way": "dry ice", "target": "-5 C"}
    asked = chill("2 l syrup 20 Bx", **words)
    assert asked.verdict == "stop"
    assert "cryogen-room-not-told" in ids(asked)
    assert not asked.values
    verdicts = [
        RANK[chill("2 l syrup 20 Bx", **words, room_volume=f"{v} m3", air_changes=4).verdict]
        for v in (3, 10, 30, 100, 1000)
    ]
    assert verdicts == sorted(verdicts, reverse=True)
    assert verdicts[0] == RANK["stop"]
    small = chill("2 l syrup 20 Bx", **words, room_volume="3 m3", air_changes=4)
    assert "cryogen_most" not in small.values


def test_scales_and_knows_no_units() -> None:
    triple = [f"{3 * ml} ml {rest}" for ml, rest in
              ((60, "spirit 40 %"), (22.5, "lemon juice"), (22.5, "syrup 50 Bx"))]  # fmt: skip
    assert_scales(chill(SOUR, way="shake"), chill(triple, way="shake"), 3.0)
    assert_scales(chill(SOUR, target="-1 C"), chill(triple, target="-1 C"), 3.0)
    ounces = ["2 US fl oz spirit 40 %", "0.75 US fl oz lemon juice", "0.75 US fl oz syrup 50 Bx"]
    metric = ["59.1470591 ml spirit 40 %", "22.1801471625 ml lemon juice",
              "22.1801471625 ml syrup 50 Bx"]  # fmt: skip
    assert_same(chill(metric, target="-1 C"), chill(ounces, target="30.2 F"), 1e-6)
    for way in ("stir", "no ice"):
        assert_finite(chill(SOUR, target="-1 C", way=way))
    assert_finite(chill(SOUR, way="shake"))
    assert_finite(chill(SOUR, way="bottle"))


@pytest.mark.parametrize(
    ("part", "words", "says"),
    [
        (SOUR, {}, "needs --target"),
        (SOUR, {"way": "shake", "target": "-2 C"}, "freezing line"),
        (SOUR, {"target": "25 C"}, "only cools"),
        (SOUR, {"target": "-2 C", "part_temperature": ["4 C"]}, "once for each"),
        (SOUR, {"target": "-2 C", "part_temperature": ["4 C", "x", "4 C"]}, "part-temperature"),
        (SOUR, {"target": "-2 C", "ice_temperature": "3 C"}, "at or below 0 °C"),
        (SOUR, {"way": "bottle", "target": "-5 C"}, "between the two"),
        ("1e-6 ml spirit 96 %", {"target": "0 C"}, "too little to chill"),
        (SOUR, {"way": "no ice", "target": "0 C", "ice": "90 g"}, "--ice is not used"),
        (SOUR, {"way": "no ice", "target": "0 C", "wet": "3 %"}, "--wet is not used"),
        (SOUR, {"target": "0 C", "dilute_like": "-2 C"}, "--dilute-like is not used"),
        (SOUR, {"target": "0 C", "place_temperature": "4 C"}, "--place-temperature is not"),
        (SOUR, {"way": "frying", "target": "-5 C"}, "must be one of"),
        ("0 ml cream 35 %", {"way": "shake"}, "amounts to 0"),
        ("300 g lecithin", {"way": "shake"}, "dissolved solids"),
        (SOUR, {"target": "-2 g"}, "temperature is needed"),
    ],
)
def test_bad_words_get_one_useful_sentence(part: Any, words: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        chill(part, **words)


def test_a_drink_on_ice_is_told_to_be_stirred() -> None:
    # ICE-SALT-2002 (EV3-78d): floating ice melts 25 % slower in salt water than in water
    assert "chill-stir-it" in ids(chill(SOUR, way="stir", target="-2 C"))
    for way in ("shake", "bottle"):
        more = {"place": "fridge"} if way == "bottle" else {}
        assert "chill-stir-it" not in ids(chill(SOUR, way=way, **more))


def test_the_way_does_not_change_the_ice_that_melts() -> None:
    """Mixed warm and then chilled, or chilled as it is mixed: one heat, so one melt."""
    for parts in (
        ["60 ml gin 43 %", "25 ml lemon juice", "20 ml syrup 65 Bx"],
        ["60 ml gin 43 %", "60 ml water"],
    ):
        warm = run("blend", {"part": [f"{one} at 20 C" for one in parts]})
        at_c = f"{value(warm, 'mixed_temperature'):.2f} C"
        for target in ("-2 C", "4 C"):
            told = {"part": parts, "target": target}
            apart = value(run("chill", {**told, "temperature": "20 C"}), "melt")
            mixed = value(run("chill", {**told, "temperature": at_c, "premixed": True}), "melt")
            assert mixed == pytest.approx(apart, rel=0.01)
