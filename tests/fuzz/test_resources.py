"""No input of at most a megabyte takes more than 300 MB or 5 s: files, command lines, requests.

Each case is a process of its own, and the time is that of the processor, so that a busy machine
counts for nothing.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fuzz.tables import text_of
from prepkit.plan.files import MOST_BYTES

pytestmark = pytest.mark.skipif(not hasattr(os, "wait4"), reason="only Unix counts a process")
MOST_KB, MOST_SECONDS = 300 * 1024, 5.0
ROOT = Path(__file__).parents[2]
RECIPE = text_of("free-otter")
HOUSE = (ROOT / "recipes/house/house.toml").read_text(encoding="utf-8")
READINGS = (ROOT / "recipes/measured/cold-semaphore.toml").read_text(encoding="utf-8")


def full(head: str, row: str, tail: str = "") -> str:
    """As many rows as a file may have; a row may show its number."""
    count = (MOST_BYTES - len(head.encode()) - len(tail.encode()) - 100) // (len(row.encode()) + 6)
    return head + "".join(row.replace("#", str(n)) for n in range(count)) + tail


def tiny(size: str) -> str:
    """A recipe that fills vessels of almost nothing."""
    lines = RECIPE.splitlines()
    assert any(one.startswith("max_fill") for one in lines)
    return "\n".join(f'max_fill = "{size}"' if one.startswith("max_fill") else one for one in lines)


FILES: dict[str, tuple[list[str], Callable[[], str]]] = {
    **{
        f"batch sheet of vessels of {size}": (
            ["plan", "FILE", "--serves", "10000", "--batch"],
            lambda size=size: tiny(size),
        )
        for size in ("1e-3 l", "1e-6 l", "1e-300 l")
    },
    "many serves": (
        ["plan", "FILE", "--serves", "40"],
        lambda: full(RECIPE, '[[serve]]\nname="#"\npart="1 g water"\n'),
    ),
    "many parts": (
        ["plan", "FILE", "--serves", "40"],
        lambda: RECIPE.replace(
            'part = "500 g ruby-cordial"',
            f"part = [{full('', chr(34) + '5 g water' + chr(34) + ',')}]",
        ),
    ),
    "many steps": (
        ["plan", "FILE", "--serves", "40"],
        lambda: full(RECIPE, '[[items.ruby-cordial.step]]\ntext="#"\n'),
    ),
    "many items, checked": (
        ["plan", "FILE", "--check"],
        lambda: full(RECIPE, '[items.t#]\ncalculator="blend"\npart=["5 g w#xter"]\n'),
    ),
    "deep lists": (
        ["plan", "FILE", "--serves", "40"],
        lambda: "a = " + "[" * 250_000 + "]" * 250_000,
    ),
    "a house of many vessels": (
        ["plan", "recipes/cold-semaphore.toml", "--serves", "40", "--house", "FOLDER"],
        lambda: full(HOUSE, '[vessels.v#]\nmax_fill="1 l"\n'),
    ),
    "many readings": (
        ["plan", "recipes/cold-semaphore.toml", "--serves", "40", "--measured", "FILE"],
        lambda: full(READINGS, '[[reading]]\nitem="flower-cordial"\nmass="# g"\n'),
    ),
    "a pantry of many": (
        ["plan", "recipes/cold-semaphore.toml", "--serves", "40", "--house", "FOLDER"],
        lambda: full("", '[[ingredient]]\nname="thing #"\nform="liquid"\nper_100_g={water=100}\n'),
    ),
}
LINES: dict[str, list[str]] = {
    "one long word": ["blend", "--part", "x" * 120_000],
    "one long number": ["blend", "--part", f"{'9' * 120_000} g water"],
    "many parts": ["blend", *["--part", "5 g water"] * 10_000],
    "many unknown parts": ["blend", *["--part", "5 g wxter"] * 10_000],
    "many options": ["siphon", *[f"--x{n}" for n in range(20_000)]],
    "many prices": ["serve", "--part", "5 g water", *["--price", "1 per 5 g water"] * 10_000],
    "much in a siphon": ["siphon", "--contents", ", ".join(["5 g water"] * 10_000)],
    "many layers": ["layer", *["--layer", "5 ml water"] * 3_000],
    "many releases": ["room", "--volume", "30 m3", *["--release", "1 kg co2"] * 10_000],
}
PAGE = """
from prepkit.page import create_app
from prepkit.page.guard import Settings

client = create_app(Settings()).test_client()
for path in (
    "/make/blend?" + "&".join(["part=5+g+water"] * 1000),
    "/make/blend?part=" + "x" * 1_000_000,
    "/make/blend?" + "&".join(f"k{n}=1" for n in range(100_000)),
    "/make/siphon?contents=" + "5+g+water,+" * 1400,
):
    assert client.get(path).status_code < 500
for body in (b"a=1&" * 250_000, b"a" * 1_000_000):
    assert client.post("/make/blend", data=body).status_code < 500
"""


# A process begins with the peak of the one that starts it, so that a small one stands between.
MEASURE = """
import resource, subprocess, sys
ran = subprocess.run(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
sys.stdout.buffer.write(ran.stdout[-500:] + b"\\n")
print(ran.returncode, len(ran.stdout), used.ru_maxrss, used.ru_utime + used.ru_stime)
"""


def within(command: list[str]) -> None:
    """The command ends as it should, within the time and the memory that it may take."""
    said = subprocess.run(
        [sys.executable, "-c", MEASURE, sys.executable, *command],
        stdout=subprocess.PIPE, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=True,
    ).stdout  # fmt: skip
    code, length, most, took = said.splitlines()[-1].split()
    kb = int(most) // (1024 if sys.platform == "darwin" else 1)
    assert int(code) in (0, 2, 3, 4), said
    assert kb < MOST_KB, f"{kb / 1024:.0f} MB"
    assert float(took) < MOST_SECONDS, f"{float(took):.1f} s"
    assert int(length) < 20_000_000


@pytest.mark.parametrize("what", FILES)
def test_a_file_of_the_most_bytes(what: str, tmp_path: Path) -> None:
    words, text = FILES[what]
    path = tmp_path / ("pantry.toml" if "pantry" in what else "house.toml")
    path.write_text(text(), encoding="utf-8")
    assert path.stat().st_size <= 1 << 20
    given = {"FILE": str(path), "FOLDER": str(tmp_path)}
    within(["-m", "prepkit", *(given.get(word, word) for word in words)])


@pytest.mark.parametrize("what", LINES)
def test_a_long_command_line(what: str) -> None:
    within(["-m", "prepkit", *LINES[what]])


def test_requests_of_the_page() -> None:
    within(["-c", PAGE])
