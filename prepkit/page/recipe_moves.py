"""A new file in the folder of recipes: a new recipe, a copy, another name. None is ever lost.

A name that is there already is refused; a recipe that gets another name takes its versions and its
batches along, or stays where it was.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from prepkit import whole_files
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.history import versions as history
from prepkit.page import safe_files, versions
from prepkit.page.recipe_folder import BATCHES, BETWEEN, Book, named
from prepkit.plan.check import Checked, check_text
from prepkit.plan.toml_edit import Set, changed

LONGEST = 60  # of a file's name


def file_name(words: str) -> str:
    """The file's name for a recipe of that name.

    >>> file_name("Night Tide, No. 2"), file_name("Crème")
    ('night-tide-no-2', 'creme')
    """
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))[:LONGEST].strip("-")


def free(book: Book, beside: str | None, said: str) -> tuple[str, Path]:
    """The name and the file that a recipe could have; BadInput where it cannot be had.

    `beside`: the name of the recipe whose folder it goes to; None for the folder of the page.
    """
    stem = file_name(said)
    if not stem or not named(stem):
        raise BadInput(f'"{said[:40]}" makes no name of a file; write letters or digits.', "file")
    folders = beside.split(BETWEEN)[:-1] if beside else []
    folder = book.path(beside).parent if beside else book.folder
    path = folder / f"{stem}.toml"
    if stem in (BATCHES, safe_files.KEPT, history.FOLDER) or _taken(path):
        raise BadInput(f'"{stem}" is there already; write another name.', "file")
    return BETWEEN.join((*folders, stem)), path


def _taken(path: Path) -> bool:
    """Whether a file, or what is kept of one, has the name, in large or small letters."""
    stem = path.stem.casefold()
    with suppress(OSError):
        if any(Path(one).stem.casefold() == stem for one in os.listdir(path.parent)):
            return True
    return os.path.lexists(path) or os.path.lexists(history.folder_of(path))


def check(book: Book, path: Path, text: str) -> Checked:
    """What is wrong with a text that is to be a new file."""
    return check_text(text, str(path), house=book.house)


def create(book: Book, path: Path, text: str, note: str) -> None:
    """Write a new recipe and keep it as its first version. Raises ReadOnly, FileProblem."""
    book.may_write()
    note = versions.tidy_note(note)
    with safe_files.one_writer(path.parent):
        _write_new(path, text)
        with suppress(PrepkitError):
            history.keep(path, note=note)


def _write_new(path: Path, text: str) -> None:
    try:
        whole_files.write(path, text, over=False)
    except FileExistsError as error:
        raise FileProblem(f"{path.stem} is there already; write another name.") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileProblem(f"{path.name} cannot be written: {why}.") from error


def titled(text: str, title: str) -> str:
    """The text of a recipe under another name."""
    title = " ".join(title.split())
    if not title or len(title) > 200:
        raise BadInput("Write a name of at most 200 characters.", "title")
    return changed(text, [Set((), "title", title)])


def copy(book: Book, name: str, title: str, said: str) -> str:
    """A copy of a recipe under another name; its name."""
    book.may_write()
    new, path = free(book, name, said or title)
    create(book, path, titled(book.text(name), title), f"copied from {name}")
    return new


def rename(book: Book, name: str, title: str, said: str, seen: str) -> str:
    """Give a recipe another name, and its file where `said` asks for it; the name it has then.

    Raises Changed where another has saved meanwhile, BadInput, FileProblem.
    """
    book.may_write()
    old = book.path(name)
    if old.is_symlink():
        raise FileProblem("This recipe is a link to another one; give that one another name.")
    text = titled(book.text(name), title)
    if not said.strip() or said.strip() == old.stem:
        versions.save(old, text, seen, f"called {title} from now on")
        return name
    new, path = free(book, name, said)
    with safe_files.one_writer(old.parent):
        if seen != safe_files.version_of(safe_files.text_of(old, "recipe")):
            raise safe_files.Changed(safe_files.MEANWHILE)
        versions.keep_present(old)
        _write_new(path, text)
        moved: list[tuple[Path, Path]] = []
        try:
            for one, other in _belonging(old, path):
                if os.path.lexists(other):
                    raise FileExistsError(17, f"{other.name} is there already")
                one.rename(other)
                moved.append((one, other))
            old.unlink()
        except OSError as error:
            for one, other in reversed(moved):
                with suppress(OSError):
                    other.rename(one)
            with suppress(OSError):
                path.unlink()
            raise FileProblem(f"{name} keeps its name: {error.strerror or error}.") from error
        with suppress(PrepkitError):
            history.keep(path, note=f"before: {old.stem}")
    return new


def _belonging(old: Path, new: Path) -> Iterator[tuple[Path, Path]]:
    """What is kept of a recipe, each with the name it gets: versions, earlier texts, batches."""
    if history.folder_of(old).is_dir():
        yield history.folder_of(old), history.folder_of(new)
    dated = re.compile(rf"{re.escape(old.stem)}(\.\d{{4}}-?\d\d-?\d\d[.-].*)", re.DOTALL)
    beside = old.parent
    for folder in (beside / safe_files.KEPT, beside / BATCHES, beside / BATCHES / safe_files.KEPT):
        if folder.is_dir() and not folder.is_symlink():
            for file in sorted(os.listdir(folder)):
                match = dated.fullmatch(file)
                if match:
                    yield folder / file, folder / f"{new.stem}{match[1]}"
