"""Start-up of whole processes, paired and in ratios: python tests/bench/startup.py [runs].

Each command is run in turn with its yardstick (A B A B ...), so that a change in the machine's
speed hits both. Prints the median of each and the median of the ratios. Not part of the gate.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

PYTHON = sys.executable
RUN = [PYTHON, "-m", "prepkit"]
RECIPE = next(iter(sorted((Path(__file__).parents[2] / "recipes").glob("*.toml"))), None)
MODEL = "import click, pydantic; from pydantic import BaseModel"
PAIRS = [
    ("--help", [*RUN, "--help"], "import click", 1.7),
    ("calculation, metric", [*RUN, "blend", "--part", "500 g water"], MODEL, 1.7),
    ("calculation, foreign unit", [*RUN, "blend", "--part", "1 lb water"], MODEL, 3.0),
    *([("plan", [*RUN, "plan", str(RECIPE), "--serves", "40"], MODEL, 2.5)] if RECIPE else []),
]


def timed(command: list[str]) -> float:
    """Wall time of one run, s."""
    start = time.perf_counter()
    subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    """Print one line a pair."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    for name, command, yardstick, budget in PAIRS:
        base = [PYTHON, "-c", yardstick]
        timed(command), timed(base)
        pairs = [(timed(command), timed(base)) for _ in range(runs)]
        ours, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
        ratio = statistics.median(a / b for a, b in pairs)
        print(
            f"{name:28s} {1000 * ours:6.0f} ms against {1000 * theirs:6.0f} ms: "
            f"ratio {ratio:.2f} (budget {budget})"
        )


if __name__ == "__main__":
    main()
