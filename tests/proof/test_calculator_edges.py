"""The corners of the calculators: what is refused in one sentence, what stops without a number."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import run
from prepkit.errors import BadInput


@pytest.mark.parametrize(
    ("name", "said", "says"),
    [
        ("dilute", {"part": ["700 ml vodka 40 %", "100 ml water"], "alcoholometer": 40,
                    "to_strength": "30 % vol"},
         "--alcoholometer is of one part, and 2 were given; read each alone."),
        ("oleo", {"peel": "100 g lemon peel", "sugar": "100 g", "water_loss": 0, "solids_gain": 0},
         "The peel gave no water, so no syrup forms. Add a --liquid."),
        ("reduce", {"liquid": "1 l syrup 20 Bx", "method": "freeze", "brix": "30 Bx",
                    "ice_brix": "20 Bx"},
         "--ice-brix is 20 Bx, no weaker than the liquid before (20.0 Bx); drain the ice and read "
         "it again."),
        ("reading", {"abv": "12 % vol"},
         "reading needs what an instrument showed: --refractometer, --hydrometer or "
         "--alcoholometer."),
        ("siphon", {"contents": "500 ml water", "gas": "n2o", "chargers": 1, "temperature": "5 C",
                    "inspection_due": "2027-13-01"},
         '"2027-13-01" is not a date; write year, month and day such as 2027-03-01.'),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(name: str, said: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        run(name, said)
    assert str(wrong.value) == says


@pytest.mark.parametrize(
    ("name", "said", "row"),
    [
        ("dose", {"stock": "fumaric acid", "strength": "20 % w/w", "into": "120 ml water",
                  "amount": "2 g"}, "acid-beyond-saturation"),
        ("dose", {"stock": "succinic acid", "strength": "5 % w/w", "amount": "1 g",
                  "into": ["12 g succinic acid", "120 ml water"]}, "acid-beyond-saturation"),
        ("reduce", {"liquid": "1 g foxglove", "brix": "30 Bx"}, "plant-refused"),
        ("infuse", {"liquid": "700 ml vodka 40 %", "botanical": "20 g mint", "gas": "co2",
                    "method": "pressure"}, "infuse-carbonating-gas"),
    ],
)  # fmt: skip
def test_a_stop_has_no_number_to_go_ahead_with(name: str, said: dict[str, Any], row: str) -> None:
    answer = run(name, said)
    assert answer.verdict == "stop"
    assert not answer.values
    assert row in {caution.id for caution in answer.cautions}


def test_a_spirit_by_its_alcoholometer_by_weight_as_by_volume() -> None:
    """Read at 20 C it is what it says: 700 ml at 948.05 kg/m3 (OIML-R22) are 663.6 g."""
    said = {"to_strength": "30 % vol", "alcoholometer": 40, "alcoholometer_temperature": "20 C"}
    by_volume = run("dilute", {**said, "part": "700 ml vodka 43 %"})
    by_mass = run("dilute", {**said, "part": "663.6350 g vodka 43 %"})
    for name in ("mass", "volume", "diluent_mass"):
        assert by_mass.values[name].value == pytest.approx(by_volume.values[name].value, rel=1e-4)


def test_nothing_is_added_to_what_has_its_strength() -> None:
    answer = run("dilute", {"part": "700 ml vodka 40 %", "to_strength": "40 % vol"})
    assert answer.values["diluent_mass"].value == pytest.approx(0.0, abs=1e-6)
    assert answer.values["volume"].value == pytest.approx(700.0)


@pytest.mark.parametrize("ph", [0.0, 7.0, 14.0])
def test_sugar_has_no_half_life_where_acid_does_not_split_it(ph: float) -> None:
    """Outside the acid that was measured, or after a million days, none is told."""
    answer = run("keep", {"part": ["1 kg white sugar", "1 kg water"], "ph": ph})
    assert not {"half_life_cold", "half_life_room"} & set(answer.values)
    acid = run("keep", {"part": ["1 kg white sugar", "1 kg water"], "ph": 3.0})
    cold, room = (acid.values[name].value for name in ("half_life_cold", "half_life_room"))
    assert cold > room > 0.0
