"""The places whose rules are held, limits of law by place, plants that are not worked with at
all.

A key is a country, a part of one that has rules of its own, or the EU. `chain` leads from a place
to what holds there where it has no figure of its own.
"""

import math
import re
from functools import cache
from typing import NamedTuple

from prepkit import blocks
from prepkit.errors import BadInput, FileProblem, UnknownIngredient, named
from prepkit.record import FieldValue, Record

# ---- where the air of a room is a stop, wherever it is ----

AIR_LIMITS = "air_limits.toml"


def air_limit(name: str) -> float:
    """A limit of room air by its name in data/air_limits.toml. Raises FileProblem without one.

    >>> air_limit("oxygen_low"), air_limit("co2_stop")
    (19.5, 3.0)
    """
    value = (blocks.table(AIR_LIMITS, name) or {}).get("value")
    if not isinstance(value, int | float) or not 0.0 < value < math.inf:
        raise FileProblem(f'{AIR_LIMITS} must have a value for "{name}", and has {value!r}.')
    return float(value)


# ---- places whose rules are held ----

STRICTEST = "strictest"  # no place is entered: the strictest of the rules that were read
KEYS = (
    "US", "California", "New York", "UK", "EU", "DE", "Ireland", "France", "Netherlands", "Sweden",
    "Denmark", "Italy", "Norway", "Canada", "Ontario", "British Columbia", "Alberta", "Quebec",
    "Australia", "New Zealand",
)  # fmt: skip
FOOD = ("US", "California", "UK", "EU", "DE", "Ireland", "France", "Canada", "Australia",
        "New Zealand")  # fmt: skip
#: What the food calculators take as a place, in the words of their inputs.
CHOICES = (STRICTEST, *(key.lower() for key in FOOD))
_WITHIN = {
    "California": "US", "New York": "US", "DE": "EU", "Ireland": "EU", "France": "EU",
    "Netherlands": "EU", "Sweden": "EU", "Denmark": "EU", "Italy": "EU", "Ontario": "Canada",
    "British Columbia": "Canada", "Alberta": "Canada", "Quebec": "Canada",
}  # fmt: skip
ALSO = {
    "usa": "US", "united states": "US", "america": "US", "ny": "New York",
    "united kingdom": "UK", "great britain": "UK", "gb": "UK", "britain": "UK", "england": "UK",
    "scotland": "UK", "wales": "UK", "northern ireland": "UK", "germany": "DE",
    "deutschland": "DE", "european union": "EU", "europe": "EU", "ie": "Ireland",
    "republic of ireland": "Ireland", "eire": "Ireland", "fr": "France", "nl": "Netherlands",
    "holland": "Netherlands", "se": "Sweden", "dk": "Denmark", "no": "Norway", "it": "Italy",
    "au": "Australia", "aus": "Australia", "nz": "New Zealand", "can": "Canada", "on": "Ontario",
    "bc": "British Columbia", "ab": "Alberta", "qc": "Quebec", "calif": "California",
    "cal": "California",
}  # fmt: skip
_NAMES = {"US": "the US", "UK": "the UK", "EU": "the EU", "DE": "Germany"}
_BY_WORD = {key.lower(): key for key in KEYS} | ALSO


def key_of(said: str, field: str = "jurisdiction") -> str | None:
    """The key of a place by any of its names; None where the place is not held.

    Raises BadInput for "CA", which is California as well as Canada.

    >>> key_of("Germany"), key_of("N.Z."), key_of("Mars")
    ('DE', 'New Zealand', None)
    """
    tidy = " ".join(said.lower().replace(".", "").split()).removeprefix("the ")
    if tidy == "ca":
        raise BadInput(f'{named(field)} is "CA"; write California or Canada.', field)
    return _BY_WORD.get(tidy)


def choice_of(said: str, field: str = "jurisdiction") -> str:
    """The words of an input's choice, by any spelling; what is not a place stays as it is.

    A place without food rules of its own here has those of what it lies in.

    >>> choice_of("Germany"), choice_of("strictest"), choice_of("Mars")
    ('de', 'strictest', 'Mars')
    >>> choice_of("New York"), choice_of("Netherlands")
    ('us', 'eu')
    """
    key = key_of(said, field)
    held = [text for text in chain(key) if text in FOOD] if key is not None else []
    return held[0].lower() if held else said


def tidied(name: str, said: FieldValue) -> FieldValue:
    """The words of one input as they are read: a jurisdiction by any of its names.

    >>> tidied("jurisdiction", "Germany"), tidied("made", "Germany")
    ('de', 'Germany')
    """
    return choice_of(said) if name == "jurisdiction" and isinstance(said, str) else said


def chain(key: str) -> tuple[str, ...]:
    """A place and what it lies in, nearest first.

    >>> chain("California"), chain("UK")
    (('California', 'US'), ('UK',))
    """
    found = [key]
    while found[-1] in _WITHIN:
        found.append(_WITHIN[found[-1]])
    return tuple(found)


def of_choice(said: str) -> str | None:
    """The key of an input's choice; None for the strictest.

    >>> of_choice("new zealand"), of_choice("strictest")
    ('New Zealand', None)
    """
    return None if said == STRICTEST else _BY_WORD.get(said)


def told(inputs: object) -> str | None:
    """The key of the place that the inputs of a calculator name; None where they name none."""
    said = getattr(inputs, "jurisdiction", None)
    return key_of(said) if isinstance(said, str) else None


def name(key: str) -> str:
    """A place as a sentence names it.

    >>> name("DE"), name("Australia")
    ('Germany', 'Australia')
    """
    return _NAMES.get(key, key)


#: Whose list of allergens holds in a place.
_LIST = {"US": "us", "Canada": "canada", "Australia": "anz", "New Zealand": "anz"}
LISTS = {
    "eu": "the fourteen of the EU", "us": "the nine of the United States",
    "anz": "the list of Australia and New Zealand", "canada": "the list of Canada, from memory",
}  # fmt: skip


def allergen_list(said: str) -> str | None:
    """The list of allergens by a place's name or the list's own; None where none is held.

    >>> allergen_list("California"), allergen_list("UK"), allergen_list("anz")
    ('us', 'eu', 'anz')
    """
    if said in LISTS:
        return said
    key = key_of(said)
    found = chain(key) if key is not None else ()
    if "EU" in found or key == "UK":
        return "eu"
    return next((_LIST[place] for place in found if place in _LIST), None)


# ---- legal limits and reference intakes by id, substance and jurisdiction (data/limits.toml) ----

JURISDICTIONS = ("EU", "US", "Codex")


class Limit(NamedTuple):
    """One row: the most of a substance in a product under one set of rules."""

    id: str
    substance: str
    product: str
    jurisdiction: str
    value: float
    unit: str
    source: str
    obtained: str
    note: str = ""
    year: int | None = None  # of the text; None where it is not known


@cache
def rows() -> tuple[Limit, ...]:
    """Every limit, in file order."""
    return tuple(Limit(**row) for row in blocks.blocks("limits.toml", "limit"))


def find(name: str) -> Limit:
    """The limit of an id; UnknownIngredient where there is none.

    >>> find("gum-arabic-drinks-us").value
    2.0
    """
    for row in rows():
        if row.id == name:
            return row
    raise UnknownIngredient(f'there is no limit "{name}"; see data/limits.toml for the ids.')


@cache
def rule(substance: str, key: str | None) -> tuple[str, str]:
    """What a place says of a substance, as a sentence, and its source; `key` None: none was told.

    >>> rule("quinine", "US")
    ('US rules allow it in carbonated drinks only, up to 83 mg/kg', 'CFR-21-172-QUININE')
    >>> rule("thujone", "New Zealand")[1]
    'CFR-21-172-510'
    """
    rows_ = blocks.blocks("place_rules.toml", "rule", substance)
    by_place = {row["place"]: row for row in rows_ if row["substance"] == substance}
    wanted = ("",) if key is None else (*chain(key), "other")
    row = next(by_place[place] for place in wanted if place in by_place)
    values = {limit.id: limit.value for limit in rows()}
    return row["text"].format_map(values), row["source"]


def rules(tags: frozenset[str], key: str | None) -> dict[str, str]:
    """Facts of what a place says of the substances among the tags of a mixture."""
    found: dict[str, str] = {}
    for substance in ("quinine", "thujone"):
        if substance in tags:
            text, source = rule(substance, key)
            found |= {f"{substance}_rule": text, f"{substance}_source": source}
    return found


def of(substance: str, jurisdiction: str | None = None) -> tuple[Limit, ...]:
    """The limits of a substance, all or those of one jurisdiction.

    >>> [(row.jurisdiction, row.value) for row in of("ester gum")]
    [('US', 100), ('Codex', 150)]
    >>> [row.product for row in of("coumarin", "EU")]  # no limit of the EU for drinks
    ['daily intake per kg of body']
    """
    return tuple(
        row
        for row in rows()
        if row.substance == substance and jurisdiction in (None, row.jurisdiction)
    )


# ---- plants that are refused by name ----

_TELLING = 3  # letters: every name has a word of at least as many
KINDS = ("plant", "fungus", "cryogen", "gas", "poison")


class Refused(Record):
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

    def under(self, places: tuple[str, ...]) -> "Refused":
        """The same with the reason by the law that was asked for, if the row has one."""
        laws = {place: said for place, *said in self.laws}
        said = next((laws[place] for place in places if place in laws), None)
        if said is None:
            return self
        why, more, source = said
        return self.replaced(why=why, more=more, source=source)


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
    row = blocks.value(text)
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
    key = key_of(jurisdiction) if jurisdiction else None
    places = chain(key) if key is not None else ()
    hay = _tokens(words)
    telling = [word for word in hay if len(word) >= _TELLING]
    for text, seen in _texts():
        if not any(word in seen for word in telling):
            continue
        plant, names, others = _read(text)
        if plant.where and places and not set(plant.where) & set(places):
            continue
        if any(_within(entry, hay) for entry in names) and not any(_within(o, hay) for o in others):
            return plant.under(places)
    return None
