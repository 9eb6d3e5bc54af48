"""The batch sheet: a box for each thing to do, room beside each thing to read."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.plan import load_recipe, make_plan
from prepkit.render.batch import BOX, ROOM, batch_text
from prepkit.render.plan_lists import weighing

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
COLD = FOLDER / "cold-semaphore.toml"


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


@pytest.mark.parametrize("path", RECIPES, ids=lambda one: one.stem)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_each_weighing_step_and_vessel_has_its_box(path: Path, system: str) -> None:
    said = make_plan(load_recipe(path), 40).to_dict()
    sheet = batch_text(said, system)
    weighed = sum(len(item["weigh"]) for item in said["items"])
    steps = len(said["timetable"]["steps"]) if said["timetable"] else 0
    vessels = sum(one["fills"] for one in said["vessels"])
    assert sheet.count(BOX) == weighed + steps + vessels
    for item in said["items"]:
        for line in item["weigh"]:
            shown = re.escape(weighing(line, system))
            assert re.search(rf"\[ \]  {re.escape(line['name'])} +{shown}\b.*{ROOM}", sheet)
    assert sheet.index("Verdict:") < sheet.index(BOX)
    assert all(len(line) <= 120 for line in sheet.splitlines())


def test_what_is_expected_stands_beside_what_it_may_be_off_by_and_room_for_the_reading() -> None:
    said = make_plan(load_recipe(COLD), 40).to_dict()
    cordial = next(item for item in said["items"] if item["id"] == "flower-cordial")
    brix = next(one for one in cordial["readings"] if one["name"] == "refractometer")
    sheet = batch_text(said)
    begun = re.search(r"\n\d+\. flower-cordial", sheet)
    assert begun
    of = re.split(r"\n\d+\. ", sheet[begun.end() :])[0]
    row = next(line for line in of.splitlines() if "refractometer" in line)
    assert row.split()[-4:] == [f"{brix['value']:.1f}", f"{brix['tolerance']:.1f}", "Bx", ROOM]
    # the pressure with what the gauge adds to it
    nitro = next(item for item in said["items"] if item["id"] == "tonight-nitro")
    settled = next(one for one in nitro["values"] if one["name"] == "settled")
    assert settled["tolerance"] ** 2 == pytest.approx(settled["plus_minus"] ** 2 + 0.3**2)
    assert f"{settled['tolerance']:.1f}  bar" in sheet


def test_nothing_that_must_not_be_made_has_a_box(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (otter,) = FOLDER.glob("free-*.toml")
    weak = tmp_path / "weak.toml"
    weak.write_text(otter.read_text("utf-8").replace("16 bar", "6 bar"), encoding="utf-8")
    code, out, _ = call(f"plan {weak} --batch", capsys)
    assert code == 3
    of = out[out.index("otter-soda: STOP") : out.index("Cautions for the wall")]
    assert "NOT TO BE MADE" in of
    assert BOX not in of
    assert ROOM not in of


def test_times_of_day_on_the_batch_sheet(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"plan {COLD} --serves 40 --batch --service 18:00", capsys)
    assert code == 0
    assert re.search(r"\[ \] 17:\d\d  Fill, charge, shake hard", out)
    assert call(f"plan {COLD} --batch --csv", capsys)[0] == 2
