"""Files that are written whole or not at all, with the version before kept; one writer at a time.

A version is a name of what a file holds. Who saves says which version was looked at; where another
has saved meanwhile nothing is written.
"""

from __future__ import annotations

import hashlib
import os
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Lock

from prepkit import whole_files
from prepkit.errors import FileProblem
from prepkit.plan.files import read_text

if sys.platform == "win32":  # there the lock of this process has to do
    fcntl = None
else:
    import fcntl

KEPT = "previous"  # the folder of what was there before, beside the file
MOST_KEPT = 100  # of one file; the oldest go
MEANWHILE = (
    "Another has saved this since it was opened here: nothing was written, and what was typed "
    "stands below."
)
NONE = "new"  # the version of a file that is not there yet
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)
_lock = Lock()  # within this process; between processes the lock file holds
_STAMP = re.compile(r"\d{8}-\d{6}-\d{3}")


class Changed(FileProblem):
    """Another has saved a file since it was looked at."""

    code = "changed"


@dataclass(frozen=True)
class Kept:
    """A version that was replaced: its name, and when."""

    name: str
    when: str


def version_of(text: str | None) -> str:
    """The version of a text; NONE where there is no file.

    >>> version_of(None), len(version_of("")), version_of("a") == version_of("b")
    ('new', 16, False)
    """
    return NONE if text is None else hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def text_of(path: Path, kind: str) -> str | None:
    """The text of a file, None where there is none; FileProblem or Wrong where it is unreadable."""
    return read_text(path, kind) if path.exists() else None


@contextmanager
def one_writer(folder: Path) -> Iterator[None]:
    """Holds other writers of a folder off, in this process and in others; not to be nested."""
    with _lock:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            plain(folder)
            handle = os.open(folder / ".prepkit-lock", os.O_RDWR | os.O_CREAT | _NO_LINK, 0o644)
        except OSError as error:
            raise _cannot(folder, error) from error
        try:
            if fcntl is not None:
                fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)


def save(path: Path, text: str, seen: str, kind: str) -> None:
    """Write a file whole and keep what it held; `seen` is the version that was looked at.

    Raises Changed where another has saved meanwhile, FileProblem where the file cannot be written;
    it then still holds what it held.
    """

    def change(before: str | None) -> str:
        if seen != version_of(before):
            raise Changed(MEANWHILE)
        return text

    rewrite(path, change, kind)


def rewrite(path: Path, change: Callable[[str | None], str], kind: str) -> None:
    """Save what `change` makes of a file's text (None: there is no file), nobody writing between.

    What `change` raises leaves the file as it is.
    """
    with one_writer(path.parent):
        before = text_of(path, kind)
        text = change(before)
        if text == before:
            return
        try:
            if before is not None:
                _keep(path, before)
            whole_files.write(path, text, over=True)
        except (OSError, ValueError) as error:
            raise _cannot(path, error) from error


def kept(path: Path) -> list[Kept]:
    """What a file held before, the latest first."""
    folder = path.parent / KEPT
    found = []
    try:
        names = [one.name for one in os.scandir(folder) if one.is_file(follow_symlinks=False)]
    except OSError:  # nothing was kept yet
        return []
    for name in names:
        stamp = name.removeprefix(f"{path.stem}.").removesuffix(path.suffix)
        if name == f"{path.stem}.{stamp}{path.suffix}" and _STAMP.fullmatch(stamp):
            found.append(Kept(stamp, _when(stamp)))
    return sorted(found, key=lambda one: one.name, reverse=True)


def _when(stamp: str) -> str:
    """The time of a kept version in words.

    >>> _when("20261126-160405-001")
    '2026-11-26 16:04:05'
    """
    day, time, _ = stamp.split("-")
    return f"{day[:4]}-{day[4:6]}-{day[6:]} {time[:2]}:{time[2:4]}:{time[4:]}"


def kept_text(path: Path, name: str, kind: str) -> str:
    """The text of a version that was kept; FileProblem where there is none of that name."""
    if name not in {one.name for one in kept(path)}:
        raise FileProblem(f'There is no version "{name[:40]}" of {path.name}.')
    return read_text(path.parent / KEPT / f"{path.stem}.{name}{path.suffix}", kind)


def plain(folder: Path) -> None:
    """Refuse a folder that is a link to another place."""
    if folder.is_symlink():
        raise OSError(f"the folder {folder.name} is a link to another place")


def _keep(path: Path, text: str) -> None:
    """A copy of what is about to be replaced, under the time of now."""
    folder = path.parent / KEPT
    folder.mkdir(exist_ok=True)
    plain(folder)
    now = f"{datetime.now():%Y%m%d-%H%M%S}"
    stamps = [one.name for one in kept(path)]
    number = 1 + max((int(one[-3:]) for one in stamps if one.startswith(now)), default=0)
    whole_files.write(folder / f"{path.stem}.{now}-{number:03}{path.suffix}", text, over=True)
    for old in stamps[MOST_KEPT - 1 :]:
        with suppress(OSError):
            (folder / f"{path.stem}.{old}{path.suffix}").unlink()


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{path.name} cannot be written: {why}.")
