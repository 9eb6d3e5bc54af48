"""Start-up of whole processes, paired and in ratios: python tests/bench/startup.py [runs].

Each command is run in turn with its yardstick (A B A B ...), so that a change in the machine's
speed hits both. Prints the median of each and the median of the ratios, then what one calculation
imports, by package. Measure an installed wheel: a checkout under PYTHONDONTWRITEBYTECODE compiles
at each start. Not part of the gate.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

PYTHON = sys.executable
RUN = [PYTHON, "-m", "prepkit"]
RECIPES = Path(__file__).parents[2] / "recipes"
BARE = "pass"
CLICK = "import click"
MODEL = "import click, pydantic; from pydantic import BaseModel"
CLASS = f"{MODEL}\nclass One(BaseModel, defer_build=True):\n    x: int = 1"
PAIRS: list[tuple[str, list[str], str, float | None]] = [
    ("--help, over click", [*RUN, "--help"], CLICK, 1.7),
    ("--help, over bare Python", [*RUN, "--help"], BARE, None),
    ("a calculation, metric", [*RUN, "blend", "--part", "500 g water"], MODEL, 1.7),
    ("a calculation, over one model class", [*RUN, "blend", "--part", "500 g water"], CLASS, None),
    ("a calculation, foreign unit", [*RUN, "blend", "--part", "1 lb water"], MODEL, 3.0),
    *[
        (f"plan of {path.stem}", [*RUN, "plan", str(path), "--serves", "40"], MODEL, 2.5)
        for path in sorted(RECIPES.glob("*.toml"))
    ],
]


def timed(command: list[str]) -> float:
    """Wall time of one run, s."""
    start = time.perf_counter()
    subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def imports(command: list[str]) -> Counter[str]:
    """Own time of the imports of a run by package, us, as Python's -X importtime counts it."""
    run = [command[0], "-X", "importtime", *command[1:]]
    said = subprocess.run(run, check=False, capture_output=True, text=True).stderr
    found: Counter[str] = Counter()
    for line in said.splitlines():
        own, _, rest = line.removeprefix("import time:").partition("|")
        if own.strip().isdigit():
            found[rest.rpartition("|")[2].strip().partition(".")[0]] += int(own)
    return found


def main(runs: int = 15) -> None:
    """Print one line a pair, then the packages that a calculation spends its imports on."""
    for name, command, yardstick, budget in PAIRS:
        base = [PYTHON, "-c", yardstick]
        timed(command), timed(base)
        pairs = [(timed(command), timed(base)) for _ in range(runs)]
        ours, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
        ratio = statistics.median(a / b for a, b in pairs)
        against = f" (budget {budget})" if budget else ""
        print(
            f"{name:36s} {1000 * ours:6.0f} ms against {1000 * theirs:6.0f} ms: "
            f"ratio {ratio:.2f}{against}"
        )
    found = imports([*RUN, "blend", "--part", "500 g water"])
    total = sum(found.values())
    most = ", ".join(f"{name} {100 * own / total:.0f} %" for name, own in found.most_common(6))
    print(f"what one calculation imports, {total / 1000:.0f} ms as traced: {most}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 15)
