"""More is made of what may yield less, so that an evening runs short no oftener than was asked."""

from __future__ import annotations

import json
import random
from itertools import pairwise
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.errors import BadInput, BadRecipe
from prepkit.plan.items import Shelf
from prepkit.plan.plan import load_recipe, make_plan, need_kg, plan_of, read_recipe, serves_from
from prepkit.plan.prepare import Deviation, LearntLoss, chance_said, prepare, sure, yield_deviation
from prepkit.render.plan_text import plan_text
from prepkit.science import control_chart
from prepkit.workflows.plan_command import PlanOptions, worked

DEMO = Path(__file__).parents[2] / "recipes"
ITEM = '[items.{id}]\ncalculator = "blend"\npart = ["600 g water", "400 g white sugar"]\n{more}\n'
RECIPE = (
    'title = "t"\nserves = 10\n'
    + ITEM.format(id="early", more='loss = "20 % ± 10 %"')
    + ITEM.format(id="late", more='loss = "10 %"')
    + '[[serve]]\nname = "A"\npart = ["50 g early", "50 g late"]\n'
)


def test_the_upper_end_of_the_loss_is_made() -> None:
    """EC8: need over one less the upper bound of the loss; a ± is 1.732 deviations, z is 1.645."""
    made = {one.item.id: one.demand for one in make_plan(read_recipe(RECIPE), 10).made}
    assert made["early"].made_kg == pytest.approx(0.5 / (1 - 0.2 - 1.644854 * 0.1 / 3**0.5))
    assert made["late"].made_kg == pytest.approx(0.5 / 0.9)
    assert made["late"].more_kg == 0
    assert make_plan(read_recipe(RECIPE), 10).to_dict()["sure"]["unstated"] == ["late"]


@pytest.mark.parametrize("chance", [0.8, 0.95, 0.99])
def test_evenings_run_short_no_oftener_than_asked(chance: float) -> None:
    """Yields drawn flat within their ±, as a ± is meant, of several items on their own."""
    draw = random.Random(7)
    half = {"a": 0.05, "b": 0.10, "c": 0.02, "d": 0.2}
    found = sure(chance, {id_: Deviation(one / 3**0.5) for id_, one in half.items()})
    nights, short = 20_000, 0
    for _ in range(nights):
        short += any(
            found.factors[id_] * (1 + draw.uniform(-one, one)) < 1 for id_, one in half.items()
        )
    assert short / nights <= (1 - chance) + 3 * ((1 - chance) * chance / nights) ** 0.5


@pytest.mark.parametrize("chance", [0.8, 0.95, 0.99, 0.999])
@pytest.mark.parametrize("values", [[0.30], [0.30, 0.24, 0.33], [0.30, 0.24, 0.33] * 10])
def test_a_loss_learnt_from_few_batches_is_covered_as_rarely_known(
    chance: float, values: list[float]
) -> None:
    """The next batch loses no more than is made for, by Student's t and not by the normal law."""
    belief = control_chart.learnt(control_chart.share_prior(0.2, 0.6), values)
    low, middle, high = (100 * one for one in control_chart.next_interval(belief))
    loss = LearntLoss(
        "early", "straining", "cloth", "loss", "%", low, middle, high,
        100 * control_chart.next_upper(belief), len(values), (20.0, 60.0), degrees=belief.degrees,
    )  # fmt: skip
    item = read_recipe(RECIPE).items["early"]._replace(loss=middle / 100, loss_off=0.0)
    factor = sure(chance, {"early": yield_deviation(item, None, loss)}).factors.get("early")
    upper = control_chart.next_upper(belief, chance)
    short = (upper - middle / 100) / (1 - middle / 100)
    assert factor is None if short > 0.5 else factor == pytest.approx(1 / (1 - short))


def test_a_shared_item_counts_once_and_more_is_never_less() -> None:
    prepared = prepare(load_recipe(DEMO / "menu.toml"))
    counts = prepared.recipe.counts()
    made = []
    for chance in (0.5, 0.8, 0.95, 0.99):
        plan = plan_of(prepared.for_sure(chance), counts)
        made.append({one.item.id: one.demand.made_kg for one in plan.made})
    for less, more in pairwise(made):
        assert all(more[id_] >= kg * (1 - 1e-12) for id_, kg in less.items())
    assert set(prepared.sure(counts).factors) >= {"ruby-cordial", "peel-oleo"}
    none = dict.fromkeys(counts, 0)
    assert set(prepared.sure({**none, "Weir": 5}).factors) == {"ruby-cordial"}


CHAIN = (
    'title = "t"\nserves = 10\n'
    + ITEM.format(id="early", more='loss = "20 % ± 10 %"')
    + '[items.mix]\ncalculator = "blend"\npart = ["300 g early", "100 g water"]\n'
    + 'loss = "20 % ± 10 %"\n[[serve]]\nname = "A"\npart = ["40 g mix"]\n'
)


@pytest.mark.parametrize("kg", [0.37, 0.376, 0.38, 0.42])
def test_what_stock_just_covers_has_its_margin_where_more_is_made_of_it(kg: float) -> None:
    """0.375 kg are needed as it is; of a mix that is made with its margin more."""
    prepared = prepare(read_recipe(CHAIN))
    counts = prepared.recipe.counts()
    stocked = prepared.replaced(shelf=Shelf({"early": kg}))
    assert stocked.sure(counts) == prepared.sure(counts)
    demand = stocked.demands(counts)["early"]
    assert demand.needed_kg > 0
    assert demand.more_kg > 0


def test_what_there_is_is_enough_for_what_is_made_more() -> None:
    prepared = prepare(load_recipe(DEMO / "free-otter.toml"))
    serves, _ = serves_from(prepared, ["3.2 kg grapefruit juice"])
    assert need_kg(prepared, "grapefruit juice", prepared.recipe.counts(serves)) <= 3.2
    assert serves < serves_from(prepared.for_sure(0.5), ["3.2 kg grapefruit juice"])[0]


def test_what_nobody_can_be_sure_of_is_said() -> None:
    text = RECIPE.replace("20 % ± 10 %", "45 % ± 44 %")
    said = make_plan(read_recipe(text), 10).to_dict()
    assert said["sure"]["unsure"] == ["early"]
    assert "Not sure to be enough: early." in " ".join(plan_text(said).split())


@pytest.mark.parametrize("words", ["49", "100", "often", "95 g", "", "nan"])
def test_a_wrong_chance_is_refused(words: str) -> None:
    with pytest.raises(BadInput):
        chance_said(words)


@pytest.mark.parametrize("loss", ["3 % ± 5 %", "89 % ± 2 %"])
def test_a_loss_stays_possible_at_both_ends(loss: str) -> None:
    with pytest.raises(BadRecipe, match="both ends"):
        read_recipe(RECIPE.replace("20 % ± 10 %", loss))


HOUSE = '[house]\nsure = "{said}"\n'


def test_the_house_says_the_chance_and_what_is_typed_wins(tmp_path: Path) -> None:
    file = tmp_path / "t.toml"
    file.write_text(RECIPE + HOUSE.format(said="80 %"), encoding="utf-8")

    def percent(**asked: str) -> float:
        return worked(PlanOptions(str(file), **asked), str(file)).said["sure"]["percent"]

    assert (percent(), percent(sure="99")) == (80.0, 99.0)
    menu = tmp_path / "menu.toml"
    menu.write_text('title = "m"\n[house]\nsure = 90\n[[recipe]]\nfile = "t.toml"\n')
    assert worked(PlanOptions(str(menu)), str(menu)).said["sure"]["percent"] == 90.0
    for said in ("49 %", "100", "often", "95 g"):
        file.write_text(RECIPE + HOUSE.format(said=said), encoding="utf-8")
        with pytest.raises(BadRecipe, match=r"house\.sure: .*write 50 to 99\.9 %"):
            load_recipe(file)


def test_labels_cards_and_readings_keep_the_chance(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "t.toml"
    file.write_text(RECIPE, encoding="utf-8")
    read = tmp_path / "read.toml"
    read.write_text('[early]\ndensity = "1.2 g/ml"\n', encoding="utf-8")
    grams = {}
    for chance in ("50", "99"):
        with pytest.raises(SystemExit):
            main(["label", str(file), "--item", "early", "--json", "--sure", chance])
        (label,) = json.loads(capsys.readouterr().out)["labels"]
        grams[chance] = label["g"]
        asked = PlanOptions(str(file), sure=chance, measured=str(read))
        assert worked(asked, str(file)).said["sure"]["percent"] == float(chance)
    assert grams["99"] > grams["50"]
    with pytest.raises(SystemExit):
        main(["card", "plan", str(file), "--sure", "49"])
    assert "write the chance that it is enough" in capsys.readouterr().err
