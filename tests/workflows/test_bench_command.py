"""prepkit bench as a person uses it: record, chart, losses, check; and what it refuses."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from cli.asking import call
from learn_bar import RECIPE

from prepkit.learn.using import prepared
from prepkit.plan.plan import load_recipe

READ = '[peel-oleo]\nmass = "{g} g"\nrefractometer = "{bx} Bx"\n'


@pytest.fixture
def bar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("house.toml").write_text('[stock]\nledger = "house.db"\n')
    Path("bar.toml").write_text(f'house = "house.toml"\n{RECIPE}')
    return tmp_path


def record(capsys: pytest.CaptureFixture[str], batch: str, g: float, bx: float) -> str:
    Path("read.toml").write_text(READ.format(g=g, bx=bx))
    code, out, err = call(f"bench record bar.toml read.toml --batch {batch} --who AB", capsys)
    assert (code, err) == (0, "")
    return out


def test_from_readings_to_the_next_plan(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, before, _ = call("plan bar.toml", capsys)
    assert "Learnt" not in before
    for number, grams in enumerate((366, 352, 359, 361, 349, 356)):
        out = record(capsys, f"2026-03-0{1 + number}", grams, 62 + number / 10)
    assert out.startswith("Recorded batch 2026-03-06: peel-oleo.\n  liquid kept by lemon peel: ")
    _, out, _ = call("bench losses --house .", capsys)
    assert out.startswith("liquid kept by lemon peel: ")
    assert "published 20 to 60 %" in out
    _, out, _ = call("bench losses --house . --json", capsys)
    (loss,) = json.loads(out)["losses"]
    assert loss["batches"] == 6
    assert loss["next_batch"]["high"] > loss["mean"]["high"]
    code, out, _ = call("plan bar.toml", capsys)
    assert code == 0
    assert "Learnt: liquid kept by lemon peel: " in out
    _, out, _ = call("plan bar.toml --json", capsys)
    (learnt,) = json.loads(out)["learnt"]
    assert learnt["batches"] == 6
    assert learnt["middle"] == pytest.approx(loss["next_batch"]["middle"])
    _, out, _ = call("plan bar.toml --full", capsys)
    assert "Learnt: liquid kept by lemon peel" in " ".join(out.split())


def test_a_batch_of_today_counts_from_tomorrow_on(
    bar: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = call("plan bar.toml --json", capsys)[1]
    Path("read.toml").write_text(READ.format(g=340, bx=62))
    _, out, _ = call("bench record bar.toml read.toml", capsys)
    assert out.endswith("so that the sheets of today stay as they are.\n")
    assert call("plan bar.toml --json", capsys)[1] == before
    taught = prepared(load_recipe("bar.toml"), date.today() + timedelta(days=1))
    assert [one.batches for one in taught.learnt] == [1]


def test_charts(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for number, brix in enumerate((62.0, 62.2, 61.9, 62.1, 66.0)):
        record(capsys, f"2026-03-0{1 + number}", 355, brix)
    _, out, _ = call("bench chart peel-oleo --house .", capsys)
    assert out.startswith("peel-oleo, refractometer reading: 1 of 5 batches out.\n")
    assert "Batch 2026-03-05 was out: 66.0 Bx" in out
    assert "peel-oleo, yield, of what was planned: " in out
    _, out, _ = call("bench chart peel-oleo --reading brix --format svg --house .", capsys)
    assert out.startswith("<svg ")
    _, out, _ = call("bench chart peel-oleo --json --house .", capsys)
    assert [one["reading"] for one in json.loads(out)["charts"]] == ["brix", "yield"]


def test_checks(bar: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = 'bench check refractometer --known "20 Bx" --read "20.4 Bx" --house .'
    for _ in range(5):
        code, out, _ = call(words, capsys)
        assert code == 0
    assert out.startswith("refractometer: take 0.40 Bx off each reading")
    assert call("bench check --house .", capsys)[1] == out
    _, out, _ = call("bench check --house . --json", capsys)
    assert json.loads(out)["instruments"][0]["certain"] is True
    code, _, err = call("bench chart refractometer --house .", capsys)
    assert code == 2
    assert "no reading of refractometer is in the ledger" in err


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        ("bench losses", 2, 'no ledger is named. Give --ledger "house.db"'),
        ("bench losses --house .", 4, "house.db is not there"),
        ("bench chart x --ledger house.toml", 4, "house.toml is no ledger of prepkit"),
        ("bench record bar.toml none.toml", 4, "none.toml cannot be read"),
        ("bench record bar.toml bar.toml", 2, "bar.toml"),
        ("bench check gauge --known '2 bar' --read '2 bar' --house .", 2, "of safety"),
        ("bench check pipette --known '5 ml' --house .", 2, "--read is missing"),
        ("bench check pipette --known '5 g' --read '5 ml' --house .", 2, "a volume is needed"),
        ("bench check --known '5 ml' --house .", 2, "which instrument?"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_writes_nothing(
    bar: Path, words: str, status: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(words, capsys)
    assert (code, out) == (status, "")
    assert err.count("\n") == 1
    assert said in err
    assert not (bar / "house.db").exists()
