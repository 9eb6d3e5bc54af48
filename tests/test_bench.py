"""The bench fails where a budget is broken, keeps ten runs, and measures no checkout."""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path
from types import ModuleType

import pytest

BENCH = Path(__file__).parent / "bench"


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """tests/bench/figures.py, which is no package."""
    spec = importlib.util.spec_from_file_location("figures", BENCH / "figures.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "figures", module)
    spec.loader.exec_module(module)
    return module


def test_a_budget_is_met_broken_or_not_measured(bench: ModuleType) -> None:
    limits = bench.budgets()
    assert limits["startup", "--help"] == 1.25
    met = [bench.Figure(group, name, limit) for (group, name), limit in limits.items()]
    assert bench.broken(met, limits) == []
    assert len(bench.broken(met[1:], limits)) == 1
    for wrong in (1.001, float("nan"), float("inf")):
        over = [one._replace(value=one.value * wrong) for one in met]
        assert len(bench.broken(over, limits)) == len(limits)


def test_the_last_ten_runs_are_kept(bench: ModuleType, tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    assert bench.kept(path) == []
    for number in range(13):
        bench.keep({"figures": {"startup: --help": number}}, path)
    runs = bench.kept(path)
    assert [run["figures"]["startup: --help"] for run in runs] == list(range(3, 13))
    assert "before 7.5" in bench.line(bench.Figure("startup", "--help", 9.0), {}, runs)
    path.write_text("no list", encoding="utf-8")
    assert bench.kept(path) == []
    path.write_text(json.dumps([1, {"figures": 2}]), encoding="utf-8")
    assert bench.kept(path) == []


def test_what_is_kept_is_not_committed(bench: ModuleType) -> None:
    ignored = (Path(__file__).parents[1] / ".gitignore").read_text(encoding="utf-8").split()
    assert bench.HISTORY.name in ignored
