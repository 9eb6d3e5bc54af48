"""What the type checker cannot ask: each Any has its reason, and no text knows of options."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from each import each

PACKAGE = Path(__file__).parent.parent / "prepkit"
ROOMS = ("calculators", "shared", "plan", "render")
FILES = sorted(path for folder in ROOMS for path in (PACKAGE / folder).rglob("*.py"))
NO_OPTIONS = ("calculators", "shared")


def without_reason(source: str) -> list[int]:
    """Lines that say Any with no comment on it beside them."""
    lines = source.splitlines()
    said = {
        node.lineno
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Name) and node.id == "Any"
    }
    return sorted(line for line in said if "# Any:" not in lines[line - 1])


def strings(node: ast.AST) -> Iterator[tuple[int, str]]:
    """Every text of a tree other than EXAMPLE's and docstrings, with its line."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Assign) and ast.unparse(child.targets[0]) == "EXAMPLE":
            continue
        if isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant):
            continue
        if isinstance(child, ast.Constant) and isinstance(child.value, str):
            yield child.lineno, child.value
        yield from strings(child)


def options(source: str) -> list[int]:
    """Lines with a text that writes an option as the command line does."""
    return sorted({line for line, text in strings(ast.parse(source)) if "--" in text})


def test_an_any_without_a_reason_and_an_option_are_found() -> None:
    assert without_reason("x: Any = 1\ny: Any = 2  # Any: rows of a file\n") == [1]
    assert without_reason("def f(\n    x: dict[str, Any],\n) -> Any: ...  # Any: it\n") == [2]
    source = 'EXAMPLE = "a --b c"\nx = f"--{name} is"\ny = "write --target"\n"""--no text"""\n'
    assert options(source) == [2, 3]


@each(FILES, lambda path: str(path.relative_to(PACKAGE)))
def test_an_any_has_its_reason_and_no_text_an_option(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    assert not without_reason(source), "write # Any: and the reason on the line, or a type"
    if path.relative_to(PACKAGE).parts[0] in NO_OPTIONS:
        assert not options(source), "name the input by errors.named; each front end has its own way"


@pytest.mark.parametrize(
    "path", sorted((PACKAGE / "calculators").rglob("*.py")), ids=lambda path: path.stem
)
def test_no_calculator_reads_a_row_of_cautions(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    asked = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and ast.unparse(node.value) == "cautions"
    }
    names = {
        alias.name if node.module == "prepkit" else node.module or ""
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    assert asked <= {"about"}
    assert not names & {"prepkit.cautions", "prepkit.caution_rows", "caution_rows"}
