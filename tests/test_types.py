"""A misspelt name fails the type checker; each Any has its reason; no text knows of options."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from each import each

from prepkit import facts

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "prepkit"
FILES = sorted(PACKAGE.rglob("*.py"))
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


def strange_facts(source: str) -> list[str]:
    """Names that are asked of facts by `get` and that no fact has: the type checker takes those."""
    return [
        node.args[0].value
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call)
        and ast.unparse(node.func) == "facts.get"
        and isinstance(node.args[0], ast.Constant)
        and node.args[0].value not in facts.NAMES
    ]


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
    assert strange_facts('facts.get("peel_g"), facts.get("peel_gg", 0.0)') == ["peel_gg"]


@each(FILES, lambda path: str(path.relative_to(PACKAGE)))
def test_an_any_has_its_reason_and_no_text_an_option(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    assert not without_reason(source), "write # Any: and the reason on the line, or a type"
    assert not strange_facts(source)
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
    assert not names & {"prepkit.cautions"}


MISSPELT = """\
import prepkit
from prepkit.calculators import blend, serve
from prepkit.calculators.siphon.inputs import Inputs as Load
from prepkit.facts import Facts
from prepkit.sheet import ItemSheet
from prepkit.plan.plan import Plan
from prepkit.sheet import PlanSheet

prepkit.run('blend', {'part': ['1 l water']}).verdict
prepkit.load_recipe('x').title
prepkit.Mixture({'water': 1.0})
prepkit.nonsense


def of(inputs: blend.Inputs, load: Load, plan: Plan, sheet: PlanSheet, item: ItemSheet) -> Facts:
    inputs.part, load.rated, plan.made, sheet['title'], item['made_g']
    inputs.parts
    load.ratd
    plan.mode
    sheet['titel']
    item['inpts']
    blend.Result(mas=1.0)
    serve.Result(facts={'ph': 3.0, 'serve_salt': 1.0})
    facts: Facts = {'oxygen_percent': 20.0}
    facts['oxygen_percnt']
    return {**facts, 'co2_percnt': 0.5}
"""


def test_a_misspelt_name_fails_the_type_checker(tmp_path: Path) -> None:
    code = tmp_path / "uses.py"
    code.write_text(MISSPELT)
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(ROOT / ".mypy_cache"),
         "--follow-imports=silent", str(code)],
        capture_output=True, text=True, cwd=ROOT, check=False, timeout=300,
    )  # fmt: skip
    lines = MISSPELT.splitlines()
    wrong = {lines.index("prepkit.nonsense") + 1}
    first = lines.index("    inputs.parts") + 1
    wrong |= set(range(first, len(lines) + 1)) - {first + 7}
    found = {int(line.split(":")[1]) for line in done.stdout.splitlines() if ": error:" in line}
    assert found == wrong, done.stdout + done.stderr
