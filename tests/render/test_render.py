"""A view as JSON: of finite numbers only, and readable by a person."""

from __future__ import annotations

import json
import math

import pytest

from prepkit.render import as_json


class Told:
    """A thing with a JSON form."""

    def __init__(self, value: float) -> None:
        self.value = value

    def to_dict(self) -> dict[str, object]:
        return {"wärme": self.value}


def test_what_is_written_reads_back_and_keeps_its_letters() -> None:
    said = as_json(Told(21.5))
    assert json.loads(said) == {"wärme": 21.5}
    assert "wärme" in said
    assert said.endswith("}\n")


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_json_holds_what_is_no_number(value: float) -> None:
    with pytest.raises(ValueError, match="JSON"):
        as_json(Told(value))
