"""Docstrings of the relations name the parameters that there are, and say where they hold."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from each import each

import prepkit.science

FOLDER = Path(prepkit.science.__file__).parent
TREES = {path.stem: ast.parse(path.read_text(encoding="utf-8")) for path in FOLDER.glob("*.py")}
DEFINED = {
    name
    for stem, tree in TREES.items()
    for node in ast.walk(tree)
    for name in (
        stem,
        *([node.name] if isinstance(node, ast.FunctionDef | ast.ClassDef) else ()),
        *([node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else ()),
        *([node.id] if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store) else ()),
    )
}
PUBLIC = [
    (stem, node)
    for stem, tree in TREES.items()
    for node in tree.body
    if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
]
_EXAMPLE = re.compile(r"^\s*>>>.*(?:\n(?!\s*\n).*)*", re.MULTILINE)
_NAME = re.compile(r"(?<![\w.\[`-])([a-z][a-z0-9]*(?:_[a-z0-9]+)+)\b(?!\()")
_QUOTED = re.compile(r"`([a-z][a-z0-9_]*)`")


def parameters(node: ast.FunctionDef) -> set[str]:
    of = node.args
    return {one.arg for one in (*of.posonlyargs, *of.args, *of.kwonlyargs)}


@each(PUBLIC, lambda row: f"{row[0]}.{row[1].name}")
def test_a_docstring_names_parameters_that_there_are(row: tuple[str, ast.FunctionDef]) -> None:
    stem, node = row
    said = ast.get_docstring(node)
    assert said, f"{stem}.{node.name} says nothing"
    prose = _EXAMPLE.sub("", said)
    named = {*_NAME.findall(prose), *_QUOTED.findall(prose)}
    strange = named - parameters(node) - DEFINED
    assert not strange, f"{stem}.{node.name} has no {', '.join(sorted(strange))}"
