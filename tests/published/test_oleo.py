"""Peel, essential oil, drops and legal limits against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from science import beside

from prepkit import jurisdictions
from prepkit.pantry import Pantry
from prepkit.science import foam, infusion
from prepkit.shared import botanicals
from published.rows import Row, load

ROWS = load("oleo")

SOLUBLE = 0.666  # SOLUBILITY-CHARLES at 20 C, as the rows were worked out
M_S_TO_MM_DAY = 8.64e7


def _fruit(name: str) -> botanicals.Fruit:
    found = botanicals.fruit(name)
    assert found is not None
    return found


def _balance(water_loss: float, solids_gain: float, sugar_kg: float) -> infusion.PeelBalance:
    return infusion.peel_balance(0.100, sugar_kg, water_loss, solids_gain, SOLUBLE)


def _limit(name: str) -> Callable[[], float]:
    return lambda: float(jurisdictions.find(name).value)


def _refuse(name: str) -> Callable[[], float]:
    return lambda: round(100 * _fruit(name).refuse, 9)


def _water_in(peel: str) -> Callable[[], float]:
    return lambda: 100 * Pantry().ingredient(peel).mixture.fraction("water")


def _creaming(diameter_m: float) -> Callable[[], float]:
    return lambda: M_S_TO_MM_DAY * foam.creaming_velocity_m_s(diameter_m, 998.2, 850.0, 1.002e-3)


def _limonene_drop_kg() -> float:
    return foam.drop_mass_kg(1.5e-3, foam.LIMONENE_N_M, foam.LIMONENE_KG_M3)


def _ester_gum_dose_g_l() -> float:
    return beside.largest_dose(jurisdictions.find("ester-gum-drinks-us").value / 1000, 0.2388)


def _anchor_weight_loss() -> float:
    return 100 * (infusion.LOW_ANCHOR_WATER_LOSS - infusion.LOW_ANCHOR_SOLIDS_GAIN)


CHECKS: dict[str, Callable[[], float]] = {
    "OLE-01": lambda: round(100 * _fruit("lemon").peel_share, 9),
    "OLE-02a": _refuse("lime"),
    "OLE-02b": _refuse("orange"),
    "OLE-02c": _refuse("mandarin"),
    "OLE-02d": _refuse("grapefruit"),
    "OLE-03a": lambda: 1e3 * _fruit("lemon").whole_kg,
    "OLE-03b": lambda: 1e3 * _fruit("lemon").peel_kg,
    "OLE-04a": _water_in("lemon peel"),
    "OLE-04b": _water_in("orange peel"),
    "OLE-05": lambda: beside.water_removed_kg(1000.0, 0.796, 0.10),
    "OLE-06a": lambda: 1e3 * botanicals.zest_kg("teaspoon"),
    "OLE-06b": lambda: 1e3 * botanicals.zest_kg("tablespoon"),
    "OLE-07": lambda: infusion.water_to_dissolve(SOLUBLE),
    "OLE-08": lambda: 1e3 * _balance(0.40, 0.0, 1.0).dissolved_sugar_kg,
    "OLE-09": lambda: 1e3 * _balance(0.40, 0.08, 0.100).undissolved_sugar_kg,
    "OLE-10": lambda: 1e3 * _balance(0.816, 0.0, 1.0).dissolved_sugar_kg,
    "OLE-11": lambda: beside.peleg(4.0, *beside.peleg_constants(0.5, 0.45)),
    "OLE-12": lambda: 1e6 * foam.drop_mass_kg(1.5e-3, 0.07274, 998.2),
    "OLE-13": lambda: 1e6 * foam.drop_mass_kg(1.5e-3, 0.0222, 789.3),
    "OLE-14a": lambda: 1e6 * _limonene_drop_kg(),
    "OLE-14b": lambda: 1e-3 / _limonene_drop_kg(),
    "OLE-15": lambda: 1e6 * foam.BOTTLE_INSERT_KG,
    "OLE-16a": lambda: 1e6 * beside.oil_load(0.100, _fruit("lemon").oil[0], 0.150),
    "OLE-16b": lambda: 1e6 * beside.oil_load(0.100, _fruit("lemon").oil[1], 0.150),
    "OLE-17": lambda: float(
        foam.times_over_solubility(beside.oil_load(0.100, 0.0137, 0.150)) > 1000
    ),
    "OLE-18": _creaming(1e-6),
    "OLE-19": beside.quinine_in_sulfate_dihydrate,
    "OLE-19b": lambda: beside.quinine_in_hydrochloride(2),
    "OLE-19c": lambda: beside.quinine_in_hydrochloride(0),
    "OLE-20": lambda: beside.largest_dose(
        jurisdictions.find("quinine-carbonated-us").value, beside.quinine_in_sulfate_dihydrate()
    ),
    "OLE-21": lambda: 1e3 * beside.hydrogen_cyanide_from_amygdalin(),
    "OLE-22": lambda: 70 * jurisdictions.find("cyanide-acute-eu").value,
    "OLE-23": lambda: 1e3 * beside.kernel_at_dose_kg(0.055, 20e-9, 70.0),
    "OLE-24": lambda: float(
        sum("drink" in row.product for row in jurisdictions.of("coumarin", "EU"))
    ),
    "OLE-25": _limit("quinine-carbonated-us"),
    "OLE-40": _anchor_weight_loss,
    "OLE-41": lambda: infusion.diffusion_time_h(0.5, 2e-3, 1e-10),
    "OLE-42a": lambda: infusion.diffusion_time_h(0.9, 2e-3, 1e-10),
    "OLE-42b": lambda: infusion.diffusion_time_h(0.9, 2e-3, 2e-11),
    "OLE-43": lambda: infusion.diffusion_share(1.0, 2e-3, 1e-10),
    "OLE-44": lambda: infusion.apparent_peel_density_kg_m3() / 1000,
    "OLE-45": lambda: 100 * beside.industrial_oil_share(),
    "OLE-46": _limit("gum-arabic-drinks-us"),
    "OLE-47a": _limit("ester-gum-drinks-us"),
    "OLE-47b": _limit("ester-gum-drinks-codex"),
    "OLE-48a": _limit("saib-drinks-us"),
    "OLE-48b": _limit("saib-drinks-codex"),
    "OLE-49a": _ester_gum_dose_g_l,
    "OLE-49b": lambda: 1e3 * _ester_gum_dose_g_l() * foam.BOUGHT_OIL,
    "OLE-50": lambda: (
        70
        * jurisdictions.find("quillaia-intake-eu").value
        / jurisdictions.find("quillaia-drinks-codex").value
    ),
    "OLE-51": _creaming(foam.DROP_GUM_ARABIC_M),
    "OLE-52a": lambda: beside.liquid_kept_per_dry_kg(0.80, 0.22),
    "OLE-52b": lambda: beside.liquid_kept_per_dry_kg(0.85, 0.22),
    "OLE-53a": lambda: 100 * foam.BERGAPTEN_IN_BERGAMOT[0],
    "OLE-53b": lambda: 100 * foam.BERGAPTEN_IN_BERGAMOT[1],
}
EXCLUDED: dict[str, str] = {}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    if row.id in EXCLUDED:
        pytest.skip(EXCLUDED[row.id])
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_every_row_is_checked_or_excluded() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(ids) == set(CHECKS) | set(EXCLUDED)
    assert not set(CHECKS) & set(EXCLUDED)
