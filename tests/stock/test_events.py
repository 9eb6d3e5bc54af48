"""One event: what it must be, and that it comes back as written."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from stock.test_stock import made

from prepkit.errors import BadInput
from prepkit.stock import Ledger

DAY = date(2026, 3, 1)


def test_an_event_comes_back_as_it_was_written(ledger: Ledger) -> None:
    event = made(who="A.B.", note="a note", data={"yield_g": 2000.0, "brix": 61.5})
    (stands,) = ledger.append(event)
    assert stands.id == 1
    (read,) = ledger.events()
    for name in ("kind", "item", "batch", "change_mg", "made_on", "use_by", "who", "note", "at"):
        assert getattr(read, name) == getattr(event, name), name
    assert dict(read.data) == {"yield_g": 2000.0, "brix": 61.5}


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"at": datetime(2099, 1, 1, tzinfo=UTC)}, "is in the future"),
        ({"made_on": date(2099, 1, 1), "use_by": None}, "is in the future"),
        ({"use_by": DAY - timedelta(days=1)}, "before the day it was made"),
        ({"use_by": "soon"}, 'use by is "soon"'),
        ({"change_mg": -1}, "must be more than 0"),
        ({"change_mg": 0}, "must be more than 0"),
        ({"change_mg": 1.5}, "whole milligrams"),
        ({"change_mg": 10**15}, "100 tonnes"),
        ({"kind": "eaten"}, "not a kind of event"),
        ({"kind": "discarded", "change_mg": -5}, "why was it thrown away"),
        ({"item": ""}, "item is empty"),
        ({"item": "two\nlines"}, "one line"),
        ({"density_g_m3": 5}, "density"),
        ({"to_site": "bar"}, "only if it moved"),
    ],
)
def test_what_no_event_can_be(more: dict[str, object], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        made(**more)
