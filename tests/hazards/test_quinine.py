"""Salts of quinine: each is refused under its own name, and a limit counts the quinine in it."""

from __future__ import annotations

import re

import pytest
from science import beside

from prepkit import blocks, hazard_names
from prepkit.registry import run
from prepkit.science import food

QUININE, WATER = food.QUININE_G_MOL, 18.015
ROWS = {
    row["name"]: row
    for row in blocks.blocks("hazard_names/things.toml", "hazard")
    if row["id"].startswith("quinine-") and row["id"] != "quinine-salts"
}
# g/mol of what is not quinine, by the pharmacopoeias' forms with most and with least water
# [IUPAC-WEIGHTS]: SO4H2 98.078, HCl 36.458, HBr 80.912, gluconic acid 196.155
SHARES = {
    "quinine sulphate": (
        beside.quinine_in_sulfate_dihydrate(), 2 * QUININE / (2 * QUININE + 98.078)
    ),
    "quinine hydrochloride": (
        beside.quinine_in_hydrochloride(2), beside.quinine_in_hydrochloride(0)
    ),
    "quinine dihydrochloride": (QUININE / (QUININE + 2 * 36.458),),
    "quinine bisulphate": (
        QUININE / (QUININE + 98.078 + 7 * WATER), QUININE / (QUININE + 98.078)
    ),
    "quinine hydrobromide": (QUININE / (QUININE + 80.912 + WATER), QUININE / (QUININE + 80.912)),
    "quinine gluconate": (QUININE / (QUININE + 196.155),),
}  # fmt: skip


@pytest.mark.parametrize("salt", ROWS)
@pytest.mark.parametrize(
    ("calculator", "field"), [("infuse", "botanical"), ("cordial", "part"), ("blend", "part")]
)
def test_a_salt_is_refused_under_its_own_name(calculator: str, field: str, salt: str) -> None:
    liquid = ["1 l tonic water"]
    said = {"liquid": liquid, field: [f"0.08 g {salt}"]} if field == "botanical" else {
        field: [*liquid, f"0.08 g {salt}"]
    }  # fmt: skip
    answer = run(calculator, said)
    assert answer.verdict == "stop"
    assert not answer.values
    (stop,) = [one for one in answer.cautions if one.severity == "stop"]
    assert f"{salt[0].upper()}{salt[1:]}: " in stop.text


@pytest.mark.parametrize("salt", SHARES)
def test_its_share_of_quinine_is_that_of_its_molar_mass(salt: str) -> None:
    shown = [float(one) for one in re.findall(r"\d+", ROWS[salt]["why"].split(";")[0])]
    assert shown == [round(100 * share) for share in SHARES[salt]]


def test_a_salt_with_no_one_formula_shows_no_share() -> None:
    for salt in ROWS.keys() - SHARES.keys():
        assert not re.search(r"\d", ROWS[salt]["why"]), salt


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("quinine HCl", "quinine hydrochloride"),
        ("Quinine hydrochloride dihydrate", "quinine hydrochloride"),
        ("hydrochloride of quinine", "quinine hydrochloride"),
        ("80 mg quinine sulfate", "quinine sulphate"),
        ("quinine bisulfate tablets", "quinine bisulphate"),
        ("quinine dihydrochloride", "quinine dihydrochloride"),
        ("quinine ascorbate", "quinine as a salt or powder"),
        ("quinine", "quinine as a salt or powder"),
        ("hydroquinine", "quinine as a salt or powder"),
    ],
)
def test_any_spelling_of_a_salt_is_refused(words: str, name: str) -> None:
    found = hazard_names.find(words)
    assert found is not None
    assert found.name == name
