"""A hazard named in a form is answered by a STOP with its reason, on the page and as JSON."""

from __future__ import annotations

import pytest
from page import asking

NAMED = [
    ("siphon", "contents", "200 g dry ice", "no limit"),
    ("serve", "part", "20 g laughing gas", "breath"),
    ("blend", "part", "5 g foxglove", "heart"),
    ("blend", "part", "5 g foxglovess", "heart"),
    ("keep", "part", "200 g organic elderberriess", "cyanide"),
]


@pytest.mark.parametrize(("name", "field", "words", "why"), NAMED)
def test_a_form_with_a_hazard_is_stopped_with_its_reason(
    name: str, field: str, words: str, why: str
) -> None:
    answer = asking.browser().get(asking.address(name, {field: words}))
    assert answer.status_code == 200
    page = asking.tree(answer)
    verdict = next(iter(page.all(class_="verdict")))
    assert "STOP" in verdict.text
    assert why in page.text.lower()
    assert "not listed" not in page.text.lower()


@pytest.mark.parametrize(("name", "field", "words", "why"), NAMED)
def test_the_same_as_json_is_a_stop_without_figures(
    name: str, field: str, words: str, why: str
) -> None:
    answer = asking.browser().get(asking.address(name, {field: words}, ".json"))
    assert answer.status_code == 200
    said = answer.get_json()
    assert said["verdict"] == "stop"
    assert said["values"] == {}
    assert why in str(said["cautions"]).lower()
