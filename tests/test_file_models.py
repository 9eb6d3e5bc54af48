"""Tables of a file as models: closed, strict, refused in our words; their schema agrees."""

import contextlib
import copy
import json
from collections.abc import Callable, Collection
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import fastjsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, PlainValidator, create_model
from pydantic_core import ValidationError

from prepkit.calculators.siphon.register import Vessel, load_register
from prepkit.errors import BadRecipe, PrepkitError, one_line
from prepkit.file_models import Beside, FileModel, form, mended, problems
from prepkit.plan.files import Enough, Reader
from prepkit.plan.house import house_of
from prepkit.plan.house_file import BenchTable, ContainerTable, HouseFile, PriceTable
from prepkit.plan.plan import recipe_of
from prepkit.plan.recipe_file import KEYS, Readings, RecipeFile, readings_of

SCHEMA = fastjsonschema.compile(form(Readings))
VALUES = st.one_of(
    st.none(), st.booleans(), st.integers(-10, 400), st.floats(allow_nan=True),
    st.sampled_from(["12 Bx", "1 kg", "3.1", "1 C", "24 C", "", "x", "990 kg/m3", "2 bar", "40 %"]),
    st.lists(st.text(max_size=3), max_size=2), st.dictionaries(st.text(max_size=2), st.text()),
)  # fmt: skip
TABLES = st.dictionaries(st.sampled_from([*KEYS, "atc", "masss", "of"]), VALUES, max_size=4)


@given(TABLES)
def test_a_table_is_read_or_refused_in_one_sentence_with_its_place(table: dict[str, Any]) -> None:
    try:
        read = readings_of({"mix": table}, ["mix"])["mix"]
    except BadRecipe as error:
        said = str(error)
        assert said.startswith("readings: mix")
        assert said.endswith(".")
        assert "\n" not in said
        assert "pydantic" not in said
        return
    assert read.values.keys() - {"temperature"}
    assert read.values.keys() == table.keys() - {"atc"}


@given(TABLES)
def test_what_is_read_passes_the_schema(table: dict[str, Any]) -> None:
    """An editor that knows the schema marks nothing that is taken."""
    try:
        Readings.read(table)
    except ValidationError as error:
        for problem in problems(Readings, error):
            assert problem.sentence.endswith(".")
        return
    SCHEMA(json.loads(json.dumps(table)))


@pytest.mark.parametrize("model", [Readings, Vessel])
def test_a_model_does_not_change_and_takes_no_other_key(model: Any) -> None:
    read = model()
    with pytest.raises(AttributeError):
        read.note = "x"
    with pytest.raises(ValidationError):
        model(ratde="17 bar")
    assert form(model)["additionalProperties"] is False


def test_a_register_says_the_line(tmp_path: Path) -> None:
    file = tmp_path / "plates.toml"
    file.write_text('[vessels.north]\nrated = "17 bar"\n\nmax_fill = {}\n', encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"plates.toml:4: vessel north.max_fill: it is a table"):
        load_register(file)


# a recipe and its house, with anything in the place of anything

HOUSE = {
    "altitude": "100 m", "bench": {"scale": "1 g", "ph_meter": 0.1}, "currency": "EUR",
    "units": "metric", "measures": "us", "sizes": {"shot": "40 ml", "case": 6}, "hands": 2,
    "earliest_start": "10:00", "latest_finish": "22:00", "stock": {"ledger": "x.db"},
    "par": {"my-base": "2 l"}, "containers": {"keg": {"volume": "5 l", "headspace": "0.2 l"}},
    "vessels": {"north": {"vessel_volume": "1 l", "count": 2}},
    "price": [{"ingredient": "water", "pack": "1 l", "cost": 1}],
}  # fmt: skip
RECIPE = {
    "title": "A trial", "serves": 8, "house": {"hands": 3}, "note": "x",
    "items": {"my-base": {
        "calculator": "blend", "part": ["1 kg water"], "loss": "3 %", "least": "1 g",
        "step": [{"text": "Stir", "takes": "5 min", "hands-on": "3 min", "within": "1 h"}],
    }},
    "serve": [{"name": "One", "part": "90 g my-base", "garnish": []}],
    "price": [{"ingredient": "water", "pack": "1 l", "cost": 1}],
    "variant": {"low": {"serves": 4, "items": {"my-base": {"loss": "2 %"}}}},
}  # fmt: skip
ODD = st.sampled_from([
    None, True, 0, -1, 2.5, float("nan"), "", "x", "{key} {place}", "1 kg", "99 %", "a\x00b", [],
    [1], ["1 g water"], [{}], {}, {"a": 1}, {"a-b": {}}, {"x" * 70: {}}, {"1 g": {}},
    {"hands_on": 1, "hands-on": 2}, {"drops": {}}, date(2027, 1, 1),
])  # fmt: skip
KEYS_OF = ("colour", "note", "file", "count", "takes", "hands_on", "title", "volume", "fine_scale")


def put(data: st.DataObject, table: Any) -> Any:
    """The same tables with something odd somewhere in them, or with something left out."""
    table = copy.deepcopy(table)
    at = table
    while True:
        keys = list(at) if isinstance(at, dict) else list(range(len(at)))
        if isinstance(at, dict) and (not keys or data.draw(st.integers(0, 5)) == 0):
            at[data.draw(st.sampled_from(KEYS_OF))] = data.draw(ODD)
            return table
        if not keys:
            return table
        key = data.draw(st.sampled_from(keys))
        if isinstance(at[key], dict | list) and at[key] and data.draw(st.integers(0, 3)):
            at = at[key]
        elif data.draw(st.booleans()):
            at[key] = data.draw(ODD)
            return table
        else:
            del at[key]
            return table


def refusal(work: Callable[[], object]) -> str | None:
    """The sentence with which it is refused."""
    try:
        work()
    except PrepkitError as error:
        return getattr(error, "sentence", error.message)
    return None


@pytest.mark.parametrize(("model", "good"), [(RecipeFile, RECIPE), (HouseFile, HOUSE)])
@settings(max_examples=100, deadline=None)
@given(data=st.data())
def test_tables_are_read_or_refused_and_then_mended(model: Any, good: Any, data: Any) -> None:
    """One sentence each; what is wrong once is told once; what is left can be read."""
    tables = put(data, put(data, good))
    found: list[Any] = []
    read = mended(model, tables, found.append)
    assert read is not None
    first = refusal(lambda: Reader("x").model(model, tables))
    assert (first is None) is not bool(found)
    assert first is None or first in [one_line(one.sentence) for one in found]
    for one in found:
        assert one.sentence.endswith(".")
        assert "pydantic" not in one.sentence
        assert "{key}" not in one.sentence or "{key}" in str(tables)
    assert len(set(found)) == len(found)


@pytest.mark.parametrize("file", ["recipe", "house"])
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_what_is_refused_is_among_what_a_check_tells(file: str, data: Any) -> None:
    tables = put(data, RECIPE if file == "recipe" else HOUSE)

    def read(reader: Reader) -> object:
        if file == "recipe":
            return recipe_of(tables, reader)
        return house_of(reader, reader.model(HouseFile, tables), Path())

    gathering = Reader("x.toml", gather=True)
    with contextlib.suppress(Enough):
        read(gathering)
    first = refusal(lambda: read(Reader("x.toml")))
    told = [one.sentence for one in gathering.found]
    assert first in told if first is not None else not told


# pydantic's own classes as the judge


def of_pydantic(model: type[FileModel]) -> type[BaseModel]:
    """A class of pydantic's with the same fields, each read by the same kind."""
    fields: dict[str, Any] = {}
    for key, kind in model.kinds().items():
        read = (
            (lambda value, info, kind=kind: kind.read_beside(value, info.data))
            if isinstance(kind, Beside)
            else kind.read
        )
        fields[key] = (Annotated[Any, PlainValidator(read)], model.defaults().get(key, ...))
    return create_model(model.__name__, __config__=ConfigDict(extra="forbid"), **fields)


def judged(read: Callable[[], Any], keys: Collection[str]) -> object:
    """The values that were read, or the kind and the place of all that is wrong."""
    try:
        made = read()
    except ValidationError as error:
        return {(one["type"], one["loc"], one["msg"]) for one in error.errors()}
    return [getattr(made, key) for key in keys]


JUDGES = {one: of_pydantic(one) for one in (PriceTable, ContainerTable, BenchTable, Readings)}
ENTRIES = st.one_of(VALUES, st.sampled_from(["770 ml", "20 ml", "900 ml", "0.1 g", "5 g", "6 bar"]))


@pytest.mark.parametrize("model", JUDGES, ids=lambda one: one.__name__)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_model_reads_and_refuses_as_one_of_pydantic_does(model: Any, data: Any) -> None:
    keys = [*model.kinds(), "colour"]
    table = data.draw(st.dictionaries(st.sampled_from(keys), ENTRIES, max_size=5))
    ours = judged(lambda: model.read(table), model.kinds())
    assert ours == judged(lambda: JUDGES[model].model_validate(table), model.kinds())
