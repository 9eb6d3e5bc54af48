"""Tables of a file as models: closed, strict, refused in our words; their schema agrees."""

import json
from pathlib import Path
from typing import Any

import fastjsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from prepkit.calculators.siphon.register import Vessel, load_register
from prepkit.errors import BadRecipe
from prepkit.file_models import form, problems
from prepkit.plan.readings import KEYS, Readings, readings_of

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
        Readings.model_validate(table)
    except ValidationError as error:
        for problem in problems(Readings, error):
            assert problem.sentence.endswith(".")
        return
    SCHEMA(json.loads(json.dumps(table)))


@pytest.mark.parametrize("model", [Readings, Vessel])
def test_a_model_does_not_change_and_takes_no_other_key(model: Any) -> None:
    read = model()
    with pytest.raises(ValidationError):
        read.note = "x"
    with pytest.raises(ValidationError):
        model(ratde="17 bar")
    assert form(model)["additionalProperties"] is False


def test_a_register_says_the_line(tmp_path: Path) -> None:
    file = tmp_path / "plates.toml"
    file.write_text('[vessels.north]\nrated = "17 bar"\n\nmax_fill = {}\n', encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"plates.toml:4: vessel north.max_fill: it is a table"):
        load_register(file)
