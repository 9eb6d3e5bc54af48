"""The versions of a recipe: kept, compared, back to any of them; prepkit history.

A version lies in a folder beside the recipe.

    history/warm-brasswick/0007.toml

Each file is the recipe as it was, below a head of comment lines with number, time, initials, note,
tasting and a check sum; so it can be read, copied and planned without this program. A version is
never edited. Going back writes the old text as a new version, so that nothing is lost by it.

    keep(path, note="less sour", who="AB")       listed(path)       text_of(path, 3)
    back_to(path, 3, who="AB")                    seen(path)         MOST_NOTE, MOST_WHO

between(old, new, file)  ->  Differences(words, figures, problems)
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tomllib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

import click

from prepkit import derived, files
from prepkit.cli import Command, FileName, house_option
from prepkit.errors import BadInput, FileProblem, PrepkitError, by_key, named, one_line
from prepkit.files import shown
from prepkit.mixture import Mixture
from prepkit.plan.files import MOST_BYTES, read_text, tables_of
from prepkit.plan.filling import Planned
from prepkit.plan.plan import make_plan, read_recipe
from prepkit.plan.sheet import READINGS
from prepkit.stdout import put_exact, put_text

# ---- the store of a recipe's versions ----

FOLDER = "history"  # beside the recipe
MOST_VERSIONS = 9999
MOST_NOTE, MOST_WHO = 300, 6  # letters
_FILE = re.compile(r"(\d{4})\.toml")
_INITIALS = re.compile(r"[^\W\d_](?:[.\- ]?[^\W_]){0,5}\.?")
_HEAD = "# prepkit history 1"
_END = "# ---"
_TRIES = 50  # of two who keep a version at the same moment


class Version(NamedTuple):
    """One version: its number, when it was kept, by whom, why, and how it tasted."""

    number: int
    at: datetime  # UTC
    who: str = ""
    note: str = ""
    tasting: str = ""
    sum: str = ""  # of its text

    def to_dict(self) -> dict[str, str | int]:
        """The JSON form."""
        return {
            "number": self.number, "at": self.at.isoformat(), "who": self.who, "note": self.note,
            "tasting": self.tasting, "sum": self.sum,
        }  # fmt: skip


class KeptVersion(NamedTuple):
    """The version that a recipe's file now is, and whether it is a new one."""

    version: Version
    new: bool


def listed(path: Path) -> list[Version]:
    """The versions of a recipe's file, oldest first; none where none was kept.

    Raises FileProblem where one is damaged.
    """
    return [_read(path, number)[0] for number in _numbers(path)]


def text_of(path: Path, number: int) -> str:
    """The text of a version; FileProblem where there is none of that number, or it is damaged."""
    numbers = _numbers(path)
    if number not in numbers:
        have = f"it has 1 to {numbers[-1]}" if numbers else "none was kept yet"
        raise FileProblem(f"{path.name} has no version {number}; {have}.")
    return _read(path, number)[1]


def seen(path: Path) -> Version | None:
    """The latest version whose text the recipe's file has now; None where it was changed since."""
    now = sum_of(read_text(path))
    last = listed(path)[-1:]
    return last[0] if last and last[0].sum == now else None


def keep(path: Path, *, note: str = "", who: str = "", tasting: str = "") -> KeptVersion:
    """Keep what a recipe's file holds as a new version.

    A text that is the latest version already is kept again only where something is said of it (a
    note, a tasting). `who`: initials. Raises BadInput for words that cannot be kept, FileProblem
    where the file cannot be read or the version cannot be written.
    """
    said = {"note": _line("note", note, MOST_NOTE), "tasting": _line("tasting", tasting, MOST_NOTE)}
    who = _initials(who)
    text = read_text(path)
    last = listed(path)[-1:]
    if last and last[0].sum == sum_of(text) and not any(said.values()):
        return KeptVersion(last[0], False)
    return KeptVersion(_add(path, text, who, **said), True)


def back_to(path: Path, number: int, *, who: str = "", note: str = "") -> Version:
    """Make a recipe's file what a version was, as a new version.

    What the file holds and no version has is kept first. Raises FileProblem, BadInput.
    """
    who = _initials(who)
    note = _line("note", note, MOST_NOTE) or f"back to version {number}"
    text = text_of(path, number)
    if seen(path) is None:
        _add(path, read_text(path), who, note=f"as it was before going back to version {number}")
    try:
        files.write(path, text, over=True)
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error
    return _add(path, text, who, note=note)


def sum_of(text: str) -> str:
    """The check sum of a text.

    >>> sum_of("a") == sum_of("a"), sum_of("a") == sum_of("b"), len(sum_of(""))
    (True, False, 32)
    """
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:32]


def folder_of(path: Path) -> Path:
    """The folder of a recipe's versions."""
    return path.parent / FOLDER / path.stem


# one file


def _numbers(path: Path) -> list[int]:
    try:
        found = [
            int(matched[1])
            for entry in os.scandir(folder_of(path))
            if (matched := _FILE.fullmatch(entry.name)) and entry.is_file(follow_symlinks=False)
        ]
    except FileNotFoundError:
        return []
    except OSError as error:
        why = error.strerror or error
        raise FileProblem(f"the versions of {path.name} cannot be read: {why}.") from error
    return sorted(found)


def _name(path: Path, number: int) -> Path:
    return folder_of(path) / f"{number:04}.toml"


def _read(path: Path, number: int) -> tuple[Version, str]:
    file = _name(path, number)
    head, text = _parted(_whole_text(file))
    try:
        said = tomllib.loads(head)
        version = Version(
            int(said["number"]), datetime.fromisoformat(said["at"]), str(said["who"]),
            str(said["note"]), str(said["tasting"]), str(said["sum"]),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError) as error:
        raise _damaged(file) from error
    if version.number != number or version.sum != sum_of(text) or version.at.tzinfo is None:
        raise _damaged(file)
    return version, text


def _whole_text(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            return opened.read(2 * MOST_BYTES).decode("utf-8")
    except UnicodeDecodeError as error:
        raise _damaged(file) from error
    except OSError as error:
        raise FileProblem(f"{file} cannot be read: {error.strerror or error}.") from error


def _parted(whole: str) -> tuple[str, str]:
    """The head of a version's file as TOML, and the recipe below it."""
    head, end, text = whole.partition(f"\n{_END}\n")
    lines = head.splitlines()
    if not end or not lines or lines[0] != _HEAD:
        return "", ""
    return "\n".join(line.removeprefix("# ") for line in lines[1:]), text


def _damaged(file: Path) -> FileProblem:
    return FileProblem(
        f"{file} is damaged or was edited: a version is written once. Move it out of the folder; "
        f"the other versions are whole."
    )


def _add(path: Path, text: str, who: str, *, note: str = "", tasting: str = "") -> Version:
    folder = folder_of(path)
    at = datetime.now(UTC).replace(microsecond=0)
    try:
        for file in (folder.parent, folder):
            file.mkdir(exist_ok=True)
            _plain(file)
        for number in _free(path):
            version = Version(number, at, who, note, tasting, sum_of(text))
            try:
                files.write(_name(path, number), _file_of(version, text), over=False)
            except FileExistsError:
                continue
            return version
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error
    raise FileProblem(
        f"{path.name} has {MOST_VERSIONS} versions already; move its folder {folder} away to begin "
        f"a new one."
    )


def _plain(folder: Path) -> None:
    if folder.is_symlink():
        raise OSError(f"the folder {folder.name} is a link to another place")


def _free(path: Path) -> Iterator[int]:
    first = (_numbers(path)[-1:] or [0])[0] + 1
    yield from range(first, min(first + _TRIES, MOST_VERSIONS + 1))


def _file_of(version: Version, text: str) -> str:
    said = version.to_dict()
    head = [f"# {key} = {json.dumps(value, ensure_ascii=False)}" for key, value in said.items()]
    return "\n".join([_HEAD, *head, _END, text])


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"a version of {path.name} cannot be written: {why}.")


# what may be said


def _line(name: str, words: str, most: int) -> str:
    words = words.strip()
    if words != one_line(words):
        raise BadInput(f"{named(name)} has line breaks or signs; write it on one line.", name)
    if len(words) > most:
        raise BadInput(f"{named(name)} has {len(words)} letters; write at most {most}.", name)
    return words


def _initials(who: str) -> str:
    who = who.strip()
    if who and (len(who) > MOST_WHO or not _INITIALS.fullmatch(who)):
        raise BadInput(
            f'{named("who")} is "{one_line(who)[:40]}"; write initials of at most {MOST_WHO} '
            f"letters, such as {named('who', 'AB')}.",
            "who",
        )
    return who


# ---- what changed between two texts of a recipe ----

# how a figure is called in a line of differences; what READINGS adds to it is on the sheet
_CALLED: dict[derived.Name, str] = {
    "refractometer": "refractometer", "dissolved_solids": "dissolved solids",
    "acidity": "acidity", "abv": "strength", "density": "density", "ph": "pH",
}  # fmt: skip
_UNITS = {"% w/w": "%"}
_MOST_LETTERS = 60  # of one value in words
_LEAD = 12  # of them before the first that differs, at least


class Word(NamedTuple):
    """One key that changed, with its place; None where it is not in the one or the other."""

    where: str
    before: str | None
    after: str | None

    def text(self) -> str:
        """As one line.

        >>> Word("items.oleo.sugar", "200 g", "220 g").text()
        'items.oleo.sugar: 200 g -> 220 g'
        >>> Word("items.foam", None, "foam").text(), Word("note", "stir", None).text()
        ('items.foam: added, foam', 'note: taken out, stir')
        """
        if self.before is None:
            return f"{self.where}: added, {_short(self.after or '')}"
        if self.after is None:
            return f"{self.where}: taken out, {_short(self.before)}"
        return f"{self.where}: {' -> '.join(_beside(self.before, self.after))}"


class FigureChange(NamedTuple):
    """One figure that changed, of an item or a serve; None where it has no such figure."""

    of: str
    name: str
    unit: str
    digits: int
    before: float | None
    after: float | None

    def text(self) -> str:
        """As one line.

        >>> FigureChange("cordial", "acidity", "%", 2, 0.551, 0.623).text()
        'cordial: acidity 0.55 -> 0.62 %'
        >>> FigureChange("cordial", "pH", "", 2, None, 3.1).text()
        'cordial: pH none -> 3.10'
        """
        old, new = (
            "none" if value is None else f"{value:.{self.digits}f}"
            for value in (self.before, self.after)
        )
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.of}: {self.name} {old} -> {new}{unit}"


class Differences(NamedTuple):
    """What changed, and why figures are missing where a version cannot be planned."""

    words: tuple[Word, ...]
    figures: tuple[FigureChange, ...]
    problems: tuple[str, ...] = ()

    def lines(self) -> list[str]:
        """As lines of text; one that says so where nothing changed."""
        found = [word.text() for word in self.words] + [figure.text() for figure in self.figures]
        if not self.words:
            found.insert(0, "the same, apart from comments and layout")
        return [*found, *self.problems]

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {
            "words": [word._asdict() for word in self.words],
            "figures": [figure._asdict() for figure in self.figures],
            "problems": list(self.problems),
        }


def between(
    before: str,
    after: str,
    file: str | Path,
    *,
    house: str | Path | None = None,
    names: tuple[str, str] = ("the one before", "this one"),
) -> Differences:
    """What changed from one text of a recipe to another.

    `file` is the recipe's file, which its house is found from; `names` are what the two texts are
    called in a sentence. Raises BadRecipe for a text that TOML cannot read. Figures are
    those of the recipe's own number of serves; a text that cannot be planned gives a problem.
    """
    words = words_between(before, after, file)
    if not words:
        return Differences((), ())
    problems: list[str] = []
    planned: list[dict[tuple[str, str], FigureChange]] = []
    for text, name in zip((before, after), names, strict=True):
        try:
            plan = make_plan(read_recipe(text, str(file), house=house))
        except PrepkitError as error:
            problems.append(f"{name} cannot be planned: {by_key(error.wording)}")
        else:
            planned.append(dict(_figures(plan)))
    figures = tuple(_changed(*planned)) if len(planned) == 2 else ()
    return Differences(words, figures, tuple(problems))


# words


def words_between(before: str, after: str, file: str | Path) -> tuple[Word, ...]:
    """The keys that changed from one text of a recipe to another; nothing is planned.

    Raises BadRecipe for a text that TOML cannot read.
    """
    old, new = (dict(_flat("", tables_of(text, str(file)))) for text in (before, after))
    return tuple(
        _word(where, old.get(where), new.get(where))
        for where in dict.fromkeys([*old, *new])
        if old.get(where) != new.get(where)
    )


def _flat(where: str, value: object) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every key of nested tables with its values in words: one, or all of a list."""
    if isinstance(value, Mapping):
        for key, below in value.items():
            yield from _flat(f"{where}.{key}" if where else str(key), below)
    elif isinstance(value, list) and value and all(isinstance(one, Mapping) for one in value):
        for number, below in enumerate(value, 1):
            name = below.get("name")
            called = f'"{name}"' if isinstance(name, str) and name else str(number)
            yield from _flat(f"{where} {called}", below)
    elif isinstance(value, list):
        yield where, tuple(_differences_plain(one) for one in value)
    else:
        yield where, (_differences_plain(value),)


def _word(where: str, old: tuple[str, ...] | None, new: tuple[str, ...] | None) -> Word:
    """A key that changed; of two lists only what is not in both, unless it is the order."""
    if old is not None and new is not None:
        gone, come = (
            tuple(text for text in here if text not in there)
            for here, there in ((old, new), (new, old))
        )
        if gone or come:
            return Word(where, ", ".join(gone) or None, ", ".join(come) or None)
    return Word(
        where, *(None if entry is None else ", ".join(entry) or "nothing" for entry in (old, new))
    )


def _differences_plain(value: object) -> str:
    return " ".join(value.split()) if isinstance(value, str) else shown(value)


def _short(words: str) -> str:
    return words if len(words) <= _MOST_LETTERS else f"{words[: _MOST_LETTERS - 3]}..."


def _beside(before: str, after: str) -> tuple[str, str]:
    """Two long values from shortly before where they differ."""
    if max(len(before), len(after)) > _MOST_LETTERS:
        same = next(
            (place for place, pair in enumerate(zip(before, after, strict=False))
             if pair[0] != pair[1]),
            min(len(before), len(after)),
        )  # fmt: skip
        start = before.rfind(" ", 0, max(0, same - _LEAD)) + 1
        if start:
            before, after = f"...{before[start:]}", f"...{after[start:]}"
    return _short(before), _short(after)


# figures


def _figures(plan: Planned) -> Iterator[tuple[tuple[str, str], FigureChange]]:
    for made in plan.made:
        if made.product is not None and made.go:
            yield from _of(made.item.id, made.product, made=True)
    for portion in plan.portions:
        if not portion.held_by and portion.verdict != "stop":
            yield from _of(f'serve "{portion.serve.name}"', portion.mixture, made=False)


def _of(of: str, mixture: Mixture, *, made: bool) -> Iterator[tuple[tuple[str, str], FigureChange]]:
    mass = "made" if made else "one weighs"
    yield (of, mass), FigureChange(of, mass, "g", 0, None, 1000 * mixture.mass_kg)
    values, _ = derived.of(mixture, *READINGS)
    for name, (_, unit, digits) in READINGS.items():
        value = values[name]
        if value is not None:
            called = _CALLED[name]
            yield (
                (of, called),
                FigureChange(of, called, _UNITS.get(unit, unit), digits, None, value),
            )


def _changed(
    old: Mapping[tuple[str, str], FigureChange], new: Mapping[tuple[str, str], FigureChange]
) -> Iterator[FigureChange]:
    for key in dict.fromkeys([*old, *new]):
        one = (new.get(key) or old[key])._replace(
            before=old[key].after if key in old else None,
            after=new[key].after if key in new else None,
        )
        ends = [None if at is None else round(at, one.digits) for at in (one.before, one.after)]
        if ends[0] != ends[1]:
            yield one


# ---- prepkit history ----

_SHORT = "The versions of a recipe: keep one with a note, compare, go back."
_MOST = 3  # changes of a version that the list shows


@click.command(
    cls=Command,
    name="history",
    help=f"{_SHORT}\n\nEach version is a file of its own in the folder history beside the recipe, "
    "and is never edited. With a note the file is kept as a new version; without words the "
    "versions are listed, latest first.\n\n\b\nExamples:\n"
    '  prepkit history recipes/FILE.toml --note "more acid" --who AB\n'
    '  prepkit history recipes/FILE.toml --tasting "7 of 12 found it too sweet" --who AB\n'
    "  prepkit history recipes/FILE.toml\n"
    "  prepkit history recipes/FILE.toml --compare 2,5\n"
    "  prepkit history recipes/FILE.toml --text 2\n"
    "  prepkit history recipes/FILE.toml --back 2 --who AB",
    short_help=_SHORT,
)
@click.argument("file", required=False, type=FileName())
@click.option("--note", metavar="WORDS", help="Keep the file as a new version: what changed, why.")
@click.option("--tasting", metavar="WORDS", help="Keep it with what a tasting found.")
@click.option("--who", metavar="INITIALS", help="Who says so, such as AB.")
@click.option(
    "--compare",
    metavar="N[,N]",
    help="Changes from one version to another, or to the file as it is now.",
)
@click.option("--text", metavar="N", help="Print the text of a version.")
@click.option("--back", metavar="N", help="Make the file what this version was.")
@click.option("--json", "as_json", is_flag=True, help="Print versions or changes as JSON.")
def command(
    file: str | None,
    note: str | None,
    tasting: str | None,
    who: str | None,
    compare: str | None,
    text: str | None,
    back: str | None,
    as_json: bool,
    house: str | None,
) -> None:
    """Keep, list, compare, print or go back."""

    path = _path(file)
    words = [name for name, said in (("note", note), ("tasting", tasting)) if said is not None]
    asked = [*words[:1], *(n for n, v in (("compare", compare), ("text", text)) if v is not None)]
    asked += ["back"] if back is not None and "note" not in words else []
    if len(asked) > 1:
        raise BadInput(
            f"{named(asked[0])} does not go with {named(asked[1])}; give one of them.", asked[1]
        )
    if who is not None and not words and back is None:
        raise BadInput(
            f"{named('who')} goes with {named('note')}, {named('tasting')} or {named('back')}; "
            f"add one of them.",
            "who",
        )
    if text is not None:
        put_exact(text_of(path, _number("text", text)))
    elif compare is not None:
        _put_differences(path, compare, house, as_json)
    elif back is not None:
        version = back_to(path, _number("back", back), who=who or "", note=note or "")
        _put_version(path, version, f"{path.name} is what version {back.strip()} was", as_json)
    elif words:
        kept = keep(path, note=note or "", tasting=tasting or "", who=who or "")
        _put_version(path, kept.version, f"{path.name} is kept", as_json)
    else:
        _put_list(path, as_json)


command.params.insert(-1, house_option("Folder of the house file [the folder of the recipe]."))


def _path(file: str | None) -> Path:
    if not file:
        raise BadInput(
            "no recipe file is named; write for example prepkit history my-recipe.toml.", "file"
        )
    path = Path(file)
    if not path.is_file():
        raise FileProblem(f"{file} is no file that can be read; name a recipe file.")
    return path


def _number(option: str, said: str) -> int:
    from prepkit import numbers

    number = numbers.whole(said, 1, MOST_VERSIONS)
    if number is None:
        raise BadInput(
            f'{named(option)} is "{said[:40]}"; write the number of a version, such as '
            f"{named(option, '2')}.",
            option,
        )
    return number


def _put_version(path: Path, version: Version, what: str, as_json: bool) -> None:
    if as_json:
        _put_json({"file": str(path), "version": version.to_dict()})
    else:
        put_text(f"{what}: version {version.number}.\n")


def _put_json(said: object) -> None:
    import json

    put_exact(json.dumps(said, indent=2, ensure_ascii=False) + "\n")


# the list


def _put_list(path: Path, as_json: bool) -> None:

    found, now = listed(path), seen(path)
    if as_json:
        _put_json(
            {
                "file": str(path),
                "now": now.number if now else None,
                "versions": [version.to_dict() for version in found],
            }
        )
        return
    if not found:
        put_text(
            f"{path.name}: no version was kept yet. Keep the first with a note: "
            f'prepkit history {path} --note "as first served"\n'
        )
        return
    count = "1 version" if len(found) == 1 else f"{len(found)} versions"
    state = f"the file is version {now.number}" if now else "the file was changed since the latest"
    out = [f"{path.name}: {count}; {state}."]
    texts = {version.number: text_of(path, version.number) for version in found}
    for place in range(len(found) - 1, -1, -1):
        one = found[place]
        out += ["", f"{one.number:>4}  {one.at.astimezone():%Y-%m-%d %H:%M}  {one.who}".rstrip()]
        out += [
            f"      {said}" for said in (one.note, one.tasting and f"Tasted: {one.tasting}") if said
        ]
        if place:
            before = found[place - 1].number
            out += [f"      {line}" for line in _few(path, texts[before], texts[one.number])]
    put_text("\n".join(out) + "\n")


def _few(path: Path, before: str, after: str) -> list[str]:
    """The first changes of a version in words."""

    found: tuple[Word, ...] = words_between(before, after, path)
    lines = [word.text() for word in found[:_MOST]]
    return lines + ([f"and {len(found) - _MOST} more"] if len(found) > _MOST else [])


# differences


def _put_differences(path: Path, said: str, house: str | None, as_json: bool) -> None:
    from prepkit.plan.files import read_text

    first, comma, second = said.partition(",")
    old = _number("compare", first)
    new = _number("compare", second) if comma else None
    names = f"version {old}", f"version {new}" if new else "the file as it is now"
    before = text_of(path, old)
    after = text_of(path, new) if new else read_text(path)
    found: Differences = between(before, after, path, house=house, names=names)
    if as_json:
        _put_json({"file": str(path), "from": old, "to": new, **found.to_dict()})
    else:
        put_text(
            f"{path.name}: from {names[0]} to {names[1]}\n  " + "\n  ".join(found.lines()) + "\n"
        )
