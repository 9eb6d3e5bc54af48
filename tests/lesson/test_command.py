"""prepkit lesson: a folder or a file, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.errors import FileProblem
from prepkit.lesson.command import write_folder
from prepkit.lesson.model import traced


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
    write_folder(Path("empty"), {"a.html": "a"}, force=False)
    assert (tmp_path / "empty" / "a.html").read_text() == "a"
    assert not capsys.readouterr().out


def test_a_failed_run_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(FileProblem):
        write_folder(tmp_path / "new", {"a.html": "a", "no/such/b.html": "b"}, force=False)
    assert not list(tmp_path.iterdir())


def test_what_is_missing_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    for words, said in (
        (("--minutes", "30"), "--audience"),
        (("--audience", "bar"), "--minutes"),
        (("--audience", "bar", "--minutes", "30", "--date", "tomorrow"), "2026-11-30"),
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
