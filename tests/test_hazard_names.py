"""What goes into no drink is known by name, however it is spelt; what is food is answered."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from each import each
from hypothesis import given
from hypothesis import strategies as st

from prepkit import blocks, hazard_names, model, numbers
from prepkit.errors import BadRecipe, UnknownIngredient
from prepkit.jurisdictions import KINDS
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries

HERE = Path(__file__).parent / "hazards"
HARMLESS = (HERE / "harmless.txt").read_text(encoding="utf-8").split("\n")[:-1]
PLANTS = [
    (line[:4], name)
    for line in (HERE / "plants.txt").read_text(encoding="utf-8").splitlines()
    for name in line[6:].split(", ")
]
ROWS = [row for path in blocks.names("hazard_names") for row in blocks.blocks(path, "hazard")]
STOPPED = [
    *((row["name"], name) for row in ROWS if row["act"] != "ask"
      for name in (row["name"], *row["also"])),
    *((row["name"], name) for row in blocks.blocks("refused.toml", "refused")
      for name in (row["name"], *row["also"])),
]  # fmt: skip
NAMES = Pantry().names()
# the pantry knows these with cautions of their own
LISTED = ("cassia", "nutmeg", "mace", "liquorice", "licorice", "cinchona bark")
MISSED = """
    elderberries; kava; cow parsley; wild carrot; fox glove; foxgloves; fox-glove; raw kidney beans;
    kidney beans; lima beans; raw lima beans; cassava; woodruff; laburnum; hellebore; mistletoe;
    holly; privet; kratom; tomato leaves; leaves of tomato; apple seeds; cherry leaf; poison ivy;
    dieffenbachia; tonkabean; lilly of the valley; lily-of-the-valley; lilies of the valley;
    poison parsley; dry ice; dry-ice; DRY ICE; dryice; CO2 snow; CO₂ snow; co2-snow; LN2; LN₂;
    liquid nitrogen; liquid-nitrogen; liquid N2; nitrogen, liquid; solid carbon dioxide;
    laughing gas; nitrous oxide; bottled nitrogen; so2; SO₂; sulphur dioxide; butane; co2; n2o;
    methanol; denatured spirit; methylated spirits; isopropyl; isopropyl alcohol; antifreeze;
    oxalic acid; lye; caustic soda; quinine sulphate; quinine; caffeine powder; pure caffeine;
    bleach; household bleach; rubbing alcohol; ethylene glycol; wintergreen oil; tea tree oil;
    n2o bulbs; whippets; freon; boxwood; cascara; spindle berries; snowberry; lords and ladies;
    arum; amaryllis; cedar leaf; chaparral; lobelia; blue cohosh; mahonia; horsetail; aloin;
    aloe latex; fugu; ethyl acetate; oregon grape
"""


def words_of(text: str) -> list[str]:
    return [" ".join(one.split()) for one in text.split(";")]


def test_the_index_is_made_of_the_tables() -> None:
    assert hazard_names._index() == hazard_names.indexed(), "run: python -m prepkit.blocks"


def test_rows_are_whole() -> None:
    ids = [row["id"] for row in ROWS]
    assert len(set(ids)) == len(ids)
    for row in ROWS:
        assert row["act"] in ("stop", "process", "ask"), row["id"]
        assert row["kind"] in KINDS, row["id"]
        assert model.source_of(row["source"]) is not None, row["id"]
        assert bool(row.get("process")) == (row["act"] == "process"), row["id"]
        assert not row["why"].endswith(".")


@each(PLANTS)
def test_every_name_of_the_list_of_plants_is_known(row: tuple[str, str]) -> None:
    plant, name = row
    assert name in LISTED or hazard_names.find(name) or hazard_names.asked(name), plant
    if name not in NAMES:
        with pytest.raises(UnknownIngredient) as caught:
            Pantry().entry(name)
        assert "pantry.toml" not in caught.value.message
        assert "misspelt" not in caught.value.message


def test_every_stopped_name_is_found_in_any_spelling() -> None:
    for _, name in STOPPED:
        if name.startswith(("a ", "an ")):  # what a row is called, not what is asked for
            continue
        many = name if name.endswith("s") else f"{name}s"
        for words in (name, name.upper(), name.replace(" ", "-"), f"30 g {name}", many):
            assert hazard_names.find(words) is not None, words
        if not name[-1].isdigit() and " " in name:
            assert hazard_names.find(name.replace(" ", "")) is not None, name


@each(words_of(MISSED))
def test_what_was_missed_is_stopped(words: str) -> None:
    assert hazard_names.find(words) is not None
    assert hazard_names.find(words.title()) is not None


@each([*HARMLESS, *NAMES])
def test_food_is_not_stopped(words: str) -> None:
    if words in ("elderberries", "elderberry"):
        return
    assert hazard_names.dangerous(words, NAMES) is None
    assert len(HARMLESS) > 150


def test_a_word_of_food_words_is_no_misspelt_poison() -> None:
    """Whole words that are spelt right are never read as a poison, however near one is."""
    for words in words_of((HERE / "foodstuffs.txt").read_text(encoding="utf-8")):
        assert hazard_names.dangerous(words, NAMES) is None, words
    near = ["insullin", "desmodum", "beanwatr", "beanwaterr", "glow stickliquidd", "sodium arsenat"]
    near += ["pieoil", "bitteraloe", "breadbean", "buttercube"]  # two words of food run together
    for words in near:
        assert hazard_names.dangerous(words, NAMES) is not None, words


@pytest.mark.parametrize(
    ("raw", "done"),
    [
        ("kidney beans", "boiled kidney beans"), ("raw kidney beans", "tinned kidney beans"),
        ("cassava", "cassava flour"), ("elderberries", "cooked elderberries"),
        ("lima beans", "canned lima beans"), ("fiddleheads", "steamed fiddleheads"),
    ],
)  # fmt: skip
def test_raw_food_is_stopped_until_it_is_said_to_be_made_safe(raw: str, done: str) -> None:
    assert hazard_names.find(raw) is not None
    assert hazard_names.find(done) is None
    for undone in (f"raw {done}", f"half {done}", f"not {done}"):
        assert hazard_names.find(undone) is not None, undone


LONG = sorted({name for _, name in STOPPED if len(numbers.joined(name)) >= 6})


@st.composite
def slips(draw: st.DrawFn) -> tuple[str, str]:
    """A dangerous name, and the same with one letter wrong, left out, put in or swapped."""
    name = draw(st.sampled_from(LONG))
    at = draw(st.integers(0, len(name) - 2))
    letter = draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz"))
    return name, draw(
        st.sampled_from(
            [
                name[:at] + letter + name[at:],
                name[:at] + letter + name[at + 1 :],
                name[:at] + name[at + 1 :],
                name[:at] + name[at + 1] + name[at] + name[at + 2 :],
            ]
        )
    )


@given(slips())
def test_a_slip_in_a_dangerous_name_is_never_answered_with_food(slip: tuple[str, str]) -> None:
    name, words = slip
    if words.lower().strip() in NAMES:  # one letter makes it a food by itself
        return
    with pytest.raises(UnknownIngredient) as caught:
        Pantry().entry(words)
    assert "misspelt" not in caught.value.message, name
    assert "pantry.toml" not in caught.value.message


def refusal(words: str) -> str:
    try:
        Pantry().entry(words)
    except UnknownIngredient as error:
        return error.message
    return ""


@given(st.sampled_from(NAMES), st.integers(0, 30), st.sampled_from("abcdeilmnorstu"))
def test_a_neighbour_is_of_one_class(name: str, at: int, letter: str) -> None:
    words = name[:at] + letter + name[at + 1 :]
    meant = re.search(r"if it is misspelt, write (.*)\.$", refusal(words))
    for one in meant[1].split(" or ") if meant else ():
        assert numbers.apart(numbers.joined(words), numbers.joined(one), 2) <= 2
        assert hazard_names.find(one) is None or one.startswith("elderberr")
    if meant:
        entries = [Pantry().entry(one) for one in meant[1].split(" or ")]
        assert len({frozenset(one.get("allergens", ())) for one in entries}) == 1


@pytest.mark.parametrize(
    "words", ["pine nuts", "goat milk", "kava", "poison parsley", "dry ice", "so2", "gloob",
              "laughing gas", "cashew cream", "nut milk"],
)  # fmt: skip
def test_no_look_alike_is_offered(words: str) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        Pantry().entry(words)
    assert "misspelt" not in caught.value.message


def test_what_is_not_listed_is_not_called_safe() -> None:
    with pytest.raises(UnknownIngredient, match=r"Not listed is not the same as safe\."):
        Pantry().entry("gloob")
    with pytest.raises(UnknownIngredient, match="write lemon juice"):
        Pantry().entry("lemmon juice")


ENTRY = {"group": "herb", "form": "solid", "per_100_g": {"water": 80.0, "fibre": 20.0}}


@pytest.mark.parametrize(
    "name", ["rue", "foxglove", "fox glove", "fox-gluve", "kava", "dry ice", "tonkabean", "LN₂",
             "house kava blend", "our lilly of the valley syrup", "kidney beans", "methanol",
             "cherry leaves", "caffeine powder"],
)  # fmt: skip
def test_a_house_pantry_carries_no_dangerous_name(name: str) -> None:
    for row in ({"name": name, **ENTRY}, {"name": "our herb", "also": [name], **ENTRY}):
        with pytest.raises(BadRecipe, match="no pantry takes it"):
            house_entries({"ingredient": [row]})


def test_a_house_pantry_carries_food_and_what_its_rules_lift() -> None:
    names = ("wormwood", "cooked kidney beans", "calendula", "dragonfruit", "house ginger mix")
    rows = [{"name": name, **ENTRY} for name in names]
    assert [one["name"] for one in house_entries({"ingredient": rows})] == list(names)
