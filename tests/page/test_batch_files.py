"""What is kept of a batch: its identity, lines that merge, readings, files of version 1."""

from __future__ import annotations

import threading
import tomllib
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page.recipe_pages import copied

from prepkit.errors import FileProblem
from prepkit.page.batch_files import (
    Batches,
    Conflict,
    Done,
    Kept,
    KeptBatch,
    WeighedOut,
    kept_text,
    migrated,
    read_kept,
    reading_version,
    taken,
    version_of,
)
from prepkit.page.recipe_folder import BATCHES, FileChanged, RecipeFolder
from prepkit.plan.files import Wrong
from prepkit.plan.recipe_file import load_readings

DAY = date(2026, 11, 28)
ON = KeptBatch("cold-semaphore", DAY, "18:00")
AT = datetime(2026, 11, 28, 17, 4, 5)
PLAN = Kept("60", "18:00")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


@pytest.fixture
def files(folder: Path) -> Batches:
    return Batches(RecipeFolder(folder, write=True))


def done(g: float | None = None, serves: str = "") -> Done:
    return Done(AT, g, serves)


# lines


def test_ticks_of_many_at_once_are_all_kept(files: Batches) -> None:
    def tick(number: int) -> None:
        files.tick(ON, "cold-mix", f"step: {number}", done(), "new", PLAN)

    threads = [threading.Thread(target=tick, args=(n,)) for n in range(10)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    kept = files.kept(ON)
    assert set(kept.ticks["cold-mix"]) == {f"step: {n}" for n in range(10)}
    assert (kept.serves, kept.service) == ("60", "18:00")
    files.tick(ON, "cold-mix", "step: 1", None, done().version, PLAN)
    assert "step: 1" not in files.kept(ON).ticks["cold-mix"]


def test_the_first_tick_keeps_its_time_and_the_same_amount_merges(files: Batches) -> None:
    files.tick(ON, "cold-mix", "weigh water", done(100.0, "60"), "new", PLAN)
    later = replace(done(100.0, "60"), at=AT.replace(hour=18))
    files.tick(ON, "cold-mix", "weigh water", later, "new", PLAN)  # a second cook, as well
    assert files.kept(ON).ticks["cold-mix"]["weigh water"].at.hour == 17


def test_another_amount_of_the_same_line_is_a_conflict_that_tells_both(files: Batches) -> None:
    files.tick(ON, "cold-mix", "weigh water", done(100.0, "60"), "new", PLAN)
    with pytest.raises(Conflict) as error:
        files.tick(ON, "cold-mix", "weigh water", done(103.3, "62"), "new", PLAN)
    for words in ("100 g for 60", "103.3 g for 62", "17:04"):
        assert words in error.value.message
    kept = files.kept(ON).ticks["cold-mix"]["weigh water"]
    assert kept == done(100.0, "60")
    # who has seen the first may go on to the second
    files.tick(ON, "cold-mix", "weigh water", done(103.3, "62"), version_of(kept), PLAN)
    with pytest.raises(Conflict, match=r"103\.3 g"):  # and a tick is not taken away unseen
        files.tick(ON, "cold-mix", "weigh water", None, version_of(kept), PLAN)
    assert files.kept(ON).ticks["cold-mix"]["weigh water"].g == 103.3


def test_serves_and_service_change_and_two_who_change_them_are_told(files: Batches) -> None:
    files.tick(ON, "cold-mix", "step: x", done(), "new", PLAN)
    seen = files.kept(ON).version
    files.plan(ON, "62", "18:00", seen)
    assert files.kept(ON).serves == "62"
    assert files.kept(ON).ticks["cold-mix"]["step: x"] == done()
    files.plan(ON, "62", "18:00", seen)  # the same again is no conflict
    with pytest.raises(Conflict, match=r"serves to 62.*64"):
        files.plan(ON, "64", "18:00", seen)
    files.plan(ON, "62", "19:30", files.kept(ON).version)
    assert files.kept(ON).service == "19:30"


def test_what_was_weighed_can_be_listed_for_a_ledger(files: Batches) -> None:
    lines = {
        "weigh rum 43 %": done(2543.0, "60"),
        "weigh water (2)": done(1.5, "60"),
        "add white sugar after refractometer 48.2 Bx": done(84.0, "60"),
        "step: stir": done(),
    }
    assert taken(Kept("60", "", {"mix": lines})) == [
        WeighedOut("mix", "rum 43 %", 2543.0, AT),
        WeighedOut("mix", "water", 1.5, AT),
        WeighedOut("mix", "white sugar", 84.0, AT),
    ]


# which batch


def test_a_batch_is_found_by_its_day_and_service_whatever_its_serves(files: Batches) -> None:
    files.tick(ON, "cold-mix", "step: x", done(), "new", PLAN)
    for serves in ("60", "62", ""):
        assert files.found(ON, serves) == ON
        assert (
            files.found(KeptBatch("cold-semaphore", DAY), serves) == ON
        )  # the only one of the day
    lunch = KeptBatch("cold-semaphore", DAY, "12:00")
    assert files.found(lunch, "60") == lunch
    tomorrow = KeptBatch("cold-semaphore", date(2026, 11, 29), "18:00")
    assert files.found(tomorrow, "60") == tomorrow
    other = KeptBatch("cold-semaphore", DAY, "18:00", "alcohol-free")
    assert files.found(other, "60") == other


def test_a_service_that_is_moved_takes_its_batch_along(files: Batches) -> None:
    files.tick(ON, "cold-mix", "step: x", done(), "new", PLAN)
    files.plan(ON, "60", "19:30", files.kept(ON).version)
    assert files.found(KeptBatch("cold-semaphore", DAY, "19:30"), "60") == ON
    assert files.found(ON, "60") == ON


def test_a_batch_that_was_begun_without_a_time_takes_the_time_that_is_given(files: Batches) -> None:
    plain = KeptBatch("cold-semaphore", DAY)
    files.tick(plain, "cold-mix", "step: x", done(), "new", Kept("60"))
    assert files.found(ON, "60") == plain
    files.tick(plain, "cold-mix", "step: y", done(), "new", PLAN)
    assert files.kept(plain).service == "18:00"
    lunch = KeptBatch("cold-semaphore", DAY, "12:00")
    assert files.found(lunch, "60") == lunch  # it has a time by now


def test_batches_of_a_recipe_are_found_again(files: Batches, folder: Path) -> None:
    other = KeptBatch("cold-semaphore", date(2026, 11, 29), "", "alcohol-free")
    files.save_readings(ON, "acid-drops", {"mass": "1 g"}, {})
    files.tick(other, "acid-drops", "step: x", done(), "new", Kept("20"))
    old = folder / BATCHES / "cold-semaphore.2026-11-26.40.ticks.toml"
    old.write_text("", "utf-8")
    for name in ("2026-99-99.40.ticks", "notes", "2026-11-26.service-99-99.batch"):
        (folder / BATCHES / f"cold-semaphore.{name}.toml").write_text("", "utf-8")
    assert files.of_recipe("cold-semaphore") == [
        other, ON, KeptBatch("cold-semaphore", date(2026, 11, 26), old_serves=40),
    ]  # fmt: skip
    assert files.of_recipe("free-otter") == []


def test_what_is_kept_through_a_link_to_elsewhere_is_refused(
    files: Batches, folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "elsewhere").mkdir()
    (folder / BATCHES).symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    for save in (
        lambda: files.save_readings(ON, "acid-drops", {"mass": "100 g"}, {}),
        lambda: files.tick(ON, "acid-drops", "step: x", done(), "new", PLAN),
        lambda: files.plan(ON, "62", "18:00", "new"),
    ):
        with pytest.raises(FileProblem, match="link"):
            save()
    assert not list((tmp_path / "elsewhere").iterdir())


# version 1: ticks without amounts of their own, named by a number of serves

V1 = """[coffee-rum]
"weigh 2135 g rum 43 %" = 2026-11-26T16:04:05
"weigh 194.1 g ground coffee" = 2026-11-26T16:05:00
"step: Grind coarse, pour on" = 2026-11-26T16:10:00

[tonight-nitro]
"vessel 2 of 5" = 2026-11-26T17:30:00
"step: Fill, charge, shake hard (3 times)" = 2026-11-26T17:31:00
"""


def old(folder: Path, serves: int = 40, text: str = V1) -> Path:
    path = folder / BATCHES / f"cold-semaphore.2026-11-26.{serves}.ticks.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def test_a_batch_of_version_1_opens_and_its_first_change_writes_it_anew(
    files: Batches, folder: Path
) -> None:
    path = old(folder)
    batch = files.found(KeptBatch("cold-semaphore", date(2026, 11, 26), "18:00"), "62")
    assert batch.old_serves == 40
    kept = files.kept(batch)
    assert kept.serves == "40"
    rum = kept.ticks["coffee-rum"]["weigh rum 43 %"]
    assert (rum.g, rum.serves, rum.clock) == (2135.0, "40", "16:04")
    assert kept.ticks["coffee-rum"]["weigh ground coffee"].g == 194.1
    assert set(kept.ticks["tonight-nitro"]) == {"vessel 2", "step: Fill, charge, shake hard"}
    files.plan(batch, "62", "18:00", kept.version)
    assert path.read_text("utf-8") == V1  # it stays as it was
    new = folder / BATCHES / "cold-semaphore.2026-11-26.40.batch.toml"
    said = tomllib.loads(new.read_text("utf-8"))
    assert (said["format"], said["serves"], said["service"]) == (2, "62", "18:00")
    assert files.kept(batch).ticks == kept.ticks
    assert files.of_recipe("cold-semaphore") == [batch]


def test_of_several_old_batches_of_a_day_the_serves_tell_which(
    files: Batches, folder: Path
) -> None:
    old(folder, 40), old(folder, 60)
    asked = KeptBatch("cold-semaphore", date(2026, 11, 26))
    assert files.found(asked, "60").old_serves == 60
    assert files.found(asked, "40").old_serves == 40
    assert files.found(asked, "50") == asked


def test_old_lines_that_come_to_the_same_are_all_kept() -> None:
    ticks = {"mix": {"weigh 2 g salt": AT, "weigh 3 g salt": AT, "weigh 3 g salt (2)": AT}}
    assert [(w, d.g) for w, d in migrated(ticks, "40")["mix"].items()] == [
        ("weigh salt", 2.0), ("weigh salt (2)", 3.0), ("weigh salt (2) (2)", 3.0),
    ]  # fmt: skip


# the file


@settings(deadline=None, max_examples=40)
@given(
    st.sampled_from(["1", "60", "Ledger=60, Soda=35"]),
    st.sampled_from(["", "18:00", "00:05"]),
    st.dictionaries(
        st.text(min_size=1, max_size=12).filter(str.isprintable),
        st.dictionaries(
            st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20),
            st.builds(
                Done, st.just(AT), st.none() | st.floats(0, 1e6),
                st.sampled_from(["", "60", "A=1, B=2"]),
            ),
            min_size=1, max_size=3,
        ),
        max_size=3,
    ),
)  # fmt: skip
def test_any_batch_comes_back(serves: int, service: str, ticks: dict[str, dict[str, Done]]) -> None:
    kept = Kept(serves, service, ticks)
    assert read_kept(kept_text(kept), "x") == kept


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("format = 3\n", "later prepkit"),
        ("format = 1\n", "must be 2"),
        ("", "as the page writes it"),
        ("format = true\n", "as the page writes it"),
        ('format = 2\nserves = ""\n', "as the page writes it"),
        ('format = 2\nservice = "late"\n', "as the page writes it"),
        ("format = 2\nserves = 60\n", "as the page writes it"),
        ("format = 2\nmore = 1\n", "as the page writes it"),
        ('format = 2\n[ticks.a.b]\nat = "now"\n', "as the page writes it"),
        ("format = 2\n[ticks.a.b]\nat = 2026-01-01T10:00:00\ng = nan\n", "as the page writes it"),
        ("format =\n", "valid TOML"),
    ],
)
def test_a_file_that_cannot_be_used_is_one_sentence_and_left_alone(
    files: Batches, folder: Path, text: str, said: str
) -> None:
    path = folder / BATCHES / f"{ON.stem}.batch.toml"
    path.parent.mkdir()
    path.write_text(text, "utf-8")
    with pytest.raises(Wrong, match=said) as error:
        files.kept(ON)
    assert str(folder) not in str(error.value)
    with pytest.raises(Wrong, match=said):
        files.tick(ON, "cold-mix", "step: x", done(), "new", PLAN)
    assert path.read_text("utf-8") == text


# readings


def test_readings_are_kept_as_the_command_line_reads_them(files: Batches) -> None:
    table = {"refractometer": "48,2 Bx", "temperature": "24 C", "atc": True, "ph": 2.9}
    files.save_readings(ON, "flower-cordial", table, {})
    files.save_readings(ON, "acid-drops", {"mass": "101 g"}, {})
    read = load_readings(files.readings_path(ON), {"flower-cordial": 1, "acid-drops": 1})
    assert read["flower-cordial"].compensated
    assert float(read["flower-cordial"].values["refractometer"]) == 48.2
    assert float(read["acid-drops"].values["mass"]) == 101.0
    assert files.readings(ON)["flower-cordial"] == table


def test_two_readings_of_an_item_merge_and_one_reading_does_not(files: Batches) -> None:
    files.save_readings(ON, "cold-mix", {"mass": "7000 g"}, {})
    files.save_readings(ON, "cold-mix", {"ph": 4.9}, {})  # of a page from before
    assert files.readings(ON)["cold-mix"] == {"mass": "7000 g", "ph": 4.9}
    files.save_readings(ON, "cold-mix", {"mass": "7000 g"}, {})  # the same is no conflict
    with pytest.raises(FileChanged):
        files.save_readings(ON, "cold-mix", {"mass": "7100 g"}, {})
    seen = {"mass": reading_version("7000 g")}
    files.save_readings(ON, "cold-mix", {"mass": None}, seen)
    assert files.readings(ON)["cold-mix"] == {"ph": 4.9}
    files.save_readings(ON, "cold-mix", {"ph": None}, {"ph": reading_version(4.9)})
    assert "cold-mix" not in files.readings(ON)


def test_a_file_of_readings_that_is_no_toml_is_one_sentence(files: Batches, folder: Path) -> None:
    files.save_readings(ON, "acid-drops", {"mass": "1 g"}, {})
    files.readings_path(ON).write_text("mass =", "utf-8")
    with pytest.raises(Wrong, match="valid TOML") as error:
        files.readings(ON)
    assert str(folder) not in str(error.value)
    with pytest.raises(Wrong, match="valid TOML"):
        files.save_readings(ON, "acid-drops", {"mass": "2 g"}, {})
    assert files.readings_path(ON).read_text("utf-8") == "mass ="
