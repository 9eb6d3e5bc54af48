"""What the ends of a ± say of an item holds for what a plan makes of it, as in its calculator."""

from __future__ import annotations

import pytest

from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.registry import run


@pytest.mark.parametrize(
    ("hot", "verdict"), [("59.5 C ± 1 C", "care"), ("59.5 C", "clear"), ("64 C ± 2 C", "stop")]
)
def test_an_end_of_a_spread_counts_in_a_plan(hot: str, verdict: str) -> None:
    words = {"hot": "120 g water", "hot_temperature": hot, "cup": "1 g"}
    lines = "\n".join(f'{key} = "{value}"' for key, value in words.items())
    planned = make_plan(
        read_recipe(
            f'title = "T"\nserves = 1\n[items.a]\ncalculator = "warm"\n{lines}\n'
            '[[serve]]\nname = "G"\npart = "50 g a"\n'
        ),
        1,
    )
    alone = run("warm", words)
    (made,) = planned.made
    assert alone.verdict == made.verdict == verdict
    serious = {one.id for one in alone.cautions if one.severity != "note"}
    assert verdict == "stop" or serious <= {one.id for one in made.found}
