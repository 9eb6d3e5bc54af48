"""Ingredient words to a part, and the search for a name.

The pantry of the package is data (data/pantry/*.toml); a house adds its own entries with the same
schema, and a recipe adds its items. Look-ups are by name or synonym; an unknown name is answered
with the nearest ones.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable, Mapping

from prepkit import blocks, hazard_names
from prepkit import ingredient as grammar
from prepkit.blocks import Entry
from prepkit.errors import BadInput, BadQuantity, later
from prepkit.ingredient import (
    FREE_FAT,
    ITEM_GROUP,
    REFUSED_GROUP,
    SIZES,
    SPOONS,
    STRENGTH_KINDS,
    WHOLE,
    Ingredient,
    Part,
    Piece,
    blended,
    choices,
    entry_pieces,
    of_entry,
    part_of,
    readings,
    require_batch,
    shipped,
    spellings,
    spoon,
    together,
    turned,
    which,
)
from prepkit.mixture import Mixture
from prepkit.units import (
    NOT_TOLD,
    SIZED,
    SPREAD,
    Measured,
    Measures,
    parse_number,
    plain,
    sized,
    split_amount,
)

__all__ = [
    "EXTRACTED",
    "FREE_FAT",
    "ITEM_GROUP",
    "REFUSED_GROUP",
    "STRENGTH_KINDS",
    "Ingredient",
    "Pantry",
    "Part",
    "require_batch",
    "together",
]


# ---- ingredients ----

_TRAILING = later(
    r"^(?P<name>.*?\S)\s+(?:at\s+)?(?P<number>[0-9]+(?:[.,][0-9]+)?)\s*"
    r"(?P<unit>%\s*(?:vol|abv|w/w|fat|tds)?|°?bx|°?brix|us proof|abv)\s*$",
    re.IGNORECASE,
)
_PLAIN_PROOF = later(r"^(?!.*\bus proof$).*[0-9]\s*proof$", re.IGNORECASE, within=("proof",))
_PROOF_WORD = later(r"(?<=[0-9])\s*proof$", re.IGNORECASE)
_SPOONS = later(
    r"(?:(?:US|metric)\s+)?(?:(?P<small>tsps?|teaspoons?)|tbsps?|tbs|tablespoons?)"
    r"\.?\s+(?:of\s+)?(?P<of>\S.*)",
    re.IGNORECASE,
    within=("tsp", "tbs", "spoon"),
)
_LEAST_KG = 1e-12
EXTRACTED = 0.20  # of the ground coffee, in the cup: practice, 18 to 22 %


class Pantry:
    """The ingredients that a calculation may name: the package's, a house's, a recipe's items."""

    def __init__(
        self,
        house: tuple[Entry, ...] = (),
        items: Mapping[str, Mixture] | None = None,
        measures: Measures = NOT_TOLD,
    ) -> None:
        self._house = {
            name: entry for entry in house for name in (entry["name"], *entry.get("also", ()))
        }
        self._items = dict(items or {})
        self.measures = measures

    def with_items(self, items: Mapping[str, Mixture]) -> Pantry:
        """The same pantry with products of a recipe added under their ids."""
        pantry = Pantry(measures=self.measures)
        pantry._house = self._house
        pantry._items = {**self._items, **items}
        return pantry

    def with_measures(self, measures: Measures) -> Pantry:
        """The same pantry where cups, shots and bottles mean what a house says."""
        pantry = self.with_items({})
        pantry.measures = measures
        return pantry

    # looking up

    def entry(self, name: str, field: str = "ingredient") -> Entry:
        """The raw entry of a name or synonym; else NamedHazard or UnknownIngredient."""
        tidy = " ".join(name.lower().split())
        if not tidy:
            raise BadInput(f"{field} has no ingredient; write one, such as lemon juice.", field)
        listed = self._found(tidy)
        if listed is not None:
            return listed
        hazard = hazard_names.dangerous(tidy, self.names)
        if hazard is not None:  # before a preparation word is taken off: "raw" may be the danger
            raise hazard_names.named(name, field, hazard)
        prepared = grammar.split_preparation(tidy)
        plain = self._found(prepared.name) if prepared else None
        if prepared and plain is not None:
            grammar.check(prepared, plain, name, field)
            return plain
        raise hazard_names.error(name, field, self.names(), self._classed)

    def _classed(self, name: str) -> Entry:
        """The entry of one of `names`, or of what was made here its allergens and tags."""
        made = self._items.get(name)
        if made is None:
            return self.entry(name)
        return {"allergens": tuple(made.allergens), "hazards": tuple(made.tags)}

    def made_here(self, words: str) -> bool:
        """Whether ingredient words end with the name of what the recipe makes itself."""
        return any(words.strip().endswith(item) for item in self._items)

    def _found(self, tidy: str) -> Entry | None:
        """The entry of a name, also with a word of a piece that the entry lists: basil leaves."""
        for named in readings(tidy):
            found = self._listed(named.name)
            told = ("", *SIZES, *(found or {}).get("pieces", ()))
            if found is not None and named.part in told and named.part not in SPOONS:
                return found
        return None

    def _listed(self, tidy: str) -> Entry | None:
        for candidate in spellings(tidy):
            if candidate in self._house:
                return self._house[candidate]
            found = shipped(candidate)
            if found is not None:
                return found
        return None

    def names(self) -> list[str]:
        """Every name and synonym, for nearest-name hints and listings."""
        found: list[str] = [*self._items, *self._house]
        for path in blocks.names("pantry"):
            entries = tuple(blocks.blocks(path, "ingredient"))
            found += (entry["name"] for entry in entries)
            found += (other for entry in entries for other in entry.get("also", ()))
        return found

    def own_entries(self) -> list[Entry]:
        """What the house added, each once, by name."""
        return [self._house[name] for name in self.own_names()]

    def own_names(self) -> list[str]:
        """The names, without synonyms, of what the house added."""
        return sorted({str(entry["name"]) for entry in self._house.values()})

    def mentions(self, name: str) -> bool:
        """Whether a name may be one of `names`: quick, and wrong only by saying yes."""
        tidy = name.lower()
        quoted = f'"{tidy}"'
        return tidy in self._house or any(
            quoted in blocks.read(path) for path in blocks.names("pantry")
        )

    def ingredient(self, words: str, field: str = "ingredient") -> Ingredient:
        """An ingredient by name, with its strength where it needs one: "cream 35 %"."""
        tidy = " ".join(plain(words).split())
        if tidy in self._items:
            made = self._items[tidy]
            return Ingredient(tidy, ITEM_GROUP, "liquid", made.of_mass(1.0), "", "computed")
        mix = grammar.mixed(tidy, field)
        if mix is not None:
            return blended(self._shares(mix, words, field))
        if self.measures.system == "us":
            tidy = _PROOF_WORD.sub(" US proof", tidy)
        _require_plain_strength(tidy, field)
        strength: float | None = None
        strength_unit = ""
        name = tidy
        match = _TRAILING.match(tidy)
        if match:
            name = match["name"]
            strength, _ = parse_number(match["number"], field)
            strength_unit = " ".join(match["unit"].lower().split()).replace("% ", "% ")
        entry = self.entry(name, field)
        ready = of_entry(entry, strength, strength_unit, field, words)
        prepared = (
            None if self._found(" ".join(name.lower().split())) else grammar.split_preparation(name)
        )
        if prepared and grammar.check(prepared, entry, name, field):
            return ready.replaced(mixture=ready.mixture.marked(tags=(grammar.TAG,)))
        return ready

    def part(self, words: str, field: str = "ingredient", *, at: bool = False) -> Part:
        """An amount of one ingredient: "700 ml spirit 43 %" (mass, volume or pieces).

        Its temperature is refused unless `at`, where the caller makes use of it.
        """
        found = self.parts(words, field)
        if found[0].temperature_c is not None and not at:
            raise BadInput(
                f'{field} "{words.strip()}": the temperature of a part is not used here; leave '
                f'"at {found[0].temperature_c:g} C" out.',
                field,
            )
        if len(found) > 1:
            raise BadInput(
                f'{field} "{words.strip()}" names {len(found)} ingredients, and one is taken here.',
                field,
            )
        return found[0]

    def parts(self, words: str, field: str = "ingredient") -> tuple[Part, ...]:
        """All amounts in the words, each with its own temperature; a mixture as its ingredients.

        "40 ml gin, 20 ml lemon juice and 30 g honey and white sugar 1:1 by weight" is four parts.
        """
        if not isinstance(words, str):
            raise BadQuantity(
                f'{field} is {words!r}; write an amount and an ingredient, such as "200 g lemon '
                f'juice".',
                field,
            )
        words = plain(words)
        apart = self._part_of_each(grammar.split(words), words, field)
        return tuple(part for text in apart for part in self._some(text, words, field))

    def _part_of_each(self, apart: list[str], words: str, field: str) -> list[str]:
        """The limes of "zest of 6 lemons and 3 limes" as zest; after a comma it is asked."""
        found = apart[:1]
        for before, text in itertools.pairwise(apart):
            part = part_of(found[-1])
            if not part or not self._is_counted_fruit(text, field):
                found.append(text)
            elif re.search(rf"{re.escape(before)}\s+(?:and|&|plus)\s+{re.escape(text)}", words):
                found.append(f"{part} of {text}")
            else:
                raise BadQuantity(
                    f'{field} "{text}" after "{before}": {part} too, or whole? Write "{part} of '
                    f'{text}", or "whole" before the fruit.',
                    field,
                )
        return found

    def _is_counted_fruit(self, words: str, field: str) -> bool:
        """Whether words are a bare count of fruit, of which neither part nor whole is said."""
        if part_of(words) or "whole" in words.lower().split():
            return False
        try:
            amount, rest = split_amount(words, field, self.measures)
        except BadQuantity:
            return False
        name = " ".join(rest.lower().split())
        known = self._listed(name) if amount.unit == "piece" else None
        return known is not None and known["group"] == "fruit"

    def _some(self, one: str, words: str, field: str) -> list[Part]:
        """The part of one amount, or the parts of the mixture that it is an amount of."""
        said, at_c = grammar.temperature(one, field)
        amount, rest = self._spooned(said, field) or split_amount(
            turned(said), field, self.measures
        )
        rest = rest.removeprefix("of ").strip()
        if rest.partition(" ")[0].lower() in SIZED and not self._is_piece(rest):
            amount, rest = sized(amount, rest, self.measures, field) or (amount, rest)
        if not rest:
            whole = f' in "{words.strip()}"' if one != words.strip() else ""
            raise BadInput(
                f'{field} "{one}"{whole} names no ingredient; write its name after the amount.',
                field,
            )
        _require_spread_at_amount(said, rest, field)
        brew = None if rest in self._items else grammar.brewed(rest, field)
        if brew is not None:
            said, rest = _by_dose(brew, amount, one, field)
            one = f"{said} at {at_c!r} °C" if at_c is not None else said
        mix = None if rest in self._items else grammar.mixed(rest, field)
        if mix is None:
            return [self._part(one, said, rest, amount, at_c, field)]
        shares = self._shares(mix, one, field)
        if amount.unit == "piece":
            raise BadQuantity(f'{field} "{one}" has no unit; a mixture is given in g or ml.', field)
        grams, spread = float(amount), amount.plus_minus
        if amount.unit == "ml":
            density = _density_of(shares, one, field)
            grams, spread = grams * density, spread * density
        found = []
        for share, ingredient in shares:
            own = Measured(grams * share, "g", spread * share)
            at = f" at {at_c!r} °C" if at_c is not None else ""
            written = f"{own.words()} {ingredient.name}"
            found.append(self._part(written + at, written, ingredient.name, own, at_c, field))
        return found

    def _spooned(self, said: str, field: str) -> tuple[Measured, str] | None:
        """Spoons of what is dry as g and its name; None for all other words.

        Raises BadInput where what is dry has no weight of a spoon.
        """
        try:
            value, after = parse_number(said, field)
        except BadQuantity:
            return None
        match = _SPOONS.fullmatch(after)
        if match is None or value < 0:
            return None
        name = " ".join(match["of"].lower().split())
        prepared = grammar.split_preparation(name)
        found = self._found(name) or (self._found(prepared.name) if prepared else None)
        if found is None or found["form"] == "liquid":
            return None
        word = "tsp" if match["small"] else "tbsp"
        one = spoon(entry_pieces(found), word)
        if one is None:
            raise _by_weight(found["name"], found["form"], said, field)
        return Measured(value * one.g, "g", value * one.g * one.share), match["of"]

    def _is_piece(self, rest: str) -> bool:
        """Whether counted words name a piece that an entry lists: "shots espresso".

        A bottle is one only where the house tells no size of it.
        """
        word, _, name = rest.lower().partition(" ")
        if self.measures.knows_bottle(word, name):
            return False
        return self._found(" ".join(rest.lower().split())) is not None

    def _part(
        self, words: str, said: str, rest: str, amount: Measured, at_c: float | None, field: str
    ) -> Part:
        """The part of an amount and a name; `said` are its words without the temperature."""
        if amount.unit == "piece" and which(rest):
            raise BadQuantity(
                f'{field} "{said}": {which(rest)}. Write {choices(rest)}.',
                field,
            )
        if amount.unit == "piece":  # told before the strength, which it may lack as well
            entry = self._found(" ".join(rest.lower().split()))
            if entry is not None and not {"piece_g", "pieces"} & entry.keys():
                raise _no_unit(f'{field} "{said}"', "write", field)
        found = self.ingredient(rest, field)
        if amount.unit == "g":
            mass_kg = amount / 1000
        elif amount.unit == "ml":
            if found.form != "liquid":
                raise _by_weight(found.name, found.form, said, field)
            mass_kg = amount * 1e-6 * found.mixture.density_kg_m3(20.0)
        else:
            one = _one_piece(found, rest, f'{field} "{said}"', field)
            amount = Measured(amount, "piece", amount * one.share)
            mass_kg = amount * one.g / 1000
        require_batch(mass_kg, said, field)
        if 0 < mass_kg < _LEAST_KG:
            raise BadQuantity(
                f'{field} "{said}" is less than any scale shows; check the number and its unit.',
                field,
            )
        return Part(words.strip(), amount, found, found.mixture.scaled(mass_kg), at_c)

    def _shares(
        self, mix: grammar.Mix, words: str, field: str
    ) -> tuple[tuple[float, Ingredient], ...]:
        """The ingredients of a mixture with their shares by weight, sum 1."""
        names, numbers = self._with_water(mix, words, field)
        found = [self.ingredient(name, field) for name in names]
        by = mix.by
        if not by and all(ingredient.form != "liquid" for ingredient in found):
            by = "weight"  # what is not poured has no other share
        if not by:
            raise BadInput(
                f'{field} "{words}": are the shares by weight or by volume? Write "by weight" or '
                f'"by volume" after them.',
                field,
            )
        if by == "volume":
            dry = [ingredient.name for ingredient in found if ingredient.form != "liquid"]
            if dry:
                raise BadInput(
                    f'{field} "{words}": the volume of {dry[0]} depends on how it is packed; give '
                    f"the shares by weight.",
                    field,
                )
            densities = [ingredient.mixture.density_kg_m3(20.0) for ingredient in found]
            numbers = tuple(n * rho for n, rho in zip(numbers, densities, strict=True))
        whole = math.fsum(numbers)
        return tuple((n / whole, ingredient) for n, ingredient in zip(numbers, found, strict=True))

    def _with_water(
        self, mix: grammar.Mix, words: str, field: str
    ) -> tuple[tuple[str, ...], tuple[float, ...]]:
        """Names and shares, with the water that the word syrup means: "honey syrup 1:1"."""
        names, shares = mix.names, mix.shares
        *first, last = names
        base = last.lower().removesuffix("syrup").strip() if last.lower().endswith("syrup") else ""
        if last.lower() in ("simple syrup", "syrup", "sugar syrup"):
            base = "white sugar"
        if base and self._sweetens(base):
            sweet = (*first, base)
            if len(shares) == 2:  # the trade's sense: sweetener to water
                return (*sweet, "water"), (*(shares[0] / len(sweet),) * len(sweet), shares[1])
            if len(shares) == len(sweet) + 1:
                return (*sweet, "water"), shares
        if len(shares) != len(names):
            raise BadInput(
                f'{field} "{words}" has {len(shares)} shares for {len(names)} '
                f"ingredient{'s' * (len(names) != 1)}; give one for each.",
                field,
            )
        if len(names) < 2:
            raise BadInput(
                f'{field} "{words}" gives parts of one ingredient alone; name the others with '
                f"their parts.",
                field,
            )
        return names, shares

    def _sweetens(self, name: str) -> bool:
        """Whether a name is a sweetener that is not yet a syrup."""
        try:
            found = self.ingredient(name)
        except BadInput:
            return False
        return found.group == "sweetener" and "syrup" not in found.name


def _by_dose(
    brew: tuple[str, float], amount: Measured, words: str, field: str
) -> tuple[str, str]:  # fmt: skip
    """Words of a coffee with its dissolved solids, from grams of coffee in and grams out.

    The share of the coffee that dissolves is taken as EXTRACTED; it is 18 to 22 % by habit.
    """
    name, dose_g = brew
    if amount.unit != "g" or not amount > 0:
        raise BadInput(
            f'{field} "{words}": weigh what is in the cup too, since its strength follows from '
            f"grams of coffee and grams in the cup.",
            field,
        )
    rest = f"{name} {100 * EXTRACTED * dose_g / float(amount):.3g} %"
    return f"{amount.words()} {rest}", rest


def _by_weight(name: str, form: str, said: str, field: str) -> BadInput:
    """The error of a volume of what is dry."""
    return BadInput(
        f'{field} "{said}": {name} is a {form} and its volume depends on how it is packed; give it '
        f"by weight, in g.",
        field,
    )


def _density_of(shares: tuple[tuple[float, Ingredient], ...], words: str, field: str) -> float:
    """Density of a mixture at 20 C, g/ml; BadInput where its volume is not known."""
    whole = Mixture.total(ingredient.mixture.scaled(share) for share, ingredient in shares)
    if all(ingredient.form != "liquid" for _, ingredient in shares):
        raise BadInput(f'{field} "{words}" is dry, so give it by weight.', field)
    try:
        return whole.density_kg_m3(20.0) / 1000
    except BadInput as error:
        raise BadInput(
            f'{field} "{words}": the volume of this mixture is not known '
            f"({error.message.rstrip('.')}); give it by weight.",
            field,
        ) from error


def _one_piece(found: Ingredient, rest: str, said: str, field: str) -> Piece:
    """What one of the counted words weighs; BadQuantity with the pieces that are known."""
    if found.group == ITEM_GROUP:
        raise BadQuantity(f"{said} has no unit; write its weight or its volume.", field)
    known = found.pieces
    asked = [named.part for named in readings(rest) if named.part]
    asked.sort(key=lambda part: " " not in part)  # "large juice" before "juice"
    for part in asked:
        if part in known:
            return known[part]
    sized = [part for part in asked if part in SIZES]
    if WHOLE in known and not sized:
        return known[WHOLE]
    words = [word for word in known if word != WHOLE]
    hint = f"write which piece ({', '.join(words)}), or" if words else "write"
    raise _no_unit(said, hint, field)


def counted(part: Part) -> Piece | None:
    """What one piece of a part weighs that was given by a number of them; None of any other."""
    if part.amount.unit != "piece":
        return None
    return _one_piece(part.ingredient, part.words_without_amount, part.words, "")


def _no_unit(said: str, hint: str, field: str) -> BadQuantity:
    return BadQuantity(
        f"{said} has no unit, and the weight of one piece is not known here; {hint} its weight or "
        f"volume with a unit.",
        field,
    )


def _require_spread_at_amount(words: str, rest: str, field: str) -> None:
    """Refuse a ± after a name without a strength, and say where it belongs."""
    spread = SPREAD.search(rest)
    if spread and not _TRAILING.match(rest[: spread.start()].strip()):
        raise BadInput(
            f'{field} "{words.strip()}": write the ± next to the amount, before the name.', field
        )


def _require_plain_strength(words: str, field: str) -> None:
    """Refuse a strength that is written as no strength is read."""
    if SPREAD.search(words):
        raise BadInput(
            f'{field} "{words}": a strength takes no ±; write it without, and give the amount its '
            f"own ±, such as 700 ml ± 5 ml spirit 43 %.",
            field,
        )
    if _PLAIN_PROOF.match(words):
        raise BadInput(
            f'{field} "{words}": proof differs by country; write US proof, such as spirit 80 US '
            f"proof, or % vol, such as spirit 40 % vol.",
            field,
        )


# ---- searching the pantry ----

# words people use for a kind, and the group that holds it
KINDS = {
    "sweeteners": "sweetener", "sugars": "sweetener", "syrups": "syrup", "juices": "juice",
    "fruits": "fruit", "peels": "peel", "zests": "peel", "herbs": "herb", "flowers": "flower",
    "blossoms": "flower", "spices": "spice", "nuts": "nut", "oils": "oil", "waters": "water",
    "wines": "wine", "spirits": "spirit", "liquors": "spirit", "acids": "acid", "gums": "gum",
    "foamers": "foamer", "teas": "tea", "coffees": "coffee", "eggs": "egg", "salts": "salt",
}  # fmt: skip


def stem(word: str) -> str:
    """A word without its plural ending.

    >>> stem("berries"), stem("leaves"), stem("limes"), stem("glass")
    ('berry', 'leaf', 'lime', 'glass')
    """
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word == "leaves":
        return "leaf"
    if word.endswith(("ches", "shes", "xes", "oes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name, each in the singular."""
    return tuple(stem(word) for word in re.findall(r"[a-z0-9]+", text.lower()))


def found(entries: Iterable[Entry], asked: str) -> list[Entry]:
    """The entries that the words mean: every word whole, or a kind."""
    listed = list(entries)
    wanted = words_of(asked)
    if not wanted:
        return listed
    spellings = [
        (entry, [words_of(name) for name in (entry["name"], *entry.get("also", ()))])
        for entry in listed
    ]
    whole = [
        entry
        for entry, names in spellings
        if any(all(word in name for word in wanted) for name in names)
    ]
    kind = KINDS.get(asked.lower().strip(), asked.lower().strip())
    of_kind = [entry for entry in listed if entry["group"] == kind]
    if of_kind or whole:
        return [*whole, *(entry for entry in of_kind if entry not in whole)]
    return []
