"""A day at three kinds of bar in the words that come first: what is answered, and what is asked."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.registry import load, run

LOAD = '--vessel-volume "0.78 l" --max-fill "0.5 l" --rated "17 bar"'


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def answered(words: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """The JSON of an answered line, which reads back as the same calculation."""
    code, out, err = call(f"{words} --json", capsys)
    assert not err, err
    answer: dict[str, Any] = json.loads(out)
    assert code == (3 if answer["verdict"] == "stop" else 0)
    again = run(answer["calculator"], answer["inputs"]).to_dict()
    assert again["inputs"] == answer["inputs"]
    for name, value in answer["values"].items():
        assert again["values"][name]["value"] == pytest.approx(value["value"], rel=1e-9), name
    return answer


# the line, its verdict, and the cautions that are serious there, whatever else is
HOTEL = (
    ('blend --part "700 ml gin 40 %, 300 ml dry vermouth and 200 ml water"', "clear", ()),
    ('blend --part "30 ml gin 40 % at -18 C, 30 ml sweet vermouth at 4 C and 10 ml water at 4 C"',
     "clear", ()),
    ('blend --part "40 ml honey syrup 3:1 by weight and 60 ml scotch whisky 43 %"', "clear", ()),
    ('chill --part "60 ml bourbon 45 % and 30 ml sweet vermouth at 4 C" --way stir --target "-1 C"',
     "clear", ()),
    ('chill --part "50 ml gin 40 % at -18 C, 25 ml lemon juice at 4 C" '
     '--part "25 ml simple syrup 1:1 by weight at 4 C" --way shake', "clear", ()),
    ('serve --part "60 ml rum 40 %, 25 ml lime juice and 20 ml simple syrup 1:1 by weight" '
     "--serves 12", "clear", ()),
    ('serve --part "1 bottle of prosecco" --serves 6', "clear", ()),
    ('blend --part "1 bottle of prosecco and 40 ml gin 40 %"', "clear", ()),
    ('blend --part "juice of 12 lemons and 6 limes"', "clear", ()),
    ('oleo --peel "12 lemons and 6 limes" --peeled "whole peel" --sugar "600 g"', "care",
     ("oleo-needs-a-weighing",)),
    ('oleo --peel "200 g lemon peel" --peel "100 g orange peel" --sugar "300 g"', "care",
     ("oleo-needs-a-weighing",)),
    ('oleo --peel "zest of 6 lemons" --sugar "100 g"', "care", ("oleo-needs-a-weighing",)),
    ('cordial --part "1 l lime juice" --sweeten "white sugar" --brix 50', "clear", ()),
    ('cordial --part "1 kg grapefruit juice" --sweeten "1 part honey by weight" '
     '--sweeten "3 parts white sugar by weight" --brix 45', "clear", ()),
    ('infuse --liquid "700 ml bourbon 45 %" --botanical "2 cinnamon sticks and 1 vanilla bean"',
     "clear", ()),
    ('acid-adjust --part "1 l orange juice" --acid "2 parts citric acid and 1 part malic acid" '
     '--target "6 % w/w"', "clear", ()),
    ('dilute --part "700 ml gin 57 % and 300 ml dry vermouth" --dilution "25 %" '
     '--base "start volume"', "care", ("dilute-strong-spirit-burns",)),
    ('keep --part "1 l lime juice, 1 kg simple syrup 1:1 by weight" --made 2026-11-25 '
     "--today 2026-11-26", "care", ("keep-needs-time-control",)),
    ('reduce --liquid "1 l red wine, 200 g white sugar" --brix 45', "care",
     ("reduce-alcohol-vapour",)),
)  # fmt: skip
COFFEE = (
    (f'siphon --gas n2 --contents "450 ml cold brew coffee at 4 C" {LOAD} --chargers 1', "care",
     ("siphon-facts-not-told",)),
    ('siphon --gas n2 --contents "300 g espresso, 100 ml rum 40 % and 60 g honey syrup 1:1 by '
     f'weight" --temperature "7 C" {LOAD} --chargers 1', "care", ("siphon-facts-not-told",)),
    ('siphon --gas n2o --contents "250 ml cream 35 %" --contents "250 ml whole milk" '
     f'--temperature "5 C" {LOAD} --chargers 1', "care", ("siphon-warm-over-rating",)),
    ('warm --hot "120 ml filter coffee at 80 C" '
     '--part "40 ml whiskey 40 % and 15 g demerara sugar syrup 1:1 by weight"', "care",
     ("warm-scalds",)),
    ('warm --hot "38 g espresso at 85 C and 60 g water at 90 C" --part "20 ml rum 40 %"', "stop",
     ("warm-too-hot-to-hand-over",)),
    ('warm --hot "38 g espresso from 19.5 g of coffee at 80 C" '
     '--part "20 ml rum 40 %, 10 ml brandy 40 %" '
     '--part "15 g honey and cane sugar syrup 1:1 by weight" --drunk-at "35 C" --cream-on-top',
     "care", ("warm-above-flash-point",)),
    ('chill --part "38 g espresso at 60 C, 20 ml rum 40 %, 15 g honey and white sugar syrup 1:1 by '
     'weight" --way stir --target "7 C"', "clear", ()),
    ('warm --part "38 ml espresso at 80 C" --part "60 ml rum 40 % at 4 C" --drunk-at "50 C"',
     "care", ("warm-colder-than-drunk",)),
    ('layer --layer "120 ml filter coffee at 65 C" --layer "30 ml cream 35 % at 5 C whipped 20 %"',
     "clear", ()),
    ('layer --layer "38 g espresso at 60 C and 20 g simple syrup 1:1 by weight at 60 C" '
     '--layer "20 ml cream 35 % at 5 C whipped 15 %"', "clear", ()),
    ('chill --part "60 g espresso at 85 C, 40 ml vodka 40 % and 20 ml coffee liqueur" --way shake',
     "clear", ()),
    ('cordial --part "500 g cold brew coffee" --sweeten "white sugar" --brix 50', "care",
     ("cordial-not-acid-enough",)),
    ('foam --liquid "200 g skimmed milk" --foamer "1 g lecithin"', "care",
     ("lecithin-kind-not-told",)),
    ('blend --part "1 l cold brew coffee, 50 g maple syrup and 100 ml whole milk"', "clear", ()),
    ('infuse --liquid "700 ml rum 40 %" --botanical "50 g coffee beans"', "clear", ()),
    ('keep --part "450 ml cold brew coffee and 50 g white sugar" --made 2026-11-25 '
     "--today 2026-11-26", "care", ("keep-needs-time-control",)),
)  # fmt: skip
BENCH = (
    ('acid-solution --acid "2 parts citric acid and 1 part tartaric acid" --strength "6 % w/w" '
     '--make "500 ml"', "care", ("acid-tartaric-powder",)),
    ('dose --stock "1 part tartaric acid and 1 part citric acid" --strength "20 % w/w" '
     '--into "60 ml gin 40 %, 90 ml water" --amount "5 drops"', "care",
     ("dose-drops-not-calibrated",)),
    ('oleo --drops "12 lemon oil" --drops "8 lime oil" --drops "3 vanilla oil" '
     '--sugar "200 g equal weights of honey and cane sugar"', "care",
     ("oleo-drop-is-no-measure", "essential-oil-strong")),
    ('infuse --liquid "700 ml gin 40 %" --botanical "300 g roasted pineapple"', "clear", ()),
    ('cordial --part "1 l water" --part "30 g cherry blossom" --sweeten "cane sugar" --brix 45 '
     '--sour "2 parts citric acid and 1 part tartaric acid" --acidity "1.2 %"', "clear", ()),
    ('siphon --gas n2 --contents "250 g espresso, 130 ml rum 40 %, 100 g honey and cane sugar '
     f'syrup 1:1 by weight" --temperature "7 C" {LOAD} --chargers 1', "care",
     ("siphon-facts-not-told",)),
    ('foam --liquid "20 ml gin 40 %" --foamer "2 g lecithin"', "care",
     ("foam-too-strong", "foam-dose-far-above-usual", "foam-films-break")),
    ('foam --liquid "400 ml lime juice" --foamer "soy lecithin" --dose "2 g"', "clear", ()),
    ('float --gas helium --liquid "20 ml gin 40 %, 2 g lecithin"', "care",
     ("float-spirit-in-the-foam", "float-gas-takes-the-air-away")),
    ('float --gas helium --liquid "300 ml lemon juice" --bubble "3 mm" --height "50 mm"', "care",
     ("float-too-wet",)),
    ('cryogen --cryogen "dry ice" --part "1 l syrup 20 Bx at 20 C and 1 l lemon juice at 4 C" '
     '--target "2 C" --room-volume "60 m3" --air-changes "4 /h"', "care", ("cryogen-last-resort",)),
    (f'siphon --gas co2 --contents "300 ml water at 4 C, 100 ml white wine at 4 C" {LOAD} '
     "--chargers 1", "care", ("siphon-facts-not-told",)),
    ('siphon --gas n2o --contents "250 ml cream 35 %" --contents "250 ml cream 35 %" '
     '--temperature "5 C" --vessel-volume "0.6 l" --max-fill "0.5 l" --rated "17 bar" --chargers 2',
     "stop", ("siphon-peak-beyond-reckoning",)),
    ('reduce --liquid "500 g pineapple juice and 500 g orange juice" --method freeze --ice-brix 3 '
     "--brix 30", "clear", ()),
    ('layer --layer "30 ml coffee liqueur" --layer "30 ml cream 35 %" --layer "20 ml brandy 40 %"',
     "clear", ()),
    ('oleo --drops "12 drops lemon oil" --drops "8 drops of lime oil" '
     '--sugar "200 g equal weights of honey and white sugar" --liquid "100 g water"', "care",
     ("oleo-drop-is-no-measure", "essential-oil-strong")),
    ('correct --batch "2 kg cordial" --brix 40 --to-brix 45 --acidity "1 %" --to-acidity "1.2 %" '
     '--sour "2 parts citric acid and 1 part malic acid"', "care", ("correct-alcohol-not-given",)),
    ('cordial --part "1 l water, 40 g dried hibiscus" '
     '--sweeten "2 parts white sugar and 1 part demerara sugar" --brix 45 '
     '--sour "1 part citric acid" --sour "1 part tartaric acid" --acidity "1 %"', "clear", ()),
    ('acid-match --acid "citric acid" --acid "malic acid" --like "lime juice" --make "1 l"',
     "care", ()),
)  # fmt: skip


@pytest.mark.parametrize(("words", "verdict", "ids"), [*HOTEL, *COFFEE, *BENCH])
def test_a_line_of_the_day_is_answered(
    words: str, verdict: str, ids: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    answer = answered(words, capsys)
    assert answer["verdict"] == verdict
    assert set(ids) <= {caution["id"] for caution in answer["cautions"]}


ASKED = (
    (f'siphon --contents "250 ml cream 35 %" --gas n2o --gas co2 {LOAD} --temperature "5 C"',
     "--gas is given twice"),
    (f'siphon --contents "250 ml cream 35 %" {LOAD} --rated "30 bar" --gas n2o --temperature "5 C"',
     "--rated is given twice"),
    ('blend --part "5 g water" --units us --units metric', "--units is given twice"),
    ('room --volume "30 m3" --volume "60 m3" --release "8 kg co2"', "--volume is given twice"),
    ('correct --batch "2 kg cordial" --batch "1 kg syrup" --brix 40 --to-brix 45',
     "--batch is given twice"),
    ('oleo --drops "3 lemon oil" --liquid "500 g syrup 65 Bx" --emulsifier "5 g gum arabic, '
     '2 g lecithin"', "one is taken here"),
    ('blend --part "700 ml gin 40 % sparkly"', "sparkly"),
    (f'card siphon --contents "5 ml water" --gas n2o --gas co2 {LOAD} --temperature "5 C"',
     "--gas is given twice"),
    ('plan absent.toml --serves 10 --serves 20', "--serves is given twice"),
    ('serve --part "60 ml gin 40 %" --price "18 per 700 ml gin 40 %" '
     '--price "8 per 700 ml gin 40 %"', "--price is given twice"),
    ('serve --part "60 ml gin 40 %" --price "18 per 700 ml gin 40 % at 5 C"', "not used here"),
    ('warm --part "38 ml espresso at 80"', "has no unit"),
    ('warm --part "38 ml espresso at room temperature"', "in degrees"),
    ('warm --part "38 ml espresso, 80 C"', "without its ingredient"),
    ('warm --part "38 ml espresso at 80 C at 60 C"', "two temperatures"),
    ('warm --hot "38 ml espresso at 80 C" --hot-temperature "85 C"', "leave it out"),
    ('warm --hot "38 ml espresso at 20 C" --part "20 ml rum 40 %"', "between 30 and 100"),
    ('cordial --part "1 l lime juice at 5 C" --sweeten "white sugar" --brix 45',
     'leave "at 5 C" out'),
    (f'siphon --contents "250 ml cream 35 % at 4 C" --temperature "10 C" {LOAD} --gas n2o',
     "leave one of the two out"),
    ('chill --part "50 ml gin 40 % at 4 C" --part-temperature "-18 C" --way stir --target "0 C"',
     "keep the parts' own"),
    ('blend --part "50 ml gin 40 % at 4 C" --measured-at "gin 40 %=-18 C"',
     "Leave one out"),
    ('blend --part "40 g honey syrup 1:1"', "by weight or by volume"),
    ('blend --part "40 ml equal parts of gin 40 % and lemon juice"', "by weight or by volume"),
    ('blend --part "40 g honey and white sugar 1:2:3 by weight"', "3 shares for 2"),
    ('blend --part "40 g honey and white sugar 1:1 by weight by volume"', "Write one of them"),
    ('blend --part "40 g 2 parts honey by weight"', "one ingredient alone"),
    ('blend --part "3 honey and white sugar 1:1 by weight"', "in g or ml"),
    ('blend --part "40 ml white sugar and honey 1:1 by weight"', "by weight"),
    ('cordial --part "1 l water" --sweeten honey --sweeten "white sugar" --brix 45', "no share"),
    ('foam --liquid "20 ml gin 40 %" --foamer "2 g lecithin" --dose "1 %"',
     "leave one of the two out"),
    ('foam --liquid "20 ml gin 40 %" --foamer "2 ml lecithin"', "write its weight"),
    ('warm --hot "38 ml espresso from 19.5 g coffee at 80 C"', "weigh what is in the cup"),
    ('warm --hot "38 g espresso from 60 g coffee at 80 C"', "from 4 to 14"),
    ('blend --part "38 g milk from 19.5 g coffee"', "takes no strength"),
    ('dose --stock "1 part tartaric acid and 1 part citric acid" --into "150 ml water" '
     '--amount "5 drops"', "strength"),
    ('acid-solution --acid "20 g citric acid" --strength "6 % w/w" --make "500 ml"',
     "needs either --strength or --make"),
    ('acid-solution --acid "20 g citric acid and 1 part tartaric acid" --make "500 ml"',
     "in parts"),
)  # fmt: skip


@pytest.mark.parametrize(("words", "said"), ASKED)
def test_what_cannot_be_meant_is_one_sentence(
    words: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(words, capsys)
    assert code == 2, out
    assert not out
    assert said in err
    assert err.count("\n") == 1


def test_two_liquids_are_the_sum_of_both(capsys: pytest.CaptureFixture[str]) -> None:
    head, load_ = "siphon --gas n2o --chargers 1 --temperature '5 C'", LOAD
    once = answered(f"{head} --contents '500 ml cream 35 %' {load_}", capsys)
    twice = answered(
        f"{head} --contents '250 ml cream 35 %' --contents '250 ml cream 35 %' {load_}", capsys
    )
    joined = answered(f"{head} --contents '250 ml cream 35 %, 250 ml cream 35 %' {load_}", capsys)
    for other in (twice, joined):
        assert other["verdict"] == once["verdict"]
        for name, value in once["values"].items():
            assert other["values"][name]["value"] == pytest.approx(value["value"], rel=1e-9)


def test_a_temperature_of_a_part_is_that_of_its_option(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The same sum by either way of saying it."""
    pairs = (
        ('warm --hot "120 g filter coffee at 78 C" --part "40 ml rum 40 %"',
         'warm --hot "120 g filter coffee" --hot-temperature "78 C" --part "40 ml rum 40 %"'),
        ('chill --part "60 ml gin 40 % at -18 C, 30 ml water at 4 C" --way shake',
         'chill --part "60 ml gin 40 %" --part "30 ml water" --part-temperature "-18 C" '
         '--part-temperature "4 C" --way shake'),
        ('blend --part "60 ml gin 40 % at -18 C" --part "30 ml water"',
         'blend --part "60 ml gin 40 %" --part "30 ml water" --measured-at "gin 40 %=-18 C"'),
        ('cryogen --cryogen "dry ice" --part "2 l water at 30 C" --target "2 C" '
         '--room-volume "60 m3"',
         'cryogen --cryogen "dry ice" --part "2 l water" --temperature "30 C" --target "2 C" '
         '--room-volume "60 m3"'),
    )  # fmt: skip
    for own, by_option in pairs:
        one, other = answered(own, capsys), answered(by_option, capsys)
        assert one["values"] == other["values"], own


def test_too_much_lecithin_is_told_with_what_would_do(capsys: pytest.CaptureFixture[str]) -> None:
    answer = answered('foam --liquid "20 ml gin 40 %" --foamer "2 g lecithin"', capsys)
    (much,) = [one for one in answer["cautions"] if one["id"] == "foam-dose-far-above-usual"]
    # 0.3 to 0.8 % of 20 ml gin, 0.948 g/ml
    assert "Take 0.057 to 0.15 g" in much["action"]


def test_an_amount_a_share_and_a_concentration_are_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Whichever determines the others is taken, and the answer is the same."""
    groups = (
        ('foam --liquid "500 g water" --foamer "2 g lecithin"',
         'foam --liquid "500 g water" --foamer lecithin --dose "2 g"',
         'foam --liquid "500 g water" --foamer lecithin --dose "0.4 %"'),
        ('acid-solution --acid "20 g citric acid and 10 g malic acid" --make "500 g"',
         'acid-solution --acid "20 g citric acid and 10 g malic acid" --strength "6 % w/w"',
         'acid-solution --acid "2 parts citric acid and 1 part malic acid" --strength "6 % w/w" '
         '--make "500 g"'),
        ('dose --stock "lactic acid 80 %" --into "150 g water" --amount "1.5 g"',
         'dose --stock "lactic acid 80 %" --into "150 g water" --amount "1 %"'),
        ('blend --part "40 g honey and water 1:3 by weight"',
         'blend --part "10 g honey, 30 g water"',
         'blend --part "40 g honey syrup 1:3 by weight"',
         'blend --part "40 g 3 parts water and 1 part honey by weight"'),
    )  # fmt: skip
    for first, *others in groups:
        one = answered(first, capsys)
        for words in others:
            other = answered(words, capsys)
            for name, value in one["values"].items():
                assert other["values"][name]["value"] == pytest.approx(value["value"], rel=1e-9)


def test_a_recipe_says_parts_as_the_command_line_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head = """
title = "Two in one"
serves = 10
[vessels.north]
vessel_volume = "0.78 l"
max_fill = "0.5 l"
rated = "17 bar"
[items.base-a]
calculator = "blend"
part = "400 ml cream 35 %, 50 g simple syrup 1:1 by weight"
[items.base-b]
calculator = "blend"
part = ["300 ml whole milk and 20 g honey"]
[items.foam]
calculator = "siphon"
vessel = "north"
gas = "n2o"
chargers = 1
{contents}
[[serve]]
name = "Cup"
part = "30 g foam and 5 g honey"
"""
    path = tmp_path / "two.toml"
    masses = []
    for contents in (
        'contents = ["250 g base-a", "200 g base-b"]\ntemperature = "5 C"',
        'contents = "250 g base-a at 5 C and 200 g base-b at 5 C"',
    ):
        path.write_text(head.replace("{contents}", contents))
        code, out, err = call(f"plan {path} --serves 10 --json", capsys)
        assert code == 0, err
        masses.append({row["name"]: row["g"] for row in json.loads(out)["shopping"]})
    assert masses[0] == masses[1]
    assert {"cream 35 %", "whole milk", "honey", "white sugar", "water"} <= set(masses[0])
    twice = 'contents = "9 g base-a"\ntemperature = ["5 C", "9 C"]'
    path.write_text(head.replace("{contents}", twice))
    code, out, err = call(f"plan {path} --serves 10", capsys)
    assert code == 2
    assert "given twice" in err


def test_what_is_said_twice_in_python_is_refused() -> None:
    with pytest.raises(BadInput, match="given twice"):
        run("blend", {"part": "5 g water"}, part="6 g water")
    with pytest.raises(BadInput, match="given twice"):
        run("room", {"air-changes": "4 /h", "air_changes": "0 /h", "release": "8 kg co2"})
    with pytest.raises(BadInput, match="given twice"):
        run("room", {"volume": ["30 m3", "60 m3"], "release": "8 kg co2"})


def _worded() -> list[tuple[str, str]]:
    """Every calculator's inputs that take words of ingredients."""
    return [
        (name, field)
        for name in CALCULATORS
        for field, spec in load(name).inputs.specs().items()
        if spec.kind in ("part", "parts", "ingredient")
        and (name, field) != ("correct", "batch")  # whose name may be anything
    ]


UNKNOWN = st.text("bcdfghjklmnpqrstvwxz", min_size=4, max_size=9)


@given(st.sampled_from(_worded()), UNKNOWN, st.sampled_from(("before", "after", "middle")))
def test_no_word_is_ignored(field: tuple[str, str], word: str, place: str) -> None:
    """An unknown word anywhere in ingredient words is refused, or the plant is."""
    name, key = field
    spec = load(name).inputs.specs()[key]
    said = dict(_example(name))
    amount, _, rest = spec.example.partition(" ")
    if spec.kind == "ingredient":
        words = f"{word} {spec.example}" if place == "before" else f"{spec.example} {word}"
    else:
        unit, _, rest = rest.partition(" ")
        rest = rest or "white sugar"
        words = {
            "before": f"{amount} {unit} {word} {rest}",
            "after": f"{amount} {unit} {rest} {word}",
            "middle": f"{amount} {unit} {rest}, 5 g {word} water",
        }[place]
    said[key] = [words] if spec.kind == "parts" else words
    with pytest.raises(BadInput):
        run(name, said)


def _example(name: str) -> dict[str, Any]:
    """The inputs of a calculator's own example."""
    found: dict[str, Any] = {}
    specs = load(name).inputs.specs()
    key = ""
    for word in shlex.split(load(name).example)[2:]:
        if word.startswith("--"):
            key = word[2:].replace("-", "_")
        elif specs[key].kind in ("parts", "many words"):
            found.setdefault(key, []).append(word)
        else:
            found[key] = word
    return found
