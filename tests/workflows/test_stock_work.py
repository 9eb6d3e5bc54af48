"""prepkit stock as it is used behind a bar, with right and wrong words."""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from prepkit.cautions import page_line
from prepkit.cli import main

Run = Callable[[str], str]
HOUSE = """
[stock]
ledger = "house.db"
site = "north bar"
place = "fridge"
[par]
oleo = "3 l"
[containers.bottle]
volume = "750 ml"
[containers.tub]
volume = "4 l"
headspace = "200 ml"
[containers.keg]
volume = "20 l"
headspace = "1 l"
rated = "6 bar"
"""
OLEO = 'add "2.1 l oleo" --new --density "1.2 g/ml" --use-by "10 d"'


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    (tmp_path / "house.toml").write_text(HOUSE, encoding="utf-8")
    monkeypatch.setenv("PREPKIT_HOUSE", str(tmp_path))
    monkeypatch.chdir(tmp_path)

    def said(words: str) -> str:
        with pytest.raises(SystemExit) as end:
            main(["stock", *shlex.split(words)])
        out = capsys.readouterr()
        assert "Traceback" not in out.err
        assert (end.value.code == 0) == (not out.err or out.err.endswith("written.\n")), out.err
        return " ".join((out.out + out.err).split())

    return said


def test_an_evening(run: Run) -> None:
    assert "2.1 l of oleo" in run(f'{OLEO} --into bottle --pour "60 ml" --who A.B.')
    assert "below par: oleo, 2.1 l (par 3 l)" in run("list")
    assert "left: 1.6 l of oleo at north bar" in run('take "500 ml oleo"')
    assert "400 ml less than the ledger said" in run('count "1.2 l oleo"')
    assert "left: 1 l of oleo" in run('discard "200 ml oleo" --reason mould')
    assert "undone by event" in run("undo 9")
    assert "verified" in run("verify")
    (first, *_) = json.loads(run("list --json"))["stock"]
    assert (first["item"], first["container"], first["past"]) == ("oleo", "bottle", False)
    assert json.loads(run("events --json --most 1"))["events"][0]["kind"] == "corrected"
    assert "(event 11)" in run('measure oleo --use-by "9 d"')
    assert ": measured oleo" in run("undo 11")  # a measurement has no amount


def test_bottles_say_what_they_hold(run: Run) -> None:
    said = run(f'{OLEO} --into bottle --pour "60 ml"')
    assert "filled: 2 x 750 ml + 600 ml (numbers 1 to 3)" in said
    assert "pours of 60 ml: 12 in 750 ml, 10 in 600 ml" in said
    run('add "4 l base" --new --density "1 g/ml" --use-by "3 d"')
    assert "filled: 3667 ml + 333 ml (numbers 1 to 2)" in run("fill base --into tub --frozen")


def test_what_is_charged_or_frozen_says_what_was_not_checked(run: Run) -> None:
    fizz = 'add "19 l fizz" --new --density "1 g/ml" --use-by "3 d"'
    assert page_line("bottles-charged") in run(f"{fizz} --into keg --charged")
    assert page_line("bottles-frozen") in run(f"{OLEO} --into tub --frozen")
    for words in (f"{fizz} --into bottle --charged", f"{OLEO} --into bottle --frozen"):
        assert "headspace, how much stays empty" in run(words)
    assert "rated, the pressure its maker allows" in run(f"{fizz} --into tub --charged")


def test_a_bottle_under_gas_says_so_wherever_it_goes(run: Run) -> None:
    run('add "19 l fizz" --new --density "1 g/ml" --use-by "3 d" --into keg --charged')
    run(f"{OLEO} --into bottle")
    assert "1 keg under gas" in run("list fizz")
    assert "under gas" not in run("list oleo")
    for words in ('take "1 l fizz"', "move fizz --to bar", "move fizz --to-site south"):
        assert page_line("bottles-under-gas") in run(words)
    assert page_line("bottles-under-gas") in run("receive fizz --site south")
    assert page_line("bottles-under-gas") not in run('take "1 l oleo"')
    assert "which bottle of fizz" in run("measure fizz --still --site south")
    assert "is bottle 1 under gas? Add --charged or --still" in run(
        "measure fizz --bottle 1 --site south"
    )
    assert "bottle 1 still" in run("measure fizz --still --bottle 1 --site south")
    assert page_line("bottles-under-gas") not in run('take "1 l fizz" --site south')
    assert "does not go with" in run("measure oleo --still --charged")


def test_a_keg_of_which_nobody_told_is_not_taken_as_still(run: Run) -> None:
    fizz = 'add "19 l fizz" --new --density "1 g/ml" --use-by "3 d" --into keg'
    assert "nobody told whether this is under gas" in run(fizz)
    assert "1 keg gas not told" in run("list fizz")
    assert "nobody told" not in run(f"{fizz} --still")
    assert "nobody told" not in run(f"{OLEO} --into bottle")
    stock = json.loads(run("list --json"))["stock"]
    assert {(one["container"], one["charged"]) for one in stock} == {
        ("keg", None), ("keg", False), ("bottle", False),
    }  # fmt: skip
    assert "does not go with --charged" in run(f"{fizz} --still --charged")


def test_one_house_sends_and_another_receives(run: Run) -> None:
    run(OLEO)
    assert "sent to south bar: 1 l of oleo" in run('move "1 l oleo" --to-site "south bar"')
    assert "received: 1 l of oleo" in run('receive oleo --site "south bar" --place cellar')
    assert "moved to bar: 1.1 l" in run("move oleo --to bar")
    assert "nothing stands at east bar" in run('list --site "east bar"')


def test_what_was_not_found_or_not_said_is_asked_for_in_a_sentence(run: Run) -> None:
    run(OLEO)
    assert 'no "oloe" is in the ledger; the nearest is oleo' in run('take "1 l oloe"')
    assert "--new" not in run('take "1 l oloe"')
    assert "why is it thrown away? Add --reason" in run('discard "1 l oleo"')
    for words in ('add "-2 kg salt"', 'count "-1 l oleo"', 'take "-0.5 l oleo"'):
        assert "is below 0; write an amount of 0 or more" in run(words)


def test_what_stands_at_all_sites_is_summed(run: Run) -> None:
    assert "nothing stands at any site" not in run(OLEO)
    run('move "1 l oleo" --to-site "south bar"')
    run('add "500 ml oleo" --use-by "10 d" --site "east bar"')
    run('receive "400 ml oleo" --site "south bar"')
    said = run("list --all-sites")
    assert "1 item at 3 sites" in said
    assert "oleo 2.6 l east bar 500 ml, north bar 1.1 l, south bar 1 l" in said
    listed = json.loads(run("list --all-sites --json"))
    assert listed["site"] is None
    assert sum(one["g"] for one in listed["stock"]) == pytest.approx(2600 * 1.2)
    assert "--all-sites does not go with --site" in run("list --all-sites --site east")
    assert "--all-sites does not go with --place" in run("list --all-sites --place fridge")


def test_what_was_read_of_a_batch_and_a_last_day_that_is_never_made_later(run: Run) -> None:
    run(OLEO)
    run('measure oleo --brix "61.5 Bx" --ph 3.1 --use-by "4 d"')
    said = run("list")
    assert "61.5 Bx" in said
    last = json.loads(run("list --json"))["stock"][0]["use_by"]
    assert last in said
    for words in ('measure oleo --use-by "5 d"', "measure oleo --use-by none"):
        assert "is never made later" in run(words)
    assert "what was measured?" in run("measure oleo")
    assert "ph is 15; it must be from 0 to 14" in run("measure oleo --ph 15")
    assert 'has no batch "x"' in run("measure oleo --ph 3 --batch x")
    run(OLEO)
    assert "which batch of oleo?" in run("measure oleo --ph 3")


def test_export_and_import(run: Run, tmp_path: Path) -> None:
    run(OLEO)
    run("export --out all.csv")
    assert "0 events; 1 were here already" in run("import all.csv")
    assert "1 events; 0 were here" in run(f"import all.csv --ledger {tmp_path / 'two.db'}")
    assert run("export --damaged") == " ".join((tmp_path / "all.csv").read_text().split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("list", "is not there; the first prepkit stock add makes it"),
        ('add "2 l oleo"', "add --new"),
        ('add "2 l oleo" --new', 'add --density "1.05 g/ml"'),
        ('add "2 kg oleo" --new', "until when does oleo keep"),
        ('add "0 kg oleo" --new --use-by none', "must be more than 0"),
        ('add "2 kg oleo" --new --use-by none --made-on 2099-01-01', "is in the future"),
        ('add "2 kg oleo" --new --use-by none --at "2099-01-01 10:00"', "is in the future"),
        ('add "2 kg oleo" --new --use-by none --into bottle', "density of oleo is not known"),
        (f"{OLEO} --into botle", "the nearest is bottle"),
        ('add "2 kg oleo" --new --use-by none --at "0001-01-01 00:00"', "from 2000 on"),
        ("undo last", "is not the number of an event"),
        ("import nowhere.csv", "cannot be read"),
    ],
)
def test_wrong_words_before_there_is_anything(run: Run, words: str, said: str) -> None:
    assert said in run(words)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ('take "9 l oleo"', "9 l of oleo at north bar cannot be taken: there is 2.1 l"),
        ('take "1 l olio"', "the nearest is oleo"),
        ('take "1 l lemon juice"', 'no "lemon juice" is in the ledger'),
        ('discard "1 l oleo"', "--reason"),
        ("move oleo", "where does it go"),
        ("undo 77", "has no event 77"),
        ("events --most 0", "from 1 to"),
        ("fill oleo --into bottle --batch other", "nothing of oleo"),
    ],
)
def test_wrong_words_with_a_stock(run: Run, words: str, said: str) -> None:
    run(OLEO)
    assert said in run(words)


@pytest.mark.parametrize("pour", ["a little", "0 ml", "60 g", "-60 ml"])
def test_a_pour_that_cannot_be_read_is_refused_before_anything_is_written(
    run: Run, pour: str
) -> None:
    assert "pour" in run(f'{OLEO} --into bottle "--pour={pour}"')
    assert "house.db is not there" in run("events")
    run(OLEO)
    assert "pour" in run(f'fill oleo --into bottle "--pour={pour}"')
    assert len(json.loads(run("events --json"))["events"]) == 1


@pytest.mark.parametrize("word", ["--frozen", "--charged", "--still", '--pour "60 ml"'])
def test_what_needs_a_container_asks_for_one(run: Run, word: str) -> None:
    assert 'add --into "bottle"' in run(f"{OLEO} {word}")
    assert "house.db is not there" in run("events")


def test_a_count_never_leaves_a_last_day_out(run: Run) -> None:
    run(OLEO)
    for word in ('--use-by "1 d"', "--made-on yesterday"):
        said = run(f'count "2 l oleo" {word}')
        assert "stands already; tell its last day with prepkit stock measure" in said
    assert "2.1 l" in run("list")
    batch = json.loads(run("list --json"))["stock"][0]["batch"]
    run('count "0 l oleo"')
    run(f'count "1 l oleo" --batch {batch} --use-by "1 d" --made-on {batch}')
    tomorrow = date.fromisoformat(batch) + timedelta(days=1)
    assert json.loads(run("list --json"))["stock"][0]["use_by"] == tomorrow.isoformat()
