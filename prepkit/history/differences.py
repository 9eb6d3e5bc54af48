"""What changed between two texts of a recipe: in words, key by key, and in figures, as planned.

between(old, new, file)  ->  Differences(words, figures, problems)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from prepkit import derived
from prepkit.errors import PrepkitError, by_key
from prepkit.file_values import shown
from prepkit.mixture import Mixture
from prepkit.plan.files import tables_of
from prepkit.plan.item_sheet import READINGS
from prepkit.plan.made import Planned
from prepkit.plan.plan import make_plan
from prepkit.plan.recipe import read_recipe

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


class Figure(NamedTuple):
    """One figure that changed, of an item or a serve; None where it has no such figure."""

    of: str
    name: str
    unit: str
    digits: int
    before: float | None
    after: float | None

    def text(self) -> str:
        """As one line.

        >>> Figure("cordial", "acidity", "%", 2, 0.551, 0.623).text()
        'cordial: acidity 0.55 -> 0.62 %'
        >>> Figure("cordial", "pH", "", 2, None, 3.1).text()
        'cordial: pH none -> 3.10'
        """
        old, new = (
            "none" if one is None else f"{one:.{self.digits}f}" for one in (self.before, self.after)
        )
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.of}: {self.name} {old} -> {new}{unit}"


class Differences(NamedTuple):
    """What changed, and why figures are missing where a version cannot be planned."""

    words: tuple[Word, ...]
    figures: tuple[Figure, ...]
    problems: tuple[str, ...] = ()

    def lines(self) -> list[str]:
        """As lines of text; one that says so where nothing changed."""
        found = [one.text() for one in self.words] + [one.text() for one in self.figures]
        if not self.words:
            found.insert(0, "the same, apart from comments and layout")
        return [*found, *self.problems]

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {
            "words": [one._asdict() for one in self.words],
            "figures": [one._asdict() for one in self.figures],
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
    planned: list[dict[tuple[str, str], Figure]] = []
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
        yield where, tuple(_plain(one) for one in value)
    else:
        yield where, (_plain(value),)


def _word(where: str, old: tuple[str, ...] | None, new: tuple[str, ...] | None) -> Word:
    """A key that changed; of two lists only what is not in both, unless it is the order."""
    if old is not None and new is not None:
        gone, come = (
            tuple(one for one in here if one not in there)
            for here, there in ((old, new), (new, old))
        )
        if gone or come:
            return Word(where, ", ".join(gone) or None, ", ".join(come) or None)
    return Word(
        where, *(None if one is None else ", ".join(one) or "nothing" for one in (old, new))
    )


def _plain(value: object) -> str:
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


def _figures(plan: Planned) -> Iterator[tuple[tuple[str, str], Figure]]:
    for made in plan.made:
        if made.product is not None and made.go:
            yield from _of(made.item.id, made.product, made=True)
    for portion in plan.portions:
        if not portion.held_by and portion.verdict != "stop":
            yield from _of(f'serve "{portion.serve.name}"', portion.mixture, made=False)


def _of(of: str, mixture: Mixture, *, made: bool) -> Iterator[tuple[tuple[str, str], Figure]]:
    mass = "made" if made else "one weighs"
    yield (of, mass), Figure(of, mass, "g", 0, None, 1000 * mixture.mass_kg)
    values, _ = derived.of(mixture, *READINGS)
    for name, (_, unit, digits) in READINGS.items():
        value = values[name]
        if value is not None:
            called = _CALLED[name]
            yield (of, called), Figure(of, called, _UNITS.get(unit, unit), digits, None, value)


def _changed(
    old: Mapping[tuple[str, str], Figure], new: Mapping[tuple[str, str], Figure]
) -> Iterator[Figure]:
    for key in dict.fromkeys([*old, *new]):
        one = (new.get(key) or old[key])._replace(
            before=old[key].after if key in old else None,
            after=new[key].after if key in new else None,
        )
        ends = [None if at is None else round(at, one.digits) for at in (one.before, one.after)]
        if ends[0] != ends[1]:
            yield one
