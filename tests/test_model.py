"""A figure has no more decimals than two figures of its ± allow, in any units.

Sources: each label is earned, each key is known, what rests on them is as the code has it.
"""

from __future__ import annotations

import ast
import json
import re
import shlex
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from each import each
from published import rests
from published.rows import OBTAINED, Row, load, not_used, topics

from prepkit import blocks, derived, model, registry
from prepkit.cli import main
from prepkit.index import CALCULATORS
from prepkit.model import Limit, Value, amount, decimals
from prepkit.plan import load_recipe, make_plan
from prepkit.registry import run
from prepkit.render.plan_text import shown_value
from prepkit.render.text import value_words
from prepkit.workflows import reference


@pytest.mark.parametrize(
    ("value", "spread", "digits", "shown"),
    [
        (1246.04, 62.3, 1, "1246 ± 62"), (8.574, 2.19, 2, "8.6 ± 2.2"),
        (13.1, 0.7, 1, "13.1 ± 0.7"),
        (1.424, 0.002, 3, "1.424 ± 0.002"), (1246.04, None, 1, "1246.0"), (30.2, 0.0, 1, "30.2"),
        (1246.04, 162.0, 1, "1246 ± 162"),
    ],
)  # fmt: skip
def test_digits_follow_the_spread(
    value: float, spread: float | None, digits: int, shown: str
) -> None:
    held = Value(value, "bar", spread, "peak", digits, False)
    assert value_words(held, "metric")[0] == shown
    assert amount(held, "metric") == f"{shown.partition(' ±')[0]} bar"


def test_the_spread_in_us_units_decides_there() -> None:
    held = Value(1246.04, "ml", 62.3, "volume", 1, False)
    assert decimals(held, "us") == 1  # 2.1 US fl oz
    assert value_words(held, "us") == ("42.1 ± 2.1", "US fl oz")


@pytest.mark.parametrize(
    ("value", "unit", "spread", "digits", "limit", "metric", "us"),
    [
        (453.1, "m3", 12.6, 1, "least", "454 m3", "16002 ft3"),
        (1.177, "kg", 0.589, 3, "most", "1.17 kg", "2.5 lb"),
        (1.177, "kg", None, 3, "most", "1.177 kg", "2.594 lb"),
        (283.2, "m3", None, 1, "least", "283.2 m3", "10001.2 ft3"),
        (8.2, "m3", 0.0, 1, "least", "8.2 m3", "289.6 ft3"),
    ],
)
def test_a_limit_is_never_shown_milder_than_it_is(
    value: float, unit: str, spread: float | None, digits: int, limit: Limit, metric: str, us: str
) -> None:
    held = Value(value, unit, spread, "limit", digits, False, limit)
    assert (amount(held, "metric"), amount(held, "us")) == (metric, us)
    assert value_words(held, "metric")[0].split(" ±")[0] == metric.split(maxsplit=1)[0]


def test_the_limits_of_a_room_are_strict_beside_a_spread() -> None:
    found = run("room", {"release": ["8 kg dry ice"], "volume": "300 m3 ± 100 m3",
                         "air_changes": "4", "temperature": "20 C ± 8 C"}).values  # fmt: skip
    most, least = found["room_stands"], found["room_needed"]
    for system, lb, ft3 in (("metric", 1.0, 1.0), ("us", 0.45359237, 0.3048**3)):
        assert decimals(most, system) < most.digits
        assert float(value_words(most, system)[0].split()[0]) * lb <= most.value + 1e-9
        assert float(value_words(least, system)[0].split()[0]) * ft3 >= least.value - 1e-9


def test_a_limit_stays_one_in_a_plan(tmp_path: Path) -> None:
    file = tmp_path / "air.toml"
    text = """title = "Air"
serves = 4
[items.air]
calculator = "room"
check = true
release = ["0.5 kg co2"]
volume = "300 m3 ± 100 m3"
air_changes = 4
temperature = "20 C ± 8 C"
worst_corner = 3
[items.base]
calculator = "blend"
part = ["1 kg water"]
[[serve]]
name = "One"
part = "90 g base"
"""
    file.write_text(text, encoding="utf-8")
    said = make_plan(load_recipe(file), 4).to_dict()
    (air,) = [item for item in said["items"] if item["id"] == "air"]
    values = {one["name"]: one for one in air["values"]}
    limits = {name for name, one in values.items() if "limit" in one}
    assert limits == {"room_stands", "room_needed", "oxygen", "oxygen_at_once", "co2"}
    for system, lb, ft3 in (("metric", 1.0, 1.0), ("us", 0.45359237, 0.3048**3)):
        most, least = (
            float(shown_value(values[name], system)[0].split()[0])
            for name in ("room_stands", "room_needed")
        )
        assert most * lb <= values["room_stands"]["value"] + 1e-9
        assert least * ft3 >= values["room_needed"]["value"] - 1e-9


ROOT = Path(__file__).parents[1]
EVERY = model.source_keys()
ROWS = [row for topic in topics() for row in load(topic)]
# upper case and hyphens, three letters in a row somewhere: what looks like a key is one
KEY = r"(?=[A-Z0-9-]*[A-Z]{3})[A-Z0-9]+(?:-[A-Z0-9]+)+"


def row(key: str) -> dict[str, Any]:
    """The entry of a key as it stands in its file."""
    return next(
        found for path in blocks.names("sources") if (found := blocks.table(path, key)) is not None
    )


def test_a_key_has_one_entry() -> None:
    assert len(EVERY) == len(set(EVERY))


@each(EVERY)
def test_a_label_is_earned(key: str) -> None:
    entry = row(key)
    assert entry["title"]
    assert entry["obtained"] in OBTAINED
    said = f"{entry['title']} {entry.get('note', '')}".lower()
    if entry["obtained"] == "read":
        assert "memory" not in said, "a part from memory has a key of its own"
        assert "rests_on" not in entry, "what was made from others was worked out"
    for below in entry.get("rests_on", ()):
        assert below in EVERY
        assert below != key


def test_what_was_made_from_memory_says_so() -> None:
    acid = model.source_of("PREPKIT-ACID")
    assert acid is not None
    assert acid.obtained == "computed, in part from memory"
    room = model.source_of("PREPKIT-ROOM")
    assert room is not None
    assert room.obtained == "computed"


@each(ROWS, lambda row: str(row.id))
def test_a_published_row_is_no_surer_than_its_source(one: Row) -> None:
    assert one.obtained in OBTAINED
    named = rests.checked(one.source)
    assert named, f"{one.source!r} names no source of data/sources"
    if one.obtained == "read":
        assert model.source_of(named[0]).obtained == "read"  # type: ignore[union-attr] # known above


@cache
def tables(path: str) -> dict[str, Any]:  # Any: TOML
    """A file of data; the cautions are kept as rows, and read here as they were written."""
    rows = path.startswith("cautions/")
    return tomllib.loads(blocks.read(path)) if rows else blocks.document(path)


def rows_of(value: Any) -> list[dict[str, Any]]:  # Any: TOML
    """The rows of a list of tables; a list of words has none."""
    return [row for row in value if isinstance(row, dict)] if isinstance(value, list) else []


def test_rows_of_data_read_with_a_part_from_memory_say_which() -> None:
    for path in blocks.all_names():
        for rows in tables(path).values():
            for entry in rows_of(rows):
                if entry.get("obtained") == "read" and "memory" in entry.get("note", ""):
                    from_memory = str(entry.get("also_from", ""))
                    assert "MEMORY" in from_memory, (path, entry.get("name") or entry.get("id"))


@pytest.mark.parametrize("path", [p for p in blocks.all_names() if p != reference.FILE])
def test_every_key_in_the_data_is_known(path: str) -> None:
    for rows in tables(path).values():
        for entry in rows_of(rows):
            for name in ("source", "oil_source"):
                assert entry.get(name, EVERY[0]) in EVERY, entry
            for nested in (n for n in entry.values() if isinstance(n, dict) and "source" in n):
                assert nested["source"] in EVERY


def test_every_key_in_the_code_is_known() -> None:
    """Keys are upper case with hyphens: as text of their own, or in brackets in a docstring."""
    for path in (ROOT / "prepkit").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                if re.fullmatch(KEY, node.value):
                    assert node.value in EVERY, (path, node.value)
                for name in re.findall(rf"\[({KEY})\]", node.value):
                    assert name in EVERY, (path, name)


def named_beside_the_calculators() -> set[str]:
    """Keys that rows of the data, and docstrings of what is no calculator, rest on."""
    found = set()
    for path in blocks.all_names():
        if path != reference.FILE and not path.startswith("sources/"):
            for rows in tables(path).values():
                for one in rows_of(rows):
                    found |= {str(one.get("source")), *one.get("sources", ())}
    for folder in ("stock", "tasting", "plan", "learn"):
        for file in (ROOT / "prepkit" / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
                if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Module):
                    found |= set(re.findall(rf"\[({KEY})\]", ast.get_docstring(node) or ""))
    return found


def test_what_was_read_is_used_or_stands_with_its_reason() -> None:
    beside = named_beside_the_calculators()
    unused = not_used()
    assert all(one["what"] and one["source"] and one["reason"] for one in unused)
    listed = {key for one in unused for key in rests.checked(one["source"])}
    for key in EVERY:
        if row(key)["obtained"] == "read" and key not in listed | beside:
            assert any(reference.on(key).values()), f"nothing rests on {key}, and it is not listed"


# ---- the working ----


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_step_shows_how_its_source_was_obtained(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = shlex.split(registry.load(name).example)[1:]
    printed = []
    for more in ("--json", "--working"):
        with pytest.raises(SystemExit):
            main([*words, more])
        printed.append(capsys.readouterr().out)
    said, shown = json.loads(printed[0]), " ".join(printed[1].split())
    assert said["working"]
    listed = {source["key"]: source for source in said["sources"]}
    for step in said["working"]:
        if step["source"]:
            found = model.source_of(step["source"])
            assert found is not None, step
            assert step["obtained"] == found.obtained
            assert listed[step["source"]]["obtained"] == found.obtained
            assert f"[{step['source']}, {found.obtained}]" in shown, step
            assert f"{step['source']} [{found.obtained}]" in shown, step
            rests_here = reference.on(step["source"])
            assert name in rests_here["calculators"] or rests_here["data"], step
        else:
            assert step["obtained"] == "computed"


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_value_of_a_mixture_has_its_step(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A pH, a reading, a water activity, a density: none is shown without what it rests on."""
    with pytest.raises(SystemExit):
        main([*shlex.split(registry.load(name).example)[1:], "--json"])
    said = json.loads(capsys.readouterr().out)
    labels = " ".join(step["label"].lower() for step in said["working"])
    for value in said["values"]:
        if value in derived.RESTS and value not in said["inputs"]:
            assert derived.RESTS[value][0].lower() in labels


# ---- what rests on them ----


def test_the_file_of_what_rests_is_as_the_code_has_it() -> None:
    assert rests.TARGET.read_text(encoding="utf-8") == rests.text(), (
        "run: python tests/published/rests.py"
    )


# ---- what rests on memory ----


def test_each_relation_from_memory_says_how_far_an_answer_could_move() -> None:
    rows = reference.weak_rows()
    assert {row.source for row in rows} == reference.expected()
    assert len({row.source for row in rows}) == len(rows)
    assert [row.percent for row in rows] == sorted((row.percent for row in rows), reverse=True)
    for row in rows:
        assert row.percent >= 0
        assert row.answer
        assert row.why
    assert set(reference.besides()).isdisjoint(row.source for row in rows)
    developers = (rests.ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert reference.table() in developers


def test_what_stands_behind_data_and_cautions_alone_is_listed_too() -> None:
    rows = reference.behind_weak()
    assert sorted(row.source for row in rows) == sorted(reference.besides())
    known = [row.percent for row in rows if row.percent is not None]
    assert [row.percent for row in rows][: len(rows) - len(known)] == [None] * (
        len(rows) - len(known)
    )
    assert known == sorted(known, reverse=True)
    assert all(percent >= 0 for percent in known)
    assert all(row.answer and row.why for row in rows)
    developers = (rests.ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert reference.table(rows) in developers


def test_weak_sources_on_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as done:
        main(["sources", "--weak"])
    assert not done.value.code
    said = capsys.readouterr().out
    places = [
        said.index(f"[{row.source}]") for row in (*reference.weak_rows(), *reference.behind_weak())
    ]
    assert places == sorted(places)
    with pytest.raises(SystemExit):
        main(["sources", "--weak", "--calculator", "layer", "--json"])
    assert all("layer" in row["calculators"] for row in json.loads(capsys.readouterr().out)["weak"])
    with pytest.raises(SystemExit) as done:
        main(["sources", "--weak", "USP-32"])
    assert done.value.code == 2
    assert "leave out KEY" in capsys.readouterr().err
