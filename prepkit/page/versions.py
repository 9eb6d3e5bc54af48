"""Files written whole with the version before kept; a recipe's versions.

A version is a name of what a file holds. Who saves says which version was looked at; where another
has saved meanwhile nothing is written.

The page saves under the lock of the folder: what the file holds is kept first, then the new text.
"""

from __future__ import annotations

import hashlib
import os
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Lock

from prepkit import files, history, registry
from prepkit.errors import BadInput, FileProblem, PrepkitError, one_line
from prepkit.index import CALCULATORS
from prepkit.plan.files import read_text, tables_of

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


def save_file(path: Path, text: str, seen: str, kind: str) -> None:
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
            files.write(path, text, over=True)
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
class Shown:
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

    `seen` is the version that was looked at. Raises Changed, FileProblem, BadInput for a note; the
    file then holds what it held.
    """
    note = tidy_note(note) or CHANGED
    with one_writer(path.parent):
        before = text_of(path, "recipe")
        if seen != version_of(before):
            raise Changed(MEANWHILE)
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
    """Make a file what a version was. Raises Changed, FileProblem."""
    with one_writer(path.parent):
        if seen != version_of(text_of(path, "recipe")):
            raise Changed(MEANWHILE)
        history.back(path, number)


def before_last(path: Path) -> int | None:
    """The number of the version before the one that the file holds; None where there is none."""
    now = history.seen(path)
    if now is None:
        last = history.listed(path)[-1:]
        return last[0].number if last else None
    earlier = [one for one in history.listed(path) if one.number < now.number]
    other = [one.number for one in earlier if one.sum != now.sum]
    return other[-1] if other else None


def shown(path: Path) -> list[Shown]:
    """The versions of a recipe, the latest first, each with what it changed."""
    every = history.listed(path)[-MOST_SHOWN - 1 :]
    now = history.seen(path)
    found: list[Shown] = []
    text_before: str | None = None
    for one in every:
        text = history.text_of(path, one.number)
        lines = () if text_before is None else tuple(in_words(text_before, text, path))
        found.append(
            Shown(
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
    for one in changed:
        place = _place(one.where, tables, old)
        if one.before is None:
            yield f"{place}: added {one.after}"
        elif one.after is None:
            yield f"{place}: taken out {one.before}"
        else:
            yield f"{place}: {one.before} → {one.after}"


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
