"""Records: told like a dataclass, made without one."""

from __future__ import annotations

from functools import cached_property

import pytest

from prepkit import model, registry
from prepkit.index import CALCULATORS
from prepkit.record import EMPTY, Field, Record


class Shelf(Record):
    name: str
    depth_mm: float = 300.0

    @cached_property
    def depth_m(self) -> float:
        return self.depth_mm / 1000


class Rack(Shelf):
    """A shelf with more to say."""

    rows: int = 2


def test_a_record_is_told_by_place_or_by_name() -> None:
    assert Shelf("north", 250.0) == Shelf(name="north", depth_mm=250.0)
    assert Rack("north", rows=3).depth_mm == 300.0
    assert Shelf("north") != Rack("north")
    assert hash(Shelf("north")) == hash(Shelf("north", 300.0))


def test_what_is_unknown_missing_or_told_twice_is_refused() -> None:
    for wrong in (
        Shelf,
        lambda: Shelf("north", dept_mm=1.0),
        lambda: Shelf("north", 1.0, 2.0),
        lambda: Shelf("north", name="south"),
        lambda: Shelf("north").replaced(dept_mm=1.0),
    ):
        with pytest.raises(TypeError, match="Shelf"):
            wrong()


def test_a_record_does_not_change() -> None:
    shelf = Shelf("north")
    assert shelf.depth_m == 0.3  # worked out, and no field
    assert shelf == Shelf("north")
    assert shelf.replaced(depth_mm=500.0).depth_m == 0.5
    with pytest.raises(AttributeError):
        shelf.__setattr__("depth_mm", 1.0)
    with pytest.raises(AttributeError):
        del shelf.name


def test_every_result_is_one() -> None:
    for name in CALCULATORS:
        result = registry.load(name).result
        made = result()
        assert isinstance(made, model.Result)
        assert made.facts == EMPTY
        assert made.replaced(deciding="x").deciding == "x"
        with pytest.raises(TypeError):
            result("x")
        with pytest.raises(TypeError):
            result(no_value=1.0)


def test_no_input_or_value_is_declared_without_its_type() -> None:
    for name in CALCULATORS:  # it would be no field, and never asked for or shown
        for kind in (registry.load(name).inputs, registry.load(name).result):
            for one in kind.__mro__[:-1]:
                lost = [field for field, said in vars(one).items() if isinstance(said, Field)]
                assert not lost, f"{one.__name__}: write the type of {', '.join(lost)}"
