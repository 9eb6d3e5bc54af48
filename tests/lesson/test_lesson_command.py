"""prepkit lesson: a folder or a file, whole or not at all."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.errors import FileProblem
from prepkit.lesson import traced, write_folder


def run(*words: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["lesson", *words])
    return int(str(ended.value.code))


def test_a_folder_is_the_same_from_the_same_seed(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    for folder in (one, two):
        assert run("--audience", "bar", "--minutes", "30", "--out", str(folder)) == 0
    names = sorted(path.name for path in one.iterdir())
    assert names == sorted(path.name for path in two.iterdir())
    for name in names:
        assert (one / name).read_bytes() == (two / name).read_bytes(), name


def test_a_folder_with_files_is_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "plan.html").write_text("mine")
    assert run("--audience", "bar", "--minutes", "30", "--out", str(tmp_path)) == 4
    assert "--force" in capsys.readouterr().err
    assert (tmp_path / "plan.html").read_text() == "mine"
    assert run("--audience", "bar", "--minutes", "30", "--out", str(tmp_path), "--force") == 0
    assert (tmp_path / "plan.html").read_text() != "mine"
    assert not list(tmp_path.parent.glob(".prepkit-*"))


def test_a_place_that_cannot_be_written_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "file").write_text("mine")
    for out in ("file", "no/such/folder", ".", "/", "a\0b"):
        with pytest.raises(FileProblem):
            write_folder(Path(out), {"a.html": "a"}, force=False)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
    (tmp_path / "empty").mkdir()
    same = (tmp_path / "empty").stat().st_ino
    write_folder(Path("empty"), {"a.html": "a"}, force=False)
    assert (tmp_path / "empty" / "a.html").read_text() == "a"
    assert (tmp_path / "empty").stat().st_ino == same  # a shell that stands in it finds the files
    assert not capsys.readouterr().out


def test_a_failed_run_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(FileProblem):
        write_folder(tmp_path / "new", {"a.html": "a", "no/such/b.html": "b"}, force=False)
    assert not list(tmp_path.iterdir())


def test_a_full_folder_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever step fails, the folder holds what it held, and nothing lies beside it."""
    place, new = tmp_path / "lesson", {"a.html": "new a", "b.html": "new b", "c.html": "new c"}
    real, steps = os.replace, 0
    for fails in range(40):
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        held = {"a.html": "old a", "c.html": "old c", "mine.txt": "mine"}
        for name, text in held.items():
            (place / name).write_text(text)
        steps = 0

        def replace(one: Path, other: Path, fails: int = fails) -> None:
            nonlocal steps
            steps += 1
            if steps == fails + 1:
                raise OSError(28, "No space left on device")
            real(one, other)

        monkeypatch.setattr(os, "replace", replace)
        said = ""
        try:
            write_folder(place, new, force=True)
        except FileProblem as error:
            said = error.message
        done = not said
        monkeypatch.undo()
        assert done or "cannot be written: No space left on device" in said
        there = {one.name: one.read_text() for one in place.iterdir()}
        assert there == ({**held, **new} if done else held), fails
        assert [one.name for one in tmp_path.iterdir()] == ["lesson"], fails
        if done:
            break
    assert fails >= 5  # two old ones moved away, three new ones into their place


def test_what_cannot_be_put_back_is_not_thrown_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, real, steps = tmp_path / "lesson", os.replace, 0
    place.mkdir()
    (place / "a.html").write_text("old a")

    def replace(one: Path, other: Path) -> None:
        nonlocal steps
        steps += 1
        if steps > 1:  # the old one is moved away; then nothing moves any more
            raise OSError(28, "No space left on device")
        real(one, other)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(FileProblem):
        write_folder(place, {"a.html": "new a"}, force=True)
    assert [one.read_text() for one in tmp_path.rglob("a.html")] == ["old a"]


def test_a_folder_in_the_place_of_a_sheet_leaves_all_as_it_was(tmp_path: Path) -> None:
    place = tmp_path / "lesson"
    (place / "b.html").mkdir(parents=True)
    with pytest.raises(FileProblem, match=r"b\.html is a folder there"):
        write_folder(place, {"a.html": "a", "b.html": "b"}, force=True)
    assert [one.name for one in place.iterdir()] == ["b.html"]


def test_what_is_missing_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    for words, said in (
        (("--minutes", "30"), "--audience"),
        (("--audience", "bar"), "--minutes"),
        (("--audience", "bar", "--minutes", "30", "--date", "tomorrow"), "2026-11-30"),
        (("--audience", "bar", "--minutes", "30", "--out", "", "--force"), "--out is empty"),
        (("--audience", "bar", "--minutes", "30", "--house", " "), "--house is empty"),
    ):
        assert run(*words) == 2
        assert said in capsys.readouterr().err


def test_the_sources_of_a_lesson_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["sources", "--lesson", "--json"])
    assert not ended.value.code
    rows = json.loads(capsys.readouterr().out)["statements"]
    assert len(rows) == len(traced())
    for row in rows:
        assert row["sources"], row
        assert all(one["obtained"] for one in row["sources"]), row
    for words in (("--weak",), ("--calculator", "siphon"), ("GAS-EOS",)):
        with pytest.raises(SystemExit) as refused:
            main(["sources", "--lesson", *words])
        assert refused.value.code == 2
