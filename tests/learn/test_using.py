"""Run charts of an item: which batch was out and by which rule, as text, picture and JSON."""

from __future__ import annotations

import random
import xml.etree.ElementTree as ET
from datetime import UTC, datetime, timedelta

import pytest

from prepkit.errors import BadInput
from prepkit.learn import LearntBatch, using
from prepkit.render.charts import chart_svg, chart_text
from prepkit.stock import open_ledger

FIRST = datetime(2026, 3, 1, 12, tzinfo=UTC)


def batches(values: list[float], figure: str = "brix") -> list[LearntBatch]:
    return [
        LearntBatch("cordial", f"2026-03-{1 + n:02}", FIRST + timedelta(days=n), {figure: value})
        for n, value in enumerate(values)
    ]


def steady(count: int, seed: int = 5) -> list[float]:
    """Values about 48 that break no rule."""
    draw = random.Random(seed)
    return [48.0 + (-1) ** n * abs(draw.gauss(0.4, 0.1)) for n in range(count)]


@pytest.mark.parametrize("count", [6, 12, 24])
def test_the_batch_that_was_out_is_named_with_its_rule(count: int) -> None:
    values = [*steady(count - 1), 54.0]
    chart = using.chart(batches(values), "cordial", "brix")
    name = f"2026-03-{count:02}"
    assert [(one.batch, one.breaks) for one in chart.out] == [(name, ("beyond the limits",))]
    assert chart.verdict() == f"1 of {count} batches out."
    text = chart_text(chart)
    assert f"Batch {name} was out: 54.0 Bx, above " in text
    assert f"{name}  54.0" in text
    assert ("Limits still wide" in text) == (count < 20)
    assert chart.to_dict()["method"] == ("t interval" if count < 20 else "moving range")


def test_a_run_is_said_once() -> None:
    values = [*(one - 1.0 for one in steady(10)), *(one + 1.0 for one in steady(10, 6))]
    chart = using.chart(batches(values), "cordial", "brix")
    runs = [one for one in chart.sentences() if "in a row" in one]
    assert runs == [
        "Batches 2026-03-11 to 2026-03-20: 10 in a row above the mean of 48.0 Bx. Something "
        "changed.",
        "Batches 2026-03-01 to 2026-03-10: 10 in a row below the mean of 48.0 Bx. Something "
        "changed.",
    ]


def test_many_out_are_counted() -> None:
    chart = using.chart(batches([45.0 + n / 4 for n in range(24)]), "cordial", "brix")
    said = chart.sentences()
    assert said[0].startswith("Batch 2026-03-24 was out")
    assert sum(one.startswith("Batch ") for one in said) == 4
    assert any(one.endswith("more were out before that.") for one in said)


def test_too_few_or_equal_batches_have_no_limits() -> None:
    for values in ([48.0], [48.0, 48.0, 48.0]):
        chart = using.chart(batches(values), "cordial", "brix")
        assert chart.limits is None
        assert chart.out == ()
        assert "limits need 2 batches that differ" in chart_text(chart)
        ET.fromstring(chart_svg(chart))


def test_every_reading_has_its_chart_and_yield_is_of_what_was_planned() -> None:
    own = [
        LearntBatch("cordial", f"b{n}", FIRST + timedelta(days=n), {
            "brix": 48.0 + n % 2, "acidity_percent": 1.0, "abv_percent": 12.0,
            "yield_g": 600.0 + n, "expected_g": 640.0,
        })
        for n in range(4)
    ]  # fmt: skip
    found = using.charts(own, "cordial")
    assert [one.reading for one in found] == ["brix", "acidity", "strength", "yield"]
    assert found[3].points[0].value == pytest.approx(93.75)
    assert using.charts(own, "other") == []
    with pytest.raises(BadInput, match="no yield of cordial was measured; the ledger has brix"):
        using.chart(batches([48.0]), "cordial", "yield")


def test_the_picture_rings_what_was_out_and_says_all_in_words() -> None:
    chart = using.chart(batches([*steady(23), 54.0]), "cordial", "brix")
    root = ET.fromstring(chart_svg(chart, "k"))
    rings = [one for one in root.findall(".//{*}circle") if one.get("fill") == "none"]
    assert len(rings) == 1
    words = "".join(one.text or "" for one in root.findall(".//{*}desc"))
    assert "upper limit" in words
    assert "03-24 54.0 Bx" in words
    title = next(one.text for one in root.findall(".//{*}title"))
    assert title == "cordial, refractometer reading: 1 of 24 batches out."


# instruments


def test_the_bias_of_a_refractometer_is_found(tmp_path: object) -> None:
    draw = random.Random(8)
    with open_ledger(f"{tmp_path}/house.db", create=True) as ledger:
        for number in range(8):
            (one,) = using.checked(ledger) or [None]
            assert one is None or one.bias.certain == (number >= 5)
            using.record(ledger, "refractometer", 20.0, 20.4 + draw.gauss(0.0, 0.05))
        (one,) = using.checked(ledger)
    low, mean, high = one.bias.interval()
    assert low < 0.4 < high
    assert one.words().startswith(f"refractometer: take {mean:.2f} Bx off each reading")


def test_a_pipette_gives_less_than_it_says_and_a_good_one_has_no_bias(tmp_path: object) -> None:
    with open_ledger(f"{tmp_path}/house.db", create=True) as ledger:
        for _ in range(5):
            using.record(ledger, "pipette", 5.0, 4.85)
            using.record(ledger, "hydrometer", 998.2, 998.2)
        hydrometer, pipette = using.checked(ledger)
    # 3 % by weighing, drawn towards none by what such pipettes are off by: 3 x 20 / (20 + 0.25)
    assert "it gives 2.96 % less than it says" in pipette.words()
    assert "no bias found" in hydrometer.words()


@pytest.mark.parametrize(
    "name", ["gauge", "Pressure gauge", "thermometer", "pH meter", "ph_meter", "oxygen meter"]
)
def test_no_bias_is_taken_off_an_instrument_of_safety(name: str) -> None:
    with pytest.raises(BadInput, match="instrument of safety: a bias is never taken off it"):
        using.instrument(name)
    assert not set(using.NEVER) & set(using.INSTRUMENTS)


@pytest.mark.parametrize(
    ("name", "known", "read", "said"),
    [
        ("spoon", 5.0, 5.0, "no instrument that is checked here"),
        ("refractometer", 20.0, 40.0, "too far apart for a bias"),
        ("refractometer", -1.0, 0.0, "must be 0 or more"),
        ("refractometer", 20.0, float("nan"), "must be 0 or more"),
        ("pipette", 0.0, 1.0, "write what it should give"),
    ],
)
def test_bad_checks(tmp_path: object, name: str, known: float, read: float, said: str) -> None:
    with open_ledger(f"{tmp_path}/house.db", create=True) as ledger:
        with pytest.raises(BadInput, match=said):
            using.record(ledger, name, known, read)
        assert list(ledger.events()) == []
