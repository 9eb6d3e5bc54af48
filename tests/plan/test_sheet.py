"""A plan as plain data: cautions, verdict, readings."""

from __future__ import annotations

import re

import pytest
from plan.trial import RECIPE, plan, weighed

from prepkit import cautions
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.render.plan_text import plan_text


def test_the_verdict_is_on_the_load_that_is_made() -> None:
    # at 8 serves one vessel is nearly empty and safe; the amounts in the file do not count
    overfull = RECIPE.replace('contents = "500 ml my-mix"', 'contents = "5 l my-mix"')
    assert plan(overfull, 8)["verdict"] != "stop"
    assert weighed(plan(overfull)) == pytest.approx(weighed(plan()), rel=1e-9)
    peaks = []
    for serves in (9, 40):
        nitro = next(i for i in plan(serves=serves)["items"] if i["id"] == "my-nitro")
        peaks.append(next(v["value"] for v in nitro["values"] if v["name"] == "peak"))
    # 9 serves fill one vessel to nine tenths, 40 serves five vessels to eight tenths each
    assert peaks[0] > peaks[1]


def test_each_caution_once_most_serious_first() -> None:
    said = plan()
    shown = [*said["cautions"], *said["standing"]]
    ids = [caution["id"] for caution in shown]
    assert len(ids) == len(set(ids))
    severities = [cautions.SEVERITIES.index(c["severity"]) for c in said["cautions"]]
    assert severities == sorted(severities)
    sheet = plan_text(said)
    for id_ in ids:
        assert len(re.findall(rf"\({re.escape(id_)};", sheet)) == 1, id_


def test_every_caution_of_every_item_is_on_the_sheet() -> None:
    made = make_plan(read_recipe(RECIPE), 40)
    ids = {c["id"] for c in (*made.to_dict()["cautions"], *made.to_dict()["standing"])}
    for one in made.made:
        assert {c.id for c in one.found} <= ids
    for used in ("blend", "siphon", "acid-solution"):
        for kind in cautions.MUST_STAND:
            assert f"{used}-stands-{kind}" in ids


TEXT_STRONG = """
title = "x"
serves = 1
[items.my-mix]
calculator = "blend"
part = ["90 g spirit 60 %", "1 g citric acid"]
[[serve]]
name = "x"
part = "90 g my-mix"
"""


def test_a_reading_that_has_no_relation_says_why() -> None:
    (mix,) = make_plan(read_recipe(TEXT_STRONG), 1).to_dict()["items"]
    # 60 % vol spirit with acid in it, in the words of a bar and not as a fraction
    assert re.match(r"it has 5\d\.\d % vol, and the relation holds from 0 to 50 \(",
                    mix["not_shown"]["ph"])  # fmt: skip
