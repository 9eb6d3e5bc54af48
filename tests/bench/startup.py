"""Start-up of whole processes, paired with `import click`, as ratios of processor time.

Each command is run in turn with its yardstick (A B A B ...), so that a change in the machine's
speed hits both. The time is that of the processor where the system tells it (what waits for others
on a busy machine does not count), else wall time. Then what one calculation imports, by package.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from figures import Figure

START = "from prepkit.cli import main; main()"  # what the installed command does


def commands(place: Path) -> dict[str, list[str]]:
    """Each command of the budgets, and the other demo plans."""
    demos = place / "prepkit" / "data" / "shipped" / "recipes"
    plans = sorted(demos.glob("*.toml"), key=lambda path: path.stat().st_size)
    serves = ["--serves", "40"]
    return {
        "--help": ["--help"],
        "a calculation": ["blend", "--part", "500 g water"],
        "a calculation in US units": ["blend", "--part", "1 lb water", "--units", "us"],
        "the largest demo plan": ["plan", str(plans[-1]), *serves],
        **{f"plan of {path.stem}": ["plan", str(path), *serves] for path in plans[:-1]},
    }


def timed(command: list[str], place: Path) -> float:
    """Time of one run, s."""
    told = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    told["PYTHONPATH"] = str(place)
    start = time.perf_counter()
    with subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=told, cwd=place
    ) as running:
        _, said = running.communicate() if not hasattr(os, "wait4") else (b"", b"")
        if hasattr(os, "wait4"):
            assert running.stderr is not None
            said = running.stderr.read()
            _, status, used = os.wait4(running.pid, 0)
            running.returncode = os.waitstatus_to_exitcode(status)
            took = used.ru_utime + used.ru_stime
        else:
            took = time.perf_counter() - start
    if running.returncode not in (0, 3):
        raise SystemExit(f"{' '.join(command)} failed:\n{said.decode()}")
    return took


def measured(runs: int, place: Path) -> Iterator[Figure]:
    """The median of each command's ratio over importing click."""
    base = [sys.executable, "-c", "import click"]
    for name, words in commands(place).items():
        command = [sys.executable, "-c", START, *words]
        timed(command, place), timed(base, place)
        pairs = [(timed(command, place), timed(base, place)) for _ in range(runs)]
        ours, theirs = (1000 * statistics.median(column) for column in zip(*pairs, strict=True))
        ratio = statistics.median(a / b for a, b in pairs)
        yield Figure("startup", name, ratio, f"{ours:.0f} ms over {theirs:.0f} ms")


def imports(place: Path) -> str:
    """The packages that a calculation spends its imports on, as -X importtime counts them."""
    run = [sys.executable, "-X", "importtime", "-c", START, "blend", "--part", "500 g water"]
    told = {**os.environ, "PYTHONPATH": str(place)}
    done = subprocess.run(run, check=False, capture_output=True, text=True, env=told, cwd=place)
    found: Counter[str] = Counter()
    for line in done.stderr.splitlines():
        own, _, rest = line.removeprefix("import time:").partition("|")
        if own.strip().isdigit():
            found[rest.rpartition("|")[2].strip().partition(".")[0]] += int(own)
    total = sum(found.values())
    most = ", ".join(f"{name} {100 * own / total:.0f} %" for name, own in found.most_common(6))
    return f"what one calculation imports, {total / 1000:.0f} ms as traced: {most}"
