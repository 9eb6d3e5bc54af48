"""What an ingredient is, from its entry and a strength; a part of one, by amount or by piece.

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
from prepkit.errors import BadInput, BadQuantity, later
from prepkit.mixture import ACIDS, Mixture
from prepkit.record import EMPTY, Record
from prepkit.science import ethanol, solution
from prepkit.units import Measured, split_amount, without_amount

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
            return together(one.scaled(factor) for one in self.members)
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
    by_volume = all(one.amount.unit == "ml" for one in found)
    size = spread = 0.0
    for one in found:
        scale = 1.0 if by_volume else 1000 * one.mass_kg / float(one.amount) if one.amount else 0.0
        size += float(one.amount) * scale
        spread += one.amount.plus_minus * scale
    whole = Mixture.total(one.mixture for one in found)
    names = list(dict.fromkeys(one.name for one in found))
    shares = tuple((one.mass_kg / (whole.mass_kg or 1.0), one.ingredient) for one in found)
    unit = whole.of_mass(1.0) if whole.mass_kg > 0 else whole
    return Part(
        ", ".join(one.words for one in found),
        Measured(size, "ml" if by_volume else "g", spread),
        one_ingredient(f"{', '.join(names[:-1])} and {names[-1]}" if names[1:] else names[0],
                        shares, unit),
        whole,
        None,
        found,
    )  # fmt: skip


def blended(shares: tuple[tuple[float, Ingredient], ...]) -> Ingredient:
    """1 kg of a mixture, with a name that reads back as it."""
    names = [one.name for _, one in shares]
    ratio = ":".join(f"{share / shares[0][0]:.12g}" for share, _ in shares)
    name = f"{', '.join(names[:-1])} and {names[-1]} {ratio} by weight"
    return one_ingredient(name, shares, Mixture.total(one.mixture.scaled(s) for s, one in shares))


def one_ingredient(
    name: str, shares: tuple[tuple[float, Ingredient], ...], unit: Mixture
) -> Ingredient:
    groups = {one.group for _, one in shares}
    forms = {one.form for _, one in shares}
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
