"""The one writer of files: a file is written whole or not at all."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path


def write(path: Path, text: str, *, over: bool, errors: str = "strict") -> None:
    """Write a text into a new file beside `path`, onto the disk, and give it the name at the end.

    `over`: a file of that name is replaced and its permissions are kept; otherwise FileExistsError.
    Raises OSError or ValueError; `path` then holds what it held.
    """
    import secrets  # slow to import, and most runs write nothing

    beside = path.with_name(f".prepkit-{secrets.token_hex(8)}.part")
    try:
        with beside.open("x", encoding="utf-8", errors=errors, newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if over:
            if path.exists():
                beside.chmod(path.stat().st_mode & 0o777)
            os.replace(beside, path)
        else:
            _name_once(beside, path)
        _settle(path.parent)
    finally:
        with suppress(OSError, ValueError):
            beside.unlink()


def _name_once(beside: Path, path: Path) -> None:
    """Give a finished file its name, never over another that has taken it meanwhile."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        path.open("x").close()
        try:
            os.replace(beside, path)
        except OSError:
            path.unlink()  # the empty one that held the name
            raise


def _settle(folder: Path) -> None:
    """The folder's own entry onto the disk, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
