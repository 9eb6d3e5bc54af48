"""The recipe folder: what is listed and read, what is never read, and what is saved."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import threading
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit import history
from prepkit.errors import FileProblem
from prepkit.page import recipe_folder
from prepkit.page.batch_files import Batches, Done, Kept, KeptBatch
from prepkit.page.recipe_folder import BATCHES, KEPT, FileChanged, ReadOnly, RecipeFolder, toml_of
from prepkit.plan.files import tables_of

DEMO = Path(__file__).parents[2] / "recipes"
NAMES = ("cold-semaphore", "free-otter", "menu", "warm-brasswick")
ON = KeptBatch("cold-semaphore", date(2026, 11, 26))
NOW = datetime(2026, 11, 26, 17, 0)
SECRET = 'title = "SECRET"\nserves = 1\n[items.a]\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo recipes in a folder of their own, with a secret beside it."""
    inside = tmp_path / "recipes"
    shutil.copytree(DEMO, inside)
    (tmp_path / "secret.toml").write_text(SECRET, encoding="utf-8")
    return inside


@pytest.fixture
def book(folder: Path) -> RecipeFolder:
    return RecipeFolder(folder, write=True)


def files_of(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with what it holds."""
    return {
        str(one.relative_to(folder)): one.read_bytes()
        for one in folder.rglob("*")
        if one.is_file() and one.name != ".prepkit-lock"
    }


def texts_of(path: Path) -> list[str]:
    """The versions of a recipe's file, the oldest first."""
    return [history.text_of(path, one.number) for one in history.listed(path)]


# what is listed


def test_recipes_are_listed_and_house_files_are_not(book: RecipeFolder) -> None:
    assert tuple(one.name for one in book.entries()) == NAMES
    cold = book.entries()[0]
    assert (cold.serves, cold.variants, cold.problem) == (8, ("alcohol-free",), "")


def test_a_folder_below_is_listed_by_its_name(folder: Path) -> None:
    (folder / "winter").mkdir()
    shutil.copy(folder / "free-otter.toml", folder / "winter" / "otter.toml")
    book = RecipeFolder(folder)
    assert "winter:otter" in [one.name for one in book.entries()]
    assert book.path("winter:otter") == folder / "winter" / "otter.toml"


def test_batches_and_earlier_versions_are_no_recipes(book: RecipeFolder, folder: Path) -> None:
    book.save("free-otter", book.text("free-otter") + "# more\n", _seen(book, "free-otter"))
    for name in (KEPT, BATCHES):
        (folder / name).mkdir(exist_ok=True)
        shutil.copy(folder / "free-otter.toml", folder / name / "copy.toml")
    assert tuple(one.name for one in book.entries()) == NAMES


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"serves = 2\n[items.a]\ncalculator =", "valid TOML"),
        (b"serves = 2\n\xff\xfe", "UTF-8"),
        (b"serves = 1\n" + b"#" * (1 << 20), "at most"),
    ],
)
def test_a_recipe_that_cannot_be_read_is_listed_with_why(
    folder: Path, text: bytes, said: str
) -> None:
    (folder / "broken.toml").write_bytes(text)
    entry = next(one for one in RecipeFolder(folder).entries() if one.name == "broken")
    assert said in entry.problem
    assert str(folder) not in entry.problem


def test_what_is_no_file_or_has_no_plain_name_is_told_as_unreadable(folder: Path) -> None:
    os.mkfifo(folder / "pipe.toml")
    (folder / "dir.toml").mkdir()
    for name in (".hidden.toml", "-dash.toml", "new\nline.toml", "x" * 120 + ".toml", "a:b.toml"):
        shutil.copy(folder / "free-otter.toml", folder / name)
    shutil.copy(folder / "house" / "house.toml", folder / "-house.toml")  # no recipe at all
    (folder / "odd_").mkdir()
    (folder / "_odd").mkdir()
    shutil.copy(folder / "free-otter.toml", folder / "_odd" / "in.toml")
    shutil.copy(folder / "free-otter.toml", os.fsencode(folder) + b"/byte\xff.toml")
    (folder / "elsewhere.toml").symlink_to(folder.parent / "secret.toml")
    book = RecipeFolder(folder)
    assert tuple(one.name for one in book.entries()) == NAMES
    told = {one.file: one.why for one in book.unreadable()}
    odd = {"-dash.toml", "new\\nline.toml", "x" * 120 + ".toml", "a:b.toml", "byte\\udcff.toml"}
    assert {file for file, why in told.items() if why.startswith("Its name")} == odd
    assert set(told) - odd == {"pipe.toml", "dir.toml", "_odd/in.toml", "elsewhere.toml"}
    assert "folder" in told["_odd/in.toml"]
    assert "link" in told["elsewhere.toml"]


def test_the_list_is_bounded(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("prepkit.page.recipe_folder.MOST_FILES", 2)
    assert len(RecipeFolder(folder).entries()) == 2


def test_a_changed_file_is_seen(book: RecipeFolder, folder: Path) -> None:
    assert len(book.entries()) == len(NAMES)
    text = (folder / "free-otter.toml").read_text("utf-8")
    (folder / "free-otter.toml").write_text(text.replace("serves = 10", "serves = 11"), "utf-8")
    os.utime(folder / "free-otter.toml", (1, 1))
    assert book.entries()[1].serves == 11


# what is never read


TRICKS = (
    "../secret", "..", ".", "", "/etc/passwd", "..%2fsecret", "%2e%2e/secret", "../secret.toml",
    "cold-semaphore/../../secret", "cold-semaphore\0", "secret\0.toml", "..\\secret", "..:secret",
    "house:house", "house/house", "cold-semaphore.toml", "COLD-SEMAPHORE.TOML", "link", "linked:x",
    "previous:x", "batches:x", "~root", "file:///etc/passwd", "con", "‥/secret", "．．/secret",
)  # fmt: skip


@pytest.mark.parametrize("name", TRICKS)
def test_only_a_name_of_the_list_is_opened(book: RecipeFolder, folder: Path, name: str) -> None:
    (folder / "link.toml").symlink_to(folder.parent / "secret.toml")
    (folder / "linked").symlink_to(folder.parent, target_is_directory=True)
    for read in (book.path, book.text, book.kept):
        with pytest.raises(FileProblem) as error:
            read(name)
        assert "\n" not in error.value.message
        assert "SECRET" not in error.value.message
    with pytest.raises(FileProblem):
        book.save(name, book.text("free-otter"), "new")
    with pytest.raises(FileProblem):
        Batches(book).readings(KeptBatch(name, date(2026, 1, 1)))


@given(st.text(max_size=40))
def test_any_other_name_is_refused(name: str) -> None:
    book = RecipeFolder(DEMO)
    if name not in NAMES:
        with pytest.raises(FileProblem):
            book.text(name)


@pytest.mark.parametrize("version", ["../secret", "20260101-000000-001", "", "/etc/passwd", "\0"])
def test_only_a_version_of_the_list_is_opened(book: RecipeFolder, version: str) -> None:
    with pytest.raises(FileProblem):
        book.kept_text("free-otter", version)


def test_a_link_within_the_folder_is_one_more_name(book: RecipeFolder, folder: Path) -> None:
    (folder / "again.toml").symlink_to(folder / "free-otter.toml")
    assert book.text("again") == book.text("free-otter")


def test_a_house_of_its_own_wins_over_that_of_the_page(folder: Path) -> None:
    book = RecipeFolder(folder, house=folder / "house")
    assert book.house_of("cold-semaphore") is None  # it names house/house.toml
    assert book.house_of("free-otter") == folder / "house"


# what is saved


def _seen(book: RecipeFolder, name: str) -> str:
    return recipe_folder.version_of(book.text(name))


def test_without_write_nothing_is_saved(folder: Path) -> None:
    book, before = RecipeFolder(folder), files_of(folder)
    files = Batches(book)
    for save in (
        lambda: book.save("free-otter", "x = 1\n", _seen(book, "free-otter")),
        lambda: files.save_readings(ON, "acid-drops", {"mass": "1 g"}, {}),
        lambda: files.tick(ON, "acid-drops", "step: x", Done(NOW), "new", Kept("40")),
        lambda: files.plan(ON, "62", "18:00", "new"),
    ):
        with pytest.raises(ReadOnly, match="--write"):
            save()
    assert files_of(folder) == before


def test_a_text_is_saved_and_the_one_before_is_kept(book: RecipeFolder, folder: Path) -> None:
    before = book.text("free-otter")
    more = before.replace("serves = 10", "serves = 12")
    os.chmod(folder / "free-otter.toml", 0o640)
    assert not book.save("free-otter", more, _seen(book, "free-otter")).problems
    assert book.text("free-otter") == more
    assert (folder / "free-otter.toml").stat().st_mode & 0o777 == 0o640
    path = folder / "free-otter.toml"
    assert texts_of(path) == [before, more]
    # the same text again is no new version, and another one keeps all
    book.save("free-otter", more, _seen(book, "free-otter"))
    assert texts_of(path) == [before, more]
    book.save("free-otter", before, _seen(book, "free-otter"))
    assert texts_of(path) == [before, more, before]


def test_a_text_with_a_problem_is_not_saved(book: RecipeFolder, folder: Path) -> None:
    before = files_of(folder)
    bad = book.text("free-otter").replace('"250 ml ruby-cordial"', '"250 ml ruby-cordal"')
    found = book.save("free-otter", bad, _seen(book, "free-otter"))
    (problem, *_) = found.problems
    assert (problem.item, problem.field) == ("soda-base", "part")
    assert files_of(folder) == before


def test_who_saves_second_is_told_and_overwrites_nothing(book: RecipeFolder) -> None:
    seen, text = _seen(book, "free-otter"), book.text("free-otter")
    first = text.replace("serves = 10", "serves = 12")
    book.save("free-otter", first, seen)
    with pytest.raises(FileChanged) as error:
        book.save("free-otter", text.replace("serves = 10", "serves = 14"), seen)
    assert error.value.message.count(".") == 1
    assert book.text("free-otter") == first


@pytest.mark.parametrize("step", ["fsync", "replace", "write"])
def test_a_crash_on_the_way_leaves_the_old_file(
    book: RecipeFolder, folder: Path, step: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = files_of(folder)
    text = before["free-otter.toml"].decode()

    def fail(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    if step == "write":
        monkeypatch.setattr(Path, "open", fail)
    else:
        monkeypatch.setattr(recipe_folder.os, step, fail)
    with pytest.raises(FileProblem, match=r"free-otter\.toml cannot be written: No space left"):
        book.save("free-otter", text + "# more\n", recipe_folder.version_of(text))
    monkeypatch.undo()
    after = files_of(folder)  # what it held may stand among its versions already
    assert {name: after.get(name) for name in before} == before
    assert all(name.startswith("history/") for name in set(after) - set(before))


def test_a_process_that_dies_between_writing_and_naming_leaves_the_old_file(
    book: RecipeFolder, folder: Path
) -> None:
    text = book.text("free-otter")

    def die() -> None:
        recipe_folder.os.replace = lambda *_: os._exit(9)  # type: ignore[assignment]  # a power cut
        RecipeFolder(folder, write=True).save(
            "free-otter", text + "# x\n", recipe_folder.version_of(text)
        )

    process = multiprocessing.get_context("fork").Process(target=die)
    process.start()
    process.join(30)
    assert process.exitcode == 9
    assert book.text("free-otter") == text
    # and the next one can save
    assert not book.save("free-otter", text + "# y\n", recipe_folder.version_of(text)).problems
    assert tuple(one.name for one in book.entries()) == NAMES


def test_of_many_who_save_at_once_one_does(book: RecipeFolder) -> None:
    seen, text = _seen(book, "free-otter"), book.text("free-otter")
    told: list[str] = []

    def save(number: int) -> None:
        try:
            book.save("free-otter", f"{text}# {number}\n", seen)
            told.append("saved")
        except FileChanged:
            told.append("second")

    threads = [threading.Thread(target=save, args=(n,)) for n in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(told) == ["saved"] + ["second"] * 7
    assert len(texts_of(book.path("free-otter"))) == 2


def test_earlier_versions_are_bounded(book: RecipeFolder, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(recipe_folder, "MOST_KEPT", 3)
    path = book.path("free-otter")
    for number in range(6):
        recipe_folder.rewrite(path, lambda _, n=number: f"# {n}\n", "recipe")
    texts = [recipe_folder.kept_text(path, one.name, "recipe") for one in recipe_folder.kept(path)]
    assert texts == ["# 4\n", "# 3\n", "# 2\n"]


@given(
    st.dictionaries(
        st.text(min_size=1, max_size=20).filter(lambda t: t.isprintable()),
        st.dictionaries(
            st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20),
            st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
            | st.booleans()
            | st.floats(-1e6, 1e6),
            max_size=4,
        ),
        max_size=4,
    )
)
def test_any_tables_come_back(tables: dict[str, dict[str, Any]]) -> None:
    assert tables_of(toml_of(tables), "x") == tables
