"""Files of the size that is allowed, filled with what takes longest to read: answered in time.

What is made of rows has a quarter of them in an ordinary run, in half of the time: a pause of the
machine's own counts for more in a short one. Wrong items are whole: only the first are looked into.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from deep import TIMES

from fuzz import judge
from fuzz.tables import text_of
from prepkit.plan.files import MOST_BYTES
from prepkit.workflows.plan_command import PlanOptions, answer

PARTS = 4 if TIMES == 1 else 1
SECONDS = judge.SECONDS if TIMES > 1 else judge.SECONDS / 2


def filled(before: str, row: Callable[[int], str], after: str = "") -> str:
    """As many rows as a file may have, or the part of them that is tried."""
    rows, size = [], len(before) + len(after) + 100
    while size < MOST_BYTES // PARTS:
        rows.append(row(len(rows)))
        size += len(rows[-1])
    return before + "".join(rows[:-1]) + after


def parts(one: str) -> str:
    """A good recipe, with one part of it so many times, or as many as are tried."""
    return GOOD.replace(KEEP, f"part = [{one * (40_000 // PARTS)}]")


GOOD = text_of("free-otter")
KEEP = 'part = "500 g ruby-cordial"'
BAD_ITEMS = "".join(
    f'[items.mix-{n}]\ncalculator = "blend"\npart = ["5 g w{n}xter", "5 g wyter{n}"]\n'
    for n in range(900)
)
FILES: dict[str, Callable[[], str]] = {
    "one key of many dots": lambda: ".".join(["a"] * 250_000) + " = 1",
    "one header of many dots": lambda: f"[{'.'.join(['a'] * 250_000)}]",
    "many keys": lambda: filled("", lambda n: f"k{n}=1\n"),
    "many tables": lambda: filled("", lambda n: f"[t{n}]\n"),
    "many items": lambda: filled("", lambda n: f"[items.t{n}]\n"),
    "many keys of an item": lambda: filled(
        GOOD.replace("[items.ruby-cordial]\n", "") + "[items.ruby-cordial]\n",
        lambda n: f"k{n}=1\n",
    ),
    "many serves": lambda: filled(GOOD, lambda n: f'[[serve]]\nname="{n}"\npart="1 g water"\n'),
    "many variants": lambda: filled(GOOD, lambda n: f'[variant.v{n}]\ntitle="x"\n'),
    "many prices": lambda: filled(GOOD, lambda n: f'[[price]]\ningredient="wxter {n}"\n'),
    "deep lists": lambda: "a = " + "[" * 250_000 + "]" * 250_000,
    "deep tables": lambda: "a = " + "{a = " * 100_000 + "1" + "}" * 100_000,
    "one long text": lambda: f'title = "{"a" * 500_000}"',
    "one long number": lambda: f"serves = {'9' * 500_000}",
    "blanks": lambda: " " * 500_000,
    "many parts": lambda: parts('"5 g water",'),
    "many wrong parts": lambda: parts('"5 g wxter",'),
    "many wrong items": lambda: GOOD + BAD_ITEMS,
    "too large": lambda: "#" * (MOST_BYTES + 1),
}


@pytest.mark.parametrize("check", [False, True], ids=["plan", "check"])
@pytest.mark.parametrize("what", FILES)
def test_a_file_of_the_most_bytes_is_answered_in_time(
    what: str, check: bool, tmp_path: Path
) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(FILES[what](), encoding="utf-8")
    begun = time.process_time()
    got = judge.attempt(lambda: answer(PlanOptions(str(path), check=check)))
    took = time.process_time() - begun
    assert took < SECONDS or what == "many wrong items"  # which the judge gave all of the time
    assert (got is None) is not check
    if got is not None:
        assert got[1] == 2
        for line in got[0].splitlines():
            judge.sentence(line)
