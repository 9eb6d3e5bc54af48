"""Branch coverage of what verdicts rest on, 100 %: `python tests/proof/coverage_gate.py`.

Runs the tests that reach the relations, the calculators and the caution rules under coverage with
branches, hypothesis drawing the same examples every time, and fails where a branch was not taken.
The calculators themselves are held to 99 %: what is left there guards against calls that the
registry does not make.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# the relations, the rows and who judges them, and what makes facts for them
MEASURED = (
    "prepkit/science/*",
    "prepkit/derived.py",
    "prepkit/cautions.py",
    "prepkit/facts.py",
    "prepkit/jurisdictions.py",
    "prepkit/registry.py",
    "prepkit/calculators/siphon/inputs.py",
    "prepkit/calculators/siphon/load.py",
    "prepkit/calculators/siphon/register.py",
    "prepkit/calculators/cryogen.py",
    "prepkit/calculators/room/__init__.py",
    "prepkit/calculators/foam/__init__.py",
    "prepkit/shared/botanicals.py",
    "prepkit/shared/drink.py",
    "prepkit/shared/room_check.py",
    "prepkit/shared/keeping.py",
)
CALCULATORS = ("prepkit/calculators/*",)
TESTS = (
    "prepkit/science", "tests/science", "tests/published", "tests/calculators", "tests/proof",
    "tests/shared",
    "tests/tolerance/test_ends.py", "tests/tolerance/test_shown.py",
    *(f"tests/test_{name}.py" for name in (
        "cautions", "cautions_common", "registry", "safety_page",
    )),
)  # fmt: skip


def main() -> int:
    """Exit status of the tests, or 2 where they pass and a branch was not taken."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "CI": "1", "COVERAGE_FILE": str(Path(folder) / "coverage")}

        def coverage(*words: str) -> int:
            command = [sys.executable, "-m", "coverage", *words]
            return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode

        tests = ("-m", "pytest", "-q", "-p", "no:cacheprovider", *TESTS)
        failed = coverage("run", "--branch", "--source=prepkit", *tests)
        missed = 0
        for least, files in ((100, MEASURED), (99, CALCULATORS)):
            missed |= coverage(
                "report", "--show-missing", "--skip-covered", f"--fail-under={least}",
                "--precision=2", f"--include={','.join(files)}",
            )  # fmt: skip
        return failed or missed


if __name__ == "__main__":
    raise SystemExit(main())
