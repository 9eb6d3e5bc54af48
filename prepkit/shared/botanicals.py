"""What goes into no drink, as an empty part that a calculator can carry; and citrus fruit.

Data in data/refused.toml, data/hazard_names and data/citrus.toml. A name that is not refused is
not thereby safe.
"""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from prepkit import blocks, jurisdictions
from prepkit.errors import UnknownIngredient
from prepkit.facts import Facts, checked
from prepkit.hazard_names import find as refused
from prepkit.ingredient import REFUSED_GROUP, Ingredient, Part
from prepkit.jurisdictions import Refused
from prepkit.mixture import Mixture
from prepkit.record import Record
from prepkit.units import Measured, split_amount

__all__ = ["Fruit", "Refused", "refused"]


class Fruit(Record):
    """One citrus fruit: what it weighs, how much of it is peel, what oil its peel holds."""

    name: str
    peel: str
    edible_kg: float
    refuse: float
    peel_share: float
    refuse_is: str
    strips_kg: tuple[float, float] | None
    zest_kg: tuple[float, float] | None
    oil: tuple[float, float]
    oil_source: str

    @property
    def whole_kg(self) -> float:
        """Mass of the whole fruit, kg."""
        return self.edible_kg / (1.0 - self.refuse)

    @property
    def peel_kg(self) -> float:
        """Whole peel of one fruit, kg; an upper limit where refuse holds more than peel."""
        return self.whole_kg * self.peel_share


# what is refused by name


class RefusedPart(Part):
    """An empty part that names what goes into no drink."""

    hazard: Refused | None = None


def part_of(words: str, hazard: Refused, field: str) -> RefusedPart:
    """An empty part that carries a hazard and the words that named it."""
    try:
        amount, _ = split_amount(words, field)
    except ValueError:
        amount = Measured(0.0, "g")
    nothing = Ingredient(hazard.name, REFUSED_GROUP, "solid", Mixture({}), hazard.source, "memory")
    return RefusedPart(words.strip(), amount, nothing, Mixture({}), hazard=hazard)


def refused_part(
    words: object, field: str, jurisdiction: str = "", flags: bool = True
) -> Part | None:
    """A refused plant in ingredient words as an empty part that carries its name, or None."""
    if not isinstance(words, str):
        return None
    plant = refused(words, jurisdiction)
    if plant is None or (plant.flag and not flags):
        return None
    return part_of(words, plant, field)


def spotted(
    said: Mapping[str, object], fields: Iterable[str], flags: bool = False
) -> dict[str, object]:
    """The raw inputs with every refused plant in the named fields replaced by its empty part.

    For a calculator's `before_reading`: the plant then reaches `compute`, which
    answers with `refusal` instead of an unknown name. `flags` takes in the flagged plants, which a
    house may know: only where the pantry has been asked.
    """
    jurisdiction = said.get("jurisdiction")
    where = place_of(jurisdiction) if isinstance(jurisdiction, str) else ""
    found = dict(said)
    for field in fields:
        value = found.get(field)
        if isinstance(value, str):
            found[field] = refused_part(value, field, where, flags) or value
        elif isinstance(value, list | tuple):
            found[field] = [refused_part(one, field, where, flags) or one for one in value]
    return found


def place_of(said: str) -> str:
    """A place for `refused`; "" for the strictest, and for a place that is not held.

    >>> place_of("eu"), place_of("strictest"), place_of("Mars")
    ('EU', '', '')
    """
    return jurisdictions.key_of(said) or ""


def refusal(parts: Iterable[Part], also: Iterable[str] = (), jurisdiction: str = "") -> Facts:
    """Facts of a refusal for the caution rules; empty where nothing is refused."""
    found: dict[str, Refused] = {}
    key = jurisdictions.key_of(jurisdiction) if jurisdiction else None
    places = jurisdictions.chain(key) if key is not None else ()
    for part in parts:
        if part.ingredient.group != REFUSED_GROUP:
            continue
        hazard = getattr(part, "hazard", None) or refused(part.words, jurisdiction)
        if hazard is None:  # fail closed: it was refused where it was read
            hazard = Refused(part.name, "it is refused by name", part.ingredient.source)
        hazard = hazard.under(places)
        found[hazard.name] = hazard
    for words in also:
        if (hazard := refused(words, jurisdiction)) is not None:
            found[hazard.name] = hazard
    return facts_of(found.values())


_CITED = ("refused", "flagged")  # their caution cites the source of the one that is named
_FACTS = {"cryogen": "cryogen_part", "gas": "gas_part", "poison": "poison_part"}


def _sentence(words: str) -> str:
    """Words that begin a sentence: with a capital, and the rest as it is."""
    return words[:1].upper() + words[1:]


def facts_of(hazards: Iterable[Refused]) -> Facts:
    """Facts of what is refused, by kind, for the caution rules.

    >>> facts_of([refused("dry ice")])["cryogen_part_count"]
    1
    """
    kinds: dict[str, list[Refused]] = {}
    for hazard in hazards:
        kind = "flagged" if hazard.flag else _FACTS.get(hazard.kind, "refused")
        kinds.setdefault(kind, []).append(hazard)
    facts: dict[str, object] = {}
    for key, some in kinds.items():
        change = "; ".join(one.unless for one in some if one.unless)
        more = "".join(
            f" Of {one.name}: {one.more}." if len(some) > 1 else f" {one.more}."
            for one in some
            if one.more
        )
        facts |= {
            f"{key}_count": len(some),
            f"{key}_plants": ", ".join(one.name for one in some),
            f"{key}_why": _sentence("; ".join(f"{one.name}: {one.why}" for one in some)),
            f"{key}_unless": f"{more} It changes only if {change}." if change else more,
        }
        if len(some) == 1 and key in _CITED:
            facts[f"{key}_source"] = some[0].source
    return checked(facts)


# citrus


@cache
def _citrus() -> dict[str, Any]:  # Any: tables of a TOML file of ours
    return blocks.document("citrus.toml")


def _range(
    row: Mapping[str, Any],  # Any: a row of `_citrus`
    key: str,
    scale: float,
) -> tuple[float, float] | None:
    low_high = row.get(key)
    return (low_high[0] * scale, low_high[1] * scale) if low_high else None


@cache
def fruits() -> tuple[Fruit, ...]:
    """Every citrus fruit of the table."""
    return tuple(
        Fruit(
            row["name"],
            row["peel"],
            row["edible_g"] / 1000,
            row["refuse_percent"] / 100,
            row.get("peel_percent", row["refuse_percent"]) / 100,
            row["refuse_is"],
            _range(row, "strips_g", 1e-3),
            _range(row, "zest_g", 1e-3),
            (row["oil_percent"][0] / 100, row["oil_percent"][1] / 100),
            row["oil_source"],
        )
        for row in _citrus()["fruit"]
    )


def fruit(name: str) -> Fruit | None:
    """The citrus fruit of a name or of the name of its peel; None where it is not in the table.

    >>> round(1000 * fruit("lemon").whole_kg, 1), round(1000 * fruit("lemon peel").peel_kg, 1)
    (109.4, 49.2)
    """
    tidy = name.strip().lower()
    return next((one for one in fruits() if tidy in (one.name, one.peel)), None)


def is_flesh(name: str) -> bool:
    """Whether the pantry holds a citrus fruit as its flesh alone, without the peel.

    >>> is_flesh("pomelo"), is_flesh("lemon")
    (True, False)
    """
    return name in _citrus()["flesh"]["names"]


def zest_kg(spoon: str) -> float:
    """Grated zest of lemon or orange in a spoon, kg: "teaspoon" or "tablespoon".

    >>> zest_kg("tablespoon")
    0.006
    """
    key = f"{spoon}_g"
    if key not in _citrus()["zest"]:
        raise UnknownIngredient(f'no spoon "{spoon}"; write teaspoon or tablespoon.')
    return float(_citrus()["zest"][key]) / 1000
