"""A document to standard output or to a file: written whole or not at all, never over another."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from pathlib import Path

from prepkit.errors import FileProblem, one_line
from prepkit.stdout import put_error, put_exact, put_text

TO_STDOUT = "-"


def put(text: str, out: str | None, force: bool, exact: bool = False, fit: bool = True) -> None:
    """Print the text, or write it to a file; FileProblem where that cannot be done.

    `exact`: it is a document for a program (JSON, CSV, HTML), UTF-8 wherever it goes.
    `fit`: lines that are too long for the terminal are broken.
    """
    if out is None or out == TO_STDOUT:
        if exact:
            put_exact(text)
        else:
            put_text(text, fit)
        return
    write_whole(Path(out), text, force)
    put_error(f"prepkit: {one_line(out)} written.\n")


def write_whole(path: Path, text: str, force: bool) -> None:
    """Write a text into a new file beside the wanted one and give it the name at the end."""
    try:
        before = path.lstat() if path.is_symlink() else path.stat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error
    else:
        if not stat.S_ISREG(before.st_mode):
            raise FileProblem(f"{path} is no plain file; name a new file to write to.")
        if not force:
            raise FileProblem(f"{path} is there already; name another file, or add --force.")
    import secrets  # only here: it takes long to import

    beside = path.with_name(f".{path.name[:80]}.{secrets.token_hex(6)}.part")
    try:
        with beside.open("x", encoding="utf-8", errors="replace", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if force:
            beside.replace(path)
        else:
            _name_once(beside, path)
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error
    finally:
        with suppress(OSError, ValueError):
            beside.unlink()


def _name_once(beside: Path, path: Path) -> None:
    """Give a finished file its name, unless another has taken it meanwhile."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if path.exists():
            raise FileExistsError(17, "File exists") from None
        beside.replace(path)


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{str(path)!r} cannot be written: {why}.")
