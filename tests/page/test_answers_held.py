"""An answer held beside another: only what differs, worked out again from its words."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from page import asking

from prepkit.page import answers, forms


def shown(**changed: str) -> list[list[str]]:
    """The rows of what differs from the example of siphon."""
    text = urlencode(forms.query(forms.example("siphon")))
    pairs = {**forms.example("siphon"), **changed, forms.HELD: text}
    page = asking.tree(asking.browser().get(asking.address("siphon", pairs)))
    table = next(one for one in page.all("table") if one.first("caption").text.startswith("Held"))
    return [[cell.text for cell in row.all() if cell.tag in ("th", "td")]
            for row in table.first("tbody").all("tr")]  # fmt: skip


def test_what_differs_alone_is_shown_the_verdict_first() -> None:
    rows = shown(chargers="2")
    assert rows[0] == ["Verdict", "CARE", "STOP"]
    assert ["Chargers per vessel", "1", "2"] in rows
    assert all(was != now for _, was, now in rows)
    assert "Inside volume of the vessel" not in [label for label, *_ in rows]


def test_of_the_same_nothing_differs() -> None:
    assert shown() == [["Nothing differs."]]


@pytest.mark.parametrize(
    "text",
    ["part=x", "%", "rated=1+bananas", "a=1&" * 1000, "&" * 4000, "part=%00", "?", "=" * 900],
)
def test_what_cannot_be_worked_out_is_said_and_harms_nothing(text: str) -> None:
    answer = asking.browser().get(
        asking.address("siphon", {**forms.example("siphon"), forms.HELD: text})
    )
    assert answer.status_code == 200
    assert "cannot be worked out any more" in answer.text


def test_nothing_is_held_within_what_is_held() -> None:
    assert list(answers.args_of("a=1&.held=a%3D2").keys()) == ["a"]
    assert answers.text_of([("a", "1"), (".held", "a=2")]) == "a=1"
