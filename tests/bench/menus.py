"""A menu of 1,000 and of 10,000 items, each in a process of its own: time and peak memory."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from figures import Figure

PER_FILE = 1000  # items of one recipe


def measured() -> Iterator[Figure]:
    """The time of 1,000 items and of 10,000, their ratio, and the memory of the larger."""
    small, _ = _of(1000)
    large, peak_mb = _of(10_000)
    yield Figure("inside_us", "menu of 1,000 items", 1e6 * small)
    yield Figure("inside_us", "menu of 10,000 items", 1e6 * large)
    yield Figure("ratio", "menu of 10,000 items over 1,000", large / small)
    yield Figure("mb", "menu of 10,000 items, peak memory", peak_mb)


def _of(items: int) -> tuple[float, float]:
    """Processor time, s, and peak memory, MB, of a menu from its files to its sheet."""
    told = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}  # the same prepkit as here
    run = subprocess.run(
        [sys.executable, __file__, str(items)], capture_output=True, text=True, check=True, env=told
    )
    seconds, peak_mb = map(float, run.stdout.split())
    return seconds, peak_mb


def write(folder: Path, items: int) -> Path:
    """A menu file of so many items, a shared one and a drink of each other one."""
    rows = []
    for start in range(0, items, PER_FILE):
        name = f"r{start}.toml"
        text = [
            'title = "t"\nserves = 10\n[items.all-share]\ncalculator = "blend"\n'
            'part = ["1 kg water", "1 kg white sugar"]\n'
        ]
        for number in range(start + 1, start + min(PER_FILE, items - start)):
            text.append(
                f'[items.a-{number}]\ncalculator = "blend"\n'
                f'part = ["100 g all-share", "{1 + number / 1e4:.4f} g water"]\n'
                f'[[items.a-{number}.step]]\ntext = "Stir"\ntakes = "10 min"\nhands_on = "2 min"\n'
                f'[[serve]]\nname = "d-{number}"\npart = "10 g a-{number}"\n'
            )
        (folder / name).write_text("".join(text), encoding="utf-8")
        rows.append(f'[[recipe]]\nfile = "{name}"\n')
    path = folder / "menu.toml"
    path.write_text("".join(rows), encoding="utf-8")
    return path


def main() -> None:
    """Print processor time and peak memory of one menu."""
    from prepkit.plan.plan import load_recipe, make_plan

    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder), int(sys.argv[1]))
        start = time.process_time()
        make_plan(load_recipe(path)).to_dict()
        took = time.process_time() - start
    print(took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


if __name__ == "__main__":
    main()
