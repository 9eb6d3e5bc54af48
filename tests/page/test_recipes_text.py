"""A recipe's text in the page: read, checked, saved only when nothing is wrong, never lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from page.recipe_pages import client, copied, printed, reads_well, send

from prepkit.history import listed
from prepkit.page import recipe_folder
from prepkit.page.guard import LONG

TEXT = "/recipes/free-otter/text"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


def now(folder: Path) -> str:
    return (folder / "free-otter.toml").read_text("utf-8")


def files_of(folder: Path) -> dict[str, bytes]:
    return {str(p): p.read_bytes() for p in folder.rglob("*.toml")}


def seen(browser: FlaskClient) -> str:
    return reads_well(browser.get(TEXT)).first("input", name="seen").attributes["value"]


def save(browser: FlaskClient, text: str, version: str | None = None, **more: str) -> Any:
    said = {"text": text, "seen": seen(browser) if version is None else version, **more}
    return send(browser, TEXT, **said)


def held(answer: Any) -> str:
    """What the textarea of a page holds, its first line break aside, as a browser reads it."""
    whole = "".join(str(one) for one in reads_well(answer).first("textarea").inside)
    return whole.removeprefix("\n")


def test_what_is_read_only_is_shown_and_refused(folder: Path) -> None:
    browser = client(folder)
    root = reads_well(browser.get(TEXT))
    assert not list(root.all("textarea"))
    rows = [
        "".join(str(x) for x in one.inside) for one in root.first("ol", class_="lines").all("code")
    ]
    assert [row.strip() for row in rows] == [row.strip() for row in now(folder).splitlines()]
    before = files_of(folder)
    answer = save(browser, "x = 1\n", "new")
    assert answer.status_code == 403
    assert "--write" in reads_well(answer).first("p", class_="problem").text
    assert files_of(folder) == before


def test_a_text_is_saved_and_planned_from_and_the_one_before_is_there(folder: Path) -> None:
    browser = client(folder, write=True)
    before = now(folder)
    assert held(browser.get(TEXT)) == before
    more = before.replace("serves = 10", "serves = 14")
    answer = save(browser, more.replace("\n", "\r\n"))  # as a browser sends it
    assert answer.status_code == 303
    assert now(folder) == more
    view = reads_well(browser.get(answer.headers["Location"]))
    assert "Saved" in view.text
    assert "14 serves" in view.first("p", class_="lead").text
    versions = reads_well(browser.get("/recipes/free-otter/versions"))
    assert "serves: 10 → 14" in versions.text
    assert held(browser.get(f"{TEXT}?version=1")) == before
    # the earlier text can be saved again, from the form that holds it
    assert save(browser, before).status_code == 303
    assert now(folder) == before


def test_problems_are_listed_as_check_lists_them_and_nothing_is_lost(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    browser = client(folder, write=True)
    before = files_of(folder)
    bad = now(folder).replace('"250 ml ruby-cordial"', '"250 ml ruby-cordal"').replace(
        'rated = "16 bar"', 'rated = "16"'
    )  # fmt: skip
    answer = save(browser, bad)
    assert answer.status_code == 422
    assert held(answer) == bad
    assert files_of(folder) == before
    (folder / "free-otter.toml").write_text(bad, "utf-8")
    said = json.loads(printed(f"plan {folder}/free-otter.toml --check --json", capsys))
    shown = [one.text for one in reads_well(answer).first("ul", class_="listed").all("li")]
    assert len(shown) == len(said["problems"]) == 2
    for words, problem in zip(shown, said["problems"], strict=True):
        assert f"line {problem['line']}" in words
        assert problem["text"] in words
    root = reads_well(answer)
    for problem in said["problems"]:  # and each stands at its line
        (row,) = root.all(id=f"l{problem['line']}")
        assert problem["text"] in row.text
        assert bad.splitlines()[problem["line"] - 1].strip() in row.text


def test_only_looking_saves_nothing(folder: Path) -> None:
    browser = client(folder, write=True)
    before = files_of(folder)
    good = now(folder).replace("serves = 10", "serves = 14")
    answer = save(browser, good, check="1")
    assert answer.status_code == 200
    assert "No problem was found" in reads_well(answer).text
    assert held(answer) == good
    bad = save(browser, "title =", check="1")
    assert "valid TOML" in reads_well(bad).first("ul", class_="listed").text
    assert files_of(folder) == before


def test_a_broken_recipe_can_be_put_right(folder: Path) -> None:
    browser = client(folder, write=True)
    good = now(folder)
    (folder / "free-otter.toml").write_text(good.replace('calculator = "blend"', ""), "utf-8")
    broken = browser.get("/recipes/free-otter/")
    assert broken.status_code == 422
    assert TEXT in [one.attributes["href"] for one in reads_well(broken).all("a")]
    assert save(browser, good).status_code == 303
    assert browser.get("/recipes/free-otter/").status_code == 200


def test_two_who_edit_see_each_other_and_nothing_is_overwritten(folder: Path) -> None:
    one, two = client(folder, write=True), client(folder, write=True)
    version, text = seen(one), now(folder)
    first = text.replace("serves = 10", "serves = 12")
    second = text.replace("serves = 10", "serves = 14")
    assert save(one, first, version).status_code == 303
    answer = save(two, second, version)
    assert answer.status_code == 409
    assert now(folder) == first
    assert held(answer) == second
    root = reads_well(answer)
    assert root.first("p", class_="problem").text.count(".") == 1
    assert "serves = 12" in root.first("pre").text  # what the other saved
    again = root.first("input", name="seen").attributes["value"]
    assert save(two, second, again).status_code == 303
    assert now(folder) == second
    assert [one.number for one in listed(folder / "free-otter.toml")] == [1, 2, 3]


def test_a_disk_that_is_full_keeps_the_old_file_and_what_was_typed(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = client(folder, write=True)
    before, text = files_of(folder), now(folder).replace("serves = 10", "serves = 14")
    version = seen(browser)

    def fail(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(recipe_folder.os, "replace", fail)
    answer = save(browser, text, version)
    monkeypatch.undo()
    assert answer.status_code == 500
    assert "No space left" in reads_well(answer).first("p", class_="problem").text
    assert held(answer) == text
    after = files_of(folder)  # what the file held was kept before it was to be written
    assert {name: after[name] for name in before} == before
    assert [one.number for one in listed(folder / "free-otter.toml")] == [1]


def test_the_token_is_needed(folder: Path) -> None:
    browser = client(folder, write=True)
    before, version = files_of(folder), seen(browser)
    for token in ({}, {"token": "x"}):
        answer = browser.post(TEXT, data={"text": now(folder) + "# x\n", "seen": version, **token})
        assert answer.status_code == 403
    assert files_of(folder) == before


def test_too_much_is_refused_and_a_long_recipe_is_not_edited_here(folder: Path) -> None:
    browser = client(folder, write=True)
    before, most = files_of(folder), LONG["recipes.save_text", "text"]
    assert save(browser, now(folder) + "#" * 50_000 + "\n").status_code == 303
    assert save(browser, "#" * (most + 1), "new").status_code == 413
    (folder / "free-otter.toml").write_text(now(folder) + "# long\n" * 20_000, "utf-8")
    assert not list(reads_well(browser.get(TEXT)).all("textarea"))
    assert set(before) <= set(files_of(folder))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "</textarea><script>alert(1)</script>",
        "\n\nserves = 1",
        "é\u202e✓ = 1",
        "a=1\r\nb",
    ],
)  # fmt: skip
def test_any_text_comes_back_as_it_was_typed(folder: Path, text: str) -> None:
    answer = save(client(folder, write=True), text, check="1")
    plain = text.replace("\r\n", "\n").replace("\u202e", "\ufffd")
    assert held(answer).rstrip("\n") == plain.rstrip("\n")
    assert b"<script>alert" not in answer.data
