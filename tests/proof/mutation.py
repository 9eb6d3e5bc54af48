"""Mutation tests of the code that a person's safety rests on: `python tests/proof/mutation.py`.

The tree is copied, mutmut changes one thing at a time in the modules below, and the tests beside
them must notice. Constants outside functions and code under a decorator, which mutmut leaves alone,
are changed here: each number by 5 % (an integer by one), each truth value turned round.
What survives must stand in survivors.toml with its reason, and be at most 5 % of each module.

    python tests/proof/mutation.py                 every group
    python tests/proof/mutation.py keeping room    some of them
"""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import unified_diff
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SURVIVORS = Path(__file__).with_name("survivors.toml")
MOST_SHARE = 0.05
COPIED = ("prepkit", "tests", "recipes", "README.md", "SAFETY.md", "pyproject.toml")
SURVIVED = {0, 5, 33}  # exit status of a run that noticed nothing, or found no test to run
# group -> modules below prepkit/, the quick tests that must notice (below tests/)
GROUPS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "vessel": (("science/charged_vessel",), ("proof/test_vessel_exact.py", "proof/test_ranges.py")),
    "air": (("science/room_air",), ("proof/test_air_exact.py", "proof/test_ranges.py")),
    "tables": (("science/keeping",), ("science/test_keeping.py", "proof/test_ranges.py")),
    "cautions": (("cautions",), ("proof/test_cautions_exact.py",)),
    "plants": (("jurisdictions",), ("proof/test_plants_exact.py",)),
    "acids": (("derived",), ("proof/test_cautions_exact.py",)),
    "siphon": (
        ("calculators/siphon/load", "calculators/siphon/inputs"),
        ("proof/test_siphon_exact.py", "proof/test_siphon_warmed.py"),
    ),
    "room": (
        ("shared/room_check", "calculators/room/__init__"),
        ("proof/test_room_exact.py",),
    ),
    "keep": (("shared/keeping",), ("proof/test_keep_exact.py",)),
}  # fmt: skip


@dataclass
class Found:
    """What came of one module: how many mutants there were, and those that nobody noticed."""

    module: str
    count: int = 0
    survivors: list[str] = field(default_factory=list)

    @property
    def share(self) -> float:
        """Survivors over mutants."""
        return len(self.survivors) / self.count if self.count else 0.0


def _environment(tree: Path) -> dict[str, str]:
    # CI: hypothesis draws the same examples every time
    return {**os.environ, "CI": "1", "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}


def _copy(tree: Path, modules: tuple[str, ...], tests: list[str]) -> None:
    for name in COPIED:
        one = ROOT / name
        if one.is_dir():
            shutil.copytree(one, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(one, tree / name)
    only = json.dumps([f"prepkit/{one}.py" for one in modules])
    settings = (
        f'\n[tool.mutmut]\nsource_paths = ["prepkit"]\nonly_mutate = {only}\n'
        f"also_copy = {json.dumps([one for one in COPIED if one != 'prepkit'])}\n"
        f"pytest_add_cli_args_test_selection = {json.dumps(tests)}\n"
        'pytest_add_cli_args = ["-p", "no:cacheprovider", "--no-header"]\n'
    )
    with (tree / "pyproject.toml").open("a", encoding="utf-8") as config:
        config.write(settings)


# by mutmut, inside functions


def _functions(path: Path) -> dict[str, str]:
    """Source of each function of a file by its name, methods by their own name too."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    return {
        node.name: "\n".join(lines[node.lineno - 1 : node.end_lineno])
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    }


def _change(before: str, after: str) -> str:
    """The changed lines of two sources, as "- old / + new" without their indents."""
    changed = [
        f"{line[0]} {line[1:].strip()}"
        for line in unified_diff(before.splitlines()[1:], after.splitlines()[1:], n=0, lineterm="")
        if line[0] in "+-" and not line.startswith(("---", "+++"))
    ]
    if changed:
        return " / ".join(changed)
    first = [text.split("\n", 1)[0].partition("(")[2] for text in (before, after)]
    return f"- ({first[0]} / + ({first[1]}"


def by_mutmut(tree: Path, modules: tuple[str, ...]) -> dict[str, Found]:
    """Run mutmut in the copy and read what it found."""
    subprocess.run(
        [sys.executable, "-m", "mutmut", "run", "--max-children", "1"],
        cwd=tree, env=_environment(tree), check=True, stdout=sys.stderr,
    )  # fmt: skip
    found = {}
    for module in modules:
        file = tree / "mutants" / "prepkit" / f"{module}.py"
        statuses = json.loads(Path(f"{file}.meta").read_text(encoding="utf-8"))["exit_code_by_key"]
        source, one = _functions(file), Found(module, len(statuses))
        for key, status in statuses.items():
            if status is None:
                raise SystemExit(f"{key} was not run")
            if status in SURVIVED:
                name = key.rpartition(".")[2]
                base = name.rpartition("__mutmut_")[0]
                shown = base.removeprefix("x_").replace("xǁ", "").replace("ǁ", ".")
                change = _change(source[f"{base}__mutmut_orig"], source[name])
                one.survivors.append(f"{shown}: {change}")
        found[module] = one
    return found


# by hand, outside functions and under decorators


def _constants(tree: ast.Module) -> Iterator[ast.Constant]:
    """Numbers and truth values that mutmut does not reach."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            if node.decorator_list:
                yield from _in(node.body)
        elif isinstance(node, ast.ClassDef):
            for one in node.body:
                if not isinstance(one, ast.FunctionDef):
                    yield from _in([one])
                elif one.decorator_list:
                    yield from _in(one.body)
        else:
            yield from _in([node])


def _in(nodes: list[ast.stmt]) -> Iterator[ast.Constant]:
    for node in nodes:
        for one in ast.walk(node):
            if isinstance(one, ast.Constant) and isinstance(one.value, bool | int | float):
                yield one


def _other(value: bool | float) -> bool | float:
    if isinstance(value, bool):
        return not value
    return value + 1 if isinstance(value, int) else (value * 1.05 or 0.05)


def by_hand(tree: Path, module: str, tests: list[str]) -> Found:
    """Change each constant in turn and run the tests."""
    path = tree / "prepkit" / f"{module}.py"
    text = path.read_text(encoding="utf-8")
    found = Found(module)
    lines = text.splitlines(keepends=True)
    for one in _constants(ast.parse(text)):
        at = one.lineno - 1
        line = lines[at].encode()
        changed = (
            line[: one.col_offset] + repr(_other(one.value)).encode() + line[one.end_col_offset :]
        ).decode()
        path.write_text("".join([*lines[:at], changed, *lines[at + 1 :]]), encoding="utf-8")
        ran = subprocess.run(
            [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests],
            cwd=tree, env=_environment(tree), check=False, capture_output=True,
        )  # fmt: skip
        found.count += 1
        if ran.returncode in SURVIVED:
            found.survivors.append(f"constant: - {lines[at].strip()} / + {changed.strip()}")
    path.write_text(text, encoding="utf-8")
    return found


# the whole


def explained() -> dict[str, dict[str, str]]:
    """Module -> survivor -> why it changes nothing that matters."""
    with SURVIVORS.open("rb") as file:
        rows = tomllib.load(file)["reason"]
    by_module: dict[str, dict[str, str]] = {}
    for row in rows:
        by_module.setdefault(row["module"], {}).update(dict.fromkeys(row["mutants"], row["why"]))
    return by_module


def run(group: str) -> list[Found]:
    """Every mutant of the modules of a group."""
    modules, names = GROUPS[group]
    tests = [f"tests/{name}" for name in names]
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder)
        _copy(tree, modules, tests)
        found = by_mutmut(tree, modules)
        for module in modules:
            more = by_hand(tree, module, tests)
            found[module].count += more.count
            found[module].survivors += more.survivors
    return list(found.values())


def main(groups: list[str]) -> int:
    """Exit status 0 where all that survived is explained, and little did."""
    known, wrong = explained(), 0
    for group in groups or GROUPS:
        for one in run(group):
            reasons = known.get(one.module, {})
            new = [name for name in one.survivors if name not in reasons]
            gone = [name for name in reasons if name not in one.survivors]
            print(f"{one.module}: {one.count} mutants, {len(one.survivors)} survivors "
                  f"({100 * one.share:.1f} %), {len(new)} not explained", flush=True)  # fmt: skip
            for name in new:
                print(f"  NEW  {name}")
            for name in gone:
                print(f"  GONE {name}")
            wrong += len(new) + len(gone) + (one.share > MOST_SHARE)
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
