"""What every calculator weighs out, and how much work a plan is: linear in its items."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe


@pytest.mark.parametrize("house", ["", '[house.bench]\nscale = "0.1 g"\n'])
def test_a_thousand_items_take_linear_time(house: str) -> None:
    import time

    def seconds(count: int) -> float:
        """CPU time of one plan, with steps, a scale and a price."""
        step = '[[items.a{n}.step]]\ntext = "mix"\ntakes = "1 min"'
        items = [
            '[items.a0]\ncalculator = "blend"\npart = ["1 kg water", "1 kg white sugar"]',
            *(
                f'[items.a{n}]\ncalculator = "blend"\npart = ["100 g a{n - 1}", "1 g water"]\n'
                + step.format(n=n)
                for n in range(1, count)
            ),
        ]
        text = "\n".join(items)
        text = (
            f'title = "t"\nserves = 1\n{house}{text}\n[[serve]]\nname = "n"\n'
            f'part = "1 g a{count - 1}"\n[[price]]\ningredient = "white sugar"\npack = "1 kg"\n'
            f"cost = 2\n"
        )
        recipe = read_recipe(text)
        start = time.process_time()
        make_plan(recipe, 10).to_dict()
        return time.process_time() - start

    seconds(10)
    small = min(seconds(100) for _ in range(3))
    assert seconds(1000) < 10 * small * 3


def test_a_plan_loads_only_what_it_needs() -> None:
    import subprocess
    import sys

    recipes = Path(__file__).parents[2] / "recipes"
    script = (
        "import sys\nfrom prepkit.workflows.plan_command import PlanOptions, answer\n"
        f"answer(PlanOptions(file={str(recipes / 'cold-semaphore.toml')!r}, serves='40'))\n"
        "print(*sorted(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=120
    )
    loaded = set(done.stdout.split())
    assert not loaded & {"pint", "jinja2", "flask", "prepkit.plan.check"}
    assert not loaded & {"prepkit.plan.check", "prepkit.plan.measured"}
