"""Names of commands: each leads to what it names, and is told in one short line."""

from __future__ import annotations

from importlib import import_module, util

from each import each

from prepkit.index import CALCULATORS, WORKFLOWS
from prepkit.registry import load


@each(CALCULATORS)
def test_a_calculator_is_where_the_index_says(name: str) -> None:
    module, _, line = CALCULATORS[name]
    assert load(name).inputs.__module__.startswith(f"prepkit.calculators.{module}")
    assert line.endswith(".")
    assert len(line) <= 70


@each(WORKFLOWS)
def test_a_command_is_where_the_index_says(name: str) -> None:
    module, _, function = WORKFLOWS[name][0].rpartition(".")
    assert util.find_spec(module) is not None
    assert callable(getattr(import_module(module), function))


def test_no_word_is_two_commands() -> None:
    assert not {*CALCULATORS} & {*WORKFLOWS}
