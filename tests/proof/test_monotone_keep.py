"""Keeping, plants and acids: less acid, more water, longer, warmer, stronger is never milder."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st
from proof.ranks import REFUSED, STOP, deeply, never_milder, rank

from prepkit.numbers import written
from prepkit.registry import run
from prepkit.shared import keeping

STEP = st.floats(1.001, 3.0)
MADE = date(2026, 11, 25)


def day(after: int) -> str:
    return (MADE + timedelta(days=after)).isoformat()


@deeply
@given(
    ph=st.none() | st.floats(2.0, 8.0), aw=st.none() | st.floats(0.6, 1.0),
    contains=st.lists(st.sampled_from(sorted(keeping.CONTAINS)), max_size=2),
    treatment=st.sampled_from(["none", "heated", "heated and packaged"]),
    acidified=st.booleans(), age=st.integers(0, 12), today=st.integers(0, 12),
    frozen=st.integers(0, 4), use_by=st.none() | st.integers(0, 12),
    older=st.none() | st.integers(0, 5), fridge=st.none() | st.floats(-2.0, 12.0),
    out=st.none() | st.floats(0.0, 8.0), warmest=st.none() | st.floats(2.0, 35.0),
    more=st.sampled_from(sorted(keeping.CONTAINS)), step=STEP,
)  # fmt: skip
def test_keep(
    ph: float | None, aw: float | None, contains: list[str], treatment: str, acidified: bool,
    age: int, today: int, frozen: int, use_by: int | None, older: int | None,
    fridge: float | None, out: float | None, warmest: float | None, more: str, step: float,
) -> None:  # fmt: skip
    assume(frozen <= today)
    said: dict[str, Any] = {
        "ph": ph, "water_activity": aw, "contains": contains, "treatment": treatment,
        "acidified": acidified, "made": day(0), "today": day(today), "frozen": frozen,
        "use_by": [] if use_by is None else [f"honey {day(use_by)}"],
        "ingredient_date": [] if older is None else [f"honey {day(-older)}"],
        "fridge": None if fridge is None else f"{fridge} C",
        "out_of_cold": None if out is None else f"{out} h",
        "warmest": None if warmest is None else f"{warmest} C",
    }  # fmt: skip
    changes: list[dict[str, Any]] = [
        {"contains": [*contains, more]}, {"acidified": True}, {"treatment": "none"},
        {"today": day(today + 1)}, {"today": day(today + 7)}, {"frozen": max(0, frozen - 1)},
        {"ph": None}, {"water_activity": None}, {"warmest": None},
        {"ingredient_date": [f"honey {day(-(older or 0) - 1)}"]},
        # a fridge that nobody measured earns no longer time out of it
        *([{"fridge": None}] if fridge is not None and fridge <= 5.0 else []),
    ]  # fmt: skip
    if ph is not None:
        changes.append({"ph": min(14.0, ph * step)})
    if aw is not None:
        changes.append({"water_activity": min(1.0, aw * step)})
    if use_by is not None and use_by > 0:
        changes.append({"use_by": [f"honey {day(use_by - 1)}"]})
    if fridge is not None:
        changes.append({"fridge": f"{fridge + step} C"})
    if out is not None:
        changes.append({"out_of_cold": f"{out * step} h"})
    if warmest is not None:
        changes.append({"warmest": f"{warmest + step} C"})
    never_milder("keep", said, *changes)
    # whose rules it is asked by: the strictest is no milder than any
    for law in ("us", "eu"):
        never_milder("keep", {**said, "jurisdiction": law}, {"jurisdiction": "strictest"})


def test_every_verdict_of_keep_comes_up() -> None:
    """Never clear: keeping is always a thing to take care with."""
    said = {"made": day(0), "today": day(1), "ph": 3.5}
    assert rank("keep", said) == 1
    assert rank("keep", {**said, "today": day(7)}) == STOP


# acids

ACID_NAMES = (
    "citric acid", "malic acid", "tartaric acid", "lactic acid 80 %", "phosphoric acid 85 %",
    "succinic acid", "fumaric acid", "acetic acid 80 %",
)  # fmt: skip


@deeply
@given(
    acids=st.lists(st.sampled_from(ACID_NAMES), min_size=1, max_size=3, unique=True),
    shares=st.lists(st.floats(0.1, 5.0), min_size=3, max_size=3),
    strength=st.floats(0.1, 60.0), storage=st.floats(0.0, 40.0), make=st.floats(10.0, 5000.0),
    by=st.sampled_from(["mass", "titratable", "molarity"]), step=st.floats(1.001, 2.0),
)  # fmt: skip
def test_acid_solution(
    acids: list[str], shares: list[float], strength: float, storage: float, make: float, by: str,
    step: float,
) -> None:  # fmt: skip
    said = {
        "acid": [f"{share:.6f} parts {acid}" for share, acid in zip(shares, acids, strict=False)],
        "strength": f"{strength:.9f} % w/w", "storage": f"{storage} C",
        "make": f"{written(make, 'g')} g",
        "ratio_by": by,
    }  # fmt: skip
    never_milder(
        "acid-solution", said,
        {"strength": f"{min(100.0, strength * step):.9f} % w/w"},
        {"storage": f"{storage / step} C"},
    )  # fmt: skip


@deeply
@given(
    acids=st.lists(st.sampled_from(ACID_NAMES), min_size=1, max_size=2, unique=True),
    strength=st.floats(1.0, 60.0), grams=st.floats(0.05, 20.0), storage=st.floats(0.0, 40.0),
    scale=st.floats(0.001, 1.0), within=st.floats(1.0, 20.0), step=st.floats(1.001, 2.0),
    by=st.sampled_from(["g", "drops"]),
)  # fmt: skip
def test_dose(
    acids: list[str], strength: float, grams: float, storage: float, scale: float, within: float,
    step: float, by: str,
) -> None:  # fmt: skip
    """A bigger dose may be milder: the scale can weigh it. Nothing else here is."""
    amount = f"{grams:.6f} g" if by == "g" else f"{int(grams) + 1} drops"
    said = {
        "stock": acids, "strength": f"{strength:.9f} % w/w", "into": ["120 ml water"],
        "amount": amount, "storage": f"{storage} C", "scale": f"{written(scale, 'g')} g",
        "within": f"{within} %",
    }  # fmt: skip
    never_milder(
        "dose", said,
        {"strength": f"{min(100.0, strength * step):.9f} % w/w"},
        {"storage": f"{storage / step} C"},
        {"scale": f"{scale * step} g"}, {"within": f"{max(0.1, within / step)} %"},
    )  # fmt: skip


# plants and oils


@deeply
@given(
    plant=st.sampled_from(["foxglove", "oleander leaves", "yew berries", "monkshood"]),
    grams=st.floats(1e-6, 1e4),
    liquid=st.sampled_from(
        ["1 l water", "700 ml vodka 40 %", "500 ml olive oil", "1 kg syrup 65 Bx"]
    ),
    law=st.sampled_from(["strictest", "us", "eu"]),
    pressure=st.booleans(),
)
def test_no_amount_and_nothing_beside_it_lets_a_refused_plant_through(
    plant: str, grams: float, liquid: str, law: str, pressure: bool
) -> None:
    words = f"{grams:.9f} g {plant}"
    method = "pressure" if pressure else "maceration"
    for name, said in (
        ("infuse", {"liquid": liquid, "botanical": ["20 g mint", words], "jurisdiction": law,
                    "method": method}),
        ("oleo", {"peel": words, "sugar": "300 g", "jurisdiction": law}),
        ("blend", {"part": [liquid, words]}),
        ("cordial", {"part": [liquid, words], "sweeten": "white sugar", "brix": 45}),
        ("reduce", {"liquid": [liquid, words], "to_brix": 30}),
    ):  # fmt: skip
        assert rank(name, said) >= STOP, name


def test_a_refused_plant_leaves_no_number_anywhere() -> None:
    for name, said in (
        ("infuse", {"liquid": "1 l water", "botanical": "1 g foxglove"}),
        ("oleo", {"peel": "1 g foxglove", "sugar": "300 g"}),
    ):
        answer = run(name, said)
        assert answer.verdict == "stop"
        assert (dict(answer.values), answer.tables) == ({}, ())


@deeply
@given(
    bark=st.floats(0.05, 20.0), alkaloids=st.floats(0.5, 15.0),
    plant=st.sampled_from(["cinchona bark", "mint", "strawberries", "lemon peel"]),
    liquid=st.floats(100.0, 2000.0), strength=st.floats(0.0, 60.0),
    pressure=st.booleans(), step=STEP,
)  # fmt: skip
def test_infuse(
    bark: float, alkaloids: float, plant: str, liquid: float, strength: float, pressure: bool,
    step: float,
) -> None:  # fmt: skip
    """More plant into as much liquid, a richer bark, the pressure: no milder.

    Stronger spirit is left out: it keeps fresh plants better and burns worse, which are two rows.
    """
    cinchona = plant == "cinchona bark"
    poured = (
        f"{written(liquid, 'ml')} ml vodka {strength} %"
        if strength > 15.0
        else f"{written(liquid, 'ml')} ml water"
    )
    said = {
        "liquid": poured, "botanical": f"{bark:.9f} g {plant}",
        "method": "pressure" if pressure else None, "gas": "n2o" if pressure else None,
        "alkaloids": f"{alkaloids} %" if cinchona else None,
    }  # fmt: skip
    changes: list[dict[str, Any]] = [
        {"botanical": f"{bark * step:.9f} g {plant}"},
        {"method": "pressure", "gas": "n2o"}, {"method": "pressure", "gas": "co2"},
    ]  # fmt: skip
    if cinchona:
        changes += [{"alkaloids": f"{min(20.0, alkaloids * step)} %"}, {"alkaloids": None}]
    here = never_milder("infuse", said, *changes)
    if cinchona and here != REFUSED:
        assert rank("infuse", {**said, "alkaloids": None}) == STOP


@deeply
@given(
    emulsifier=st.sampled_from(["gum arabic", "quillaia extract"]),
    grams=st.floats(0.001, 20.0), oil=st.floats(0.05, 3.0), per_drink=st.floats(5.0, 60.0),
    drink=st.floats(80.0, 300.0), law=st.sampled_from(["us", "eu"]), step=STEP,
)  # fmt: skip
def test_oleo(
    emulsifier: str, grams: float, oil: float, per_drink: float, drink: float, law: str,
    step: float,
) -> None:  # fmt: skip
    """More of the emulsifier, more of the syrup in a drink, a smaller drink: no milder."""
    said = {
        "oil": f"{oil:.6f} g lemon oil", "sugar": "300 g", "liquid": "300 ml water",
        "emulsifier": f"{grams:.9f} g {emulsifier}", "per_drink": f"{per_drink:.6f} ml",
        "drink": f"{drink:.6f} ml", "jurisdiction": law, "drink_strength": "10 % vol",
    }  # fmt: skip
    never_milder(
        "oleo", said,
        {"emulsifier": f"{grams * step:.9f} g {emulsifier}"},
        {"per_drink": f"{min(drink, per_drink * step):.6f} ml"},
        {"drink": f"{max(per_drink, drink / step):.6f} ml"},
        {"oil": f"{oil * step:.6f} g lemon oil"},
        {"jurisdiction": "strictest"},
    )  # fmt: skip


@deeply
@given(
    foamer=st.sampled_from(["lecithin", "egg white", "methylcellulose", "quillaia", "gelatine"]),
    dose=st.floats(0.05, 8.0), strength=st.floats(0.0, 50.0), temperature=st.floats(0.0, 60.0),
    law=st.sampled_from(["eu", "us", "codex"]), spirit=st.floats(0.0, 300.0), step=STEP,
)  # fmt: skip
def test_foam(
    foamer: str, dose: float, strength: float, temperature: float, law: str, spirit: float,
    step: float,
) -> None:  # fmt: skip
    """Foamers have windows: too little, too cold and too lean are told as well as too much.

    So only what lies beyond the window is compared: warmer than warm, more than enough, stronger.
    """
    liquid = ["400 ml water", f"{spirit:.6f} ml vodka 40 %"]
    said = {"liquid": liquid, "foamer": foamer, "dose": f"{dose:.9f} %",
            "temperature": f"{temperature:.6f} C", "jurisdiction": law,
            "egg": "pasteurised" if foamer == "egg white" else None}  # fmt: skip
    stronger = ["400 ml water", f"{spirit * step + 10.0:.6f} ml vodka 40 %"]
    changes: list[dict[str, Any]] = [{"liquid": stronger}]
    if foamer == "egg white":
        changes.append({"egg": "raw"})
    if temperature >= 30.0:
        changes.append({"temperature": f"{temperature + step:.6f} C"})
    if dose >= 4.0 and foamer != "egg white":  # its window begins at 10 %
        changes.append({"dose": f"{dose * step:.9f} %"})
    never_milder("foam", said, *changes)
