"""The card of a plan worked back from what there is, and of one with readings."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from render.page_reader import assert_reads_well, assert_stands_alone, read

from prepkit.cli import main

FOLDER = Path(__file__).parents[2] / "recipes"
COLD = FOLDER / "cold-semaphore.toml"
READINGS = """
[flower-cordial]
mass = "640 g"
refractometer = "47.0 Bx"
ph = 2.9
[tonight-nitro]
pressure = "{} bar"
"""


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    path = tmp_path / "read.toml"
    path.write_text(READINGS.format(8.0), encoding="utf-8")
    return path


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def both(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[dict[str, Any], str]:
    """The JSON of a plan and its card."""
    code, text, _ = call(f"plan {words} --json", capsys)
    again, card, err = call(f"card plan {words} --details", capsys)
    assert (code, err) == (again, "")
    assert_stands_alone(card)
    assert_reads_well(card)
    return json.loads(text), card


def test_as_many_as_there_is_enough_for(capsys: pytest.CaptureFixture[str]) -> None:
    said, card = both(f"{COLD} --from '1,2 kg lemon juice' --from '3.2 kg cold-mix'", capsys)
    assert said["serves"] == 27
    text = read(card).text
    assert "27 serves" in text
    told = [float(one) for one in re.findall(r"([\d.]+) g needed", text)]
    assert told == pytest.approx([one["need_g"] for one in said["from"]], rel=0.001)


def test_readings_stand_on_the_card_with_the_numbers_of_the_json(
    readings: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said, card = both(f"{COLD} --serves 40 --measured {readings}", capsys)
    account = said["measured"]
    section = next(one for one in read(card).all("section") if "Measured" in one.text)
    tables = list(section.all("table"))
    rows = [[cell.text for cell in row.all("td")] for row in tables[0].all("tr")][1:]
    assert len(rows) == len(account["readings"]) == 4
    for row, one in zip(rows, account["readings"], strict=True):
        expected, spread, measured, off = (float(row[at]) for at in (1, 2, 3, 4))
        within = 0.5001 * 10 ** -one["digits"]
        assert expected == pytest.approx(one["expected"], abs=within)
        assert spread == pytest.approx(one["may_be_off"], abs=within)
        assert measured == pytest.approx(one["measured"], abs=within)
        assert off == pytest.approx(one["off"], abs=within)
        short = one["what"] == "mass" and one["item"] in {each["item"] for each in account["short"]}
        assert row[-1] == ("SHORT" if short else "BEYOND" if one["beyond"] else "as planned")
    (correction,) = account["corrections"]
    for add in correction["add"]:
        found = re.search(rf"([\d.]+) g {add['name']}", section.text)
        assert found is not None
        assert float(found[1]) == pytest.approx(add["g"], rel=0.01)
    assert "Titrate it" in section.text
    assert "siphon-read-below-expected" in section.text
    changed = {one["item"] for one in account["downstream"]}
    assert changed == {"cold-mix", "tonight-nitro"}
    assert changed <= {row.first("th").text for row in tables[1].all("tr")}


def test_a_plan_without_readings_has_no_such_section(capsys: pytest.CaptureFixture[str]) -> None:
    _, card = both(f"{COLD} --serves 40", capsys)
    assert "Measured:" not in read(card).text


def test_readings_change_the_hash(readings: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, plain = both(f"{COLD} --serves 40", capsys)
    _, first = both(f"{COLD} --serves 40 --measured {readings}", capsys)
    readings.write_text(READINGS.format(8.1), encoding="utf-8")
    _, second = both(f"{COLD} --serves 40 --measured {readings}", capsys)
    hashes = {read(card).first("code").text for card in (plain, first, second)}
    assert len(hashes) == 3


def test_a_gauge_over_the_rating_leaves_no_amounts_to_go_by(
    readings: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    readings.write_text(READINGS.format(18.0), encoding="utf-8")
    said, card = both(f"{COLD} --serves 40 --measured {readings}", capsys)
    assert said["verdict"] == "stop"
    nitro = next(one for one in said["items"] if one["id"] == "tonight-nitro")
    assert nitro["verdict"] == "stop"
    assert "weigh" not in nitro
    assert said["chargers"] == {}
    (serve,) = said["serve"]
    assert serve["held_by"] == ["tonight-nitro"]
    box = read(card).first("section", class_="verdict").text
    assert box.startswith("STOP")
    assert "The gauge shows 18.0 bar" in box
    assert call(f"card plan {COLD} --measured {readings} --out -", capsys)[0] == 3


def test_the_card_of_one_item_has_its_own_readings(
    readings: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = f"card plan {COLD} --serves 40 --measured {readings} --details --item"
    _, cordial, _ = call(f"{words} flower-cordial", capsys)
    _, nitro, _ = call(f"{words} tonight-nitro", capsys)
    assert "add 3" in read(cordial).text
    assert "settled pressure" not in read(cordial).text
    assert "siphon-read-below-expected" in read(nitro).text
    assert "refractometer reading (20 °C) 49.9" not in read(nitro).text


@pytest.mark.parametrize(
    ("more", "code", "says"),
    [
        ("--serves 8 --from '1 kg rum'", 2, "--serves does not go with --from"),
        ("--from '1 kg plum'", 2, "plum"),
        ("--measured absent.toml", 4, "absent.toml cannot be read"),
        ("--service 26:00", 2, "not a time of day"),
    ],
)
def test_bad_words_are_one_sentence(
    more: str, code: int, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    found, out, err = call(f"card plan {COLD} {more}", capsys)
    assert (found, out) == (code, "")
    assert says in err
    assert err.count("\n") == 1
