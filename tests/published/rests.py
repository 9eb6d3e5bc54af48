"""What rests on each source, read from the code itself and the published checks.

`python tests/published/rests.py` writes prepkit/data/rests.toml, which `prepkit sources` shows and
a test holds against this module. A source counts for a relation where its docstring, a comment
beside a constant that it uses, or its own text names the key; it counts for a calculator where the
calculator's `compute` comes to such a relation or to a step of the working that names the key.
"""

from __future__ import annotations

import ast
import re
import sys
import tokenize
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from prepkit import blocks, derived, model, registry  # noqa: E402 - found by the path above
from prepkit.index import CALCULATORS  # noqa: E402 - as above
from published.rows import load, topics  # noqa: E402 - as above

TARGET = ROOT / "prepkit/data/rests.toml"
HEAD = (
    "# What rests on each source. Written by `python tests/published/rests.py`; not by hand.\n"
    "# steps: of the working, by calculator. relations: functions of prepkit/science.\n"
    "# calculators: whose answers come to either. checks: published values in the tests.\n"
)
EVERY = model.source_keys()
KEYS = frozenset(EVERY)
_NAMED = re.compile(r"\[([A-Z0-9][A-Z0-9-]+)\]")


@dataclass
class Part:
    """A function, method, class or constant of a module: the keys it names, what it refers to."""

    module: str
    name: str
    keys: set[str] = field(default_factory=set)
    steps: set[tuple[str, str]] = field(default_factory=set)  # label, key
    refers: set[tuple[str, str]] = field(default_factory=set)  # module, name


def named(text: str) -> set[str]:
    """The keys that a text names in square brackets."""
    return KEYS.intersection(_NAMED.findall(text))


def checked(source: str) -> list[str]:
    """The keys that a published row's source names."""
    return [word for word in re.findall(r"[A-Z0-9][A-Z0-9-]+", source) if word in KEYS]


@cache
def parts() -> dict[tuple[str, str], Part]:
    """Every part of the package by module and name."""
    found: dict[tuple[str, str], Part] = {}
    files = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): path
        for path in sorted((ROOT / "prepkit").rglob("*.py"))
    }
    for module, path in files.items():
        for part in _of_module(module, path, files.keys()):
            found[part.module, part.name] = part
    return found


def _of_module(module: str, path: Path, modules: Iterable[str]) -> Iterator[Part]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    with path.open("rb") as file:
        comments = {
            token.start[0]: token.string
            for token in tokenize.tokenize(file.readline)
            if token.type == tokenize.COMMENT
        }
    imported = dict(_imports(tree, set(modules)))
    for name, target in imported.items():
        yield Part(module, name, refers={target})
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield _part(module, node.name, node, imported, comments)
        elif isinstance(node, ast.ClassDef):
            methods = [inner for inner in node.body if isinstance(inner, ast.FunctionDef)]
            for inner in methods:
                yield _part(module, f".{inner.name}", inner, imported, comments)
            node.body = [inner for inner in node.body if inner not in methods]
            yield _part(module, node.name, node, imported, comments)
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            for target in targets:
                for one in ast.walk(target):
                    if isinstance(one, ast.Name):
                        part = _part(module, one.id, node, imported, comments)
                        if module.endswith("_data"):  # its sources stand in its docstring
                            part.keys |= named(ast.get_docstring(tree) or "")
                        yield part


def _imports(tree: ast.Module, modules: set[str]) -> Iterator[tuple[str, tuple[str, str]]]:
    """Names of a module that stand for a module ("", its name) or a part of one."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for one in node.names:
                whole = f"{node.module}.{one.name}"
                target = (whole, "") if whole in modules else (node.module, one.name)
                yield one.asname or one.name, target


def _part(
    module: str,
    name: str,
    node: ast.stmt,
    imported: dict[str, tuple[str, str]],
    comments: dict[int, str],
) -> Part:
    part = Part(module, name)
    first = node.lineno
    while first - 1 in comments and not isinstance(node, ast.FunctionDef | ast.ClassDef):
        first -= 1
    for line in range(first, (node.end_lineno or node.lineno) + 1):
        part.keys |= named(comments.get(line, ""))
    own = _bound(node) if isinstance(node, ast.FunctionDef) else set()
    for one in ast.walk(node):
        if isinstance(one, ast.Constant) and isinstance(one.value, str):
            part.keys |= {one.value} & KEYS or named(one.value)
        elif isinstance(one, ast.Name) and one.id not in own:
            part.refers.add(imported.get(one.id, (module, one.id)))
        elif isinstance(one, ast.Attribute):
            whose = one.value.id if isinstance(one.value, ast.Name) else ""
            base = None if whose in own else imported.get(whose)
            if base is not None and not base[1]:
                part.refers.add((base[0], one.attr))
            part.refers |= {("prepkit.mixture", f".{one.attr}"), (module, f".{one.attr}")}
        if isinstance(one, ast.Call) and isinstance(one.func, ast.Name) and one.func.id == "Step":
            part.steps |= set(_step(one))
    return part


def _bound(function: ast.FunctionDef) -> set[str]:
    """Names that a function binds itself: they stand for nothing of its module."""
    names = {one.arg for one in ast.walk(function) if isinstance(one, ast.arg)}
    return names | {
        one.id
        for one in ast.walk(function)
        if isinstance(one, ast.Name) and isinstance(one.ctx, ast.Store)
    }


def _step(call: ast.Call) -> Iterator[tuple[str, str]]:
    source = next((word.value for word in call.keywords if word.arg == "source"), None)
    source = call.args[4] if len(call.args) > 4 else source
    if source is None:
        return
    label = ast.unparse(call.args[0])
    label = re.sub(r"\{[^}]*\}", "...", label.removeprefix("f")).strip("'\"")
    for one in ast.walk(source):
        if isinstance(one, ast.Constant) and one.value in KEYS:
            yield label, one.value


def reached(calculator: str) -> list[Part]:
    """The parts that a calculator's answer comes to."""
    start = (f"prepkit.calculators.{CALCULATORS[calculator][0]}", "compute")
    seen, todo = {start}, [start]
    while todo:
        for other in parts()[todo.pop()].refers:
            if other not in seen and other in parts():
                seen.add(other)
                todo.append(other)
    return [parts()[one] for one in sorted(seen)]


def rests() -> dict[str, dict[str, list[str]]]:
    """By source key: steps, relations, calculators and checks, each in order; empty left out."""
    found: dict[str, dict[str, set[str]]] = {
        key: {"steps": set(), "relations": set(), "calculators": set(), "checks": set()}
        for key in EVERY
    }
    for calculator in CALCULATORS:
        for part in reached(calculator):
            for key in part.keys:
                found[key]["calculators"].add(calculator)
            for label, key in part.steps:
                found[key]["steps"].add(f"{calculator}: {label}")
        for name, shown in registry.load(calculator).result.outputs().items():
            # a step of every calculator that shows the value; a gas's energy is in joules
            if name in derived.RESTS and shown.unit != "J":
                label, _, key = derived.RESTS[name]
                found[key]["steps"].add(f"{calculator}: {label}")
                found[key]["calculators"].add(calculator)
    for key, relation in _relations():
        found[key]["relations"].add(relation)
    for topic in topics():
        for row in load(topic):
            for key in checked(row.source):
                found[key]["checks"].add(row.id)
    return {
        key: {name: sorted(value) for name, value in kinds.items() if value}
        for key, kinds in found.items()
        if any(kinds.values())
    }


def _relations() -> Iterator[tuple[str, str]]:
    """Keys with the functions of prepkit/science that rest on them, by text or by a constant.

    A constant stands for itself where no function of science refers to it.
    """
    science = [part for part in parts().values() if part.module.startswith("prepkit.science.")]
    constants = {(p.module, p.name) for p in science if p.name.lstrip("_").isupper()}
    used = {one for part in science if part.name.islower() for one in part.refers} & constants
    for part in science:
        here = (part.module, part.name)
        if here in constants - used and not part.name.startswith("_"):
            keys = part.keys
        elif part.name.islower() and not part.name.startswith("_"):
            below = (parts()[one].keys for one in part.refers & constants)
            keys = part.keys.union(*below)
        else:
            continue
        for key in keys:
            yield key, f"{part.module.removeprefix('prepkit.')}.{part.name.lstrip('.')}"


def text() -> str:
    """The file as it should stand."""
    out = [HEAD]
    for key, kinds in rests().items():
        out.append(f"\n[{key}]\n")
        for name, values in kinds.items():
            out.append(f"{name} = [{', '.join(map(_quoted, values))}]\n")
    return "".join(out)


def _quoted(value: str) -> str:
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


if __name__ == "__main__":
    TARGET.write_text(text(), encoding="utf-8")
    blocks.main()
