"""Files that a plan reads and writes: bounded in size, below their folder, whole or not at all."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import Any

from prepkit import toml_text, whole_files
from prepkit.errors import FileProblem
from prepkit.plan.fields import Wrong

MOST_BYTES = 1 << 19
STDIN, STDIN_NAME = "-", "standard input"  # as it is asked for, as it is called
_TWICE = re.compile(r"Cannot declare \('(\w+)', '([^']+)'\) twice \(at line (\d+)")


def read_text(path: str | Path, kind: str = "recipe") -> str:
    """The text of a file; FileProblem where it cannot be read, Wrong where it is not text."""
    shown = str(path)
    try:
        with open(path, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileProblem(f"{shown} cannot be read: {error.strerror or error}.") from error
    except ValueError as error:  # a path with a null in it
        raise FileProblem(f"{shown!r} cannot be read: {error}.") from error
    return _text(raw, shown, kind)


def read_stdin(kind: str = "recipe") -> str:
    """The text of standard input, judged as a file is."""
    try:
        stream = getattr(sys.stdin, "buffer", None)
        if stream is not None:
            raw = stream.read(MOST_BYTES + 1)
        elif sys.stdin is not None:
            raw = sys.stdin.read(MOST_BYTES + 1).encode()
        else:
            raise FileProblem(f"{STDIN_NAME} is closed; name a {kind} file, or send one.")
    except (OSError, ValueError) as error:
        raise FileProblem(f"{STDIN_NAME} cannot be read: {error}.") from error
    return _text(raw, STDIN_NAME, kind)


def _text(raw: bytes, shown: str, kind: str) -> str:
    if len(raw) > MOST_BYTES:
        raise Wrong(shown, "", f"a {kind} file has at most {MOST_BYTES} bytes, and this has more.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Wrong(
            shown, "", f"byte {error.start} is not UTF-8 text; save the file as UTF-8."
        ) from error


def tables_of(
    text: str, file: str, kind: str = "recipe"
) -> dict[str, Any]:  # Any: whatever a TOML file has
    """A text as TOML tables."""
    try:
        return toml_text.tables(text)
    except toml_text.TooDeep as error:
        raise Wrong(file, "", f"it is nested too deeply to be a {kind}.") from error
    except ValueError as error:
        raise Wrong(file, "", _toml_words(error)) from error


def _toml_words(error: ValueError) -> str:
    said = str(error)
    twice = _TWICE.search(said)
    if twice:
        return (
            f"line {twice[3]}: [{twice[1]}.{twice[2]}] is written twice. Give each of the "
            f"{twice[1]} an id of its own."
        )
    return f"it is not valid TOML: {said.rstrip('.')}."


def below(folder: Path, name: str) -> Path | None:
    """The file of a name in a folder or below it; None where it lies outside, links followed."""
    try:
        root = folder.resolve()
        path = (root / name).resolve()
    except (OSError, RuntimeError, ValueError):  # a circle of links, a null in the name
        return None
    return path if path != root and path.is_relative_to(root) else None


def write_new(path: str | Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all; FileProblem otherwise."""
    target = Path(path)
    there = f"{path} is there already and is not overwritten; name another file."
    try:
        if target.exists() or target.is_symlink():
            raise FileProblem(there)
        whole_files.write(target, text, over=False)
    except FileExistsError as error:
        raise FileProblem(there) from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileProblem(f"{path} cannot be written: {why}.") from error
