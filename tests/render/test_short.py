"""The first screen: it fits, says every stop, and says nothing that the full answer does not."""

from __future__ import annotations

import re
import shlex
from datetime import date
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from each import each
from situations.test_situations import situations

from prepkit import facts, model, registry
from prepkit.cli import COMMON, calculator_command
from prepkit.errors import PrepkitError
from prepkit.index import CALCULATORS
from prepkit.model import Answer, names_in, value_names
from prepkit.plan import load_recipe, make_plan
from prepkit.render import short
from prepkit.render.html import Look, answer_parts
from prepkit.render.text import answer_text

RECIPES = Path(__file__).parents[2] / "recipes"
README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
LINES = re.findall(r"^prepkit ([^\n#>|]+)", README, re.MULTILINE)
EXAMPLES = [
    *(registry.load(name).example.removeprefix("prepkit ") for name in CALCULATORS),
    *(line for line in LINES if line.split()[0] in CALCULATORS and "--json" not in line),
]
STOPS = [one for one in situations() if not one.before]
CASES = [*EXAMPLES, *STOPS, *sorted(RECIPES.glob("*.toml"))]
SYSTEMS = ("metric", "us")
every_case = each(CASES, lambda case: getattr(case, "id", str(case)))
every_example = each(EXAMPLES)
_FIGURE = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w.])")


@cache
def answered(line: str) -> Answer:
    """The answer to a command line."""
    name, *words = shlex.split(line)
    said = calculator_command(name).make_context(name, words).params
    given = {
        key: list(value) if isinstance(value, tuple) else value
        for key, value in said.items()
        if key not in (*COMMON, "as_json", "house") and value not in (None, (), False)
    }
    return registry.run(name, given)


@cache
def stopped(id_: str) -> Answer | None:
    """The answer to a situation; None where its words are refused."""
    one = next(one for one in STOPS if one.id == id_)
    try:
        return registry.run(one.calculator, one.words)
    except PrepkitError:
        return None


@cache
def planned(path: Path) -> tuple[Answer, ...]:
    """The answers of every item of a demo recipe, as it is made for forty."""
    plan = make_plan(load_recipe(path), 40)
    return tuple(made.answer for made in plan.made)


def answers_of(case: Any) -> tuple[Answer, ...]:
    """The answers of one case: a command line, a situation (none where it is refused), a recipe."""
    if isinstance(case, Path):
        return planned(case)
    found = answered(case) if isinstance(case, str) else stopped(case.id)
    return () if found is None else (found,)


def flat(text: str) -> str:
    """Text without its line breaks and marks of degrees."""
    return " ".join(text.replace("°", "").split())


def first(text: str) -> str:
    """The first sentence."""
    return flat(re.split(r"(?<=[.!?]) (?=[A-Z])", text)[0])


@every_case
def test_it_fits_on_one_screen(case: Any) -> None:
    for answer, system in product(answers_of(case), SYSTEMS):
        lines = short.short_text(answer, system).rstrip("\n").split("\n")
        most = short.MOST_LINES_STOP if answer.verdict == "stop" else short.MOST_LINES
        assert len(lines) <= most
        assert max(map(len, lines)) <= 80
        assert lines[0].startswith(f"{answer.calculator}: {answer.verdict.upper()}")
        assert "--full" in lines[-1]


@every_case
def test_every_stop_is_said_and_each_other_caution_of_care_said_or_counted(case: Any) -> None:
    for answer in answers_of(case):
        text = flat(short.short_text(answer))
        told = [one for one in answer.cautions if not one.standing]
        for one in told:
            if one.severity == "stop":
                assert flat(one.text) in text
        cares = sum(one.severity == "care" for one in told)
        folded = re.search(r"CARE (\d+) more", text)
        assert len(re.findall(r"CARE \w+: ", text.partition(" Mind ")[2])) + (
            int(folded[1]) if folded else 0
        ) == cares  # fmt: skip
        if any(one.kind == "allergen" for one in told):
            assert "allergen:" in text or "allergen" in text.partition("CARE ")[2]
        for line in model.lines(answer.calculator):
            assert flat(line) in text


@every_case
def test_no_note_stands_without_its_hazard(case: Any) -> None:
    """An action alone does not say what it is about."""
    for answer in answers_of(case):
        text = flat(short.short_text(answer))
        for one in answer.cautions:
            if one.severity == "note" and f"NOTE {one.kind}: {first(one.action)}" in text:
                assert first(one.action) == first(one.text)


@every_case
def test_the_full_answer_holds_every_caution_and_figure_once(case: Any) -> None:
    for answer in answers_of(case):
        text = answer_text(answer)
        for one in answer.cautions:
            assert text.count(f"({one.id}; ") == 1
            assert flat(one.text) in flat(text)
        for value in answer.values.values():
            assert value.label in text


@every_case
def test_each_figure_stands_in_the_full_answer_too(case: Any) -> None:
    for answer, system in product(answers_of(case), SYSTEMS):
        shown = short.brief(answer, system)
        full = set(_FIGURE.findall(answer_text(answer, system=system)))
        drawn = [one.value for one in (*shown.figures, *shown.check)] + [answer.headline(system)]
        for words in (
            *drawn,
            answer.headline(system),
            *(one.line.rpartition(")")[0] for one in shown.weigh),
        ):
            assert set(_FIGURE.findall(words)) <= full


@each([one.id for one in STOPS])
def test_no_number_to_go_ahead_with_beside_a_stop(case: str) -> None:
    found = stopped(case)
    if found is None or found.verdict != "stop":
        return
    shown = short.brief(found)
    assert not shown.weigh
    assert not shown.do_this
    assert not shown.check
    assert not found.headline()


def test_what_is_looked_at_beside_a_stop_is_there() -> None:
    stops = [one for one in STOPS if (found := stopped(one.id)) and found.verdict == "stop"]
    assert len(stops) > 0.9 * len(STOPS)


@every_example
def test_what_to_weigh_and_what_decides_stand_before_all_figures_on_the_page(line: str) -> None:
    answer = answered(line)
    parts: dict[str, Any] = answer_parts(answer, Look(date(2026, 11, 25)))
    if answer.verdict != "stop":
        shown = short.brief(answer)
        assert shown.deciding in parts["verdict"].words
        assert parts["do_this"] == shown.do_this
        assert bool(parts["weigh"]) == bool(shown.weigh)
        told = [row for cells in parts["weigh"] for row in cells.rows]
        assert len(told) == len(shown.weigh)
    tables = [one.title for one in (*parts["weigh"], *parts["tables"])]
    assert sorted(tables) == sorted(one.title for one in answer.tables)


@every_example
def test_no_label_of_the_first_screen_mixes_units(line: str) -> None:
    if answered(line).verdict != "stop":
        shown = short.brief(answered(line), "us")
        assert all("°C" not in one.label for one in (*shown.figures, *shown.check))


@every_example
def test_three_to_six_figures_decide(line: str) -> None:
    answer = answered(line)
    shown = short.brief(answer)
    assert len(shown.figures) <= short.MOST_FIGURES
    if answer.verdict != "stop":
        assert len(shown.figures) >= min(3, len(answer.values))
        assert shown.deciding
    labels = [one.label for one in (*shown.figures, *shown.check)]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_calculator_says_what_decides(name: str) -> None:
    """A calculator without its first screen and its three lines cannot be shown."""
    calculator = registry.load(name)
    screen = calculator.result.screen
    outputs = calculator.result.outputs()
    assert len(screen.primary) >= 3
    assert screen.headline
    for one in value_names((*screen.primary, *screen.check)):
        assert one in outputs
    for sentence in (*screen.headline, *screen.do_this):
        for word in names_in(sentence):
            known = (*outputs, *calculator.inputs.specs(), "result")
            assert word in known or facts.kind(word) == "word"
    for line in model.lines(name):
        assert len(f"  {'inhalation':<10}  {line}") <= 80


def test_json_names_what_stands_on_the_first_screen() -> None:
    said = answered(registry.load("siphon").example.removeprefix("prepkit ")).to_dict()
    assert said["key_figures"][0] == "peak"
    assert set(said["key_figures"]) <= set(said["values"])
    assert said["check"] == ["settled"]
    assert len(said["do_this"]) == 2
    assert set(said["always"]) == {"pressure", "cryogen", "inhalation"}


def test_a_long_list_is_never_cut_but_left_to_the_full_answer() -> None:
    answer = registry.run("blend", {"part": [f"{grams} g water" for grams in range(1, 61)]})
    shown = short.brief(answer)
    text = short.drawn(shown)
    assert text.count("\n") <= short.MOST_LINES
    assert f"{len(shown.weigh)} parts; see them with --full." in text
    assert all(one.line not in text for one in shown.weigh)
    few = short.brief(registry.run("blend", {"part": ["1 g water", "2 g white sugar"]}))
    assert all(one.line in short.drawn(few) for one in few.weigh)
