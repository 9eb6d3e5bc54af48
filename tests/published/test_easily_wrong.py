"""What the search for facts found that is easily got wrong: each stands in a checked row.

The rows are held by their topic's own test; here by the figure that was found, so that none of them
is lost or turned, and by what a person is told who gets it wrong.
"""

from __future__ import annotations

from typing import Any

import pytest
from each import each

from prepkit.errors import BadInput
from prepkit.registry import run
from published.rows import load, topics

# what is easily got wrong: rows that hold it, with the figure that was found
FOUND = (
    ("beer lines flow turbulent, Poiseuille gives a fifth of the loss", {"KEG-03": 37.5}),
    ("70/30 names carbon dioxide first, 25/75 has it as the smaller", {"KEG-05": 9.6,
                                                                       "KEG-08": 11.2}),
    ("half a gram of wood: 43,000 ppm in a litre of dome", {"CLD-01": 42900}),
    ("and under 1 ppm in the room", {"CLD-01c": 0.9}),
    ("a mist strong enough to matter is near its flammable limit", {"CLD-03": 84, "CLD-03b": 118}),
    ("100 g of butter brings 18 g of water", {"FAT-07a": 17.94}),
    ("a food table's espresso is 2.2 % solids", {"COF-10": 2.2}),
    ("the handbook's sodium citrate counts the anhydrous salt", {"SAL-04c": 0.431}),
    ("glycerol slush: from 7 years on, one of 350 ml a day", {"FRZ-08": 350}),
    ("spirit of punch strength does not curdle milk", {"CLA-05b": 33, "CLA-05a": 42}),
)  # fmt: skip
ROWS = {row.id: row for topic in topics() for row in load(topic)}


@each(FOUND, lambda one: one[0])
def test_each_is_a_row(one: tuple[str, dict[str, float]]) -> None:
    for row_id, figure in one[1].items():
        row = ROWS[row_id]
        assert row.value == figure
        assert row.tolerance <= 0.06 * figure  # half the last digit of the smallest, 0.9


def _ids(name: str, said: dict[str, Any]) -> set[str]:
    return {one.id for one in run(name, said).cautions}


def test_which_gas_is_which_share_is_asked() -> None:
    for mixture in ("70/30", "75/25"):
        with pytest.raises(BadInput, match="which gas"):
            run(
                "room", {"volume": "50 m3", "release": f"20 l cylinder of {mixture} mix at 200 bar"}
            )


def test_slush_with_glycerol_is_not_for_a_small_child() -> None:
    mix = {"part": ["1 l water", "60 g glycerol", "100 g white sugar"], "way": "slush"}
    young, older = (run("freeze", {**mix, "guests": age}) for age in ("under 7", "7 to 10"))
    assert young.verdict == "stop"
    assert "freeze-glycerol-small-child" in {one.id for one in young.cautions}
    assert "freeze-glycerol-child" in {one.id for one in older.cautions}


def test_punch_without_acid_does_not_curdle() -> None:
    cold = {"part": ["1 l spirit 30 %"], "milk": "250 ml whole milk"}
    assert "clarify-does-not-curdle" in _ids("clarify", cold)
    sour = {"part": ["700 ml spirit 43 %", "300 ml lemon juice", "200 ml water"],
            "milk": "250 ml whole milk"}  # fmt: skip
    assert "clarify-does-not-curdle" not in _ids("clarify", sour)
