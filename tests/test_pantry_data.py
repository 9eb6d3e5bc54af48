"""The pantry's data: closed lists, sums, names, sources, strengths, and what a person relies on."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from each import each

from prepkit import ingredient
from prepkit.errors import UnknownIngredient
from prepkit.ingredient import FREE_FAT
from prepkit.mixture import ACIDS, COMPONENTS
from prepkit.pantry import Pantry

DATA = Path(__file__).parents[1] / "prepkit" / "data"
FILES = (
    "acids", "botanicals", "coffee_tea", "dairy_egg", "foamers_gums", "juices", "oils_other",
    "peels_fruit", "spirits_wines", "sweeteners",
)  # fmt: skip
GROUPS = {
    "sweetener", "juice", "peel", "fruit", "dairy", "egg", "coffee", "tea", "spirit", "wine",
    "acid", "foamer", "gum", "herb", "flower", "spice", "nut", "oil", "water", "salt", "syrup",
    "other",
}  # fmt: skip
HAZARDS = {
    "raw-egg", "pasteurised-egg", "dairy", "essential-oil", "furanocoumarin", "grapefruit",
    "quinine", "coumarin", "thujone", "cyanogenic", "nutmeg", "charcoal", "low-acid-botanical",
    "garlic-family", "corrosive-acid", "citric-powder", "malic-powder", "tartaric-powder",
    "succinic-powder", "fumaric-powder", "carbonate", "pulp", "raw-juice", "caffeine",
    "chlorine-free", "polyol", "gassy", "fermenting", "sets-cold", "sets-hot", "solid-fat",
    "which-lecithin",
}  # fmt: skip
KEEPS = {"dairy", "egg", "juice", "fruit", "herb", "cooked", "spirit", "syrup", "dry"}
OBTAINED = {"read", "memory", "practice", "computed"}
SUGARS = {"sucrose", "glucose", "fructose", "lactose", "maltose"}
KEYS = {
    "name", "also", "group", "form", "per_100_g", "per_litre", "allergens", "hazards", "strength",
    "strength_default", "strength_range", "piece_g", "piece_note", "keeps", "source", "row",
    "also_from", "obtained", "note", "pieces",
}  # fmt: skip
# what examples, recipes and the reader of a bar book will call for
WANTED = """
white sugar, caster sugar, demerara sugar, honey, maple syrup, agave syrup, simple syrup, syrup,
invert syrup, glucose syrup, water, ice, sparkling water, lemon juice, lime juice, orange juice,
grapefruit juice, pineapple juice, passion fruit juice, apple juice, cranberry juice, tomato juice,
lemon peel, lime peel, orange peel, grapefruit peel, bergamot peel, mandarin peel, lemon, lime,
orange, grapefruit, strawberries, raspberries, blackberries, blueberries, cherries, peach, pear,
apple, pineapple, mango, banana, cucumber, ginger root, rhubarb, cream, double cream,
whipping cream, single cream, half and half, whole milk, skimmed milk, condensed milk,
evaporated milk, butter, yoghurt, egg white, pasteurised egg white, egg yolk, whole egg, aquafaba,
espresso, filter coffee, cold brew coffee, cold brew concentrate, ground coffee, coffee beans,
instant coffee, black tea leaf, green tea leaf, brewed black tea, cocoa powder, spirit,
neutral spirit, gin, rum, whisky, tequila, brandy, vodka, coffee liqueur, orange liqueur, red wine,
white wine, sparkling wine, dry vermouth, sweet vermouth, port wine, sherry, beer, cider,
aromatic bitters, cider vinegar, white vinegar, citric acid, citric acid monohydrate, malic acid,
tartaric acid, lactic acid, phosphoric acid, acetic acid, succinic acid, fumaric acid,
ascorbic acid, lecithin, sunflower lecithin, dried egg white, gelatine, agar, xanthan gum,
gum arabic, methylcellulose, sucrose ester, quillaja extract, pectin, gellan gum, carrageenan,
sodium alginate, dried hibiscus, dried elderflower, fresh elderflower, rose petals, lavender,
chamomile, jasmine tea, mint, basil, rosemary, thyme, sage, bay leaf, lemongrass, cinnamon, clove,
star anise, cardamom, black pepper, vanilla pod, vanilla extract, nutmeg, saffron, allspice,
coriander seed, fennel seed, juniper berries, gentian root, cinchona bark, celery, orange oil,
lemon oil, lime oil, grapefruit oil, bergamot oil, mandarin oil, peppermint oil, salt,
trisodium citrate, tripotassium citrate, potassium bicarbonate, almond milk, coconut milk,
coconut cream, oat drink, soy drink, olive oil, sunflower oil, almonds, walnuts, tonic water
"""
# never offered: plants that the safety page refuses outright
REFUSED = (
    "foxglove", "oleander", "lily of the valley", "monkshood", "larkspur", "datura", "nightshade",
    "autumn crocus", "yew", "hemlock", "daffodil", "hydrangea", "azalea", "rhododendron",
    "wisteria", "pokeweed", "tobacco", "calamus", "tonka", "sassafras", "apricot kernel",
    "elder leaf", "rhubarb leaf",
)  # fmt: skip


def load(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


ENTRIES: list[dict[str, Any]] = [
    entry for name in FILES for entry in load(DATA / "pantry" / f"{name}.toml")["ingredient"]
]
PANTRY = Pantry()
BY_NAME = {entry["name"]: entry for entry in ENTRIES}
ALLERGENS: list[dict[str, Any]] = load(DATA / "allergens.toml")["allergen"]
SOURCES: dict[str, dict[str, Any]] = {}
for _path in sorted((DATA / "sources").glob("*.toml")):
    SOURCES.update(load(_path))

each_entry = each(ENTRIES, lambda entry: str(entry["name"]))


def masses(entry: dict[str, Any]) -> dict[str, float]:
    found = entry.get("per_100_g") or entry.get("per_litre") or {}
    assert isinstance(found, dict)
    return found


def test_folder_holds_these_files_and_enough_ingredients() -> None:
    assert tuple(sorted(path.stem for path in (DATA / "pantry").glob("*.toml"))) == FILES
    assert len(ENTRIES) >= 130
    assert len(BY_NAME) == len(ENTRIES)


def test_wanted_names_exist() -> None:
    wanted = {name.strip() for name in WANTED.replace("\n", " ").split(",")}
    assert wanted - set(BY_NAME) == set()


def test_names_and_synonyms_are_unique_even_when_a_plural_is_dropped_or_added() -> None:
    owner: dict[str, str] = {}
    for entry in ENTRIES:
        for name in (entry["name"], *entry["also"]):
            assert name == " ".join(name.lower().split()), name
            assert name not in owner, f"{name}: {owner.get(name)} and {entry['name']}"
            owner[name] = entry["name"]
    for name, of in owner.items():
        for other in (f"{name}s", f"{name}es", re.sub("y$", "ies", name)):
            assert owner.get(other, of) == of, f"{name} is {of}, {other} is {owner[other]}"


def test_no_refused_plant() -> None:
    for entry in ENTRIES:
        for name in (entry["name"], *entry["also"]):
            assert not any(re.search(rf"\b{plant}", name) for plant in REFUSED), name


@each_entry
def test_entry_keeps_to_the_closed_lists(entry: dict[str, Any]) -> None:
    assert set(entry) <= KEYS
    assert entry["group"] in GROUPS
    assert entry["form"] in {"liquid", "solid", "powder"}
    assert entry["obtained"] in OBTAINED
    assert set(entry["hazards"]) <= HAZARDS
    assert entry.get("keeps", "dry") in KEEPS
    for component, grams in masses(entry).items():
        assert component in COMPONENTS
        assert math.isfinite(grams)
        assert grams > 0
    if "fat" in masses(entry):
        assert entry["group"] != "dairy", "the fat of milk is milk_fat"


@each_entry
def test_composition_sums_to_100_g_or_fits_a_litre(entry: dict[str, Any]) -> None:
    if "per_100_g" in entry:
        assert "per_litre" not in entry
        assert sum(entry["per_100_g"].values()) == pytest.approx(100, abs=0.05)
    else:
        assert entry.get("strength") == "abv", "only a strength in % vol goes without per_100_g"
        # what is not dissolved would take volume that the strength does not allow for
        undissolved = {"water", "ethanol", "protein", "fat", "milk_fat", "fibre", "essential_oil"}
        assert not undissolved & set(entry.get("per_litre", {}))
        assert sum(entry.get("per_litre", {}).values()) < 700


@each_entry
def test_strength_is_consistent(entry: dict[str, Any]) -> None:
    kind = entry.get("strength")
    if kind is None:
        assert "strength_default" not in entry
        assert "strength_range" not in entry
        return
    low, high = entry["strength_range"]
    assert 0 < low < high <= 100
    assert low <= entry.get("strength_default", low) <= high
    assert entry["form"] == "liquid"
    made_of = set(masses(entry))
    if kind == "brix":
        assert made_of & SUGARS
        assert "water" not in made_of
    elif kind == "fat":
        assert "milk_fat" in made_of
    elif kind == "assay":
        assert len(made_of) == 1
        assert made_of <= {*ACIDS, "salt"}
    elif kind == "tds":
        solids = 100 - entry["per_100_g"]["water"]
        assert solids == pytest.approx(entry["strength_default"], abs=0.01)
    else:
        assert kind == "abv"


@each_entry
def test_sources_resolve(entry: dict[str, Any]) -> None:
    source = SOURCES[entry["source"]]
    assert (entry["source"] == "USDA-SR28") <= bool(entry.get("row"))
    if entry["obtained"] == "read":
        assert source["obtained"] == "read"
    if source["obtained"] in ("memory", "practice"):
        assert entry["obtained"] == source["obtained"], "nothing remembered passes for read"
    for what, where in entry.get("also_from", {}).items():
        assert what in COMPONENTS or what in ("sugars", "strength_default")
        if where == "balance":
            assert "note" in entry or what == "acetic"
        else:
            assert where.split()[0] in SOURCES, where
    if entry["obtained"] == "practice":
        assert entry["note"], "say what stands in for what"


def test_source_keys_are_unique_over_all_files() -> None:
    seen: dict[str, str] = {}
    for path in sorted((DATA / "sources").glob("*.toml")):
        for key in load(path):
            assert key not in seen, f"{key}: {seen.get(key)} and {path.name}"
            seen[key] = path.name


@each_entry
def test_piece_has_its_note(entry: dict[str, Any]) -> None:
    assert ("piece_g" in entry) == ("piece_note" in entry)
    assert entry.get("piece_g", 1) > 0


@each_entry
def test_pieces_are_known_words_with_a_band_and_a_source(entry: dict[str, Any]) -> None:
    for word, row in entry.get("pieces", {}).items():
        assert word in ingredient.WORDS or word == ingredient.WHOLE
        assert set(row) <= {"g", "low", "high", "source", "row", "note"}
        assert 0 < row["low"] < row["g"] < row["high"]
        assert row["source"] in SOURCES
        assert (row["source"] == "USDA-SR28") == ("row" in row)
        assert row.get("note") or row["source"] == "USDA-SR28", "say which piece is meant"


# allergens


def test_allergens_are_the_fourteen_and_the_nine() -> None:
    assert len({row["id"] for row in ALLERGENS}) == len(ALLERGENS) == 14
    assert sum("us_name" in row for row in ALLERGENS) == 9
    for row in ALLERGENS:
        assert row["eu_name"]
        assert row["source"] in SOURCES
        assert set(row.get("us_details", ())) <= set(row["details"])


@each_entry
def test_allergens_are_known(entry: dict[str, Any]) -> None:
    details = {row["id"]: row["details"] for row in ALLERGENS}
    for allergen in entry["allergens"]:
        kind, _, detail = allergen.partition(":")
        assert kind in details
        if detail:
            assert detail in details[kind], allergen


@pytest.mark.parametrize(
    ("words", "allergen"),
    [
        (r"\b(milk|cream|butter|yoghurt|whey|buttermilk)\b", "milk"),
        (r"\begg", "eggs"),
        (r"\bsoy", "soybeans"),
        (r"\bcelery\b", "celery"),
        (r"\bsesame\b", "sesame"),
        (r"\bmustard\b", "mustard"),
        (r"\b(wine|vermouth|sherry|port)\b", "sulphites"),
        (r"\balmond", "nuts"),
        (r"\bfish\b", "fish"),
        (r"\b(beer|malt|barley)\b", "gluten"),
        (r"\boat\b", "gluten"),
        (r"\bpeanut", "peanuts"),
    ],
)
def test_names_that_speak_of_an_allergen_carry_it(words: str, allergen: str) -> None:
    excepted = {  # almond milk and its kind are not milk, cream of coconut no cream, and so on
        "milk": {
            "almond milk", "coconut milk", "coconut cream", "cream of coconut", "cream of tartar",
            "peanut butter", "almond butter",
        },
        "sulphites": set(),
        "gluten": {"ginger beer"},
    }  # fmt: skip
    found = 0
    for entry in ENTRIES:
        if re.search(words, entry["name"]) and entry["name"] not in excepted.get(allergen, ()):
            found += 1
            held = {one.partition(":")[0] for one in entry["allergens"]}
            assert allergen in held, entry["name"]
    assert found


def test_lecithin_carries_what_it_is_made_from() -> None:
    assert BY_NAME["lecithin"]["allergens"] == BY_NAME["soy lecithin"]["allergens"] == ["soybeans"]
    assert BY_NAME["lecithin"]["hazards"] == ["which-lecithin"]
    assert BY_NAME["sunflower lecithin"]["allergens"] == []
    assert BY_NAME["egg lecithin"]["allergens"] == ["eggs"]


# hazards


@pytest.mark.parametrize(
    ("names", "hazard"),
    [
        (("egg white", "egg yolk", "whole egg"), "raw-egg"),
        (("pasteurised egg white", "dried egg white"), "pasteurised-egg"),
        (("lime peel", "lemon peel", "bergamot peel", "seville orange peel", "grapefruit peel",
          "lime oil", "lemon oil", "bergamot oil", "grapefruit oil", "bitter orange oil"),
         "furanocoumarin"),
        (("grapefruit juice", "grapefruit peel", "grapefruit", "pomelo", "seville orange juice",
          "seville orange peel", "tangelo juice", "grapefruit oil"), "grapefruit"),
        (("cinchona bark", "tonic water"), "quinine"),
        (("cinnamon",), "coumarin"),
        (("sage", "dried sage"), "thujone"),
        (("nutmeg", "mace"), "nutmeg"),
        (("activated charcoal",), "charcoal"),
        (("garlic", "onion"), "garlic-family"),
        (("lactic acid", "phosphoric acid", "acetic acid"), "corrosive-acid"),
        (("citric acid", "citric acid monohydrate"), "citric-powder"),
        (("malic acid",), "malic-powder"),
        (("tartaric acid",), "tartaric-powder"),
        (("succinic acid",), "succinic-powder"),
        (("fumaric acid",), "fumaric-powder"),
        (("baking soda", "potassium bicarbonate"), "carbonate"),
        (("cherries", "sour cherries", "fresh elderflower", "elderberries"), "cyanogenic"),
        (("mint", "basil", "ginger root", "cucumber", "almonds"), "low-acid-botanical"),
        (("lemon juice", "lime juice", "orange juice"), "raw-juice"),
        (("passion fruit juice", "tomato juice"), "pulp"),
        (("sparkling water", "tonic water", "cola", "lemonade", "ginger ale", "ginger beer", "beer",
          "cider", "sparkling wine", "cremant", "lambrusco", "perry", "stout beer"), "gassy"),
        (("kombucha", "tepache"), "fermenting"),
        (("gelatine", "agar", "gellan gum", "carrageenan", "pectin"), "sets-cold"),
        (("methylcellulose",), "sets-hot"),
        (("butter", "coconut oil", "dark chocolate"), "solid-fat"),
    ],
)  # fmt: skip
def test_hazard_is_told(names: tuple[str, ...], hazard: str) -> None:
    for name in names:
        assert hazard in BY_NAME[name]["hazards"], name


@each_entry
def test_what_is_inside_is_told(entry: dict[str, Any]) -> None:
    made_of = masses(entry)
    assert ("caffeine" in made_of) == ("caffeine" in entry["hazards"])
    if entry["group"] in ("coffee", "tea"):
        assert "caffeine" in made_of, "what is steeped and strained as coffee or tea is"
    if "dissolved carbon dioxide is not counted" in entry.get("note", ""):
        assert "gassy" in entry["hazards"]
    if "ferments on" in entry.get("note", ""):
        assert "fermenting" in entry["hazards"]
    if made_of.get("essential_oil", 0) > 1:
        assert "essential-oil" in entry["hazards"]
    if entry["group"] == "dairy":
        assert "milk" in entry["allergens"]
        assert "dairy" in entry["hazards"]
    if entry["group"] == "egg":
        assert "eggs" in entry["allergens"]
        assert {"raw-egg", "pasteurised-egg"} & set(entry["hazards"])
    if entry["group"] in ("wine", "spirit") and entry["name"] not in ("beer", "sake"):
        assert entry["strength"] == "abv"


# figures that follow from elsewhere


def test_acid_salts_carry_the_equivalents_of_their_formula() -> None:
    citrate = BY_NAME["trisodium citrate"]["per_100_g"]  # three sodium to one citrate
    assert citrate["sodium"] / 22.990 == pytest.approx(3 * citrate["citric"] / 192.124, rel=2e-3)
    citrate = BY_NAME["tripotassium citrate"]["per_100_g"]
    assert citrate["potassium"] / 39.098 == pytest.approx(3 * citrate["citric"] / 192.124, rel=2e-3)
    bicarbonate = BY_NAME["potassium bicarbonate"]["per_100_g"]
    assert bicarbonate["potassium"] == pytest.approx(100 * 39.098 / 100.115, abs=0.01)
    tartrate = BY_NAME["cream of tartar"]["per_100_g"]
    assert tartrate["potassium"] / 39.098 == pytest.approx(tartrate["tartaric"] / 150.087, rel=1e-2)


def test_citric_monohydrate_holds_its_anhydrous_share() -> None:
    # acid equivalents: 1 g of monohydrate is 0.9143 g of anhydrous acid
    assert BY_NAME["citric acid monohydrate"]["per_100_g"]["citric"] == pytest.approx(
        91.43, abs=0.01
    )


@pytest.mark.parametrize(
    ("name", "acid", "grams_per_litre", "density"),
    [  # PENNISTON-2008 and KARADENIZ-2004, with the density that the note names
        ("lemon juice", "citric", 48.0, 1.035),
        ("lime juice", "citric", 45.9, 1.035),
        ("grapefruit juice", "citric", 19.6, 1.04),
        ("mandarin juice", "citric", 9.2, 1.044),
        ("mandarin juice", "malic", 5.3, 1.044),
    ],
)
def test_juice_acid_is_the_published_one(
    name: str, acid: str, grams_per_litre: float, density: float
) -> None:
    entry = BY_NAME[name]
    assert entry["per_100_g"][acid] == pytest.approx(grams_per_litre / 10 / density, abs=0.006)
    assert f"{density:g} g/ml" in entry["note"]


def test_wet_peel_is_as_measured() -> None:
    # MAREY-2016: mandarin peel 79.6 % wet basis; SR28: lemon 81.60, orange 72.50
    assert BY_NAME["mandarin peel"]["per_100_g"]["water"] == pytest.approx(79.6, abs=0.01)
    assert BY_NAME["lemon peel"]["per_100_g"]["water"] == pytest.approx(81.6, abs=0.1)
    assert BY_NAME["orange peel"]["per_100_g"]["water"] == pytest.approx(72.5, abs=0.1)


def test_salt_buffers_nothing() -> None:
    # sodium beside chloride is no base; counted as sodium it would raise the pH of a drink
    for name in ("salt", "saline", "olive brine", "hot sauce", "worcestershire sauce"):
        assert "sodium" not in BY_NAME[name]["per_100_g"], name


def test_spirits_ask_for_their_strength() -> None:
    for name in ("spirit", "neutral spirit", "gin", "rum", "whisky", "tequila", "brandy", "vodka"):
        assert BY_NAME[name]["strength"] == "abv"
        assert "strength_default" not in BY_NAME[name]
        assert "per_litre" not in BY_NAME[name]
    for name in ("simple syrup", "syrup", "cream", "lactic acid", "phosphoric acid"):
        assert "strength_default" not in BY_NAME[name]


# through the door that calculators use

STRENGTH_WORDS = {"abv": "40 %", "brix": "50 Bx", "fat": "30 %", "assay": "20 %", "tds": "2 %"}


@each_entry
def test_every_name_and_synonym_leads_to_the_entry(entry: dict[str, Any]) -> None:
    for name in (entry["name"], *entry["also"]):
        assert PANTRY.entry(name)["name"] == entry["name"]
        if not name.endswith("s"):  # a plural with one more s is a slip, and could be a plant's
            assert PANTRY.entry(f"{name}s")["name"] == entry["name"]


@each_entry
def test_entry_makes_a_kilogram_and_a_liquid_has_a_density(entry: dict[str, Any]) -> None:
    words = entry["name"]
    if "strength" in entry and "strength_default" not in entry:
        words = f"{words} {STRENGTH_WORDS[entry['strength']]}"
    made = PANTRY.ingredient(words)
    assert made.mixture.mass_kg == pytest.approx(1.0)
    assert made.mixture.allergens == set(entry["allergens"])
    assert made.mixture.tags - {FREE_FAT} == set(entry["hazards"])
    if entry["form"] == "liquid":
        assert 780 < made.mixture.density_kg_m3(20.0) < 1650


@each([e for e in ENTRIES if "strength" in e], lambda entry: str(entry["name"]))
def test_strength_that_is_written_is_the_strength_that_comes_out(entry: dict[str, Any]) -> None:
    kind, (low, high) = entry["strength"], entry["strength_range"]
    unit = {"abv": "% vol", "brix": "Bx"}.get(kind, "%")
    for strength in (low, (low + high) / 2, high):
        mixture = PANTRY.ingredient(f"{entry['name']} {strength:g} {unit}").mixture
        if kind == "abv":
            assert 100 * mixture.abv == pytest.approx(float(f"{strength:g}"), abs=0.02)
        elif kind == "fat":
            assert 100 * mixture.fraction("milk_fat") == pytest.approx(strength, abs=1e-3)
        else:
            assert 100 * (1 - mixture.fraction("water")) == pytest.approx(strength, abs=1e-3)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [  # FDA-PH, approximate pH of foods; cranberry one analysed juice 2.5
        ("lemon juice", 2.00, 2.60),
        ("lime juice", 2.00, 2.35),
        ("orange juice", 3.30, 4.19),
        ("grapefruit juice", 2.90, 3.25),
        ("pineapple juice", 3.30, 3.60),
        ("passion fruit juice", 2.40, 3.50),
        ("apple juice", 3.35, 4.00),
        ("cranberry juice", 2.30, 2.70),
    ],
)
def test_juice_has_its_published_ph(name: str, low: float, high: float) -> None:
    ph = PANTRY.ingredient(name).mixture.ph
    assert low - 0.05 <= ph.value <= high + 0.05  # the lime lies 0.003 above its span
    assert ph.plus_minus >= 0.1


def test_a_pinch_of_salt_hardly_moves_the_ph() -> None:
    # salt additions caused no significant change of the pH of lemon juice [SINCLAIR-ENY-1946]
    sour = PANTRY.part("200 g lemon juice").mixture + PANTRY.part("800 g water").mixture
    salted = sour + PANTRY.part("3 g salt").mixture + PANTRY.part("3 g saline").mixture
    assert salted.ph.value == pytest.approx(sour.ph.value, abs=0.02)


@pytest.mark.parametrize(
    ("name", "grams_per_cup"),
    [  # USDA-SR28 cup weights, cup of 236.588 ml, of the row itself
        ("whole milk", 244.0), ("skimmed milk", 245.0), ("whipping cream", 238.0),
        ("honey", 339.0), ("maple syrup", 315.0), ("orange juice", 248.0),
        ("grapefruit juice", 247.0), ("pineapple juice", 250.0), ("apple juice", 248.0),
        ("evaporated milk", 252.0), ("condensed milk", 306.0),
    ],
)  # fmt: skip
def test_liquid_weighs_about_what_a_cup_of_it_weighs(name: str, grams_per_cup: float) -> None:
    density = PANTRY.ingredient(name).mixture.density_kg_m3(20.0)
    assert density == pytest.approx(1000 * grams_per_cup / 236.588, rel=0.015)


def test_foreign_and_old_names() -> None:
    assert PANTRY.entry("Fresh  Lemon Juice")["name"] == "lemon juice"
    assert PANTRY.entry("eggs")["name"] == "whole egg"
    with pytest.raises(UnknownIngredient, match="lemon juice"):
        PANTRY.entry("lemmon juice")
