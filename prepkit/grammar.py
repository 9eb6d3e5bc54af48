"""How ingredient words are put together: parts, shares, temperature, preparation.

`AMOUNT INGREDIENT [STRENGTH] [at TEMPERATURE]`; several of them joined by commas or "and"; and in
place of one ingredient a mixture of several by their ratio, such as "honey and cane sugar 1:1 by
weight". Nothing is looked up here, and no word is dropped: what is not understood stays in the
name, where the pantry refuses it.

A word that changes little is taken; one that takes water out or puts it in marks the mixture, so
that a caution asks for the scale; one that makes something else of it is refused with its reason.
"""

import re
from typing import NamedTuple

from prepkit.blocks import Entry
from prepkit.errors import BadInput, OutOfRange, UnknownIngredient, later, named
from prepkit.units import parse_number, parse_quantity

# ---- the grammar of ingredient words, before any ingredient is looked up ----

COLDEST_C, HOTTEST_C = -40.0, 120.0
_TO_TWELVE = "(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)"
_START = (
    rf"(?=[+-]?[0-9.½¼¾⅓⅔⅛]|(?:half|quarter|a|an)\s|{_TO_TWELVE}\s"
    rf"|\w+\s+of\s+(?:[0-9½¼¾]|(?:half|a|an|{_TO_TWELVE})\s))"
)
_JOINT = later(
    rf"(?:\s*[;,]\s+(?:and\s+)?|(?<=[^\s0-9]),|\s+(?:and|&|plus)\s+|\s+\+\s+){_START}",
    re.IGNORECASE,
)
_JOINING = frozenset(("and", "&", "plus", "+"))
_LAST_OF_DEGREES = ("c", "f", "k", "celsius", "fahrenheit")
_DEGREES = r"(?:°\s*|deg(?:rees)?\s*)?(?:celsius|fahrenheit|[CFK])"
_AT = later(
    rf"\s+at\s+(?P<said>[+-]?[0-9][0-9.,]*\s*{_DEGREES})(?=\s|$)", re.IGNORECASE, within=(" at ",)
)
_BARE_AT = later(r"\s+at\s+(?P<said>[+-]?[0-9][0-9.,]*\s*°?)\s*$", re.IGNORECASE, within=(" at ",))
_DEGREES_LAST = later(rf"\S\s+(?P<said>[+-]?[0-9][0-9.,]*\s*{_DEGREES})\s*$", re.IGNORECASE)
_WORD_AT = later(
    r"\s+at\s+(?P<said>(?:room|fridge|cellar|freezer)(?:\s+temperature)?)\s*$",
    re.IGNORECASE,
    within=("room", "fridge", "cellar", "freezer"),
)
_ONLY_DEGREES = later(rf"[+-]?[0-9][0-9.,]*\s*{_DEGREES}", re.IGNORECASE)
_BASIS = later(r"(?:,\s*)?\bby\s+(weight|mass|volume)\b|(?<![%\w] )\b([wv])/[wv]\b", re.IGNORECASE)
_SHARE = r"[0-9]+(?:[.,][0-9]+)?"
_RATIO = later(rf"(?<![\w.,:]){_SHARE}(?:\s*:\s*{_SHARE})+(?![\w:])", within=(":",))
_EQUAL = later(
    r"(?:,\s*)?\b(?:in\s+)?equal\s+(weight|part|volume|share|amount)s?\b(?:\s+of\b)?",
    re.IGNORECASE,
    within=("equal",),
)
_PARTS = later(rf"({_SHARE})\s+parts?\s+(?:of\s+)?(\S.*)", re.IGNORECASE, within=("part",))
_PARTS_WITHIN = later(rf"\S\s+{_SHARE}\s+parts?\s", re.IGNORECASE)
_NAMES = later(r"\s*,\s*(?:and\s+)?|\s+(?:and|&|plus)\s+|\s+\+\s+", re.IGNORECASE)


_BREWED = later(
    r"(?P<name>\S.*?)\s+from\s+(?P<dose>[0-9][0-9.,]*)\s*(?:g|grams?)\s+(?:of\s+)?(?:ground\s+)?"
    r"coffee",
    re.IGNORECASE,
    within=(" from ",),
)


class Mix(NamedTuple):
    """Several ingredients by their shares: `by` is weight, volume or, where not said, empty.

    There may be more or fewer shares than names: "honey syrup 1:1 by weight" has its water unsaid.
    """

    names: tuple[str, ...]
    shares: tuple[float, ...]
    by: str


def split(words: str) -> list[str]:
    """The amounts of ingredients that are joined by commas, semicolons or "and".

    >>> split("1,5 l lemon juice, 2 egg whites and 40 g honey")
    ['1,5 l lemon juice', '2 egg whites', '40 g honey']
    >>> split("40 g 3 parts water and 1 part honey by weight, 5 g gin")
    ['40 g 3 parts water and 1 part honey by weight', '5 g gin']
    """
    tidy = words.strip()
    if "," not in tidy and ";" not in tidy and _JOINING.isdisjoint(tidy.casefold().split()):
        return [tidy]
    found: list[str] = []
    start = end = 0
    for joint in [*_JOINT.finditer(tidy), None]:
        piece = tidy[end : joint.start() if joint else None].strip()
        if found and _PARTS.match(piece) and _PARTS_WITHIN.search(found[-1]):
            found[-1] = tidy[start : joint.start() if joint else None].strip()
        else:
            found.append(piece)
            start = end
        end = joint.end() if joint else end
    return found


def temperature(words: str, field: str) -> tuple[str, float | None]:
    """Ingredient words without their "at 65 C", and that temperature in C; None where none is said.

    Raises BadInput for a temperature without its unit, in words, or said twice.

    >>> temperature("38 ml espresso at 80 C", "--part")
    ('38 ml espresso', 80.0)
    >>> temperature("20 ml rum at 40 %", "--part")
    ('20 ml rum at 40 %', None)
    """
    padded = f" {' '.join(words.split())}"
    found = list(_AT.finditer(padded))
    if len(found) > 1:
        raise BadInput(f'{field} "{words.strip()}" has two temperatures; write one.', field)
    if not found:
        bare, named = _BARE_AT.search(padded), _WORD_AT.search(padded)
        if bare:
            raise BadInput(
                f'{field} "{words.strip()}": the temperature has no unit; write C or F after it.',
                field,
            )
        if named:
            raise BadInput(
                f'{field} "{words.strip()}": "{named["said"]}" is not a temperature. Measure it '
                "and write it in degrees.",
                field,
            )
        if not padded.casefold().endswith(_LAST_OF_DEGREES):
            return words.strip(), None
        if last := _DEGREES_LAST.search(words):
            raise BadInput(
                f'{field} "{words.strip()}": write "at {last["said"]}" for a temperature, or % '
                "after the number for a strength.",
                field,
            )
        if _ONLY_DEGREES.fullmatch(words.strip()):
            raise BadInput(
                f'{field}: "{words.strip()}" is a temperature without its ingredient. Write '
                f'it after the ingredient, with "at" before it.',
                field,
            )
        return words.strip(), None
    at_c = float(parse_quantity(found[0]["said"], ("C",), field))
    if not COLDEST_C <= at_c <= HOTTEST_C:
        raise OutOfRange(
            f'temperature of {field} "{words.strip()}"', at_c, COLDEST_C, HOTTEST_C, "C",
            "nothing in a drink is colder or hotter",
        )  # fmt: skip
    rest = padded.replace(found[0][0], " ", 1)
    return " ".join(rest.split()), at_c


def brewed(words: str, field: str) -> tuple[str, float] | None:
    """A coffee by the coffee that it was made from: its name and those grams, or None.

    >>> brewed("espresso from 19.5 g of coffee", "--part")
    ('espresso', 19.5)
    """
    match = _BREWED.fullmatch(" ".join(words.split()))
    if match is None:
        return None
    return match["name"], parse_number(match["dose"], field)[0]


def mixed(words: str, field: str) -> Mix | None:
    """Ingredient words as a mixture by shares; None where they name one ingredient.

    Raises BadInput where the shares contradict each other.

    >>> mixed("honey and cane sugar 2:1 by weight", "--part")
    Mix(names=('honey', 'cane sugar'), shares=(2.0, 1.0), by='weight')
    >>> mixed("2 parts citric acid and 1 part tartaric acid", "--sour").shares
    (2.0, 1.0)
    >>> mixed("equal weights of honey and cane sugar", "--sugar").by
    'weight'
    >>> mixed("lemon juice", "--part") is None
    True
    """
    tidy = " ".join(words.split())
    ratio, equal = _RATIO.search(tidy), _EQUAL.search(tidy)
    in_parts = len(_PARTS.findall(tidy)) > 0 and bool(_PARTS.match(tidy))
    if not (ratio or equal or in_parts):
        return None
    if sum(map(bool, (ratio, equal, in_parts))) > 1:
        raise BadInput(f'{field} "{words}" gives the shares twice; write them once.', field)
    by, rest = _basis(tidy, equal, words, field)
    if in_parts:
        return _in_parts(rest, by, words, field)
    found = ratio or equal
    assert found is not None
    rest = rest.replace(found[0], " ", 1).strip(" ,")
    names = tuple(" ".join(one.split()).removeprefix("of ") for one in _NAMES.split(rest))
    if not all(names):
        raise BadInput(f'{field} "{words}" has shares and too few names for them.', field)
    if equal:
        return Mix(names, (1.0,) * len(names), by)
    shares = tuple(_share(one, words, field) for one in found[0].split(":"))
    return Mix(names, shares, by)


def _basis(
    tidy: str, equal: re.Match[str] | None, words: str, field: str
) -> tuple[str, str]:  # fmt: skip
    """By weight or by volume, and the words without it."""
    found = list(_BASIS.finditer(tidy))
    said = {("volume" if (one[1] or one[2]).lower() in ("volume", "v") else "weight")
            for one in found}  # fmt: skip
    if equal and equal[1].lower() in ("weight", "volume"):
        said.add(equal[1].lower())
    if len(said) > 1:
        raise BadInput(f'{field} "{words}": by weight or by volume? Write one of them.', field)
    return (said.pop() if said else ""), " ".join(_BASIS.sub(" ", tidy).split())


def _in_parts(rest: str, by: str, words: str, field: str) -> Mix | None:
    matches = [_PARTS.fullmatch(one) for one in split(rest)]
    if not all(matches):
        raise BadInput(
            f'{field} "{words}": give the parts of each, such as "2 parts citric acid and 1 part '
            f'malic acid".',
            field,
        )
    found = [(one[1], one[2]) for one in matches if one]
    names = tuple(name.strip(" ,") for _, name in found)
    return Mix(names, tuple(_share(number, words, field) for number, _ in found), by)


def _share(number: str, words: str, field: str) -> float:
    value, _ = parse_number(number.strip(), field)
    if not value > 0.0:
        raise BadInput(f'{field} "{words}": each share must be more than 0.', field)
    return value


# ---- preparation words before or after a name ----

TAG = "prepared"  # of a mixture: its water is not that of the plain ingredient
PLAIN = frozenset(
    ("fresh", "freshly", "squeezed", "pressed", "chopped", "sliced", "diced", "crushed", "peeled",
     "pitted", "stoned", "hulled", "halved", "quartered", "grated", "washed", "rinsed", "ripe",
     "organic", "strained", "filtered", "sieved", "chilled", "cold", "warm", "hot", "ground",
     "crumbled", "shredded", "torn", "muddled", "pureed", "blended", "cracked", "melted")
)  # fmt: skip
WATER = frozenset(
    ("roasted", "toasted", "grilled", "charred", "baked", "steamed", "boiled", "cooked", "blanched",
     "tinned", "canned", "drained", "frozen", "thawed", "defrosted")
)  # fmt: skip
OTHER = {
    "dried": "drying takes nearly all the water out",
    "dehydrated": "drying takes nearly all the water out",
    "freeze-dried": "drying takes nearly all the water out",
    "candied": "candying puts sugar in the place of water",
    "crystallised": "candying puts sugar in the place of water",
    "powdered": "a powder of it is dry",
    "smoked": "smoke adds what is not counted here",
    "fermented": "fermenting makes acid and alcohol of the sugar",
    "pickled": "a pickle adds acid, salt or sugar",
    "salted": "the salt is not counted",
    "sweetened": "the sugar added is not known",
    "concentrated": "how far it was concentrated is not known",
    "reduced": "how far it was reduced is not known",
    "clarified": "what was taken out is not known",
    "diluted": "how far it was diluted is not known",
}
_DRY_IS_PLAIN = ("dried", "dehydrated", "powdered")


class Prepared(NamedTuple):
    """Words of a preparation and the name that they stand beside."""

    words: tuple[str, ...]
    name: str


def split_preparation(name: str) -> Prepared | None:
    """The preparation words at either end of a name; None where there are none, or nothing else.

    >>> split_preparation("freshly squeezed lemon juice")
    Prepared(words=('freshly', 'squeezed'), name='lemon juice')
    >>> split_preparation("mint, chopped")
    Prepared(words=('chopped',), name='mint')
    >>> split_preparation("mint") is None, split_preparation("roasted") is None
    (True, True)
    """
    left = name.lower().replace(",", " ").split()
    found: list[str] = []
    while left and (left[0] in PLAIN or left[0] in WATER or left[0] in OTHER):
        found.append(left.pop(0))
    while left and (left[-1] in PLAIN or left[-1] in WATER or left[-1] in OTHER):
        found.append(left.pop())
    return Prepared(tuple(found), " ".join(left)) if found and left else None


def check(prepared: Prepared, entry: Entry, said: str, field: str) -> bool:
    """Whether the words change the water of the entry; UnknownIngredient where too much."""
    dry = entry.get("keeps") == "dry"
    for word in prepared.words:
        if word == "fresh" and dry and entry.get("group") in ("herb", "flower", "spice"):
            raise UnknownIngredient(
                f'{field} "{said}": {entry["name"]} is listed dried, and fresh it is mostly water; '
                f"write {entry['name']} for the dried one.",
                field,
            )
        if word in OTHER and not (dry and word in _DRY_IS_PLAIN):
            raise UnknownIngredient(
                f'{field} "{said}": {entry["name"]} is not listed {word}; {OTHER[word]}. Make an '
                f"entry from its label with prepkit pantry {named('new')}.",
                field,
            )
    return any(word in WATER for word in prepared.words) and not dry
