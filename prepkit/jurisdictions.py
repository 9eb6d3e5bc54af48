"""Places whose rules are held: one list of keys and spellings for all calculators.

A key is a country, a part of one that has rules of its own, or the EU. `chain` leads from a place
to what holds there where it has no figure of its own.
"""

from __future__ import annotations

from prepkit.errors import BadInput, named

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
    held = [one for one in chain(key) if one in FOOD] if key is not None else []
    return held[0].lower() if held else said


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
