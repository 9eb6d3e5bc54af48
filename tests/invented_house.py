"""An invented house with a ledger of 30 measured batches: `python tests/invented_house.py FOLDER`.

Everything in it is INVENTED: the demo recipes and their house are copied into the folder, and a
seeded draw makes readings of their items over one autumn, as the bench would record them. One
batch of flower cordial is out on purpose.

    prepkit bench losses --house FOLDER/house
    prepkit bench chart flower-cordial --house FOLDER/house
    prepkit plan FOLDER/cold-semaphore.toml --serves 40
    prepkit plan FOLDER/menu.toml --stock
"""

from __future__ import annotations

import random
import shutil
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from prepkit import learn
from prepkit.plan.plan import Plan, load_recipe, make_plan
from prepkit.plan.recipe_file import read_readings
from prepkit.stock import open_ledger

ROOT = Path(__file__).parents[1]
EVENINGS, OUT = 15, 12  # two batches each; the evening whose cordial is out
FIRST = datetime(2026, 9, 1, 15, tzinfo=UTC)
RECIPE = "cold-semaphore"
STOCK = """
# INVENTED: a ledger of this house
[stock]
ledger = "house.db"
"""


def build(folder: Path, seed: int = 20) -> Path:
    """Make the house in a folder that is not there yet; the folder of its house file."""
    shutil.copytree(ROOT / "recipes", folder)
    house = folder / "house"
    with (house / "house.toml").open("a", encoding="utf-8") as file:
        file.write(STOCK)
    recipe = load_recipe(folder / f"{RECIPE}.toml")
    plan = make_plan(recipe, 40)
    draw = random.Random(seed)
    with open_ledger(str(house / "house.db"), create=True) as ledger:
        for evening in range(EVENINGS):
            at = FIRST + timedelta(days=7 * evening % 80)
            read = read_readings(_words(plan, draw, evening == OUT), recipe.items)
            learn.record(
                ledger, plan, read, batch=at.date().isoformat(), who="AB", at=at,
                place="fridge",
            )  # fmt: skip
    return house


def _words(plan: Plan, draw: random.Random, out: bool) -> str:
    """Readings of an evening: a peel that keeps about 31 %, a cordial about its plan."""
    made = {one.item.id: one for one in plan.made}

    def mass_g(id_: str) -> float:
        product = made[id_].product
        assert product is not None
        return 1000 * product.mass_kg

    brix = draw.gauss(48.3, 0.25) + (3.5 if out else 0.0)
    return (
        f'[peel-oleo]\nmass = "{mass_g("peel-oleo") * draw.gauss(1.046, 0.022):.1f} g"\n'
        f'[flower-cordial]\nmass = "{mass_g("flower-cordial") * draw.gauss(0.99, 0.01):.1f} g"\n'
        f'refractometer = "{brix:.1f} Bx"\nacidity = "{draw.gauss(1.0, 0.02):.2f} % w/w"\n'
    )


if __name__ == "__main__":
    sys.stdout.write(f"{build(Path(sys.argv[1]))}\n")
