"""A recipe's versions as the page keeps, shows and brings them back; the store is `history`'s own.

The page saves under the lock of the folder: what the file holds is kept first, then the new text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from prepkit import registry, whole_files
from prepkit.errors import BadInput, FileProblem, PrepkitError, one_line
from prepkit.history import differences, versions
from prepkit.index import CALCULATORS
from prepkit.page import safe_files
from prepkit.plan.files import tables_of

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
    with safe_files.one_writer(path.parent):
        before = safe_files.text_of(path, "recipe")
        if seen != safe_files.version_of(before):
            raise safe_files.Changed(safe_files.MEANWHILE)
        if text == before:
            return
        keep_present(path)
        try:
            whole_files.write(path, text, over=True)
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise FileProblem(f"{path.name} cannot be written: {why}.") from error
        with suppress(PrepkitError):  # it is in the file; the next save keeps it then
            versions.keep(path, note=note)


def keep_present(path: Path) -> None:
    """Keep what a file holds where no version has it yet; FileProblem where it cannot be kept."""
    if path.exists() and versions.seen(path) is None:
        versions.keep(path, note=BEFORE)


def back(path: Path, number: int, seen: str) -> None:
    """Make a file what a version was. Raises Changed, FileProblem."""
    with safe_files.one_writer(path.parent):
        if seen != safe_files.version_of(safe_files.text_of(path, "recipe")):
            raise safe_files.Changed(safe_files.MEANWHILE)
        versions.back(path, number)


def before_last(path: Path) -> int | None:
    """The number of the version before the one that the file holds; None where there is none."""
    now = versions.seen(path)
    if now is None:
        last = versions.listed(path)[-1:]
        return last[0].number if last else None
    earlier = [one for one in versions.listed(path) if one.number < now.number]
    other = [one.number for one in earlier if one.sum != now.sum]
    return other[-1] if other else None


def shown(path: Path) -> list[Shown]:
    """The versions of a recipe, the latest first, each with what it changed."""
    every = versions.listed(path)[-MOST_SHOWN - 1 :]
    now = versions.seen(path)
    found: list[Shown] = []
    text_before: str | None = None
    for one in every:
        text = versions.text_of(path, one.number)
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
    if len(said) > versions.MOST_NOTE:
        raise BadInput(
            f"The note has {len(said)} characters; write at most {versions.MOST_NOTE}.", "note"
        )
    return said


def in_words(before: str, after: str, path: Path) -> Iterator[str]:
    """What changed from one text to another, in the words of the page."""
    try:
        changed = differences.words_between(before, after, path)
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
