"""A label as text for a terminal, and the lines that every form of it shows."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from prepkit.first_screen import number
from prepkit.label import LISTS, Content, Label, NoLabel
from prepkit.render.amounts import UNITS, amount
from prepkit.render.plan_text import NO_ALLERGENS, shown_value
from prepkit.render.prose import in_units
from prepkit.shared.use_by import is_habit
from prepkit.units import shown_in
from prepkit.width import columns

_MOST = 64
_HEAD = 11
COLD_C = 5.0  # [FOOD-CODE-TIME]
Pieces = Sequence[tuple[str, bool]]  # words, and whether they are to be emphasised


def opened_words(days: int) -> str:
    """The instruction for what is opened.

    >>> opened_words(3), opened_words(0)
    ('day of opening + 3', 'day of opening')
    """
    return f"day of opening + {days}" if days else "day of opening"


def pieces(content: Content) -> Pieces:
    """An ingredient in words, its allergens emphasised: within its name, or after it.

    >>> pieces(Content("whole milk", 10.0, ("milk",)))
    [('whole ', False), ('MILK', True)]
    >>> pieces(Content("orgeat", 10.0, ("almond",)))
    [('orgeat', False), (' (', False), ('ALMOND', True), (')', False)]
    """
    found: list[tuple[str, bool]] = []
    left = list(content.allergens)
    name = content.name
    for word in content.allergens:
        at = name.lower().find(word.lower())
        if at >= 0 and not found:
            end = at + len(word)
            found = [(name[:at], False), (name[at:end].upper(), True), (name[end:], False)]
            left.remove(word)
    found = found or [(name, False)]
    if left:
        found.append((" (", False))
        for place, word in enumerate(left):
            found += [(", ", False)] if place else []
            found.append((word.upper(), True))
        found.append((")", False))
    if content.strained:
        found.append((" (strained off)", False))
    return [one for one in found if one[0]]


def contents(label: Label) -> list[Pieces]:
    """The contents, the heaviest first, with what is emphasised among them."""
    if label.jurisdiction == "eu":
        return [pieces(one) for one in label.contents]
    return [pieces(Content(one.name, one.g, (), one.strained)) for one in label.contents]


def head(label: Label, system: str) -> list[tuple[str, str]]:
    """What stands above the contents: days, how much, under gas or not."""
    days = label.use_by
    asked = "none asked for" if days.exempt else "ASK: no rule is known"
    last = asked if days.last is None else f"{days.last.isoformat()} or earlier"
    found = [("made", label.made.isoformat()), ("use by", last)]
    if label.opened_days is not None:
        found.append(("opened", opened_words(label.opened_days)))
    if days.last is None:
        found.append(("why", days.why))
    if days.last is not None:
        day_1 = f"day 1 being {days.first.isoformat()}, {days.first_by}"
        habit = " (habit)" if is_habit(days.source) else ""
        found.append(("that is", f"day {days.days}, {day_1}; {days.why}{habit}"))
    g, ml = UNITS[system]
    holds = f"{amount(label.g, 'g', system)} {g}"
    if label.ml is not None:
        holds += f", {amount(label.ml, 'ml', system)} {ml} at 20 °C"
    found.append(("holds", holds))
    if label.bottle:
        found.append(("bottle", label.bottle))
    if label.charged:
        found.append(("charged", f"UNDER PRESSURE: {label.charged}"))
    if label.strength:
        found.append(("stock", label.strength))
    return [(name, in_units(words, system)) for name, words in found]


def allergens(label: Label) -> list[tuple[str, str]]:
    """The allergens by the rule of the jurisdiction, and those that only another list has."""
    found = []
    if label.jurisdiction != "eu" and label.contains:
        found.append(("Contains", ", ".join(label.contains)))
    elif label.contains and label.apart:
        found.append(("contains", ", ".join(word.upper() for word in label.apart)))
    elif not label.contains:
        found.append(("allergens", NO_ALLERGENS))
    if label.also:
        found.append(("also", f"{', '.join(label.also)} (on another country's list)"))
    if label.contains:
        how = "in capitals above, by " if label.jurisdiction == "eu" else "by "
        found.append(("law", f"allergens {how}{LISTS[label.jurisdiction]}"))
    return found


def tail(label: Label, system: str) -> list[tuple[str, str]]:
    """Readings and storage."""
    found = []
    told = [
        f"{one['label']} {' '.join(shown_value(one, system)).strip()}" for one in label.readings
    ]
    if told:
        found.append(("readings", "; ".join(told)))
    cold, unit = shown_in(COLD_C, "C", system)
    found.append(("storage", label.use_by.storage.format(cold=f"{number(cold, 0)} °{unit}")))
    return [(name, in_units(words, system)) for name, words in found]


def hazards(label: Label, system: str) -> list[tuple[str, str]]:
    """What can happen, by kind, in the units asked for."""
    return [(kind, in_units(words, system)) for kind, words in label.hazards]


def label_text(label: Label | NoLabel, traced: str, system: str = "metric") -> str:
    """One label."""
    rule = "-" * _wide()
    if isinstance(label, NoLabel):
        told = [textwrap.fill(one, _wide()) for one in label.reasons]
        return "\n".join([rule, f"NO LABEL: {label.name} must not be made.", *told, rule])
    listed = ", ".join("".join(words for words, _ in one) for one in contents(label))
    out = [rule, label.name.upper(), rule]
    out += _lines(head(label, system))
    out += _lines([("contents", listed), *allergens(label)])
    out += _lines(tail(label, system))
    out += [
        textwrap.fill(f"! {kind.upper()}: {words}", _wide(), subsequent_indent="  ")
        for kind, words in hazards(label, system)
    ]
    return "\n".join([*out, f"({traced})", rule])


def _wide() -> int:
    return min(_MOST, columns())


def _lines(pairs: Iterable[tuple[str, str]]) -> list[str]:
    return [
        textwrap.fill(
            words, _wide(), initial_indent=f"{name:<{_HEAD}}", subsequent_indent=" " * _HEAD,
            break_on_hyphens=False,
        )
        for name, words in pairs
    ]  # fmt: skip
