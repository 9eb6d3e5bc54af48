"""What starting the program pulls in, and that nothing imports upwards."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest
from each import each

PACKAGE = Path(__file__).parent.parent / "prepkit"
HEAVY = ("babel", "pydantic", "pint", "tabulate", "jinja2", "flask")


def loaded_after(code: str) -> set[str]:
    script = f"import sys\n{code}\nprint(*sorted(sys.modules))"
    out = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    return set(out.splitlines()[-1].split())


def test_help_loads_nothing_heavy() -> None:
    code = (
        "from prepkit.cli import cli\n"
        "cli.main(['--help'], standalone_mode=False, prog_name='prepkit')"
    )
    loaded = loaded_after(code)
    assert not loaded & set(HEAVY)
    assert "prepkit.registry" not in loaded


def test_importing_the_package_loads_nothing() -> None:
    assert not loaded_after("import prepkit") & {*HEAVY, "click"}


def test_no_calculation_loads_models_or_the_units_library() -> None:
    us = ["2 US cup water", "4 oz wt white sugar", "1 lb water", "1 US fl oz water", "2 dash water"]
    code = (
        "import shlex\n"
        "from prepkit import registry\n"
        "from prepkit.cli import cli\n"
        "for name in registry.CALCULATORS:\n"
        "    words = shlex.split(registry.load(name).example)[1:]\n"
        "    try:\n"
        "        cli.main([*words, '--units', 'us', '--json'], standalone_mode=False)\n"
        "    except SystemExit as stop:\n"
        "        assert stop.code == 3\n"
        f"registry.run('blend', {{'part': {us!r}, 'temperature': '50 F'}})\n"
        "print()"
    )
    assert not loaded_after(code) & {*HEAVY, "pydantic_core"}


def test_a_paper_in_english_loads_no_catalogue() -> None:
    code = (
        "from prepkit.drill.command import printed\n"
        "from prepkit.drill.paper import make_paper\n"
        "printed(make_paper('acid', 2, 1), 'text', True)"
    )
    assert "babel" not in loaded_after(code)


LAYERS = {  # a module may import its own layer"s packages and those named
    "science": {"errors", "science"},
    "errors": set(),
    "numbers": {"errors"},
    "unit_table": set(),
    "units": {"errors", "numbers", "science", "unit_table"},
    "blocks": {"cautions", "errors", "hazard_names"},
    "index": set(),
    "record": set(),
    "mixture": {"errors", "record", "science"},
    "jurisdictions": {"blocks", "errors", "record"},
    "language": {"blocks", "errors"},
    "catalogues": {"blocks", "cautions", "language"},
    "hazard_names": {"blocks", "errors", "jurisdictions", "numbers"},
    "registry": {
        "cautions",
        "derived",
        "errors",
        "facts",
        "hazard_names",
        "index",
        "ingredient",
        "inputs",
        "jurisdictions",
        "mixture",
        "model",
        "numbers",
        "pantry",
        "plan",
        "record",
        "shared",
        "units",
    },
    "ingredient": {"blocks", "errors", "mixture", "record", "science", "units"},
    "pantry": {
        "blocks",
        "errors",
        "hazard_names",
        "ingredient",
        "mixture",
        "science",
        "units",
    },
    "sheet": set(),
    "files": {"errors"},
    "file_models": {"errors", "files", "numbers", "units"},
    "pantry_file": {
        "blocks",
        "errors",
        "file_models",
        "files",
        "hazard_names",
        "ingredient",
        "mixture",
        "numbers",
        "pantry",
        "science",
    },
    "inputs": {"errors", "ingredient", "numbers", "pantry", "record", "units"},
    "model": {
        "blocks",
        "errors",
        "facts",
        "inputs",
        "mixture",
        "record",
        "units",
    },
    "derived": {
        "errors",
        "facts",
        "ingredient",
        "mixture",
        "model",
        "pantry",
        "science",
    },
    "facts": set(),
    "cautions": {
        "blocks",
        "derived",
        "errors",
        "facts",
        "index",
        "jurisdictions",
        "mixture",
        "model",
        "units",
    },
}
FRONT = {
    "cli",
    "drill",
    "lesson",
    "page",
    "plan",
    "registry",
    "render",
    "stock",
    "tasting",
    "workflows",
}


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Every part of a file, read once."""
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def uses_of(path: Path) -> set[str]:
    """Every module of the package that a file imports, wherever in it, other than for types."""
    found: set[str] = set()
    skipped = {
        id(below)
        for node in nodes(path)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
        for below in ast.walk(node)
    }
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom) and node.module and id(node) not in skipped:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


@pytest.mark.parametrize(("layer", "other"), [("plan", "render"), ("render", "plan")])
def test_a_plan_and_what_shows_it_do_not_know_each_other(layer: str, other: str) -> None:
    for path in (PACKAGE / layer).rglob("*.py"):
        assert other not in imported(path), path.name


def test_no_two_modules_of_a_plan_need_each_other() -> None:
    plan = {f"prepkit.plan.{path.stem}": path for path in (PACKAGE / "plan").glob("*.py")}
    needs = {name: uses_of(path) & plan.keys() for name, path in plan.items()}
    placed: set[str] = set()
    while free := {name for name, of in needs.items() if name not in placed and of <= placed}:
        placed |= free
    assert not plan.keys() - placed, "these are in a circle, or stand above one"


def imported(path: Path) -> set[str]:
    """First name below prepkit of every prepkit import in a file."""
    found: set[str] = set()
    for node in nodes(path):
        if isinstance(node, ast.ImportFrom) and node.module:
            if node.module == "prepkit":
                found |= {alias.name for alias in node.names}
            elif node.module.startswith("prepkit."):
                found.add(node.module.split(".")[1])
        elif isinstance(node, ast.Import):
            found |= {a.name.split(".")[1] for a in node.names if a.name.startswith("prepkit.")}
    return found


# modules that no test bears the name of, and why; a package that is a docstring alone needs none
NO_TEST = {
    "sheet": "types alone: the type checker judges them",
    "unit_table": "generated from tests/unit_table.py, which tests/test_units.py compares it with",
}
TESTS = Path(__file__).parent


def has_test(path: Path) -> bool:
    """Whether a test beside those of its folder bears the name of a module, or begins with it.

    The files of a calculator's folder are tried as one, by the tests of that calculator.
    """
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    parts = parts[:-1] if parts[-1] == "__init__" else parts
    *folder, name = parts[:2] if parts[0] == "calculators" else parts
    beside = [TESTS.joinpath(*folder), TESTS.joinpath(*folder, name)]
    return any((*one.glob(f"test_{name}.py"), *one.glob(f"test_{name}_*.py")) for one in beside)


@each(sorted(PACKAGE.rglob("[!_]*.py")) + sorted(PACKAGE.glob("*/**/__init__.py")), str)
def test_the_test_of_a_module_bears_its_name(path: Path) -> None:
    if len(ast.parse(path.read_text(encoding="utf-8")).body) > 1:
        name = path.relative_to(PACKAGE).as_posix().removesuffix(".py")
        assert has_test(path) != (name in NO_TEST), "one of both: a test, or a reason for none"


@each(sorted(PACKAGE.rglob("*.py")), lambda path: str(path.relative_to(PACKAGE)))
def test_nothing_imports_upwards(path: Path) -> None:
    layer = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    uses = imported(path)
    if layer in LAYERS:
        assert uses <= LAYERS[layer] | {"__version__", "errors"}, (
            f"{layer} imports {uses - LAYERS[layer]}"
        )
    if layer in {"calculators", "shared"}:
        assert not uses & FRONT
    if layer == "shared":
        assert "calculators" not in uses
    if "pint" in {
        alias.name for node in nodes(path) if isinstance(node, ast.Import) for alias in node.names
    }:
        assert layer == "units"
