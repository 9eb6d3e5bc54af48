"""The published schemas hold for every answer, label and error, and describe every key."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any

import fastjsonschema
import pytest
from cli.asking import ROOT, STOP, call
from cli.test_shell import codes

from prepkit import cautions
from prepkit.index import CALCULATORS
from prepkit.page import batch_files, recipe_folder
from prepkit.plan import files
from prepkit.registry import load
from prepkit.workflows.reference import FILES, PRINTED, schema

LABELS = [f"label {ROOT}/recipes/{one}.toml --made 2026-11-25 --json"
          for one in ("cold-semaphore", "free-otter", "warm-brasswick")]  # fmt: skip


@cache
def validator(name: str) -> Callable[[Any], Any]:
    """What refuses a JSON that is not of a schema."""
    made: Callable[[Any], Any] = fastjsonschema.compile(dict(schema(name)))
    return made


def judged(name: str, said: Any) -> None:
    """It is valid, and no key of it is left out of the schema."""
    form = schema(name)
    validator(name)(said)
    assert list(unknown(said, form, form)) == []


def unknown(said: Any, form: Mapping[str, Any], root: Mapping[str, Any]) -> Iterator[str]:
    """The keys that the schema says nothing of."""
    if "$ref" in form:
        form = root["definitions"][form["$ref"].rpartition("/")[2]]
    either = form.get("oneOf", form.get("anyOf"))
    if either:
        told = [list(unknown(said, one, root)) for one in either]
        yield from min(told, key=len)
        return
    if isinstance(said, dict) and "properties" in form:
        for key, value in said.items():
            if key in form["properties"]:
                yield from unknown(value, form["properties"][key], root)
            else:
                yield key
    elif isinstance(said, dict) and isinstance(form.get("additionalProperties"), dict):
        for value in said.values():
            yield from unknown(value, form["additionalProperties"], root)
    elif isinstance(said, list) and "items" in form:
        for value in said:
            yield from unknown(value, form["items"], root)


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_example_is_valid(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    example = load(name).example.removeprefix("prepkit ")
    _, out, _ = call(f"{example} --json", capsys)
    judged("answer", json.loads(out))


@pytest.mark.parametrize(
    "words",
    [
        STOP,
        "siphon --contents '500 ml cream 35 %' --gas n2o --chargers 1 --temperature '5 C'",
        "dilute --part '700 ml ± 10 ml spirit 60 %' --to-strength '40 %'",
        "infuse --liquid '700 ml spirit 43 %' --botanical '30 g tonka'",
    ],
)
def test_a_stop_and_a_give_or_take_are_valid(
    words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(f"{words} --json", capsys)
    assert code in (0, 3), err
    judged("answer", json.loads(out))


@pytest.mark.parametrize("words", LABELS)
def test_labels_are_valid(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = call(words, capsys)
    said = json.loads(out)
    judged("label", said)
    assert {one["made"] for one in said["labels"]} == {"2026-11-25"}


PLANS = (
    "cold-semaphore.toml --serves 40",
    "cold-semaphore.toml --serves 1",
    "free-otter.toml --serves 12",
    "warm-brasswick.toml --serves 100",
)


@pytest.mark.parametrize("words", PLANS)
def test_plans_are_valid(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"plan {ROOT}/recipes/{words} --json", capsys)
    assert code in (0, 3), err
    judged("plan", json.loads(out))


def test_a_plan_without_a_key_is_not_valid(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = call(f"plan {ROOT}/recipes/{PLANS[0]} --json", capsys)
    said = json.loads(out)
    for key in schema("plan")["required"]:
        with pytest.raises(fastjsonschema.JsonSchemaException):
            judged("plan", {one: value for one, value in said.items() if one != key})
    with pytest.raises(fastjsonschema.JsonSchemaException):
        judged("plan", {**said, "items": "none"})


def test_the_label_of_what_must_not_be_made(capsys: pytest.CaptureFixture[str]) -> None:
    load_of = "--contents '500 ml cream 35 %' --gas n2o --chargers 1 --temperature '5 C'"
    code, out, _ = call(f"label siphon {load_of} --json", capsys)
    said = json.loads(out)
    assert code == 3
    judged("label", said)
    assert said["labels"][0]["verdict"] == "stop"
    assert "use_by" not in said["labels"][0]


@pytest.mark.parametrize("other", ["--format html", "--per-sheet 4", "--copies 2"])
def test_json_labels_are_on_no_paper(other: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert call(f"{LABELS[0]} {other}", capsys)[0] == 2


def test_an_error_is_valid(capsys: pytest.CaptureFixture[str]) -> None:
    for words in ("blend --json", "plan nowhere.toml --json", "nonsense --json"):
        judged("error", json.loads(call(words, capsys)[2]))
    wrong = {"error": {"code": "odd", "message": "m", "field": None, "exit_status": 2}}
    with pytest.raises(fastjsonschema.JsonSchemaException):
        judged("error", wrong)


def test_the_closed_lists_are_those_of_the_program() -> None:
    inside = schema("answer")["properties"]
    one = inside["cautions"]["items"]["properties"]
    assert one["kind"]["enum"] == list(cautions.KINDS)
    assert set(one["severity"]["enum"]) == set(cautions.SEVERITIES) - {"always"}
    assert tuple(inside["verdict"]["enum"]) == cautions.VERDICTS
    error = schema("error")["properties"]["error"]["properties"]
    seldom = (recipe_folder.FileChanged, recipe_folder.ReadOnly, batch_files.Conflict, files.AsText)
    assert {one.code for one in seldom} <= set(codes())
    assert set(error["code"]["enum"]) == set(codes()) - {"error"}


@pytest.mark.parametrize("name", [*PRINTED, *FILES])
def test_each_schema_is_printed(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"schema {name}", capsys)
    assert code == 0
    assert json.loads(out) == schema(name)
    fastjsonschema.compile(json.loads(out))


def test_no_other_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("schema nonsense", capsys)[0] == 2
