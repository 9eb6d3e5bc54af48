"""A measured figure beside its budget and the last ten runs, kept in a file that git ignores."""

from __future__ import annotations

import json
import statistics
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, NamedTuple

KEPT = 10
BUDGETS = Path(__file__).with_name("budgets.toml")
HISTORY = Path(__file__).parents[2] / ".bench.json"


class Figure(NamedTuple):
    """One measurement: its group and name as in budgets.toml, the figure, what is shown of it."""

    group: str
    name: str
    value: float
    shown: str = ""


def budgets(path: Path = BUDGETS) -> dict[tuple[str, str], float]:
    """Every budget by its group and name."""
    read = tomllib.loads(path.read_text(encoding="utf-8"))
    return {(group, name): limit for group, rows in read.items() for name, limit in rows.items()}


def broken(found: Iterable[Figure], limits: Mapping[tuple[str, str], float]) -> list[str]:
    """One sentence for each budget that is passed, or that nothing was measured for."""
    measured = {(one.group, one.name): one.value for one in found}
    said = []
    for (group, name), limit in limits.items():
        value = measured.get((group, name))
        if value is None:
            said.append(f"{name} was not measured; its budget is {limit:g}.")
        elif not value <= limit:  # nan is no pass
            said.append(f"{name} is {value:.4g}; its budget is {limit:g}.")
    return said


def kept(path: Path = HISTORY) -> list[dict[str, Any]]:
    """The last runs, oldest first; none where the file is not there or cannot be read."""
    try:
        read = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    runs = read if isinstance(read, list) else []
    return [one for one in runs if isinstance(one, dict) and isinstance(one.get("figures"), dict)]


def keep(run: Mapping[str, Any], path: Path = HISTORY) -> None:
    """Add a run; only the last ten stay."""
    runs = [*kept(path), dict(run)][-KEPT:]
    path.write_text(json.dumps(runs, indent=1) + "\n", encoding="utf-8")


def line(one: Figure, limits: Mapping[tuple[str, str], float], runs: list[dict[str, Any]]) -> str:
    """The figure, its budget, and the median of the runs before."""
    limit = limits.get((one.group, one.name))
    key = f"{one.group}: {one.name}"
    before = [run["figures"][key] for run in runs if key in run["figures"]]
    unit = " us" if one.group.endswith("_us") else ""
    said = f"{one.name:34s} {one.value:10.4g}{unit:3s}"
    said += f"  budget {limit:<9g}" if limit is not None else " " * 18
    said += f"  before {statistics.median(before):<9.4g}" if before else ""
    passed = limit is not None and not one.value <= limit
    return f"{said}  {one.shown}{'  PASSED ITS BUDGET' if passed else ''}".rstrip()
