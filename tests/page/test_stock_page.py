"""The stock on a screen: listed, counted, taken, discarded, undone; refused in one sentence."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from fuzz.words import HOSTILE
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from page.asking import tree
from page.recipe_pages import reads_well

from prepkit.page import create_app
from prepkit.page.guard import Settings
from prepkit.page.stock import key_of
from prepkit.stock import Ledger, open_ledger, verify
from prepkit.stock.events import Cell, Event

TODAY = date.today()
MARKUP = '<script>x</script>"&'
OLEO = Cell("house", "fridge", "peel-oleo", "a", "")
OLD = Cell("house", "fridge", "cold-base", "b", "")
DRY = Cell("house", "shelf", MARKUP, "c", "")
ROWS = ((OLEO, 700_000, 1_000_000, 3), (OLD, 500_400, None, -2), (DRY, 90_000, None, None))
# what a browser can send: never half of a character
SENT = [one.encode(errors="replace").decode() for one in HOSTILE]


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "house.toml").write_text('[stock]\nledger = "house.db"\n')
    with opened(tmp_path, create=True) as ledger:
        for cell, mg, density, days in ROWS:
            ledger.append(
                Event(
                    **cell._asdict(), kind="made", change_mg=mg, density_g_m3=density,
                    made_on=TODAY - timedelta(days=5),
                    use_by=None if days is None else TODAY + timedelta(days=days),
                )
            )  # fmt: skip
        reading = Event(**OLEO._asdict(), kind="measured", data={"brix": 61.5})
        ledger.append(reading)
    return tmp_path


@pytest.fixture
def phone(house: Path) -> FlaskClient:
    return create_app(Settings(house=house, write=True)).test_client()


def opened(house: Path, *, create: bool = False) -> Ledger:
    return open_ledger(str(house / "house.db"), create=create)


def stands(house: Path) -> dict[str, int]:
    """mg by item; the ledger agrees with its own events."""
    with opened(house) as ledger:
        assert not verify(ledger).wrong
        return {one.cell.item: one.mg for one in ledger.stock_at()}


def events(house: Path) -> list[str]:
    with opened(house) as ledger:
        return [one.kind for one in ledger.events()][len(ROWS) + 1 :]


def fields(answer: Any) -> dict[str, str]:
    """The fields of the form as a browser would send them."""
    (form,) = (one for one in tree(answer).all("form") if one.attributes.get("method") == "post")
    return {
        one.attributes["name"]: one.attributes.get("value", "")
        for one in form.all("input")
        if "name" in one.attributes
    }


def opens(phone: FlaskClient) -> dict[str, str]:
    answer = phone.get("/stock")
    assert answer.status_code == 200
    return fields(answer)


def press(phone: FlaskClient, do: str, cell: Cell | None = None, **said: str) -> Any:
    """A button pressed on a page that was just opened: `n` and `reason` are of the row."""
    own = {f"{name}.{key_of(cell)}" if cell and name in ("n", "reason") else name: words
           for name, words in said.items()}  # fmt: skip
    do = f"{do}:{key_of(cell)}" if cell else do
    return phone.post("/stock", data=opens(phone) | own | {"do": do})


def at_row(answer: Any, cell: Cell) -> str:
    """What is said beside a row."""
    found = re.search(rf'id="problem-{key_of(cell)}">([^<]*)<', answer.text)
    return found[1] if found else ""


def test_what_stands_is_listed_and_what_is_past_its_date_comes_first(phone: FlaskClient) -> None:
    answer = phone.get("/stock")
    reads_well(answer)
    page = answer.text
    order = [page.index(f"<h2>{one}") for one in ("cold-base", "peel-oleo", "&lt;script&gt;x")]
    assert order == sorted(order)
    assert "Past its date, " in page
    assert "700 ml" in page
    assert "500.4 g" in page
    assert "61.5 Bx" in page
    assert "No use by is known." in page
    assert "<script>x" not in page
    assert page.count('inputmode="decimal"') == len(ROWS)
    assert 'href="/stock"' in phone.get("/").text
    found = phone.get("/stock?find=SHELF").text
    assert "&lt;script&gt;x" in found
    assert "cold-base" not in found.partition("<ul")[2].partition('class="stock"')[2]


def test_one_row_is_counted(phone: FlaskClient, house: Path) -> None:
    answer = press(phone, "count", OLEO, n="650", who="AB")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/stock")
    assert stands(house)["peel-oleo"] == 650_000
    page = phone.get("/stock").text
    assert "Counted peel-oleo: 50 ml less than the ledger said" in page
    assert 'data-draft-sent="stock"' in page
    assert "AB" in page  # of the last event, and kept for the next
    assert "data-draft-sent" not in phone.get("/stock").text  # told once


def test_all_that_is_filled_in_is_counted_or_nothing(phone: FlaskClient, house: Path) -> None:
    both = {f"n.{key_of(OLEO)}": "0,5 l", f"n.{key_of(OLD)}": "-1"}
    answer = press(phone, "count", None, **both)
    assert answer.status_code == 422
    assert at_row(answer, OLD) == "The amount is &#34;-1&#34;; write 0 or more."
    assert fields(answer)[f"n.{key_of(OLEO)}"] == "0,5 l"  # what was typed stays
    assert "data-typed" in answer.text
    assert events(house) == []
    assert press(phone, "count", None, **(both | {f"n.{key_of(OLD)}": "0"})).status_code == 303
    assert "2 rows are counted" in phone.get("/stock").text
    assert stands(house) == {"peel-oleo": 500_000, MARKUP: 90_000}


def test_one_row_is_sent_and_the_others_stay_typed(phone: FlaskClient, house: Path) -> None:
    answer = press(phone, "count", OLEO, n="650", **{f"n.{key_of(DRY)}": "80"})
    assert answer.status_code == 200
    sent = fields(answer)
    assert (sent[f"n.{key_of(OLEO)}"], sent[f"n.{key_of(DRY)}"]) == ("", "80")
    assert events(house) == ["counted"]
    assert phone.post("/stock", data=sent | {"do": "count"}).status_code == 303
    assert stands(house)[MARKUP] == 80_000


def test_an_amount_is_taken_and_never_more_than_there_is(phone: FlaskClient, house: Path) -> None:
    assert press(phone, "take", OLEO, n="200").status_code == 303
    assert "Taken: 200 ml of peel-oleo" in phone.get("/stock").text
    answer = press(phone, "take", OLEO, n="501")
    assert answer.status_code == 422
    assert "cannot be taken: there is 500 ml" in at_row(answer, OLEO)
    answer = press(phone, "take", OLD, n="10")
    assert "It is past its date" in at_row(answer, OLD)
    assert stands(house)["peel-oleo"] == 500_000


def test_it_is_discarded_with_its_reason_all_of_it_too(phone: FlaskClient, house: Path) -> None:
    answer = press(phone, "discard", OLD, n="100")
    assert answer.status_code == 422
    assert at_row(answer, OLD).startswith("Why was it thrown away?")
    assert events(house) == []
    assert press(phone, "discard", OLD, n="100", reason="spilt").status_code == 303
    assert press(phone, "discard-all", OLD, reason="past its date").status_code == 303
    assert events(house) == ["discarded", "discarded"]
    assert "cold-base" not in stands(house)
    with opened(house) as ledger:
        reasons = [one.reason for one in ledger.events(kind="discarded")]
    assert reasons == ["spilt", "past its date"]


def test_the_figure_that_is_shown_takes_all(phone: FlaskClient, house: Path) -> None:
    """700.04 ml are shown as 700 ml: nothing is left behind, and nothing is refused."""
    with opened(house) as ledger:
        ledger.append(Event(**OLEO._asdict(), kind="counted", change_mg=-40))
    assert press(phone, "take", OLEO, n="700").status_code == 303
    assert "peel-oleo" not in stands(house)


def test_the_last_event_is_undone_once_and_only_it(phone: FlaskClient, house: Path) -> None:
    press(phone, "take", OLEO, n="200")
    shown = opens(phone)
    press(phone, "count", DRY, n="80")
    answer = phone.post("/stock", data=shown | {"do": "undo"})
    assert answer.status_code == 409
    assert "another event is the last one now" in answer.text
    assert press(phone, "undo").status_code == 303
    assert "Undone: counted" in phone.get("/stock").text
    assert press(phone, "undo").status_code == 303
    assert stands(house) == {cell.item: mg for cell, mg, _, _ in ROWS}


def test_what_a_second_phone_did_is_not_overwritten(phone: FlaskClient, house: Path) -> None:
    shown = opens(phone)
    press(phone, "take", OLEO, n="200")
    answer = phone.post("/stock", data=shown | {f"n.{key_of(OLEO)}": "690", "do": "count"})
    assert answer.status_code == 409
    assert "500 ml stands now" in at_row(answer, OLEO)
    assert events(house) == ["taken"]
    again = fields(answer)
    assert again[f"n.{key_of(OLEO)}"] == "690"
    assert phone.post("/stock", data=again | {"do": "count"}).status_code == 303
    assert stands(house)["peel-oleo"] == 690_000


def test_what_another_took_to_the_last_is_shown_as_nothing(phone: FlaskClient) -> None:
    shown = opens(phone)
    press(phone, "take", OLEO, n="700")
    own = {f"n.{key_of(OLEO)}": "690", "do": f"count:{key_of(OLEO)}"}
    answer = phone.post("/stock", data=shown | own)
    assert answer.status_code == 409
    assert "0 ml stands now" in at_row(answer, OLEO)
    gone = {f"reason.{key_of(OLEO)}": "old", "do": f"discard-all:{key_of(OLEO)}"}
    assert phone.post("/stock", data=shown | gone).status_code == 409


def test_a_form_that_is_sent_twice_is_done_once(phone: FlaskClient, house: Path) -> None:
    sent = opens(phone) | {f"n.{key_of(OLEO)}": "200", "do": f"take:{key_of(OLEO)}"}
    for _ in range(3):
        assert phone.post("/stock", data=sent).status_code == 303
    assert "not done twice" in phone.get("/stock").text
    other = phone.post("/stock", data=sent | {f"n.{key_of(OLEO)}": "100"})
    assert other.status_code == 409
    assert "That form was saved before" in other.text
    assert phone.post("/stock", data=sent | {"once": ""}).status_code == 409
    assert events(house) == ["taken"]


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"n": "abc"}, "does not start with a number"),
        ({"n": "nan"}, "The amount"),
        ({"n": "1e30"}, "no batch is that large"),
        ({"n": "5 ± 1"}, "without a ±"),
        ({"n": ""}, "Write how much, such as 250 ml."),
        ({"n": "5", "at": "2999-01-01 10:00"}, "is in the future"),
        ({"n": "5", "at": "soon"}, "The time"),
        ({"n": "5", "who": "x" * 300}, "at most 200"),
    ],
)
def test_bad_input_is_one_sentence(
    phone: FlaskClient, house: Path, said: dict[str, str], why: str
) -> None:
    for do in ("count", "take"):
        answer = press(phone, do, OLEO, **said)
        assert answer.status_code == 422
        assert why in answer.text
    assert events(house) == []


def test_an_unknown_row_or_button_is_refused(phone: FlaskClient, house: Path) -> None:
    unknown = Cell("house", "", "nobody", "x", "")
    for do in ("count", "take", "discard", "discard-all"):
        answer = press(phone, do, unknown, n="5", reason="x")
        assert answer.status_code == 422
        assert "no longer in the stock" in answer.text
    for do in ("", "take", "eat:x", "count", "undo:x:y", "\ufffd"):
        assert phone.post("/stock", data=opens(phone) | {"do": do}).status_code in (303, 422)
    assert set(events(house)) <= {"corrected"}


@hypothesis_settings(
    max_examples=15, deadline=None, suppress_health_check=list(HealthCheck), database=None
)
@given(
    st.sampled_from(("count", "take", "discard", "discard-all", "undo")),
    st.fixed_dictionaries({name: st.sampled_from(SENT) for name in ("n", "reason", "who", "at")}),
)
def test_whatever_is_typed_the_ledger_agrees(
    phone: FlaskClient, house: Path, do: str, said: dict[str, str]
) -> None:
    answer = press(phone, do, OLEO if do != "undo" else None, **said)
    assert answer.status_code in (200, 303, 400, 409, 413, 422)
    stands(house)


def test_only_with_write_a_ledger_and_a_token(tmp_path: Path, house: Path) -> None:
    reader = create_app(Settings(house=house)).test_client()
    page = reader.get("/stock")
    assert page.status_code == 200
    assert 'method="post"' not in page.text
    with reader.session_transaction() as session:
        session["token"] = "t"
    assert reader.post("/stock", data={"token": "t", "do": "undo"}).status_code == 403
    writer = create_app(Settings(house=house, write=True)).test_client()
    sent = opens(writer) | {"do": "undo"}
    assert writer.post("/stock", data=sent | {"token": "x"}).status_code == 403
    foreign = {"Origin": "http://elsewhere.example"}
    assert writer.post("/stock", data=sent, headers=foreign).status_code == 403
    assert writer.post("/stock", data=sent, headers={"Host": "x.example"}).status_code == 400
    assert writer.post("/stock", data=sent | {"x": "y" * 5000}).status_code == 413
    assert events(house) == []
    bare = create_app(Settings(write=True)).test_client()
    assert bare.get("/stock").status_code == 404
    assert 'href="/stock"' not in bare.get("/").text


def test_a_long_stock_is_shown_in_part_and_found_by_name(house: Path) -> None:
    with opened(house) as ledger:
        ledger.append(
            *(
                Event(kind="bought", item="salt", batch=f"s{n}", change_mg=1, use_by="none")
                for n in range(220)
            )
        )
    phone = create_app(Settings(house=house, write=True)).test_client()
    page = phone.get("/stock").text
    assert "200 of 223 rows are shown" in page
    assert page.count("<input") < 900  # below what one form may hold
    assert "rows are shown" not in phone.get("/stock?find=s219").text
