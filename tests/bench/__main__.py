"""All measurements in one run: python tests/bench [runs]. Not in the gate.

An installed wheel is measured, wherever this is started: see installed.py. Exit status 1 where a
budget of budgets.toml is broken. The last ten runs are kept in .bench.json and compared with.
"""

from __future__ import annotations

import platform
import sys
import tempfile
import time
from pathlib import Path

import figures
import installed


def main() -> int:
    """Start-up of whole processes, then the work inside one process, each beside its budget."""
    given = sys.argv[1:] or ["15"]
    if len(given) > 1 or not given[0].isdigit() or int(given[0]) < 1:
        print(f"{' '.join(given)!r} is no number of runs; write one from 1 on, such as 15.")
        return 2
    limits, runs = figures.budgets(), figures.kept()
    with tempfile.TemporaryDirectory() as empty:
        place = installed.folder(Path(empty))
        installed.only_from(place)
        import inside
        import startup

        print(f"prepkit of {place}, Python {platform.python_version()}, {len(runs)} runs kept")
        found = []
        for measured in (startup.measured(int(given[0]), place), inside.measured()):
            for one in measured:
                found.append(one)
                print(figures.line(one, limits, runs), flush=True)
        print(startup.imports(place))
    figures.keep(
        {
            "when": time.strftime("%Y-%m-%d %H:%M:%S"),
            "python": platform.python_version(),
            "figures": {f"{one.group}: {one.name}": round(one.value, 4) for one in found},
        }
    )
    said = figures.broken(found, limits)
    print(*said, sep="\n")
    return 1 if said else 0


if __name__ == "__main__":
    raise SystemExit(main())
