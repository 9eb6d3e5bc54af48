"""A recipe as a whole on the page: its versions, undo, a copy, another name."""

from __future__ import annotations

import os
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
from page.recipe_pages import client, copied, reads_well, send

from prepkit import history
from prepkit.errors import BadInput, FileProblem
from prepkit.page import recipe_folder
from prepkit.page.recipe_folder import RecipeFolder, version_of

OTTER = "/recipes/free-otter"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


def text_of(folder: Path, name: str = "free-otter") -> str:
    return (folder / f"{name}.toml").read_text("utf-8")


def fields(page: Any, action: str) -> dict[str, str]:
    """The fields of the first form that goes to an address."""
    form = next(one for one in page.all("form") if one.attributes["action"] == action)
    return {
        one.attributes["name"]: one.attributes["value"]
        for one in form.all("input") if "name" in one.attributes
    }  # fmt: skip


def change(folder: Path, browser: Any, *words: tuple[str, str], note: str = "") -> Any:
    text = text_of(folder)
    for old, new in words:
        text = text.replace(old, new)
    answer = send(browser, f"{OTTER}/text", text=text, seen=version_of(text_of(folder)), note=note)
    assert answer.status_code == 303
    return reads_well(browser.get(answer.headers["Location"]))


def test_a_change_is_told_in_words_and_undone_and_that_too(folder: Path) -> None:
    browser, before = client(folder, write=True), text_of(folder)
    page = change(
        folder, browser, ("serves = 10", "serves = 14"), ('brix = "45 Bx"', 'brix = "46 Bx"'),
        note="guests asked",
    )  # fmt: skip
    after = text_of(folder)
    told = reads_well(browser.get(f"{OTTER}/versions"))
    assert "serves: 10 → 14" in told.text
    assert "guests asked" in told.text
    undo = fields(page, f"{OTTER}/back")
    answer = browser.post(f"{OTTER}/back", data=undo)
    assert answer.status_code == 303
    assert text_of(folder) == before
    redo = fields(reads_well(browser.get(answer.headers["Location"])), f"{OTTER}/back")
    assert browser.post(f"{OTTER}/back", data=redo).status_code == 303
    assert text_of(folder) == after
    assert len(history.listed(folder / "free-otter.toml")) == 4


def test_going_back_over_what_another_saved_writes_nothing(folder: Path) -> None:
    browser = client(folder, write=True)
    page = change(folder, browser, ("serves = 10", "serves = 14"))
    undo = fields(page, f"{OTTER}/back")
    (folder / "free-otter.toml").write_text(text_of(folder) + "# theirs\n", "utf-8")
    answer = browser.post(f"{OTTER}/back", data=undo)
    assert answer.status_code == 409
    assert text_of(folder).endswith("# theirs\n")
    gone = {**undo, "seen": version_of(text_of(folder)), "number": "77"}
    assert browser.post(f"{OTTER}/back", data=gone).status_code == 404
    assert client(folder).post(f"{OTTER}/back", data=undo).status_code == 403


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("title", "name"), ("items.a.part", "a, parts"), ('serve "No. 7".part', "“No. 7”, parts"),
        ("items.a.step 2.takes", "a, step 2, takes"), ("house", "house"), ("items.a", "a"),
        ("variant.b.items.a.part", "variant, b, items, a, part"),
    ],
)  # fmt: skip
def test_places_are_told_in_words(where: str, said: str) -> None:
    assert recipe_folder._place(where, {}, {}) == said


def test_inputs_are_called_as_on_their_form() -> None:
    before = 'serves = 1\n[items.c]\ncalculator = "cordial"\nbrix = "45 Bx"\n'
    lines = list(recipe_folder.in_words(before, before.replace("45", "50"), Path("x.toml")))
    assert lines == ["c, target Brix: 45 Bx → 50 Bx"] or "→ 50 Bx" in lines[0]
    assert list(recipe_folder.in_words(before, before + "# more\n", Path("x.toml"))) == [
        "Only comments or layout changed."
    ]
    assert "cannot be read" in next(recipe_folder.in_words(before, "x =", Path("x.toml")))


# copies and names


def named(browser: Any, **said: str) -> Any:
    page = reads_well(browser.get(f"{OTTER}/name"))
    return browser.post(f"{OTTER}/name", data={**fields(page, f"{OTTER}/name"), **said})


def test_a_copy_has_its_own_file_and_versions(folder: Path) -> None:
    browser = client(folder, write=True)
    answer = named(browser, title="Winter Otter", copy="1")
    assert answer.headers["Location"].startswith("/recipes/winter-otter/")
    made = tomllib.loads(text_of(folder, "winter-otter"))
    assert made == {**tomllib.loads(text_of(folder)), "title": "Winter Otter"}
    assert [one.note for one in history.listed(folder / "winter-otter.toml")] == [
        "copied from free-otter"
    ]
    assert browser.get("/recipes/winter-otter/").status_code == 200
    again = named(browser, title="Winter Otter", copy="1")
    assert again.status_code == 422
    assert "there already" in reads_well(again).first("p", class_="problem").text


def test_another_name_takes_versions_and_batches_along(folder: Path) -> None:
    browser, before = client(folder, write=True), text_of(folder)
    change(folder, browser, ("serves = 10", "serves = 14"))
    shutil.copy(folder / "free-otter.toml", folder / "free-otter.2.toml")  # begins alike
    for inside, file in (
        ("batches", "free-otter.2026-11-26.14.ticks.toml"),
        ("batches", "free-otter.2.2026-11-26.1.ticks.toml"),
        ("previous", "free-otter.20261126-160405-001.toml"),
    ):  # fmt: skip
        (folder / inside).mkdir(exist_ok=True)
        (folder / inside / file).write_text("[a]\n", "utf-8")
    answer = named(browser, title="Otter, spring", file="spring otter", rename="1")
    assert answer.headers["Location"].startswith("/recipes/spring-otter/")
    path = folder / "spring-otter.toml"
    assert not (folder / "free-otter.toml").exists()
    assert tomllib.loads(path.read_text("utf-8"))["title"] == "Otter, spring"
    assert history.text_of(path, 1) == before
    assert sorted(os.listdir(folder / "batches")) == [
        "free-otter.2.2026-11-26.1.ticks.toml", "spring-otter.2026-11-26.14.ticks.toml",
    ]  # fmt: skip
    assert os.listdir(folder / "previous") == ["spring-otter.20261126-160405-001.toml"]


def test_a_name_alone_is_one_more_version(folder: Path) -> None:
    browser = client(folder, write=True)
    answer = named(browser, title="Otter 2", rename="1")
    assert answer.headers["Location"].startswith("/recipes/free-otter/")
    assert tomllib.loads(text_of(folder))["title"] == "Otter 2"
    assert len(history.listed(folder / "free-otter.toml")) == 2


def test_what_cannot_be_moved_stays_with_all_that_belongs_to_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book = RecipeFolder(folder, write=True)
    seen = version_of(text_of(folder))
    (folder / "batches").mkdir()
    (folder / "batches" / "free-otter.2026-11-26.14.ticks.toml").write_text("[a]\n", "utf-8")
    before = {str(one): one.read_bytes() for one in folder.rglob("*.toml")}

    def fail(path: Path, *_: Any, **__: Any) -> None:
        if path.name == "free-otter.toml":
            raise PermissionError(13, "Permission denied")
        os.unlink(path)

    monkeypatch.setattr(Path, "unlink", fail)
    with pytest.raises(FileProblem, match="keeps its name"):
        recipe_folder.rename(book, "free-otter", "x", "moved", seen)
    monkeypatch.undo()
    after = {str(one): one.read_bytes() for one in folder.rglob("*.toml")}
    assert {name: after.get(name) for name in before} == before
    assert not (folder / "moved.toml").exists()


@pytest.mark.parametrize(
    "said", ["", "../secret", "/etc/passwd", "...", "batches", "history", "Cold-Semaphore", "\x00"]
)
def test_no_other_place_and_no_taken_name_is_written(folder: Path, said: str) -> None:
    book = RecipeFolder(folder, write=True)
    before = set(folder.parent.rglob("*.toml"))
    try:
        name, path = recipe_folder.free(book, None, said)
    except BadInput:
        return
    assert path.parent == folder  # what is left of it is a plain name in the folder
    assert name in ("secret", "etc-passwd")
    assert set(folder.parent.rglob("*.toml")) == before


def test_copies_and_names_need_the_token_and_the_right_to_write(folder: Path) -> None:
    browser = client(folder, write=True)
    before = {str(one): one.read_bytes() for one in folder.rglob("*.toml")}
    for path in (f"{OTTER}/name", f"{OTTER}/back"):
        assert browser.post(path, data={"title": "x", "file": "y"}).status_code == 403
    answer = named(client(folder), title="x", file="y", copy="1")
    assert answer.status_code == 403
    assert named(browser, title="<script>alert(1)</script>", file="").status_code == 303
    assert b"<script>alert" not in browser.get("/recipes/").data
    (folder / "free-otter.toml").write_bytes(before[str(folder / "free-otter.toml")])
    left = {str(one): one.read_bytes() for one in folder.rglob("*.toml")}
    assert {name: left[name] for name in before} == before
