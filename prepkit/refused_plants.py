"""Plants that are refused by name, and how their names are found in words (data/refused.toml)."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from prepkit import blocks, jurisdictions

_TELLING = 3  # letters: every name has a word of at least as many
KINDS = ("plant", "fungus", "cryogen", "gas", "poison")


class Refused(NamedTuple):
    """A plant that no calculator works with, and why: one sentence, and what more there is."""

    name: str
    why: str
    source: str
    where: tuple[str, ...] = ()
    unless: str = ""
    flag: bool = False  # a house entry of its own lifts it
    kind: str = "plant"  # one of KINDS
    laws: tuple[tuple[str, str, str, str], ...] = ()  # place, what its law says, more, its source
    more: str = ""  # further sentences, the last without its full stop

    @property
    def reason(self) -> str:
        """Why, with all that is said of it; without a full stop at its end."""
        return f"{self.why}. {self.more}" if self.more else self.why

    def under(self, places: tuple[str, ...]) -> Refused:
        """The same with the reason by the law that was asked for, if the row has one."""
        laws = {place: said for place, *said in self.laws}
        said = next((laws[place] for place in places if place in laws), None)
        if said is None:
            return self
        why, more, source = said
        return self._replace(why=why, more=more, source=source)


def stem(word: str) -> str:
    """A word without its plural.

    >>> stem("berries"), stem("leaves"), stem("grass")
    ('berry', 'leaf', 'grass')
    """
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith("leaves"):
        return word[:-3] + "f"
    if word.endswith(("ches", "shes", "xes", "sses", "oes")):
        return word[:-2]
    if word.endswith("uses"):  # crocuses, as crocus without its s
        return word[:-3]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _tokens(text: str) -> tuple[str, ...]:
    return tuple(stem(word) for word in re.findall(r"[a-z]+", text.lower().replace("'", "")))


def _within(needle: tuple[str, ...], hay: tuple[str, ...]) -> bool:
    return any(hay[at : at + len(needle)] == needle for at in range(len(hay) - len(needle) + 1))


@cache
def _read(text: str) -> tuple[Refused, tuple[tuple[str, ...], ...], tuple[tuple[str, ...], ...]]:
    """One row: the plant, the words of its names, and those of what only sounds like it."""
    row = blocks.parsed(text)
    cited, further = row.get("law_source", {}), row.get("law_more", {})
    laws = tuple(
        (place, why, further.get(place, ""), cited.get(place, row["source"]))
        for place, why in row.get("law", {}).items()
    )
    plant = Refused(
        row["name"], row["why"], row["source"], tuple(row.get("where", ())),
        row.get("unless", ""), row.get("flag", False), laws=laws,
        more=row.get("more", ""),
    )  # fmt: skip
    names = tuple(_tokens(one) for one in (row["name"], *row["also"]))
    return plant, names, tuple(_tokens(one) for one in row.get("except", ()))


@cache
def _texts() -> tuple[tuple[str, str], ...]:
    """Each row's text, and the same as it is looked through."""
    found = blocks.texts("refused.toml", "refused")
    return tuple((text, text.lower().replace("'", "")) for text in found)


def refused(words: str, jurisdiction: str = "") -> Refused | None:
    """The refused plant that is named in the words, or None.

    `jurisdiction`, a key or spelling of `jurisdictions`, lifts what is refused only under other
    rules and gives the reason of its law; without one everything listed is refused.

    >>> refused("dried oleander flowers").name
    'oleander'
    >>> refused("tonka beans", "EU") is None, refused("fresh elderflower") is None
    (True, True)
    >>> refused("calamus", "Australia").why
    'the food standards of Australia list it among the prohibited plants'
    """
    key = jurisdictions.key_of(jurisdiction) if jurisdiction else None
    places = jurisdictions.chain(key) if key is not None else ()
    hay = _tokens(words)
    telling = [word for word in hay if len(word) >= _TELLING]
    for text, seen in _texts():
        if not any(word in seen for word in telling):
            continue
        plant, names, others = _read(text)
        if plant.where and places and not set(plant.where) & set(places):
            continue
        if any(_within(one, hay) for one in names) and not any(_within(o, hay) for o in others):
            return plant.under(places)
    return None
