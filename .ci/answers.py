"""Print every calculator's example and every demo plan as JSON, to compare Pythons by.

python .ci/answers.py RECIPES: prints what the installed prepkit answers to each.
"""

from __future__ import annotations

import contextlib
import shlex
import sys
from pathlib import Path

from prepkit import registry
from prepkit.cli import main
from prepkit.index import CALCULATORS


def answer(words: list[str]) -> None:
    """One command's output below its own words."""
    print("==", *words, flush=True)
    with contextlib.suppress(SystemExit):
        main(words)
    sys.stdout.flush()


for name in CALCULATORS:
    answer([*shlex.split(registry.load(name).example)[1:], "--json", "--working"])
    answer(shlex.split(registry.load(name).example)[1:])
for recipe in sorted(Path(sys.argv[1]).glob("*.toml")):
    answer(["plan", str(recipe), "--serves", "40", "--json"])
    answer(["plan", str(recipe), "--serves", "40", "--batch"])
