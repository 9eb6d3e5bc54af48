"""One command line as a person or a program meets it: within the process, or in one of its own."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from prepkit.cli import main

ROOT = Path(__file__).parent.parent.parent
OURS = ("PREPKIT_UNITS", "PREPKIT_HOUSE", "PREPKIT_JURISDICTION", "COLUMNS")
STOP = "room --volume '30 m3' --release '8 kg co2' --air-changes 0"
BLEND = "blend --part '700 ml spirit 43 %' --part '300 ml water'"


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error, within the process."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def started(
    words: str, *, more: Mapping[str, str] | None = None, python: str = "", **how: Any
) -> subprocess.Popen[bytes]:
    """The command line in a process of its own, with a bare environment and `more`."""
    there = {name: value for name, value in os.environ.items() if name not in OURS}
    return subprocess.Popen(
        [sys.executable, *shlex.split(python), "-m", "prepkit", *shlex.split(words)],
        env={**there, "PYTHONPATH": str(ROOT), **(more or {})},
        **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "cwd": ROOT, **how},
    )


def ran(words: str, given: bytes | None = None, **how: Any) -> tuple[int, bytes, str]:
    """Exit status, bytes of standard output, text of standard error of a process of its own."""
    if given is not None:
        how["stdin"] = subprocess.PIPE
    process = started(words, **how)
    out, err = process.communicate(given, timeout=120)
    return process.returncode, out or b"", (err or b"").decode()
