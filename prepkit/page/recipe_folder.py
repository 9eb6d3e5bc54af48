"""The recipe folder as a closed list; its files written whole, with the version before kept.

A name is looked for among the names that the folder has; no path is read from an address. Beside
the recipes lie `previous/`, with what a file held before it was saved, `batches/`, `tastings/` and
`ladders/`. None is ever lost.

A name that is there already is refused; a recipe that gets another name takes its versions and its
batches along, or stays where it was.

A version is a name of what a file holds. Who saves says which version was looked at; where another
has saved meanwhile nothing is written. The page saves under the lock of the folder: what the file
holds is kept first, then the new text.
"""

from __future__ import annotations

import hashlib
import os
import re
import stat
import sys
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import Lock
from typing import NamedTuple

from prepkit import files, history, registry
from prepkit.errors import BadInput, FileProblem, PrepkitError, one_line
from prepkit.history import FOLDER as HISTORY
from prepkit.index import CALCULATORS
from prepkit.plan.check import Checked, Problem, check_text
from prepkit.plan.files import (
    Set,
    Wrong,
    below,
    changed,
    key_words,
    read_text,
    tables_of,
    value_words,
)

# ---- files written whole ----

# ---- files that are written whole or not at all, with the version before kept ----

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


class FileChanged(FileProblem):
    """Another has saved a file since it was looked at."""

    code = "changed"


@dataclass(frozen=True)
class ReplacedVersion:
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
            files.write(path, text, over=True)
        except (OSError, ValueError) as error:
            raise _cannot(path, error) from error


def kept(path: Path) -> list[ReplacedVersion]:
    """What a file held before, the latest first."""
    folder = path.parent / KEPT
    found = []
    try:
        names = [entry.name for entry in os.scandir(folder) if entry.is_file(follow_symlinks=False)]
    except OSError:  # nothing was kept yet
        return []
    for name in names:
        stamp = name.removeprefix(f"{path.stem}.").removesuffix(path.suffix)
        if name == f"{path.stem}.{stamp}{path.suffix}" and _STAMP.fullmatch(stamp):
            found.append(ReplacedVersion(stamp, _when(stamp)))
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
    if name not in {version.name for version in kept(path)}:
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
    stamps = [version.name for version in kept(path)]
    number = 1 + max((int(stamp[-3:]) for stamp in stamps if stamp.startswith(now)), default=0)
    files.write(folder / f"{path.stem}.{now}-{number:03}{path.suffix}", text, over=True)
    for old in stamps[MOST_KEPT - 1 :]:
        with suppress(OSError):
            (folder / f"{path.stem}.{old}{path.suffix}").unlink()


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{path.name} cannot be written: {why}.")


# ---- a recipe's versions as the page keeps, shows and brings them back ----

BEFORE = "as it was before the page changed it"
CHANGED = "changed on the page"
MOST_SHOWN = 40
LABELS = {
    "title": "name", "serves": "serves", "note": "note", "calculator": "work", "loss": "loss",
    "least": "least worth making", "vessel": "vessel", "part": "parts", "garnish": "garnish",
    "name": "name", "text": "step", "takes": "takes", "hands_on": "hands on",
}  # fmt: skip
_STEP = re.compile(r"step (\d+)")


@dataclass(frozen=True)
class ShownVersion:
    """One version as a page shows it: its number, when, why, and what it changed."""

    number: int
    when: str
    who: str
    note: str
    tasting: str
    lines: tuple[str, ...]
    now: bool  # whether the file holds it


def save(path: Path, text: str, seen: str, note: str = "") -> None:
    """Write a recipe's file whole, with what it held and what it holds now among its versions.

    `seen` is the version that was looked at. Raises FileChanged, FileProblem, BadInput for a note;
    the file then holds what it held.
    """
    note = tidy_note(note) or CHANGED
    with one_writer(path.parent):
        before = text_of(path, "recipe")
        if seen != version_of(before):
            raise FileChanged(MEANWHILE)
        if text == before:
            return
        keep_present(path)
        try:
            files.write(path, text, over=True)
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise FileProblem(f"{path.name} cannot be written: {why}.") from error
        with suppress(PrepkitError):  # it is in the file; the next save keeps it then
            history.keep(path, note=note)


def keep_present(path: Path) -> None:
    """Keep what a file holds where no version has it yet; FileProblem where it cannot be kept."""
    if path.exists() and history.seen(path) is None:
        history.keep(path, note=BEFORE)


def back(path: Path, number: int, seen: str) -> None:
    """Make a file what a version was. Raises FileChanged, FileProblem."""
    with one_writer(path.parent):
        if seen != version_of(text_of(path, "recipe")):
            raise FileChanged(MEANWHILE)
        history.back_to(path, number)


def before_last(path: Path) -> int | None:
    """The number of the version before the one that the file holds; None where there is none."""
    now = history.seen(path)
    if now is None:
        last = history.listed(path)[-1:]
        return last[0].number if last else None
    earlier = [version for version in history.listed(path) if version.number < now.number]
    other = [version.number for version in earlier if version.sum != now.sum]
    return other[-1] if other else None


def shown(path: Path) -> list[ShownVersion]:
    """The versions of a recipe, the latest first, each with what it changed."""
    every = history.listed(path)[-MOST_SHOWN - 1 :]
    now = history.seen(path)
    found: list[ShownVersion] = []
    text_before: str | None = None
    for one in every:
        text = history.text_of(path, one.number)
        lines = () if text_before is None else tuple(in_words(text_before, text, path))
        found.append(
            ShownVersion(
                one.number, f"{one.at.astimezone():%Y-%m-%d %H:%M}", one.who, one.note, one.tasting,
                lines, now is not None and now.number == one.number,
            )
        )  # fmt: skip
        text_before = text
    return found[-MOST_SHOWN:][::-1]


def tidy_note(note: str) -> str:
    """A note of one line; BadInput where it is too long."""
    said = one_line(" ".join(note.split()))
    if len(said) > history.MOST_NOTE:
        raise BadInput(
            f"The note has {len(said)} characters; write at most {history.MOST_NOTE}.", "note"
        )
    return said


def in_words(before: str, after: str, path: Path) -> Iterator[str]:
    """What changed from one text to another, in the words of the page."""
    try:
        changed = history.words_between(before, after, path)
        tables = tables_of(after, str(path))
        old = tables_of(before, str(path))
    except PrepkitError:
        yield "Its text changed, and one of the two cannot be read as a recipe."
        return
    if not changed:
        yield "Only comments or layout changed."
    for word in changed:
        place = _place(word.where, tables, old)
        if word.before is None:
            yield f"{place}: added {word.after}"
        elif word.after is None:
            yield f"{place}: taken out {word.before}"
        else:
            yield f"{place}: {word.before} → {word.after}"


def _place(where: str, tables: Mapping[str, object], old: Mapping[str, object]) -> str:
    """A place of a recipe in words.

    >>> _place("items.base.part", {"items": {"base": {"calculator": "blend"}}}, {})
    'base, parts'
    >>> _place('serve "Night".garnish', {}, {})
    '“Night”, garnish'
    """
    if where.startswith("serve "):
        name, _, key = where.removeprefix("serve ").rpartition(".")
        name = name or key
        called = name.strip('"')
        return f"“{called}”, {LABELS.get(key, key)}" if key != name else f"“{called}”"
    head, _, rest = where.partition(".")
    if head != "items" or not rest:
        return LABELS.get(where, where.replace(".", ", "))
    id_, _, key = rest.partition(".")
    step = _STEP.search(key) or _STEP.search(id_)
    last = key.rpartition(".")[2]
    label = _label(_calculator(id_, tables) or _calculator(id_, old), last)
    if step:
        return f"{id_.partition(' ')[0].removesuffix('.step')}, step {step[1]}, {label}"
    return f"{id_}, {label}" if key else id_


def _calculator(id_: str, tables: Mapping[str, object]) -> str:
    items = tables.get("items")
    item = items.get(id_) if isinstance(items, Mapping) else None
    found = item.get("calculator") if isinstance(item, Mapping) else None
    return found if isinstance(found, str) and found in CALCULATORS else ""


def _label(calculator: str, key: str) -> str:
    """What an input is called on the page."""
    spec = registry.load(calculator).inputs.specs().get(key) if calculator else None
    return spec.label if spec is not None else LABELS.get(key, key.replace("_", " "))


# ---- the recipe folder ----

# ---- the recipe folder ----

BATCHES, TASTINGS, LADDERS = "batches", "tastings", "ladders"
MOST_FILES, MOST_FOLDERS, DEEPEST = 500, 500, 4
LONGEST_NAME = 100
BETWEEN = ":"  # between a folder and what is in it, in a name
READ_ONLY = (
    "Nothing is saved: the page was started to read only. Start it again with --write to save."
)
_OURS = (BATCHES, TASTINGS, LADDERS, KEPT, HISTORY)  # folders that hold no recipes of the list
_NAME = re.compile(r"[^\W_][\w .,'()+-]*")
_LOOKS = re.compile(r"^\s*(\[items\.|\[\[serve\]\]|serves\s*=)", re.MULTILINE)

Tables = Mapping[str, Mapping[str, object]]


class ReadOnly(FileProblem):
    """Something was to be saved, and the page was started to read only."""

    code = "read-only"


@dataclass(frozen=True)
class Entry:
    """A recipe as the list shows it; `problem` where it cannot be read."""

    name: str
    title: str
    serves: int | None
    variants: tuple[str, ...]
    problem: str = ""
    house: str = ""  # the house file that it names itself


@dataclass(frozen=True)
class Unlisted:
    """A file that the page cannot show, and why."""

    file: str
    why: str


class RecipeFolder:
    """The recipes below a folder; nothing outside it is read, nothing written without `write`."""

    def __init__(self, folder: Path, house: Path | None = None, write: bool = False) -> None:
        self.folder, self.house, self.write = folder, house, write
        self._known: dict[Path, tuple[tuple[int, int], Entry | None]] = {}
        self._lock = Lock()

    # recipes

    def entries(self) -> list[Entry]:
        """Every recipe by name; FileProblem where the folder cannot be read."""
        found = [self._entry(name, path) for name, path in self._files()]
        return [entry for entry in found if entry is not None]

    def unreadable(self) -> list[Unlisted]:
        """The TOML files that the list leaves out, each with why; hidden files aside."""
        found: list[Unlisted] = []
        listed = {path for _, path in self._files() if path.is_file()}
        for number, (where, folders, files_) in enumerate(os.walk(self.folder), 1):
            inside = Path(where).relative_to(self.folder)
            folders[:] = sorted(
                folder for folder in folders if folder not in _OURS and folder[:1] != "."
            )
            odd = [
                *inside.parts[DEEPEST - 1 :],
                *(part for part in inside.parts if not named(part)),
            ]
            for file in sorted(
                (*files_, *(folder for folder in folders if folder.endswith(".toml")))
            ):
                path = self.folder / inside / file
                if file.endswith(".toml") and file[:1] != "." and path not in listed:
                    found.append(Unlisted(one_line(str(inside / file)), _left_out(path, odd)))
            if len(found) >= MOST_FILES or number > MOST_FOLDERS:
                break
        return [unlisted for unlisted in found if unlisted.why]

    def path(self, name: str) -> Path:
        """The file of a recipe, as the command line would name it; FileProblem for another name."""
        path = self._listed(name)
        if path is not None and self._entry(name, path) is not None:
            return path
        raise FileProblem(f'There is no recipe "{name[:60]}" in this folder.')

    def entry(self, name: str) -> Entry:
        """A recipe as it is listed; FileProblem where it is not."""
        found = next((entry for entry in self.entries() if entry.name == name), None)
        if found is None:
            raise FileProblem(f'There is no recipe "{name[:60]}" in this folder.')
        return found

    def house_of(self, name: str) -> Path | None:
        """The folder of the house, for a recipe that has no house file of its own beside it."""
        path = self.path(name)
        entry = self._entry(name, path)
        own = below(path.parent, entry.house) if entry is not None and entry.house else None
        return None if own is not None and os.path.isfile(own) else self.house

    def text(self, name: str) -> str:
        """What a recipe's file holds."""
        return read_text(self.path(name))

    def check(self, name: str, text: str) -> Checked:
        """What is wrong with a text that is to be a recipe's file."""
        return check_text(text, str(self.path(name)), house=self.house_of(name))

    def save(self, name: str, text: str, seen: str, note: str = "") -> Checked:
        """Save a recipe's text where nothing is wrong with it; what is wrong otherwise.

        `seen` is the version that was opened, `note` says why. Raises ReadOnly, FileChanged,
        BadInput, FileProblem.
        """
        self.may_write()
        found = self.check(name, text)
        if not found.problems:
            save(self.path(name).resolve(), text, seen, note)
        return found

    def kept(self, name: str) -> list[ReplacedVersion]:
        """Texts that pages before 2.1 put aside when they saved, the latest first."""
        return kept(self.path(name).resolve())

    def kept_text(self, name: str, version: str) -> str:
        """The text of a version that was kept."""
        return kept_text(self.path(name).resolve(), version, "recipe")

    def problems(self, found: Checked) -> list[tuple[str, Problem]]:
        """What was found wrong, each with its file, without the folder of the page."""
        return [(self.shown(p.file), replace(p, text=self.plain(p.text))) for p in found.problems]

    def plain(self, sentence: str) -> str:
        """A sentence without the folder that the page was started with."""
        return sentence.replace(f"{self.folder}{os.sep}", "")

    def shown(self, file: str) -> str:
        """A file's name without the folder that the page was started with."""
        try:
            return str(Path(file).relative_to(self.folder))
        except ValueError:
            return Path(file).name

    def _listed(self, name: str) -> Path | None:
        """The file of a name, each part of which is among the names that its folder has."""
        *folders, stem = name.split(BETWEEN)
        if len(folders) >= DEEPEST or not all(map(named, (*folders, stem))):
            return None
        here = self.folder
        for part in folders:
            if part in _OURS or part not in _names(here, folders=True):
                return None
            here /= part
        file = f"{stem}.toml"
        inside = str(Path(*folders, file))
        if file not in _names(here, folders=False) or below(self.folder, inside) is None:
            return None
        return here / file

    def _files(self) -> Iterator[tuple[str, Path]]:
        """The TOML files below the folder whose names can stand in an address."""
        if not self.folder.is_dir():
            raise FileProblem("The folder of recipes cannot be read.")
        count = 0
        for number, (where, folders, files_) in enumerate(os.walk(self.folder), 1):
            if number > MOST_FOLDERS:
                return
            inside = Path(where).relative_to(self.folder)
            depth = len(inside.parts)
            folders[:] = sorted(
                folder
                for folder in folders
                if folder not in _OURS and named(folder) and depth + 1 < DEEPEST
            )
            for file in sorted(files_):
                stem, dot, ending = file.rpartition(".")
                if not dot or ending != "toml" or not named(stem):
                    continue
                if below(self.folder, str(inside / file)) is None:  # a link to elsewhere
                    continue
                count += 1
                if count > MOST_FILES:
                    return
                yield BETWEEN.join((*inside.parts, stem)), self.folder / inside / file

    def _entry(self, name: str, path: Path) -> Entry | None:
        """A file as a recipe of the list; None where it is none."""
        try:
            state = path.stat()
        except OSError:
            return None
        if not stat.S_ISREG(state.st_mode):
            return None
        stamp = (state.st_mtime_ns, state.st_size)
        with self._lock:
            known = self._known.get(path)
        if known is not None and known[0] == stamp:
            return known[1]
        entry = _read(name, path)
        with self._lock:
            self._known[path] = (stamp, entry)
        return entry

    def may_write(self) -> None:
        """Raise ReadOnly where the page was started to read only."""
        if not self.write:
            raise ReadOnly(READ_ONLY)


def _names(folder: Path, *, folders: bool) -> set[str]:
    """The names of the files of a folder, or of the folders in it that are no links."""
    try:
        with os.scandir(folder) as found:
            return {entry.name for entry in found if entry.is_dir(follow_symlinks=False) == folders}
    except OSError:
        return set()


def _left_out(path: Path, odd: list[str]) -> str:
    """Why a file is not in the list; "" where it is no file of recipes at all."""
    try:
        kind = path.lstat().st_mode
        ours = stat.S_ISREG(kind) and _read(path.stem, path) is None
    except OSError as error:
        return f"It cannot be read: {error.strerror}."
    if stat.S_ISLNK(kind):
        return "It is a link to another place, and nothing there is read."
    if not stat.S_ISREG(kind):
        return "It is no file of text."
    if ours:
        return ""  # a house file, prices, readings
    if odd:
        return "Its folder is too deep, or has a name that this page does not take."
    if not named(path.stem):
        return (
            "Its name has a sign that this page does not take, or is too long. Give the file a "
            "name of letters, digits, spaces and . , ' ( ) + - only."
        )
    return f"The page lists {MOST_FILES} recipes at most."


def named(name: str) -> bool:
    """Whether a name can stand in an address of the page."""
    return len(name) <= LONGEST_NAME and _NAME.fullmatch(name) is not None


def _read(name: str, path: Path) -> Entry | None:
    """A file as the list shows it; None where it is no recipe."""
    try:
        text = read_text(path)
    except PrepkitError as error:
        return Entry(name, name, None, (), _sentence(error, path))
    try:
        said = tables_of(text, str(path))
    except Wrong as error:
        return Entry(name, name, None, (), error.sentence) if _LOOKS.search(text) else None
    if not {"items", "serve", "serves", "recipe", "site"} & set(said) or "per_100_g" in said:
        return None
    title, serves, variants = said.get("title"), said.get("serves"), said.get("variant")
    house = said.get("house")
    house = house.get("file") if isinstance(house, dict) else house
    return Entry(
        name,
        " ".join(title.split())[:200] if isinstance(title, str) and title.strip() else name,
        serves if isinstance(serves, int) and not isinstance(serves, bool) else None,
        tuple(variants) if isinstance(variants, dict) else (),
        house=house if isinstance(house, str) else "",
    )


def _sentence(error: PrepkitError, path: Path) -> str:
    said = error.sentence if isinstance(error, Wrong) else error.message.removeprefix(str(path))
    return said.strip()


def toml_of(tables: Tables) -> str:
    """Tables of plain values as TOML.

    >>> print(toml_of({"my-mix": {"mass": "640 g", "atc": True}}), end="")
    [my-mix]
    mass = "640 g"
    atc = true
    """
    blocks = []
    for id_, table in tables.items():
        lines = [f"{key_words(name)} = {value_words(value)}" for name, value in table.items()]
        blocks.append("\n".join([f"[{key_words(id_)}]", *lines]) + "\n")
    return "\n".join(blocks)


# ---- a new file in the folder of recipes ----

LONGEST = 60  # of a file's name


def file_name(words: str) -> str:
    """The file's name for a recipe of that name.

    >>> file_name("Night Tide, No. 2"), file_name("Crème")
    ('night-tide-no-2', 'creme')
    """
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall(r"[a-z0-9]+", plain))[:LONGEST].strip("-")


def free(book: RecipeFolder, beside: str | None, said: str) -> tuple[str, Path]:
    """The name and the file that a recipe could have; BadInput where it cannot be had.

    `beside`: the name of the recipe whose folder it goes to; None for the folder of the page.
    """
    stem = file_name(said)
    if not stem or not named(stem):
        raise BadInput(f'"{said[:40]}" makes no name of a file; write letters or digits.', "file")
    folders = beside.split(BETWEEN)[:-1] if beside else []
    folder = book.path(beside).parent if beside else book.folder
    path = folder / f"{stem}.toml"
    if stem in (BATCHES, KEPT, history.FOLDER) or _taken(path):
        raise BadInput(f'"{stem}" is there already; write another name.', "file")
    return BETWEEN.join((*folders, stem)), path


def _taken(path: Path) -> bool:
    """Whether a file, or what is kept of one, has the name, in large or small letters."""
    stem = path.stem.casefold()
    with suppress(OSError):
        if any(Path(text).stem.casefold() == stem for text in os.listdir(path.parent)):
            return True
    return os.path.lexists(path) or os.path.lexists(history.folder_of(path))


def check(book: RecipeFolder, path: Path, text: str) -> Checked:
    """What is wrong with a text that is to be a new file."""
    return check_text(text, str(path), house=book.house)


def create(book: RecipeFolder, path: Path, text: str, note: str) -> None:
    """Write a new recipe and keep it as its first version. Raises ReadOnly, FileProblem."""
    book.may_write()
    note = tidy_note(note)
    with one_writer(path.parent):
        _write_new(path, text)
        with suppress(PrepkitError):
            history.keep(path, note=note)


def _write_new(path: Path, text: str) -> None:
    try:
        files.write(path, text, over=False)
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


def copy(book: RecipeFolder, name: str, title: str, said: str) -> str:
    """A copy of a recipe under another name; its name."""
    book.may_write()
    new, path = free(book, name, said or title)
    create(book, path, titled(book.text(name), title), f"copied from {name}")
    return new


def rename(book: RecipeFolder, name: str, title: str, said: str, seen: str) -> str:
    """Give a recipe another name, and its file where `said` asks for it; the name it has then.

    Raises FileChanged where another has saved meanwhile, BadInput, FileProblem.
    """
    book.may_write()
    old = book.path(name)
    if old.is_symlink():
        raise FileProblem("This recipe is a link to another one; give that one another name.")
    text = titled(book.text(name), title)
    if not said.strip() or said.strip() == old.stem:
        save(old, text, seen, f"called {title} from now on")
        return name
    new, path = free(book, name, said)
    with one_writer(old.parent):
        if seen != version_of(text_of(old, "recipe")):
            raise FileChanged(MEANWHILE)
        keep_present(old)
        _write_new(path, text)
        moved: list[tuple[Path, Path]] = []
        try:
            for file, other in _belonging(old, path):
                if os.path.lexists(other):
                    raise FileExistsError(17, f"{other.name} is there already")
                file.rename(other)
                moved.append((file, other))
            old.unlink()
        except OSError as error:
            for file, other in reversed(moved):
                with suppress(OSError):
                    other.rename(file)
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
    for folder in (beside / KEPT, beside / BATCHES, beside / BATCHES / KEPT):
        if folder.is_dir() and not folder.is_symlink():
            for file in sorted(os.listdir(folder)):
                match = dated.fullmatch(file)
                if match:
                    yield folder / file, folder / f"{new.stem}{match[1]}"


# ---- what a form has made, saved ----

NEW = "new"  # the version of a file that is not there yet


class Saved(NamedTuple):
    """How a form was saved: under which name, or the problems, and the version to go on from.

    `status` is that of the answer: 303 where it was written, else 409, 403 or 422.
    """

    name: str | None
    problems: tuple[str, ...]
    seen: str
    status: int


def checked(book: RecipeFolder, name: str | None, title: str, kind: str, made: str) -> Checked:
    """What is wrong with the text of a form, which makes a new file where `name` is None."""
    if name is not None:
        return book.check(name, made)
    return check(book, book.folder / f"{file_name(title) or f'new-{kind}'}.toml", made)


def keep(
    book: RecipeFolder, name: str | None, title: str, kind: str, made: str, seen: str, note: str
) -> Saved:
    """Write what a form has made; what stands in the way is told, and nothing typed is lost.

    kind: "recipe" or "menu". seen: the version that the form was opened on.
    """
    try:
        if name is None:
            name, path = free(book, None, title)
            create(book, path, made, note or "written on the page")
        else:
            book.save(name, made, seen, note)
    except FileChanged:
        now = book.text(name or "")
        told = (
            f"Another has saved this {kind} since it was opened here, and nothing was written. If "
            "you save now, this form replaces that, and these lines change:",
            *in_words(now, made, book.path(name or "")),
        )
        return Saved(name, told, version_of(now), 409)
    except ReadOnly as error:
        return Saved(name, (error.message,), seen, 403)
    except (BadInput, FileProblem) as error:
        there = None if seen == NEW else name
        return Saved(there, (book.plain(error.message),), seen, 422)
    return Saved(name, (), seen, 303)
