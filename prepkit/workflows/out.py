"""A document to standard output or to a file: written whole or not at all, never over another."""

from __future__ import annotations

import stat
from pathlib import Path

from prepkit import whole_files
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
    """Write a file whole, over another only with force; FileProblem where that cannot be done."""
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

    try:
        whole_files.write(path, text, over=force, errors="replace")
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{str(path)!r} cannot be written: {why}.")
