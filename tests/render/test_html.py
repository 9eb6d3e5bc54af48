"""Cards: whole, escaped, readable, verdict first, and every number that of the JSON."""

from __future__ import annotations

import itertools
import re
import shlex
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import click
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from render.page_reader import Node, assert_reads_well, assert_stands_alone, close, named, read

from prepkit import __version__, run
from prepkit.cli import cli, main
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.model import Answer, decimals
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.registry import load
from prepkit.render import charts
from prepkit.render.html import PAPERS, Look, answer_card, fingerprint
from prepkit.render.plan_html import plan_card

ROOT = Path(__file__).parent.parent.parent
RECIPES = sorted((ROOT / "recipes").glob("*-*.toml"))
ON = date(2026, 11, 25)
DETAILED = Look(ON, details=True)
CREAM: dict[str, Any] = {
    "contents": "500 ml cream 35 %",
    "vessel_volume": "0.78 l",
    "max_fill": "0.5 l",
    "rated": "17 bar",
    "gas": "n2o",
    "chargers": 1,
    "temperature": "5 C ± 1 C",
}


def example(name: str) -> Answer:
    """The answer to the example of a calculator's help."""
    words = shlex.split(load(name).example)[2:]
    said: dict[str, Any] = {}
    for option, value in _options(words):
        key = option[2:].replace("-", "_")
        said.setdefault(key, []).append(value)
    specs = load(name).inputs.specs()
    many = ("parts", "many words")
    return run(name, {k: v if specs[k].kind in many else v[0] for k, v in said.items()})


def _options(words: list[str]) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for word in words:
        if word.startswith("--"):
            found.append((word, True))
        else:
            found[-1] = (found[-1][0], word)
    return found


def call(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(words)
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err


# every calculator


@pytest.fixture(scope="module", params=CALCULATORS)
def answered(request: pytest.FixtureRequest) -> Answer:
    return example(request.param)


@pytest.fixture(scope="module")
def card(answered: Answer) -> str:
    return answer_card(answered, DETAILED)


def test_it_stands_alone_and_reads_well(card: str) -> None:
    assert_stands_alone(card)
    assert_reads_well(card)


def test_values_are_those_of_the_json(answered: Answer, card: str) -> None:
    said = answered.to_dict()["values"]
    rows = {one.attributes["data-name"]: one for one in read(card).all("tr") if named(one)}
    assert set(rows) == set(said)
    for name, value in said.items():
        shown = rows[name].first("td").text
        words = shown.split(" ± ")
        number = words[0].split()[0]
        assert close(number, value["value"], answered.values[name].limit), (name, shown, value)
        digits = decimals(answered.values[name], "metric")
        # three decimals before g or ml may be written with a fourth: 1.500 g could be 1500
        fourth = digits == 3 and value["unit"] in ("g", "ml")
        assert len(number.partition(".")[2]) in {digits, digits + fourth}
        assert (len(words) == 2) == bool(value["plus_minus"])
        if value["plus_minus"]:
            spread = float(words[1].split()[0])
            assert spread == pytest.approx(value["plus_minus"], rel=0.06, abs=0.5 * 10**-digits)
        assert shown.endswith(value["unit"])


def test_tables_are_those_of_the_json(answered: Answer, card: str) -> None:
    shown = [one for one in read(card).all("table") if not one.has("class_", "values")]
    said = answered.to_dict()["tables"]
    shown = [one for one in shown if not one.first("caption").text.startswith("Ways out")]
    assert [one.first("caption").text for one in shown] == [one["title"] for one in said]
    for table, of, one in zip(shown, said, answered.tables, strict=True):
        limits = [column.limit for column in one.columns]
        rows = list(table.first("tbody").all("tr"))
        weighed = [cells for cells in of["rows"] if of["title"] != "weigh" or cells[1] != 0]
        for row, cells in zip(rows, weighed, strict=True):
            words = [one.text for one in row.all() if one.tag in ("td", "th")]
            assert len(words) == len(cells)
            for word, cell, limit in zip(words, cells, limits, strict=True):
                if isinstance(cell, str):
                    assert word == " ".join(cell.split())
                elif cell is None:
                    assert word in ("", "-")
                else:
                    assert close(word, cell, limit)


def test_all_cautions_are_on_it(answered: Answer, card: str) -> None:
    shown = list(read(card).all("article", class_="caution"))
    assert len(shown) == len(answered.cautions)
    for caution in answered.cautions:
        found = [one for one in shown if f"{caution.id};" in one.text]
        assert found
        text = found[0].text
        assert found[0].has("class_", caution.severity)
        assert text.startswith(f"{caution.severity} {caution.kind}")
        assert " ".join(caution.text.split()) in text
        assert " ".join(caution.action.split()) in text


def test_the_verdict_comes_first_in_words(answered: Answer, card: str) -> None:
    main_part = read(card).first("main")
    front = next(one for one in main_part.inside if isinstance(one, Node))
    assert front.has("class_", "front")
    first = front.first("section")
    assert first.has("class_", "verdict")
    assert first.has("class_", answered.verdict)
    assert first.text.startswith(answered.verdict.upper())
    severities = [
        next(s for s in ("stop", "care", "note") if one.has("class_", s))
        for one in main_part.all("article", class_="caution")
    ]
    order = [("stop", "care", "note").index(one) for one in severities]
    assert order == sorted(order)


def test_inputs_and_trace_are_on_it(answered: Answer, card: str) -> None:
    root = read(card)
    given_words = root.first("dl", class_="given").text
    for value in answered.inputs.values():
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, str):
                assert " ".join(one.split()) in given_words
    traced = root.first("footer").text
    assert __version__ in traced
    assert "a competent person rank before this card" in traced
    assert "2026-11-25" in traced
    same = fingerprint({"calculator": answered.calculator, "inputs": answered.inputs})
    assert same in traced
    assert same in root.first("style").inside[0]  # and at the foot of each printed page


def test_working_opens_on_demand(answered: Answer) -> None:
    closed = read(answer_card(answered, DETAILED))
    opened = read(answer_card(answered, Look(ON, working=True, details=True)))
    for root, is_open in ((closed, False), (opened, True)):
        how = next(one for one in root.all("section") if one.has("aria_labelledby", "how"))
        assert ["open" in one.attributes for one in how.all("details")] == [is_open] * 2
        steps = list(how.first("ol").all("li"))
        assert len(steps) == len(answered.working)
        for step, shown in zip(answered.working, steps, strict=True):
            assert shown.text.startswith(" ".join(step.label.split()))
            if step.value is not None:
                number = shown.first("b", class_="outcome").text.split()[0]
                assert float(number) == pytest.approx(step.value, rel=1e-5, abs=1e-12)


# words that are no markup

NASTY = '<script>alert("1")</script> & "quoted" <b>bold</b>'


def test_a_title_with_markup_shows_as_text() -> None:
    card = answer_card(run("siphon", CREAM), Look(ON, title=NASTY))
    assert_stands_alone(card)
    assert read(card).first("h1").text == NASTY
    assert "<script" not in card
    assert "<b>bold" not in card


RECIPE = """
title = '{0}'
serves = 3
note = '{0}'
[items.base]
calculator = "blend"
part = ["100 g white sugar", "100 g water"]
note = '{0}'
[[serve]]
name = '{0}'
part = ["50 g base"]
note = '{0}'
"""


def test_a_recipe_with_markup_shows_as_text() -> None:
    card = plan_card(make_plan(read_recipe(RECIPE.format(NASTY))), DETAILED)
    assert_stands_alone(card)
    assert_reads_well(card)
    root = read(card)
    assert root.first("h1").text == NASTY
    assert root.text.count(NASTY) >= 6  # title, notes, serve, yield and cautions that name it
    assert "<script" not in card


@settings(max_examples=60, deadline=None)
@given(title=st.text(min_size=1, max_size=60))
def test_any_words_in_a_title_leave_the_document_whole(title: str) -> None:
    card = answer_card(PLAIN, Look(ON, title=title, details=True))
    card.encode("utf-8")
    assert_stands_alone(card)
    tags = [one.tag for one in read(card).all()]
    assert tags == PLAIN_TAGS
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", card)


PLAIN = run("blend", part=["100 g water", "100 g white sugar"])
PLAIN_TAGS = [one.tag for one in read(answer_card(PLAIN, Look(ON, title="x", details=True))).all()]


# a stop, units, the trace


def test_a_stop_says_so_and_why_before_any_number(capsys: pytest.CaptureFixture[str]) -> None:
    words = [f"--{k.replace('_', '-')}={v}" for k, v in {**CREAM, "chargers": 2}.items()]
    code, out, _ = call(["card", "siphon", *words, "--details"], capsys)
    assert code == 3
    root = read(out)
    verdict = root.first("section", class_="verdict").text
    assert verdict.startswith("STOP")
    assert "Do not do this." in verdict
    text = root.first("div", class_="details").text
    assert text.index("siphon-peak-over-rating") < text.index("Figures")
    assert '"STOP"' in root.first("style").inside[0]  # on each printed page


def test_units_change_the_words_only() -> None:
    answer = run("siphon", CREAM)
    shown = read(answer_card(answer, Look(ON, system="us", details=True)))
    peak = next(one for one in shown.all("tr") if one.attributes.get("data-name") == "peak")
    psi = float(peak.first("td").text.split()[0])
    # 1 psi is 6.894757 kPa (definition of the pound-force per square inch)
    assert psi == pytest.approx(answer.values["peak"].value * 100 / 6.894757, abs=0.05)
    assert peak.first("td").text.endswith("psi")


def test_the_hash_is_of_the_inputs_and_of_nothing_else() -> None:
    one = answer_card(run("siphon", CREAM), DETAILED)
    later = answer_card(
        run("siphon", CREAM), Look(date(2027, 1, 1), PAPERS["roll"], "us", details=True)
    )
    other = answer_card(run("siphon", {**CREAM, "max_fill": "0.51 l"}), DETAILED)
    codes = [read(card).first("code").text for card in (one, later, other)]
    assert codes[0] == codes[1] != codes[2]
    assert re.fullmatch(r"[0-9a-f]{4}(-[0-9a-f]{4}){2}", codes[0])
    plans = [
        read(plan_card(make_plan(read_recipe(RECIPE.format(name)), serves), DETAILED))
        for name, serves in (("a", 3), ("a", 4), ("b", 3), ("a", 3))
    ]
    codes = [plan.first("code").text for plan in plans]
    assert codes[0] == codes[3]
    assert len(set(codes)) == 3


@pytest.mark.parametrize("name", PAPERS)
def test_each_paper_has_its_page(name: str) -> None:
    style = read(answer_card(PLAIN, Look(ON, PAPERS[name]))).first("style").inside[0]
    sizes = {"a4": "210mm 297mm", "letter": "8.5in 11in", "a5": "148mm 210mm", "roll": "80mm 297mm"}
    assert f"@page {{ size: {sizes[name]};" in style
    assert re.search(r"\.caution \{[^}]*break-inside: avoid", style)


# pictures


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("siphon", CREAM),
        ("siphon", {**CREAM, "mode": "dispense", "portion_size": "20 ml"}),
        ("siphon", {**CREAM, "chargers": 2}),
        ("layer", {"layer": ["90 ml syrup 50 Bx", "30 ml spirit 40 %", "10 ml lemon juice"]}),
        ("layer", {"layer": ["90 ml water", "90 ml water"]}),
        ("room", {"volume": "30 m3", "release": "3 kg co2", "air_changes": 2}),
        ("room", {"volume": "300 m3", "release": "8 kg n2", "air_changes": 0}),
        ("warm", {"hot": "120 g filter coffee", "hot_temperature": "78 C",
                  "part": ["40 ml spirit 40 %"]}),
    ],
)  # fmt: skip
def test_pictures_are_whole_and_said_in_words(name: str, said: dict[str, Any]) -> None:
    answer = run(name, said)
    drawn = charts.of(answer)
    assert drawn
    for chart in drawn:
        root = ElementTree.fromstring(chart.svg)
        space = "{http://www.w3.org/2000/svg}"
        words = root.findtext(f"{space}desc") or ""
        assert root.findtext(f"{space}title")
        assert words == chart.words
        wide, high = (float(one) for one in root.attrib["viewBox"].split()[2:])
        for circle in root.iter(f"{space}circle"):
            assert 0 <= float(circle.attrib["cx"]) <= wide
            assert 0 <= float(circle.attrib["cy"]) <= high
        numbers = re.findall(r"-?\d+\.?\d*", words)
        shown = {text.text for text in root.iter(f"{space}text")}
        on_it = [n for n in numbers if any(n in (text or "") for text in shown)]
        assert on_it
    card = answer_card(answer, DETAILED)
    assert len(list(read(card).all("figure"))) == len(drawn)


def test_a_room_is_drawn_with_its_alarms() -> None:
    oxygen, gas = charts.of(run("room", volume="30 m3", release="3 kg co2", air_changes=2))
    # the alarm levels that the room calculator's own table gives
    assert "leave at 19.5 %; nobody in at 18 %" in oxygen.words
    assert "warn at 0.5 %; leave at 3 %; warn at 1.5 %" in gas.words
    for words in ("leave at 19.5 %", "nobody in at 18 %"):
        assert f">{words}</text>" in oxygen.svg


def test_what_turns_over_is_said_in_words() -> None:
    (chart,) = charts.of(run("layer", layer=["60 ml spirit 40 %", "40 ml lemon juice"]))
    assert "Heavier than what lies below it: lemon juice" in chart.title
    assert "HEAVIER THAN BELOW" in chart.svg
    (chart,) = charts.of(run("layer", layer=["40 ml lemon juice", "60 ml spirit 40 %"]))
    assert "HEAVIER" not in chart.svg


# the command


def test_the_same_card_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    words = list(itertools.chain(*((f"--{k.replace('_', '-')}", str(v)) for k, v in CREAM.items())))
    code, out, _ = call(["card", "siphon", *words, "--date", "2026-11-25"], capsys)
    assert code == 0
    inputs = {**CREAM, "date": "2026-11-25"}  # the day of use is the day on the card
    assert out == answer_card(run("siphon", inputs), Look(ON))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("blend --part '1 kg water' --date 25.11.2026", "2026-11-25"),
        ("blend --part '1 kg water' --date 2026-02-30", "2026-11-25"),
        ("blend --part '1 kg water' --title ' '", "--title is empty"),
        ("blend --part '1 kg water' --paper a3", "'a4', 'letter', 'a5', 'roll'"),
        ("blend", "blend needs --part"),
        ("blnd --part '1 kg water'", "did you mean blend"),
        ("plan recipes/cold-semaphore.toml --serves 0", "whole number"),
    ],
)
def test_bad_words_are_one_sentence(
    words: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(["card", *shlex.split(words)], capsys)
    assert code == 2
    assert not out
    assert told in err
    assert len(err.splitlines()) == 1


def test_a_recipe_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = call(["card", "plan", "no-such.toml"], capsys)
    assert code == 4
    assert "no-such.toml" in err


@pytest.mark.parametrize("name", ["card", "label"])
def test_no_option_of_a_calculator_is_lost(name: str) -> None:
    group = cli.get_command(click.Context(cli), name)
    for calculator in CALCULATORS:
        command = group.get_command(None, calculator)
        names = [one.name for one in command.params]
        assert len(names) == len(set(names))
        assert set(load(calculator).inputs.specs()) <= set(names)


def test_a_card_needs_real_inputs() -> None:
    with pytest.raises(BadInput):
        run("siphon", {**CREAM, "rated": "17"})
