"""Poisons, cryogens, gases, raw foods by name, and what is said to a name that is not listed.

Asked before anything is looked up or suggested. data/refused.toml speaks first, then the tables of
data/hazard_names. `python -m prepkit.blocks` makes the index of both, so that a name costs one
look-up. Spaces, hyphens, plurals, accents, subscripts and the order of words do not matter;
`misspelt` finds misspelt names and is asked only where a name is not known at all.

Never a look-alike: a neighbour is offered only where one or two letters are wrong, where no word
of the name is a food of its own, and where it is of one class of allergen and hazard.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache

from prepkit import blocks, jurisdictions, numbers
from prepkit.blocks import Entry
from prepkit.errors import NamedHazard, UnknownIngredient
from prepkit.jurisdictions import Refused

# ---- names that must be known wherever a part can be said ----

FOLDER = "hazard_names"
_REFUSED_FILE = "refused.toml"
REFUSED = "refused:"  # what an index row of data/refused.toml begins with
_MOST_TOKENS = 6  # of the longest name
_SMALL = frozenset(("of", "the", "and", "a", "an", "from", "in", "some", "fresh", "dried", "dry"))
_FILLERS = frozenset(
    (
        "of", "the", "a", "an", "some", "gas", "gases", "food", "grade", "pure", "medical",
        "bottled", "bottle", "compressed", "cold", "cylinder", "canister", "tank", "big",
        "small", "large", "little", "full", "my", "old", "new", "plain", "real",
    )
)  # fmt: skip
_UNITS = frozenset(
    (
        "g", "kg", "mg", "ug", "ml", "cl", "dl", "l", "litre", "liter", "gram", "oz", "ounce", "lb",
        "pound", "tsp", "tbsp", "teaspoon", "tablespoon", "spoon", "cup", "drop", "dash", "piece",
        "pinch", "handful", "shot", "part", "barspoon", "pt", "qt", "gal", "fl", "splash", "scoop",
        "at", "c", "f", "degree", "celsius", "fahrenheit",
    )
)  # fmt: skip
_AFTER = frozenset(("", "g", "mg", "kg", "ug", "cg", "dg", "l", "ml", "cl", "dl", "oz", "lb"))
_MARKS = str.maketrans("", "", "'’`")
_NOT_DONE = frozenset(
    (
        "raw", "uncooked", "unripe", "underripe", "undercooked", "unboiled", "unheated", "half",
        "not", "without", "no", "never", "slow", "sprouted", "soaked", "untreated", "fresh",
        "uncanned",
    )
)  # fmt: skip
_LEAST_NEAR = 6  # letters below which a name must be spelt right
_TWO_NEAR = 9  # letters from which two may be wrong
_LEAST_WHOLE = 3  # letters of a word that stands whole in a name, or in a word run together
_SPOKEN = {"c02": "co2", "n20": "n2o", "co²": "co2"}


@lru_cache(maxsize=8192)
def tokens(text: str) -> tuple[str, ...]:
    """The words of a text, singular; bare numbers are left out.

    >>> tokens("30 g of CO₂-snow, Fox gloves")
    ('g', 'of', 'co2', 'snow', 'fox', 'glove')
    """
    return tuple(
        jurisdictions.stem(_SPOKEN.get(word, word)) for word in _words(text) if not _is_amount(word)
    )


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z0-9]+", numbers.plain_letters(text).translate(_MARKS))


def _is_amount(word: str) -> bool:
    """Whether it is a bare number, alone or with a unit."""
    return word[0].isdigit() and word.lstrip("0123456789") in _AFTER


def keys(name: str) -> tuple[str, ...]:
    """What a name is found by: its letters together, and its words in order of the alphabet.

    >>> keys("leaf of rhubarb")
    ('leafofrhubarb', 'leaf rhubarb')
    """
    words = tokens(name)
    found = {"".join(words): None, jurisdictions.stem("".join(_words(name))): None}
    telling = [word for word in words if word not in _SMALL]
    if len(telling) > 1:
        found[" ".join(sorted(telling))] = None
    return tuple(found)


@cache
def _index() -> Mapping[str, str]:
    """Key to row, as `indexed` made it. Raises FileProblem."""
    found: Mapping[str, str] = blocks.value(
        blocks.group(blocks.HAZARDS, (_REFUSED_FILE, *blocks.names(FOLDER)))
    )
    return found


def indexed() -> dict[str, str]:
    """The index of the tables: key to row. Of two rows with one key the first speaks."""
    rows = [(REFUSED + row["name"], row) for row in blocks.blocks(_REFUSED_FILE, "refused")]
    rows += [
        (row["id"], row) for path in blocks.names(FOLDER) for row in blocks.blocks(path, "hazard")
    ]
    found: dict[str, str] = {}
    for id_, row in rows:
        for name in (row["name"], *row["also"]):
            many = f"{name}es" if name.endswith("s") else f"{name}s"
            for key in (*keys(name), *keys(many)):
                found.setdefault(key, id_)
    return dict(sorted(found.items()))


@cache
def _row(id_: str) -> Entry:
    """One row by its id."""
    for path in blocks.names(FOLDER):
        for row in blocks.blocks(path, "hazard", id_):
            if row["id"] == id_:
                return row
    for row in blocks.blocks(_REFUSED_FILE, "refused"):
        if REFUSED + row["name"] == id_:
            return row
    raise KeyError(id_)


def _windows(words: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    for size in range(min(len(words), _MOST_TOKENS), 0, -1):
        for at in range(len(words) - size + 1):
            yield words[at : at + size]


def _hits(words: tuple[str, ...]) -> Iterator[str]:
    """Ids of the rows whose names stand in the words, the longest first."""
    index = _index()
    for window in _windows(words):
        found = index.get("".join(window))
        if found:
            yield found
    telling = tuple(word for word in words if word not in _SMALL)
    for window in _windows(telling):
        if len(window) > 1:
            found = index.get(" ".join(sorted(window)))
            if found:
                yield found


def _within(needle: tuple[str, ...], hay: tuple[str, ...]) -> bool:
    return any(hay[at : at + len(needle)] == needle for at in range(len(hay) - len(needle) + 1))


def _alone(name: str, words: tuple[str, ...]) -> bool:
    """Whether a name stands in the words with nothing but fillers beside it."""
    said = tuple(word for word in words if word not in _UNITS)
    bare = sorted(text for text in said if text not in _FILLERS)
    return bool({"".join(said), "".join(bare)} & set(keys(name))) or (
        bool(bare)
        and bare == sorted(token for token in tokens(name) if token not in _FILLERS | _UNITS)
    )


def _lifted(row: Entry, words: tuple[str, ...], heated: bool) -> bool:
    """Whether the words say that the named thing is something else, or is made safe."""
    if any(_within(tokens(other), words) for other in row.get("except", ())):
        return True
    if row.get("whole") and not any(_alone(name, words) for name in (row["name"], *row["also"])):
        return True
    if row.get("act") != "process" or not _NOT_DONE.isdisjoint(words):
        return False
    return heated or not {jurisdictions.stem(one) for one in row["process"]}.isdisjoint(words)


def _told(row: Entry) -> Refused:
    return Refused(row["name"], row["why"], row["source"], unless=_unless(row), kind=row["kind"])


def _unless(row: Entry) -> str:
    if row["act"] == "process":
        return f"the words say how it was made safe: {' or '.join(row['process'])}"
    return str(row.get("unless", ""))


def _found(words: str, jurisdiction: str, heated: bool, acts: Iterable[str]) -> Refused | None:
    said = tokens(words)
    for id_ in _hits(said):
        row = _row(id_)
        if _lifted(row, said, heated):
            continue
        if id_.startswith(REFUSED):
            plant = jurisdictions.refused(row["name"], jurisdiction)
            if plant is not None and "stop" in acts:
                return plant
        elif row["act"] in acts:
            return _told(row)
    return None


@lru_cache(maxsize=4096)
def find(words: str, jurisdiction: str = "", heated: bool = False) -> Refused | None:
    """What is named in the words and goes into no drink, with the reason; None where nothing is.

    `jurisdiction` ("EU", "US") lifts what only other rules refuse; `heated` says that the
    calculator boils it, which makes some raw foods safe.

    >>> find("2 fox gloves").name, find("LN₂").kind, find("yuzu") is None
    ('foxglove', 'cryogen', True)
    """
    return _found(words, jurisdiction, heated, ("stop", "process"))


@lru_cache(maxsize=1024)
def asked(words: str) -> Refused | None:
    """What is named in the words and is not taken before a question is answered.

    >>> asked("laurel").name, asked("bay laurel leaf") is None
    ('laurel', True)
    """
    return _found(words, "", False, ("ask",))


@cache
def _spelt() -> Mapping[int, Sequence[tuple[str, str]]]:
    """The joined keys that are long enough to be misspelt, with their rows, by their letters."""
    found: dict[int, list[tuple[str, str]]] = {}
    for key, id_ in _index().items():
        if " " not in key and len(key) >= _LEAST_NEAR:
            found.setdefault(len(key), []).append((key, id_))
    return found


def _limit(letters: int) -> int:
    return 0 if letters < _LEAST_NEAR else 1 if letters < _TWO_NEAR else 2


def _read(window: tuple[str, ...], bare: int, food: frozenset[str]) -> Iterator[tuple[int, str]]:
    """Distance and row of each name that some words may be misspelt for.

    Words of food among them are spelt right: only the letters of the others count. An ending such
    as "berriess" is one slip, and is read as a plural too.
    """
    limit = _limit(sum(len(text) for text in window if text not in food) + 1)
    yield from _apart(window, bare, limit, 0)
    once = tuple(jurisdictions.stem(text[:-1]) if text.endswith("ss") else text for text in window)
    if once != window:
        yield from _apart(once, bare, limit, 1)


def _apart(window: tuple[str, ...], bare: int, limit: int, slips: int) -> Iterator[tuple[int, str]]:
    """The same for the words as they are, with the slips that were mended in them counted."""
    key = "".join(window)
    for letters in range(len(key) - limit, len(key) + limit + 1) if limit else ():
        most = min(limit, _limit(letters))
        for known, id_ in _spelt().get(letters, ()):
            far = slips + numbers.apart(key, known, most)
            if 0 < far <= most and (len(window) >= bare or not _row(id_).get("whole")):
                yield far, id_


@lru_cache(maxsize=1024)
def misspelt(words: str, food: frozenset[str] = frozenset()) -> tuple[Refused, int] | None:
    """What the words name if one letter of them is wrong, or two of a long name; and how many are.

    `food` are the words that name food: a name made only of them is not misspelt.

    >>> misspelt("dried foxgluve")[0].name, misspelt("mint") is None
    ('foxglove', True)
    """
    said = tokens(words)
    if any(_lifted(_row(id_), said, False) for id_ in _hits(said)):
        return None  # spelt right, and said to be something else
    bare = sum(text not in _FILLERS and text not in _UNITS for text in said)
    found = [
        pair
        for window in _windows(said)
        if not food.issuperset(window)
        for pair in _read(window, bare, food)
    ]
    for far, id_ in sorted(found):
        row = _row(id_)
        if id_.startswith(REFUSED):
            return Refused(
                row["name"], row["why"], row["source"], flag=row.get("flag", False),
                more=row.get("more", ""),
            ), far  # fmt: skip
        if row["act"] != "ask" and not _lifted({**row, "whole": False}, said, False):
            return _told(row), far
    return None


# ---- what is said to a name that the pantry does not have ----

_FOOD_WORDS = f"{FOLDER}/food_words.txt"
# tags of an entry that say how it harms; the others say how it is kept or handled
_CLASSES = frozenset(
    (
        "nutmeg", "quinine", "coumarin", "thujone", "cyanogenic", "charcoal", "corrosive-acid",
        "caffeine", "raw-egg",
    )
)  # fmt: skip
MOST_NAMED = 5  # names in a question which one
_LEAST_CLASSED = 6  # letters of a name with an allergen or a hazard, for a neighbour to be offered


@cache
def _food() -> frozenset[str]:
    return frozenset(tokens(blocks.read(_FOOD_WORDS)))


@cache
def _words_of(names: tuple[str, ...]) -> frozenset[str]:
    return _food() | {word for name in names for word in tokens(name)}


def dangerous(name: str, names: Iterable[str] | Callable[[], Iterable[str]] = ()) -> Refused | None:
    """What goes into no drink and is named, spelt right or nearly so; None for anything else.

    `names` are those of food, or what reads them, called only where they decide.

    >>> dangerous("foxgluve").name, dangerous("marigold") is None
    ('foxglove', True)
    """
    found = find(name)
    if found is not None:
        return found
    # with fewer words of food more is near: where nothing is, the names need not be read
    if misspelt(name, _food()) is None:
        return None
    known = tuple(names() if callable(names) else names)
    read = misspelt(name, _words_of(known))
    if read is None or any(
        numbers.apart(numbers.joined(name), numbers.joined(text), 1) < read[1] for text in known
    ):
        return None
    return read[0]


def error(
    name: str, field: str, names: Iterable[str], entry: Callable[[str], Entry]
) -> UnknownIngredient:
    """The error of a name that was not found among `names`; `entry` looks one of them up."""
    known = tuple(names)
    hazard = dangerous(name, known)
    if hazard is not None:
        return named(name, field, hazard)
    question = asked(name)
    if question is not None:
        return UnknownIngredient(f'{field} "{name}": {question.why}.', field)
    meant = [] if _near_hazard(name, known) else _meant(name, known, entry)
    if meant:
        return UnknownIngredient(
            f'{field}: no ingredient "{name}"; if it is misspelt, write {" or ".join(meant)}.',
            field,
        )
    listed = [] if _near_hazard(name, known) else containing(name, known, entry)
    if listed:
        return UnknownIngredient(f'{field} "{name}"{_which(listed)}.', field)
    return UnknownIngredient(
        f'{field}: no ingredient "{name}" is listed here. Not listed is not the same as safe. The '
        f"names are in prepkit pantry.",
        field,
    )


def containing(name: str, known: tuple[str, ...], entry: Callable[[str], Entry]) -> list[str]:
    """The listed names that hold every word of this one whole: what is asked back of "yuzu".

    One name of each entry, and none that is a hazard itself.
    """
    asked = set(tokens(name))
    if not asked or min(map(len, asked)) < _LEAST_WHOLE:
        return []
    found: dict[str, str] = {}
    for text in known:
        if asked <= set(tokens(text)) and find(text) is None:
            found.setdefault(str(entry(text).get("name", text)), text)
    return list(found.values())


def _which(names: list[str]) -> str:
    """The question which of several is meant; of one alone, that no other is listed."""
    if len(names) == 1:
        return f" is not listed by itself; listed is {names[0]}"
    shown = names[:MOST_NAMED]
    more = "; others are in prepkit pantry" if len(names) > MOST_NAMED else ""
    return f": which one? {', '.join(shown[:-1])} or {shown[-1]}{more}"


def _near_hazard(name: str, known: tuple[str, ...]) -> bool:
    """Whether the name is near a hazard, and no food is as near: then no neighbour is offered."""
    read = misspelt(name)
    own = numbers.joined(name)
    return read is not None and not any(
        numbers.apart(own, numbers.joined(text), 1) < read[1] for text in known
    )


def named(name: str, field: str, hazard: Refused) -> NamedHazard:
    """The error of a name that goes into no drink."""
    return NamedHazard(
        f'{field} "{name}": {hazard.name} is refused here: {hazard.reason}.', field, hazard, name
    )


def _meant(name: str, known: tuple[str, ...], entry: Callable[[str], Entry]) -> list[str]:
    """The names that this one may be misspelt for; none where that could be another food."""
    words, food = set(tokens(name)), _words_of(known)
    right = words & food
    if words <= food:  # each word is one that is known: another food, not a misspelling
        return []
    letters = numbers.joined(name)
    apart = {
        text: numbers.apart(letters, numbers.joined(text), 2)
        for text in numbers.close(name, known, 9)
        if right <= set(tokens(text))
    }
    found = [key for key, far in apart.items() if far < 2 or len(name.split()) == len(key.split())][
        :3
    ]
    classes = {text: _class(entry(text)) for text in found}
    if len(set(classes.values())) > 1:
        return []
    short = len(letters) < _LEAST_CLASSED
    return [] if any(classes[text] and (apart[text] > 1 or short) for text in found) else found


def _class(row: Entry) -> frozenset[str]:
    allergens = (str(allergen).partition(":")[0] for allergen in row.get("allergens", ()))
    return frozenset((*allergens, *(_CLASSES & set(row.get("hazards", ())))))
