"""Sentences on danger stand in the data, and front ends only show them."""

from __future__ import annotations

import ast
import re
import shlex
from pathlib import Path

import pytest

import prepkit
from prepkit import blocks, model
from prepkit.cautions import page_line
from prepkit.cli import main

PACKAGE = Path(prepkit.__file__).parent
LINES = blocks.document("page_lines.toml")
FRONT_ENDS = ("render", "plan", "drill", "workflows", "page")
# words of whoever decides, and of what must not be done
DECIDES = re.compile(
    r"competent person|gas supplier|local code|ranks? before|no leave to|do not (?!do this)|"
    r"\bnever (?:warm|open|unscrew|charge|breathe|serve)",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("card", 'card blend --part "700 ml spirit 43 %"'),
        ("wall", "cautions --kind cryogen"),
        ("pantry", "pantry lemon juice"),
        ("drill", "drill --topic siphon --count 1 --seed 1 --key"),
    ],
)
def test_each_page_shows_its_line(
    page: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(shlex.split(words))
    out = re.sub(r"</?span[^>]*>", "", capsys.readouterr().out)  # a card's lines are broken
    told = " ".join(out.split()).replace("&#39;", "'")
    assert page_line(page) in told


def test_each_line_has_a_source_and_is_written_once() -> None:
    of_bottles = {
        "bottles-charged",
        "bottles-frozen",
        "bottles-under-gas",
    }  # see tests/cli/test_stock_work.py
    assert set(LINES) == {"card", "wall", "pantry", "drill", *of_bottles}
    for row in LINES.values():
        assert model.source_of(row["source"]) is not None
        assert "safe" not in row["text"].lower()


def _strings(path: Path) -> list[str]:
    """The texts of a module that a person can be shown: not its docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documents = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in documents
    ]


@pytest.mark.parametrize("folder", FRONT_ENDS)
def test_no_front_end_holds_a_sentence_on_danger(folder: str) -> None:
    found = [
        f"{path.name}: {text}"
        for path in (PACKAGE / folder).rglob("*.py")
        for text in _strings(path)
        if DECIDES.search(text)
    ]
    found += [
        f"{path.name}: {line.strip()}"
        for path in (PACKAGE / folder).rglob("*.html")
        for line in path.read_text(encoding="utf-8").splitlines()
        if DECIDES.search(line)
    ]
    assert found == []


def test_the_look_finds_what_it_looks_for(tmp_path: Path) -> None:
    module = tmp_path / "front.py"
    module.write_text('"""The local code."""\nSAID = "Ask a competent person."\n', "utf-8")
    assert [text for text in _strings(module) if DECIDES.search(text)] == [
        "Ask a competent person."
    ]
