"""Files that are written whole or not at all, with the version before kept; one writer at a time.

A version is a name of what a file holds. Who saves says which version was looked at; where another
has saved meanwhile nothing is written.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import RLock

from prepkit.errors import FileProblem
from prepkit.plan.fields import Wrong
from prepkit.plan.files import read_text

KEPT = "previous"  # the folder of what was there before, beside the file
MOST_KEPT = 100  # of one file; the oldest go
NONE = "new"  # the version of a file that is not there yet
_lock = RLock()  # within this process; between processes the lock file holds
_STAMP = re.compile(r"\d{8}-\d{6}-\d{3,}")


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
    """Holds other writers of a folder off, in this process and in others."""
    import fcntl  # not on every system; there the lock of this process has to do

    with _lock:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            handle = os.open(folder / ".prepkit-lock", os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o644)
        except OSError as error:
            raise _cannot(folder, error) from error
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)


def save(path: Path, text: str, seen: str | None, kind: str) -> str:
    """Write a file whole and keep what it held; the new version.

    `seen` is the version that was looked at, None where it does not matter. Raises Changed where
    another has saved meanwhile, FileProblem where the file cannot be written; it then still holds
    what it held.
    """
    with one_writer(path.parent):
        before = text_of(path, kind)
        if seen is not None and seen != version_of(before):
            raise Changed(
                f"{path.name} has been saved by another since it was opened here; nothing was "
                f"written, and what was typed is still in the form."
            )
        if before == text:
            return version_of(text)
        try:
            if before is not None:
                _keep(path, before)
            _write(path, text)
        except (OSError, ValueError) as error:
            raise _cannot(path, error) from error
    return version_of(text)


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
            day, time, _ = stamp.split("-")
            when = datetime.strptime(f"{day}{time}", "%Y%m%d%H%M%S")  # noqa: DTZ007 the clock of the wall
            found.append(Kept(stamp, when.isoformat(" ")))
    return sorted(found, key=lambda one: one.name, reverse=True)


def kept_text(path: Path, name: str, kind: str) -> str:
    """The text of a version that was kept; FileProblem where there is none of that name."""
    if name not in {one.name for one in kept(path)}:
        raise FileProblem(f'There is no version "{name[:40]}" of {path.name}.')
    return read_text(path.parent / KEPT / f"{path.stem}.{name}{path.suffix}", kind)


def _keep(path: Path, text: str) -> None:
    """A copy of what is about to be replaced, under the time of now."""
    folder = path.parent / KEPT
    folder.mkdir(exist_ok=True)
    now = f"{datetime.now():%Y%m%d-%H%M%S}"  # noqa: DTZ005 the clock of the wall
    stamps = [one.name for one in kept(path)]
    number = sum(one.startswith(now) for one in stamps)
    _write(folder / f"{path.stem}.{now}-{number:03}{path.suffix}", text)
    for old in stamps[MOST_KEPT - 1 :]:
        with suppress(OSError):
            (folder / f"{path.stem}.{old}{path.suffix}").unlink()


def _write(path: Path, text: str) -> None:
    """Into a new file beside it, onto the disk, and then its name."""
    beside = path.with_name(f".prepkit-{secrets.token_hex(8)}.part")
    try:
        with beside.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
        _settle(path.parent)
    finally:
        with suppress(OSError):
            beside.unlink()


def _settle(folder: Path) -> None:
    """The folder's own entry onto the disk, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{path.name} cannot be written: {why}.")


__all__ = ["Changed", "Kept", "Wrong", "kept", "kept_text", "one_writer", "save", "text_of", "version_of"]
