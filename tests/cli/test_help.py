"""The help of a calculator: what most need first, then groups, each value with its kind."""

from __future__ import annotations

import re

import pytest
from cli.asking import call

from prepkit.index import CALCULATORS
from prepkit.registry import load

MOST_FIRST = 10
KINDS = {
    "ACID", "AMOUNT", "BRIX", "CHOICE", "COUNT", "DATE", "DROPS", "FILE", "GAS", "INGREDIENT",
    "LENGTH", "NAME", "NUMBER", "PLACE", "PRESSURE", "PRICE", "RATE", "SHARE", "STEPS", "STRENGTH",
    "TARGET", "TEMPERATURE", "TIME", "VOLUME", "WEIGHINGS", "WEIGHT",
}  # fmt: skip


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_input_stands_in_one_group_and_the_needed_ones_in_the_first(name: str) -> None:
    inputs = load(name).inputs
    first, *others = [names.split() for _, names in inputs.groups]
    named = [*first, *(one for group in others for one in group)]
    assert sorted(named) == sorted(inputs.specs())
    assert len(first) <= MOST_FIRST
    assert {key for key, spec in inputs.specs().items() if spec.required} <= set(first)


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_value_has_its_kind(name: str) -> None:
    for spec in load(name).inputs.specs().values():
        assert spec.kind == "flag" or spec.value_kind.upper() in KINDS


@pytest.mark.parametrize("name", CALCULATORS)
def test_an_option_takes_one_line_where_it_can(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    code, out, _ = call(f"{name} --help", capsys)
    assert code == 0
    assert max(len(line) for line in out.splitlines() if f"prepkit {name}" not in line) <= 100
    options = re.findall(r"^  (--[\w-]+)", out, re.MULTILINE)
    assert {"--" + one.replace("_", "-") for one in load(name).inputs.specs()} <= set(options)
    more = re.findall(r"^ {10,}\S", out, re.MULTILINE)
    assert len(more) <= len(options) // 4
    assert "WORDS" not in out


def test_the_whole_text_of_every_input(capsys: pytest.CaptureFixture[str]) -> None:
    _, short, _ = call("siphon --help", capsys)
    code, whole, _ = call("siphon --help --full", capsys)
    assert code == 0
    told = " ".join(whole.split())
    for spec in load("siphon").inputs.specs().values():
        assert spec.example in whole or spec.choices
        assert spec.help.split(" --")[0].split("  ")[0][:20] in told
    assert len(whole) > len(short)
    assert "siphon --help --full" in short
    assert "--help --full" not in whole
