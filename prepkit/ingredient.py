"""Ingredient words: how they are put together, what one is, a part of one by amount or by piece.

`AMOUNT INGREDIENT [STRENGTH] [at TEMPERATURE]`; several of them joined by commas or "and"; and in
place of one ingredient a mixture of several by their ratio, such as "honey and cane sugar 1:1 by
weight". The grammar looks nothing up, and no word is dropped: what is not understood stays in the
name, where the pantry refuses it.

A word that changes little is taken; one that takes water out or puts it in marks the mixture, so
that a caution asks for the scale; one that makes something else of it is refused with its reason.

An entry of the pantry lists its pieces, each with a weight in g and the band in which one piece
lies. A word is taken only where the entry lists it: "5 basil leaves" is read, "5 cherry leaves" is
not read as cherries.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from prepkit import blocks
from prepkit.blocks import Entry
from prepkit.errors import BadInput, BadQuantity, OutOfRange, UnknownIngredient, later, named
from prepkit.mixture import ACIDS, Mixture
from prepkit.record import EMPTY, Record
from prepkit.science import ethanol, solution
from prepkit.units import Measured, parse_number, parse_quantity, split_amount, without_amount

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
_IN_PARTS = later(rf"({_SHARE})\s+parts?\s+(?:of\s+)?(\S.*)", re.IGNORECASE, within=("part",))
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
        if found and _IN_PARTS.match(piece) and _PARTS_WITHIN.search(found[-1]):
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
    in_parts = len(_IN_PARTS.findall(tidy)) > 0 and bool(_IN_PARTS.match(tidy))
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
    names = tuple(" ".join(word.split()).removeprefix("of ") for word in _NAMES.split(rest))
    if not all(names):
        raise BadInput(f'{field} "{words}" has shares and too few names for them.', field)
    if equal:
        return Mix(names, (1.0,) * len(names), by)
    shares = tuple(_share(word, words, field) for word in found[0].split(":"))
    return Mix(names, shares, by)


def _basis(
    tidy: str, equal: re.Match[str] | None, words: str, field: str
) -> tuple[str, str]:  # fmt: skip
    """By weight or by volume, and the words without it."""
    found = list(_BASIS.finditer(tidy))
    said = {("volume" if (match[1] or match[2]).lower() in ("volume", "v") else "weight")
            for match in found}  # fmt: skip
    if equal and equal[1].lower() in ("weight", "volume"):
        said.add(equal[1].lower())
    if len(said) > 1:
        raise BadInput(f'{field} "{words}": by weight or by volume? Write one of them.', field)
    return (said.pop() if said else ""), " ".join(_BASIS.sub(" ", tidy).split())


def _in_parts(rest: str, by: str, words: str, field: str) -> Mix | None:
    matches = [_IN_PARTS.fullmatch(word) for word in split(rest)]
    if not all(matches):
        raise BadInput(
            f'{field} "{words}": give the parts of each, such as "2 parts citric acid and 1 part '
            f'malic acid".',
            field,
        )
    found = [(match[1], match[2]) for match in matches if match]
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


class PreparedWords(NamedTuple):
    """Words of a preparation and the name that they stand beside."""

    words: tuple[str, ...]
    name: str


def split_preparation(name: str) -> PreparedWords | None:
    """The preparation words at either end of a name; None where there are none, or nothing else.

    >>> split_preparation("freshly squeezed lemon juice")
    PreparedWords(words=('freshly', 'squeezed'), name='lemon juice')
    >>> split_preparation("mint, chopped")
    PreparedWords(words=('chopped',), name='mint')
    >>> split_preparation("mint") is None, split_preparation("roasted") is None
    (True, True)
    """
    left = name.lower().replace(",", " ").split()
    found: list[str] = []
    while left and (left[0] in PLAIN or left[0] in WATER or left[0] in OTHER):
        found.append(left.pop(0))
    while left and (left[-1] in PLAIN or left[-1] in WATER or left[-1] in OTHER):
        found.append(left.pop())
    return PreparedWords(tuple(found), " ".join(left)) if found and left else None


def check(prepared: PreparedWords, entry: Entry, said: str, field: str) -> bool:
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


# ---- pieces ----

BAND = 0.25  # of a weight that has no band of its own: single pieces of a lot scatter 6 to 27 %
SIZES = ("small", "medium", "large", "extra large", "jumbo")
WHOLE = "piece"  # the key of a piece that needs no word: "12 lemons"
_PARTS = (
    "leaf", "sprig", "stick", "stalk", "clove", "bulb", "wheel", "wedge", "slice", "thin slice",
    "twist", "strip", "zest", "peel", "juice", "scoop", "bean", "pod", "star", "berry", "seed",
    "nut", "shot", "double shot", "cube", "packet", "sheet", "bag", "white", "yolk", "ring",
    "peppercorn", "handful", "flower", "petal", "bottle", "tsp", "tbsp",
)  # fmt: skip
SIZED = ("juice", "peel")  # what a fruit of another size gives more or less of
WORDS = (*_PARTS, *SIZES, *(f"{size} {part}" for size in SIZES for part in SIZED))
SPOONS = ("tsp", "tbsp")  # weights of a measure; no form of the thing itself
_OF = later(
    r"^(?P<part>zests?|peels?|juice|whites?|yolks?|twists?|wedges?|wheels?|slices?)\s+of\s+"
    r"(?P<count>(?:an?|one|half an?)(?=\s)|[0-9½¼¾][0-9.,/½¼¾ ]*)\s*(?P<of>\S.*)$",
    re.IGNORECASE,
    within=(" of ",),
)
_COUNTS = {"a": "1", "an": "1", "one": "1", "half a": "0.5", "half an": "0.5"}
# a word that is two things: the sentence that asks which
ASKED = {"clove": "A clove of garlic weighs about 3 g, the spice about 0.1 g"}
_WHICH = {"clove": '"garlic clove" or "whole spice clove"'}
_OF_PEEL = {"twist": "peel", "strip": "peel"}
_SPICE = {"spice clove": "clove", "whole spice clove": "clove", "clove spice": "clove"}


class Piece(NamedTuple):
    """What one piece weighs: the usual weight and the band in which one lies, g."""

    g: float
    low: float
    high: float
    source: str = ""
    note: str = ""

    @property
    def share(self) -> float:
        """Half the band as a share of the weight: the ± of a weight by pieces.

        Pieces of one lot are alike, so the ± of many is not taken as smaller than that of one.

        >>> round(Piece(3.0, 2.0, 4.5).share, 3)
        0.5
        """
        return max(self.high - self.g, self.g - self.low) / self.g


class Named(NamedTuple):
    """Words of a piece: which part of what ("leaf", "basil"); no part where none is said."""

    part: str
    name: str


def entry_pieces(entry: Entry) -> dict[str, Piece]:
    """The pieces that an entry lists, by their word; `WHOLE` where it is counted by itself."""
    found: dict[str, Piece] = {}
    if "piece_g" in entry:
        whole = entry["piece_g"]
        low, high = whole * (1 - BAND), whole * (1 + BAND)
        found[WHOLE] = Piece(whole, low, high, entry.get("source", ""), entry.get("piece_note", ""))
    for word, row in entry.get("pieces", {}).items():
        g = row["g"]
        found[word] = Piece(
            g,
            row.get("low", g * (1 - BAND)),
            row.get("high", g * (1 + BAND)),
            row.get("source", entry.get("source", "")),
            row.get("note", ""),
        )
    return found


def spoon(known: Mapping[str, Piece], word: str) -> Piece | None:
    """One level spoon of what is dry, "tsp" or "tbsp"; None where neither is listed.

    A tablespoon is three teaspoons by definition. The spoons of all systems lie in the band.

    >>> spoon({"tsp": Piece(2.0, 1.5, 2.5)}, "tbsp").g, spoon({}, "tsp")
    (6.0, None)
    """
    if word in known:
        return known[word]
    other, times = ("tsp", 3.0) if word == "tbsp" else ("tbsp", 1 / 3)
    one = known.get(other)
    if one is None:
        return None
    return one._replace(g=times * one.g, low=times * one.low, high=times * one.high)


def single(word: str) -> str:
    """A word of a piece in the singular.

    >>> single("leaves"), single("Berries"), single("slices"), single("bus")
    ('leaf', 'berry', 'slice', 'bus')
    """
    word = word.lower()
    if word == "leaves":
        return "leaf"
    if word == "berries":
        return "berry"
    short = word[:-1]
    return short if word.endswith("s") and short.split(" ")[-1] in _LAST else word


_LAST = frozenset(word.split(" ")[-1] for word in WORDS)


def turned(words: str) -> str:
    """ "zest of 6 lemons" with its count first: "6 zest of lemons"; other words as they are.

    >>> turned("zest of 6 lemons"), turned("juice of a lime"), turned("200 g lemon juice")
    ('6 zest of lemons', '1 juice of lime', '200 g lemon juice')
    """
    match = _OF.match(" ".join(words.split()))
    if match is None:
        return words
    count = " ".join(match["count"].lower().split())
    return f"{_COUNTS.get(count, count)} {single(match['part'])} of {match['of']}"


def part_of(words: str) -> str:
    """The part in "zest of 6 lemons", in the singular; empty where none is said so.

    >>> part_of("zests of 6 lemons"), part_of("6 limes")
    ('zest', '')
    """
    match = _OF.match(" ".join(words.split()))
    return single(match["part"]) if match else ""


def readings(name: str) -> Iterator[Named]:
    """The ways to read words that are counted, the likeliest first.

    >>> list(readings("large eggs"))
    [Named(part='', name='large eggs'), Named(part='large', name='eggs')]
    >>> list(readings("zest of lemons"))[1:]
    [Named(part='zest', name='lemons'), Named(part='zest', name='lemon zest')]
    >>> list(readings("mint leaves"))[1:]
    [Named(part='leaf', name='mint')]
    """
    tidy = " ".join(name.lower().split())
    yield Named("", _SPICE.get(single(tidy), tidy))
    words = tidy.split()
    for count in (2, 1):
        part, rest = single(" ".join(words[:count])), words[count:]
        if part in WORDS and rest:
            of = " ".join(rest[1:] if rest[0] == "of" and len(rest) > 1 else rest)
            yield Named(part, of)
            yield from _sized(part, of)
            if part in _PARTS:
                yield Named(part, f"{of.removesuffix('s')} {_OF_PEEL.get(part, part)}")
        part, rest = single(" ".join(words[-count:])), words[:-count]
        if part in _PARTS and rest:
            yield Named(part, " ".join(rest))
            if part in _OF_PEEL:
                yield Named(part, f"{' '.join(rest)} {_OF_PEEL[part]}")


def _sized(part: str, of: str) -> Iterator[Named]:
    """ "juice of large oranges" as the large juice of an orange; of a medium one as the usual."""
    size, _, fruit = of.partition(" ")
    if part in SIZED and size in SIZES and fruit:
        name = f"{fruit.removesuffix('s')} {part}"
        yield Named(part if size == "medium" else f"{size} {part}", name)


def which(name: str) -> str:
    """The sentence that asks which of two things a counted word means; empty where it is plain.

    >>> which("cloves")
    'which one? A clove of garlic weighs about 3 g, the spice about 0.1 g'
    """
    said = ASKED.get(single(" ".join(name.lower().split())))
    return f"which one? {said}" if said else ""


def choices(name: str) -> str:
    """What to write instead of a word that is two things."""
    return _WHICH[single(" ".join(name.lower().split()))]


# ---- what an ingredient is, from its entry and a strength ----

STRENGTH_UNITS = {
    "abv": ("% vol", "%", "% abv", "%vol", "%abv", "abv", "us proof"),
    "brix": ("bx", "brix", "°bx", "°brix", "%", "% w/w"),
    "fat": ("%", "% fat", "% w/w"),
    "assay": ("%", "% w/w"),
    "tds": ("%", "% tds", "% w/w"),
}
STRENGTH_KINDS = {kind: units[0] for kind, units in STRENGTH_UNITS.items()}
_STRENGTH_MEANS = {
    "abv": "its strength, such as {name} 40 %",
    "brix": "its Brix, such as {name} 65 Bx",
    "fat": "its fat, such as {name} 35 %",
    "assay": "its strength by weight, such as {name} 80 %",
    "tds": "its dissolved solids, such as {name} 1.3 %",
}
_MOST_KG = 1e5
ITEM_GROUP = "made here"
REFUSED_GROUP = "refused plant"
FREE_FAT = "free-fat"  # the tag of what floats on water and spirit, by its composition
_PLAIN_FAT, _NUT_PROTEIN = 0.6, 0.05  # of the whole (JUDGEMENT)


class Ingredient(Record):
    """One entry: what 100 g of it is made of, and what must be known when it is used."""

    name: str
    group: str
    form: str
    mixture: Mixture  # 1 kg at the strength asked for
    source: str
    obtained: str
    piece_g: float | None = None
    note: str = ""
    pieces: Mapping[str, Piece] = EMPTY  # by word, see prepkit.ingredient
    blend: "tuple[tuple[float, Ingredient], ...]" = ()  # of a mixture: shares by weight, sum 1


class Part(Record):
    """An amount of an ingredient as a person wrote it, and the mixture that it is.

    Several amounts that go in as one (the contents of a siphon) are one part with its `members`.
    """

    words: str
    amount: Measured  # g, ml or piece
    ingredient: Ingredient
    mixture: Mixture
    temperature_c: float | None = None  # None: what the calculator takes for all
    members: "tuple[Part, ...]" = ()

    @property
    def name(self) -> str:
        """The ingredient's plain name."""
        return self.ingredient.name

    @property
    def mass_kg(self) -> float:
        """Mass of the part, kg."""
        return self.mixture.mass_kg

    @property
    def each(self) -> "tuple[Part, ...]":
        """Its members, or itself."""
        return self.members or (self,)

    def scaled(self, factor: float) -> "Part":
        """`factor` times as much of the same, with words to match."""
        if self.members:
            return together(member.scaled(factor) for member in self.members)
        amount = Measured(
            self.amount * factor, self.amount.unit, self.amount.plus_minus * abs(factor)
        )
        # the band of a piece is in the pantry and is read there again
        shown = Measured(amount, amount.unit) if amount.unit == "piece" else amount
        return self.replaced(
            words=f"{shown.words()} {self.words_without_amount}",
            amount=amount,
            mixture=self.mixture.scaled(factor),
        )

    @property
    def words_without_amount(self) -> str:
        """The ingredient words alone, with their strength."""
        if self.amount.unit != "piece":  # whatever a cup or a bottle may hold
            return without_amount(self.words)
        return split_amount(turned(self.words))[1]


def require_batch(mass_kg: float, words: str, field: str) -> None:
    """BadQuantity for more than any batch weighs, 100 tonnes."""
    if not mass_kg <= _MOST_KG:
        raise BadQuantity(
            f'{field} "{words}" is more than {_MOST_KG / 1000:g} tonnes, and no batch '
            f"is; check the number and its unit.",
            field,
        )


def together(parts: Iterable[Part]) -> Part:
    """Several parts as the one part that they are together; one alone is itself.

    Its amount is in ml where all of them are, else in g; their ± add up.
    """
    found = tuple(piece for part in parts for piece in part.each)
    if len(found) == 1:
        return found[0]
    by_volume = all(part.amount.unit == "ml" for part in found)
    size = spread = 0.0
    for part in found:
        scale = (
            1.0 if by_volume else 1000 * part.mass_kg / float(part.amount) if part.amount else 0.0
        )
        size += float(part.amount) * scale
        spread += part.amount.plus_minus * scale
    whole = Mixture.total(part.mixture for part in found)
    names = list(dict.fromkeys(part.name for part in found))
    shares = tuple((part.mass_kg / (whole.mass_kg or 1.0), part.ingredient) for part in found)
    unit = whole.of_mass(1.0) if whole.mass_kg > 0 else whole
    return Part(
        ", ".join(part.words for part in found),
        Measured(size, "ml" if by_volume else "g", spread),
        one_ingredient(f"{', '.join(names[:-1])} and {names[-1]}" if names[1:] else names[0],
                        shares, unit),
        whole,
        None,
        found,
    )  # fmt: skip


def blended(shares: tuple[tuple[float, Ingredient], ...]) -> Ingredient:
    """1 kg of a mixture, with a name that reads back as it."""
    names = [ingredient.name for _, ingredient in shares]
    ratio = ":".join(f"{share / shares[0][0]:.12g}" for share, _ in shares)
    name = f"{', '.join(names[:-1])} and {names[-1]} {ratio} by weight"
    return one_ingredient(
        name, shares, Mixture.total(ingredient.mixture.scaled(s) for s, ingredient in shares)
    )


def one_ingredient(
    name: str, shares: tuple[tuple[float, Ingredient], ...], unit: Mixture
) -> Ingredient:
    groups = {ingredient.group for _, ingredient in shares}
    forms = {ingredient.form for _, ingredient in shares}
    form = "liquid" if "liquid" in forms else min(forms)
    return Ingredient(
        name,
        REFUSED_GROUP if REFUSED_GROUP in groups else groups.pop() if len(groups) == 1 else "blend",
        form,
        unit,
        shares[0][1].source,
        shares[0][1].obtained,
        blend=shares,
    )


@lru_cache(maxsize=4096)
def shipped(name: str) -> Entry | None:
    """The shipped entry of this very name or synonym."""
    for path in blocks.names("pantry"):
        for found in blocks.blocks(path, "ingredient", name):
            if name == found["name"] or name in found.get("also", ()):
                return found
    return None


def spellings(name: str) -> tuple[str, ...]:
    """The name itself, then without a plural ending."""
    spellings = [name]
    if name.endswith("leaves"):
        spellings.append(f"{name[:-3]}f")
    if name.endswith("ies"):
        spellings.append(f"{name[:-3]}y")
    if name.endswith("es"):
        spellings.append(name[:-2])
    if name.endswith("s"):
        spellings += [name[:-1]] if not name.endswith("ss") else []
    else:
        spellings.append(f"{name}s")
    return tuple(spellings)


def _free_fat(masses: Mapping[str, float], total: float) -> frozenset[str]:
    """The tag of a plain fat: oil, butter, lard; no nut and no cream, which hold it in protein."""
    fat = math.fsum(masses.get(name, 0.0) for name in ("fat", "milk_fat"))
    plain_fat = fat >= _PLAIN_FAT * total and masses.get("protein", 0.0) < _NUT_PROTEIN * total
    return frozenset((FREE_FAT,)) if plain_fat else frozenset()


def of_entry(entry: Entry, strength: float | None, unit: str, field: str, words: str) -> Ingredient:
    """1 kg of an entry at a strength."""
    kind = entry.get("strength")
    name = entry["name"]
    if strength is not None:
        if kind is None:
            raise BadInput(
                f'{field} "{words}": {name} takes no strength; write only the name.', field
            )
        if unit not in STRENGTH_UNITS[kind]:
            raise BadInput(
                f'{field} "{words}": the strength of {name} is given in '
                f"{STRENGTH_UNITS[kind][0]}, not in {unit}.",
                field,
            )
        if unit == "us proof":
            strength = 100 * ethanol.abv_from_us_proof(strength)
    elif kind is not None:
        strength = entry.get("strength_default")
        if strength is None:
            means = _STRENGTH_MEANS[kind].format(name=name)
            raise BadInput(f'{field} "{words}": {name} needs {means}.', field)
    if kind is not None and strength is not None:
        low, high = entry.get("strength_range", (0.0, 100.0))
        if not low <= strength <= high:
            raise BadInput(
                f'{field} "{words}": {name} is taken from {low:g} to {high:g} '
                f"{STRENGTH_UNITS[kind][0]}, and {strength:g} was written.",
                field,
            )
        masses = _AT_STRENGTH[kind](entry, strength)
    else:
        masses = dict(entry["per_100_g"])
    total = math.fsum(masses.values())
    mixture = Mixture(
        {component: mass / total for component, mass in masses.items() if mass > 0},
        frozenset(entry.get("allergens", ())),
        frozenset(entry.get("hazards", ())) | _free_fat(masses, total),
        frozenset((entry["keeps"],)) if entry.get("keeps") else frozenset(),
    )
    if kind in ("abv", "fat") and strength is not None:
        name = f"{name} {strength:g} %"
    elif kind is not None and strength is not None:
        name = f"{name} {strength:g} {'Bx' if kind == 'brix' else '%'}"
    return Ingredient(
        name,
        entry["group"],
        entry["form"],
        mixture,
        entry["source"],
        entry["obtained"],
        entry.get("piece_g"),
        entry.get("note", ""),
        entry_pieces(entry),
    )


def _of_abv(entry: Entry, percent: float) -> dict[str, float]:
    """Grams per litre at 20 C: ethanol by the strength, the listed solids, water to the volume."""
    solids: dict[str, float] = dict(entry.get("per_litre", {}))
    alcohol = percent / 100 * ethanol.PURE_KG_M3
    water = 998.2 - alcohol - 0.62 * math.fsum(solids.values())
    for _ in range(60):  # the density depends on the water sought; contraction converges quickly
        total = water + alcohol + math.fsum(solids.values())
        fractions = _dissolved({**solids, "ethanol": alcohol}, total)
        new = solution.density_kg_m3(fractions) - alcohol - math.fsum(solids.values())
        if abs(new - water) < 1e-9:
            break
        water = new
    return {"water": max(water, 0.0), "ethanol": alcohol, **solids}


def _dissolved(masses: Mapping[str, float], total: float) -> dict[str, float]:
    return Mixture(
        {**masses, "water": max(total - math.fsum(masses.values()), 0.0)}
    ).solution_fractions


def _of_brix(entry: Entry, brix: float) -> dict[str, float]:
    solids = {k: v for k, v in entry["per_100_g"].items() if k != "water"}
    scale = brix / math.fsum(solids.values())
    return {"water": 100 - brix, **{k: v * scale for k, v in solids.items()}}


def _of_fat(entry: Entry, percent: float) -> dict[str, float]:
    masses = dict(entry["per_100_g"])
    fat = "milk_fat" if "milk_fat" in masses else "fat"
    rest = 100 - masses.pop(fat)
    scale = (100 - percent) / rest
    return {fat: percent, **{k: v * scale for k, v in masses.items()}}


def _of_assay(entry: Entry, percent: float) -> dict[str, float]:
    masses = {k: v for k, v in entry["per_100_g"].items() if k in ACIDS} or dict(entry["per_100_g"])
    scale = percent / math.fsum(masses.values())
    return {"water": 100 - percent, **{k: v * scale for k, v in masses.items()}}


_AT_STRENGTH = {
    "abv": _of_abv, "brix": _of_brix, "fat": _of_fat, "assay": _of_assay, "tds": _of_brix,
}  # fmt: skip
