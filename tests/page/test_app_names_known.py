"""What is offered to who types: every ingredient of the pantry, none that is refused."""

from __future__ import annotations

from page import asking

from prepkit.page import app
from prepkit.pantry import Pantry


def test_a_strength_stands_beside_the_name_and_a_usual_one_is_written_after_it() -> None:
    rows = {name: (after, known) for name, after, known in app.rows(Pantry())}
    assert rows["cream"] == ("", "fat by weight, 18 to 48 %")
    assert rows["lemon juice"] == ("", "7 Bx")
    assert rows["absinthe"][0].endswith("% vol")


def test_every_name_that_is_offered_is_an_ingredient() -> None:
    pantry = Pantry()
    for name, after, _ in app.rows(pantry)[::9]:
        assert pantry.entry(name)
        if after:
            assert pantry.ingredient(f"{name} {after}")


def test_the_page_asks_for_them_by_its_own_address() -> None:
    answer = asking.browser().get("/ingredients.json")
    assert answer.mimetype == "application/json"
    assert len(answer.json["names"]) > 500
