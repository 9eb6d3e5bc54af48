"""Where the prepkit that is measured stands: an installed wheel, never the checkout.

An installed wheel of this Python is taken as it is. Where there is none, or what is installed reads
the checkout, a wheel of the checkout is made and unpacked into a folder of its own.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2].resolve()
# asked in a process of its own, from a folder without prepkit
_WHERE = "import prepkit, sys; sys.stdout.write(prepkit.__path__[0])"


def folder(empty: Path) -> Path:
    """The folder that holds the package to be measured; `empty` is for a wheel made here."""
    asked = subprocess.run(
        [sys.executable, "-I", "-c", _WHERE],
        capture_output=True, text=True, cwd=empty, check=False,
    )  # fmt: skip
    found = Path(asked.stdout).resolve() if asked.returncode == 0 else ROOT
    if not found.is_relative_to(ROOT) or "site-packages" in found.parts:
        return found.parent
    target = empty / "installed"
    said = [sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--target", str(target)]
    made = subprocess.run([*said, str(ROOT)], capture_output=True, text=True, check=False)
    if made.returncode:
        raise SystemExit(f"no wheel of the checkout could be made:\n{made.stderr[-2000:]}")
    return target


def only_from(place: Path) -> None:
    """Import prepkit from this folder alone, in this process too."""
    here = str(Path(__file__).parent)
    kept = [one for one in sys.path if one and Path(one).resolve() not in (ROOT, ROOT / "tests")]
    sys.path[:] = [str(place), here, *kept]
    import prepkit

    got = Path(prepkit.__path__[0]).resolve()
    if got.parent != place.resolve():
        raise SystemExit(f"prepkit of {got} would be measured, not that of {place}.")
