"""A plan as text: made from its JSON, with no amount of its own."""

from __future__ import annotations

import json
import re

import pytest
from plan.trial import plan

from prepkit.render.plan_text import amount, plan_text


def test_the_json_is_finite_and_the_text_is_made_from_it() -> None:
    said = json.loads(json.dumps(plan(), allow_nan=False))
    assert plan_text(said) == plan_text(plan())


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("working", [False, True])
def test_every_amount_of_the_sheet_is_one_of_the_json(system: str, working: bool) -> None:
    said = plan()
    sheet = plan_text(said, working, system)
    for item in said["items"]:
        for line in item["weigh"]:
            assert re.search(
                rf"{re.escape(line['name'])} +{re.escape(amount(line['g'], 'g', system))}\b", sheet
            )
        assert f"yields {amount(item['made_g'], 'g', system)} " in sheet
    assert ("working" in sheet) == working
    assert all(len(line) <= 120 for line in sheet.splitlines())
