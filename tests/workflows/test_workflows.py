"""Documents are written whole or not at all, and never over another file."""

from __future__ import annotations

import os
import shlex
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.errors import FileProblem
from prepkit.workflows import write_whole

CARD = "card blend --part '1 kg water' --out"


def call(words: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    return int(ended.value.code or 0)


def test_a_new_file_is_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "card.html"
    assert call(f"{CARD} {file}") == 0
    assert file.read_text("utf-8").startswith("<!doctype html>")
    assert capsys.readouterr().out == ""
    assert [one.name for one in tmp_path.iterdir()] == ["card.html"]
    before = os.umask(0)
    os.umask(before)
    assert file.stat().st_mode & 0o777 == 0o666 & ~before


def test_a_file_that_is_there_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "card.html"
    file.write_text("mine")
    assert call(f"{CARD} {file}") == 4
    assert file.read_text() == "mine"
    assert "--force" in capsys.readouterr().err
    assert call(f"{CARD} {file} --force") == 0
    assert file.read_text("utf-8").startswith("<!doctype html>")
    assert [one.name for one in tmp_path.iterdir()] == ["card.html"]


def test_no_such_folder_and_no_plain_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(f"{CARD} {tmp_path}/none/card.html") == 4
    assert call(f"{CARD} {tmp_path} --force") == 4
    target = tmp_path / "target"
    target.write_text("kept")
    (tmp_path / "link").symlink_to(target)
    assert call(f"{CARD} {tmp_path}/link --force") == 4
    assert target.read_text() == "kept"
    assert call(f"{CARD} '{tmp_path}/a\x00b'") == 4
    assert all(line.startswith("prepkit: ") for line in capsys.readouterr().err.splitlines())


def test_a_failure_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(_fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fails)
    for force in (False, True):
        file = tmp_path / "card.html"
        if force:
            file.write_text("old")
        with pytest.raises(FileProblem, match="No space left"):
            write_whole(file, "new", force)
        assert [one.name for one in tmp_path.iterdir()] == (["card.html"] if force else [])
    assert file.read_text() == "old"


def test_who_comes_second_does_not_win(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "card.html"

    def meanwhile(_fd: int) -> None:
        file.write_text("of somebody else")

    monkeypatch.setattr(os, "fsync", meanwhile)
    with pytest.raises(FileProblem, match="exists"):
        write_whole(file, "mine", force=False)
    assert file.read_text() == "of somebody else"


def test_a_dash_is_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert call(f"{CARD} -") == 0
    assert capsys.readouterr().out.startswith("<!doctype html>")
