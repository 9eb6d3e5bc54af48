"""What is printed is whole, in the right encoding, and as wide as the terminal; or it says so."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from cli.asking import BLEND, ROOT, STOP, call, ran, started

from prepkit import stdout
from prepkit.errors import FileProblem

PLAN = "plan recipes/cold-semaphore.toml --serves 12"
OLD = ("cp1252", "latin-1", "cp437", "ascii")
FULL = Path("/dev/full")
full_disk = pytest.mark.skipif(not FULL.exists(), reason="the system has no /dev/full")


# encodings


@pytest.mark.parametrize("encoding", OLD)
@pytest.mark.parametrize("words", [f"{BLEND} --working", PLAN, "cautions --kind cryogen"])
def test_text_on_an_old_terminal(words: str, encoding: str) -> None:
    code, out, err = ran(words, more={"PYTHONIOENCODING": encoding})
    assert (code, err) == (0, "")
    assert out.decode(encoding).strip()


def test_a_stand_in_keeps_the_meaning() -> None:
    assert "2 ± 0.1 °".encode("ascii", "prepkit-plain") == b"2 +/- 0.1  "
    assert "水".encode("cp1252", "prepkit-plain") == b"?"
    for words in stdout.PLAIN.values():
        assert words.isascii()


@pytest.mark.parametrize(
    "words",
    [
        f"{BLEND} --json",
        f"{PLAN} --json",
        f"{PLAN} --csv",
        "card blend --part '1 l water' --title 'Café ½' --date 2026-11-25",
        "label recipes/cold-semaphore.toml --made 2026-11-25 --format html",
        "sources --json",
        "schema",
    ],
)
def test_documents_are_the_same_bytes_everywhere(words: str) -> None:
    code, plain, err = ran(words, more={"PYTHONIOENCODING": "utf-8"})
    assert code == 0
    assert plain.decode("utf-8")
    old = ran(words, more={"PYTHONIOENCODING": "cp437"})
    assert old == (code, plain, err)


# whole or not


@full_disk
@pytest.mark.parametrize("python", ["", "-u"])
@pytest.mark.parametrize("words", ["--help", "--version", BLEND, STOP, f"{PLAN} --json", "safety"])
def test_a_full_disk_is_a_file_problem(words: str, python: str) -> None:
    with FULL.open("wb") as full:
        code, _, err = ran(words, python=python, stdout=full)
    assert code == 4
    assert "standard output cannot be written: No space left on device." in err
    assert err.count("\n") == 1


@full_disk
def test_a_message_that_nobody_can_read_changes_no_exit_status() -> None:
    with FULL.open("wb") as full:
        assert ran("blend --part nonsense", stderr=full)[0] == 2
        assert ran("blend --part nonsense", stderr=full, stdout=full)[0] == 2


@pytest.mark.parametrize(
    ("words", "code"),
    [(STOP, 3), (f"{STOP} --json", 3), (BLEND, 0), ("--help", 0), ("sources", 0), ("safety", 0)],
)
def test_a_closed_pipe_changes_no_exit_status(words: str, code: int) -> None:
    read, write = os.pipe()
    os.close(read)
    try:
        process = started(words, stdout=write)
    finally:
        os.close(write)
    _, err = process.communicate(timeout=120)
    assert (process.returncode, err) == (code, b"")


@pytest.mark.skipif(sys.platform == "win32", reason="a shell closes it there in another way")
def test_no_standard_output_at_all() -> None:
    line = f"exec {sys.executable} -m prepkit {STOP} >&-"
    done = subprocess.run(
        ["sh", "-c", line], cwd=ROOT, check=False, capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, timeout=120,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (3, b"")


class Slow:
    """A file that takes a few bytes at a time, and now and then none."""

    def __init__(self) -> None:
        self.got = b""
        self.calls = 0

    def write(self, number: int, data: Any) -> int:
        self.calls += 1
        if self.calls % 3 == 0:
            raise BlockingIOError
        self.got += bytes(data[:7])
        return min(len(data), 7)


def test_short_writes_are_repeated(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    slow, text = Slow(), "every line of the card ±\n" * 50
    with (tmp_path / "out").open("w") as file:
        monkeypatch.setattr("sys.stdout", file)
        monkeypatch.setattr("prepkit.stdout.os.write", slow.write)
        monkeypatch.setattr("prepkit.stdout.select.select", lambda *_: None)
        stdout.put_exact(text)
    assert slow.got.decode() == text


@pytest.mark.parametrize(("number", "told"), [(errno.ENOSPC, True), (errno.EPIPE, False)])
def test_only_a_reader_that_left_is_let_go(
    number: int, told: bool, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fails(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    with (tmp_path / "out").open("w") as file:
        monkeypatch.setattr("sys.stdout", file)
        monkeypatch.setattr("prepkit.stdout.os.write", fails)
        if told:
            with pytest.raises(FileProblem, match="cannot be written"):
                stdout.put_text("text")
        else:
            stdout.put_text("text")


def test_a_plan_goes_into_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for form in ("", "--json", "--csv", "--batch", "--quiet"):
        file = tmp_path / f"plan{form}"
        words = f"plan {ROOT}/recipes/cold-semaphore.toml --serves 12 {form}"
        _, printed, _ = call(words, capsys)
        code, out, err = call(f"{words} --out {file}", capsys)
        assert (code, out, err) == (0, "", f"prepkit: {file} written.\n")
        assert file.read_bytes().decode() == printed
        code, _, err = call(f"{words} --out {file}", capsys)
        assert code == 4
        assert "there already" in err
        assert call(f"{words} --out {file} --force", capsys)[0] == 0


# width

WIDE = [
    BLEND,
    STOP + " --working",
    f"{PLAN} --service 18:00 --working",
    f"{PLAN} --batch",
    f"{PLAN} --measured recipes/measured/cold-semaphore.toml",
    "plan recipes/cold-semaphore.toml --compare 20,40,60,80",
    "label recipes/cold-semaphore.toml --made 2026-11-25",
    "drill --topic siphon --count 2 --key",
    "cautions --kind pressure",
    "sources --calculator siphon",
    "pantry lemon juice",
    "--help",
    "siphon --help",
    "plan --help",
]


@pytest.mark.parametrize("most", [40, 72, 80])
@pytest.mark.parametrize("words", WIDE)
def test_text_is_no_wider_than_the_terminal(
    words: str, most: int, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", str(most))
    _, out, _ = call(words, capsys)
    assert out
    for line in out.splitlines():  # a word that is longer, such as a path, stays whole
        assert len(line) <= most or len(line.split()) == 1, line


def test_narrow_text_holds_every_word_of_the_wide_one(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def told(columns: str) -> list[str]:
        monkeypatch.setenv("COLUMNS", columns)
        _, out, _ = call(f"{BLEND} --full --working", capsys)
        return sorted(word.strip(":") for word in out.split() if set(word) - {"-"})

    assert set(told("400")) <= set(told("40"))


@pytest.mark.parametrize("said", ["", "0", "-5", "wide", "8²", "9" * 5000])
def test_columns_that_are_no_number_change_nothing(
    said: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    _, usual, _ = call(BLEND, capsys)
    monkeypatch.setenv("COLUMNS", said)
    _, out, _ = call(BLEND, capsys)
    assert out == usual
    assert stdout.columns() == stdout.USUAL
