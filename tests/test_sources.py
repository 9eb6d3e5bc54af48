"""Sources: each label is earned, each key is known, what rests on them is as the code has it."""

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

from prepkit import blocks, derived, registry, sources
from prepkit.cli import main
from prepkit.index import CALCULATORS
from prepkit.workflows import reference

ROOT = Path(__file__).parents[1]
EVERY = sources.keys()
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
    acid = sources.find("PREPKIT-ACID")
    assert acid is not None
    assert acid.obtained == "computed, in part from memory"
    room = sources.find("PREPKIT-ROOM")
    assert room is not None
    assert room.obtained == "computed"


@each(ROWS, lambda row: str(row.id))
def test_a_published_row_is_no_surer_than_its_source(one: Row) -> None:
    assert one.obtained in OBTAINED
    named = rests.checked(one.source)
    assert named, f"{one.source!r} names no source of data/sources"
    if one.obtained == "read":
        assert sources.find(named[0]).obtained == "read"  # type: ignore[union-attr] # known above


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
            found = sources.find(step["source"])
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
