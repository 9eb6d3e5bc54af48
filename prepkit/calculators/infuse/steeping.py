"""Inputs of infuse, how far an infusion has come, and its course over time.

Balances by mass. Data in data/absorption.toml, with its sources.

Over time: own readings or a band, heat, gas, the plants' water, what likes what.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from prepkit import blocks, jurisdictions
from prepkit.errors import BadInput, later, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, parts, quantity, words
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table
from prepkit.numbers import close_names, written
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import ethanol, infusion
from prepkit.science.heat import ETHANOL_KG_MOL, WATER_KG_MOL
from prepkit.science.infusion import Curve
from prepkit.shared import botanicals, syrup
from prepkit.shared.syrup import DRY_BELOW, INSOLUBLE, STAYS_IN, STRAINED_GROUPS, LiquidKept
from prepkit.units import Measured, parse_quantity

# ---- steeping ----

STEEPED_GROUPS = STRAINED_GROUPS | {"nut", "other"}
LEFT_BY_PRESSING = 1.0 / 3.0  # pressing returns about two thirds [TEA-RESIDUE], of tea
EXTRACTED_GROUPS = ("coffee", "tea")


class Extraction(Record):
    """Share of coffee or tea that dissolves, of its mass as weighed."""

    share: float
    of: str
    source: str


class KeptLiquid(Record):
    """Liquid that a drained solid keeps, g per g as put in: least, most, and where that is from."""

    low: float
    high: float
    kind: str
    source: str


class Solid(Record):
    """A solid in the liquid: its own juice (what can mix with the liquid) and what cannot."""

    part: Part
    put_in: Mixture
    juice: Mixture
    dry: bool
    kept: KeptLiquid
    extraction: Extraction | None

    @property
    def left_kg(self) -> float:
        """What never leaves the solid, kg."""
        return self.put_in.mass_kg - self.juice.mass_kg


class Strained(Record):
    """The strained liquid and what the solids keep of it."""

    liquid: Mixture
    kept: Mixture


@cache
def _table() -> Mapping[str, Any]:  # Any: rows of a TOML file of ours
    return blocks.document("absorption.toml")


def published_extraction(group: str) -> Extraction | None:
    """The published share of coffee or tea that dissolves in water; None for other groups.

    >>> published_extraction("coffee").share
    0.21
    """
    for row in _table()["extraction"]:
        if row["group"] == group:
            return Extraction(row["percent"] / 100, row["of"], row["source"])
    return None


def is_dry(mixture: Mixture) -> bool:
    """Whether a solid holds less than a quarter water."""
    return mixture.fraction("water") < DRY_BELOW


def kept_by(part: Part, put_in: Mixture, juice: Mixture, pressed: bool = False) -> KeptLiquid:
    """The range of liquid that a solid of its kind keeps, own juice counted."""
    row = next(row for row in _table()["kind"] if _is_kind(row, part, is_dry(put_in)))
    low, high = row["kept"]
    if not row.get("own_counted", True):
        high += juice.mass_kg / put_in.mass_kg if put_in.mass_kg else 0.0
    source = row["source"]
    if pressed and "pressed" in row:
        low, high = row["pressed"]
    elif pressed:
        low, high = low * LEFT_BY_PRESSING, high * LEFT_BY_PRESSING
        source = "TEA-RESIDUE"
    return KeptLiquid(low, high, row["name"], source)


def _is_kind(row: Mapping[str, Any], part: Part, dry: bool) -> bool:  # Any: a row of `_table`
    ingredient = part.ingredient
    if "names" in row:
        return ingredient.name in row["names"]
    return (
        ingredient.group in row.get("groups", (ingredient.group,))
        and ingredient.form in row.get("forms", (ingredient.form,))
        and dry == row.get("dry", dry)
    )


def require_solid(part: Part, field: str) -> None:
    """Refuse what is no solid that is strained off again."""
    ingredient = part.ingredient
    if ingredient.form == "liquid":
        raise BadInput(
            f"{named(field, part.words)} is a liquid; give it as {named('liquid')}.", field
        )
    if ingredient.name in STAYS_IN or ingredient.group not in STEEPED_GROUPS:
        raise BadInput(
            f"{named(field, part.words)} is not strained off again: it stays in the liquid; give "
            f"it as {named('liquid')}.",
            field,
        )


def solid(
    part: Part, water_lost: float = 0.0, extraction: float | None = None, pressed: bool = False
) -> Solid:
    """A solid as it goes in: less the water it lost before, with what of it can dissolve.

    water_lost: share of its mass as written. extraction: share of coffee or tea that dissolves;
    without it the published one, where so much of it can dissolve: cocoa nibs, which stand beside
    coffee, hold less. Of other solids everything but fat, protein and fibre can.
    """
    own_kg = part.mixture.of("water")
    lost_kg = water_lost * part.mass_kg
    if lost_kg > own_kg * (1 + 1e-9):
        raise BadInput(
            f"{named('water_lost')} is {100 * water_lost:g} % of the fresh weight; {part.name} "
            f"holds only {100 * own_kg / part.mass_kg:.1f} % water.",
            "water_lost",
        )
    put_in = part.mixture.without({"water": min(lost_kg, own_kg)}) if lost_kg else part.mixture
    stays = {name: put_in.of(name) for name in INSOLUBLE if put_in.of(name)}
    juice = put_in.without(stays)
    share: Extraction | None = None
    if part.ingredient.group in EXTRACTED_GROUPS:
        share = published_extraction(part.ingredient.group)
        can_kg = juice.mass_kg - juice.of("water")
        if share is not None and share.share * put_in.mass_kg > can_kg:
            share = None
        if extraction is not None:
            share = Extraction(extraction, "as given", "DEFINITION")
        if share is not None:
            juice = _extracted(juice, share.share * put_in.mass_kg)
    return Solid(part, put_in, juice, is_dry(put_in), kept_by(part, put_in, juice, pressed), share)


def _extracted(juice: Mixture, wanted_kg: float) -> Mixture:
    """`wanted_kg` of dissolved solids in the proportions of the juice, all caffeine among them."""
    caffeine = juice.of("caffeine")
    others = {
        name: kg for name, kg in juice.masses_kg.items() if name not in ("water", "caffeine") and kg
    }
    total = math.fsum(others.values())
    if wanted_kg > (total + caffeine) * (1 + 1e-9):
        raise BadInput(
            f"{named('extraction')} would dissolve {1000 * wanted_kg:.1f} g, and only "
            f"{1000 * (total + caffeine):.1f} g of it can dissolve; give the share that a reading "
            f"of the strained liquid showed.",
            "extraction",
        )
    taken = min(caffeine, wanted_kg)
    scale = (wanted_kg - taken) / total if total else 0.0
    masses = {name: kg * scale for name, kg in others.items()}
    masses |= {"water": juice.of("water"), "caffeine": taken}
    return Mixture(masses, juice.allergens, juice.tags, juice.keeps)


def kept_kg(solids: Iterable[Solid], given: float | None, drained_kg: float | None) -> LiquidKept:
    """Liquid kept by all solids.

    given: g per g as put in. drained_kg: all drained solids as weighed, which goes before it.
    """
    solids = tuple(solids)
    if drained_kg is not None:
        kept = drained_kg - math.fsum(one.left_kg for one in solids)
        return LiquidKept(kept, kept, kept)
    least = math.fsum(
        (one.kept.low if given is None else given) * one.put_in.mass_kg for one in solids
    )
    most = math.fsum(
        (one.kept.high if given is None else given) * one.put_in.mass_kg for one in solids
    )
    return LiquidKept(least, 0.5 * (least + most), most)


def strained(poured: Mixture, juice: Mixture, kept: float, exchanged: float) -> Strained:
    """What runs off where the solids keep `kept` kg of liquid.

    exchanged: from 0 (the solids keep their own juice as far as what they keep allows) to 1 (all
    juice and all liquid are evenly mixed). The mass that runs off is the same in both.

    >>> water, spirit = Mixture({"water": 1.0}), Mixture({"ethanol": 1.0})
    >>> strained(spirit, water, 0.5, 1.0).liquid.fraction("water")
    0.5
    >>> strained(spirit, water, 1.0, 0.0).liquid.fraction("water")
    0.0
    """
    own_kg = juice.mass_kg
    unmixed_kg = (1.0 - exchanged) * min(own_kg, kept)
    unmixed = juice.scaled(unmixed_kg / own_kg) if own_kg else juice
    mixed = poured + juice.scaled(1.0 - unmixed_kg / own_kg) if own_kg else poured
    taken_kg = kept - unmixed_kg
    return Strained(
        mixed.scaled(1.0 - taken_kg / mixed.mass_kg),
        mixed.scaled(taken_kg / mixed.mass_kg) + unmixed,
    )


# ---- the inputs of infuse, and what of them cannot be together ----

_PER_GRAM = later(r"\s*(?:g/g|kg/kg|g per g)\s*$", re.IGNORECASE)


class Inputs(BaseInputs):
    """What is poured on what, and what was weighed."""

    takes = (("noted", "weighings"), ("aroma", "name"))
    groups = (
        ("Most needed", "liquid botanical method kept drained pressed"),
        ("Measured", "water_lost extraction"),
        ("Over time", "time noted thickness temperature noted_at aroma"),
        ("Heat and gas", "heated_in gas gas_time tastes_as"),
        ("Conditions", "alkaloids jurisdiction"),
    )

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Spirit, wine, water, syrup, and what dissolves in it. One entry for each.",
        "700 ml spirit 43 %",
    )  # fmt: skip
    botanical: tuple[Part, ...] = parts(
        "the plants",
        "Fruit, peel, herb, coffee, tea, spice, nuts that are strained off again; once for each.",
        "300 g strawberries",
    )
    method: str | None = choice(
        ("maceration", "pressure", "heated"), "how",
        "Left to stand, under gas in a siphon, or in a warm water bath. Maceration if left out.",
        default=None,
    )  # fmt: skip
    time: Measured | None = quantity(
        "h", "time of steeping", "For how far it is by then.", "24 h",
        default=None, above=0, high=9000, because="a year",
    )  # fmt: skip
    noted: tuple[str, ...] = words(
        "what you noted",
        "Two or more of one kind: a score, drained plants in g, Bx without spirit, or strength.",
        "6 h: 4", many=True, default=(),
    )  # fmt: skip
    thickness: Measured | None = quantity(
        "mm", "thickness of the pieces", "For a band of time before you noted anything.", "3 mm",
        default=None, low=0.1, high=50, because="a piece of a plant",
    )  # fmt: skip
    temperature: Measured | None = quantity(
        "C", "temperature of steeping", "Of the liquid or the bath.", "55 C",
        default=None, low=0, high=100, because="boiling is another work",
    )  # fmt: skip
    noted_at: Measured | None = quantity(
        "C", "temperature where it was noted", "If the readings were taken at another one.", "20 C",
        default=None, low=0, high=100, because="boiling is another work",
    )  # fmt: skip
    aroma: tuple[str, ...] = words(
        "an aroma that is wanted", "Tells what goes into water, spirit or fat.", "vanillin",
        many=True, default=(),
    )  # fmt: skip
    heated_in: str | None = choice(
        ("bag", "open-pan", "closed-jar"), "heated in", "A sealed bag in a bath, an open pan.",
        default=None,
    )  # fmt: skip
    gas_time: Measured | None = quantity(
        "h", "your time under gas", "With the time without gas that tastes the same.", "3 min",
        default=None, above=0, high=100, because="a charge",
    )  # fmt: skip
    tastes_as: Measured | None = quantity(
        "h", "your time without gas", "That tastes the same as the time under gas.", "24 h",
        default=None, above=0, high=9000, because="a year",
    )  # fmt: skip
    gas: str | None = choice(
        ("n2o", "co2"), "gas of a pressure infusion", "Nitrous oxide. Carbon dioxide is refused.",
        default=None,
    )  # fmt: skip
    kept: float | None = number(
        "liquid lost in the plants",
        "Grams of liquid, own juice counted, kept by 1 g of plant, by your own weighing. "
        "Without it, the trade's range.",
        "0.3", default=None, low=0, high=20,
    )  # fmt: skip
    drained: Measured | None = quantity(
        "g", "the drained plants, weighed", "All of them together after straining: the surest "
                                            "figure.",
        "270 g", default=None, above=0, high=1e7, because="a batch of at most ten tonnes",
        extensive=True,
    )  # fmt: skip
    pressed: bool = flag("pressed", "The plants are squeezed or pressed out, not only drained.")
    water_lost: Measured = quantity(
        "%", "water lost before", "Roasted or dried before steeping: water lost, as a share of "
                                  "the fresh weight.", "20 %", default=0.0, low=0, high=95,
        because="no plant holds more",
    )  # fmt: skip
    extraction: Measured | None = quantity(
        "%", "extraction of coffee or tea", "Share of its weight that dissolves, from a reading "
                                            "of the strained liquid. Without it, the published "
                                            "share.", "21 %",
        default=None, low=0, high=45, because="no more of it dissolves",
    )  # fmt: skip
    alkaloids: Measured | None = quantity(
        "%", "assay of cinchona bark", "Total alkaloids by the certificate of analysis. Without "
                                       "it, nothing is worked out with bark.", "6 %",
        default=None, above=0, high=20, because="no bark holds more",
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules count for refused plants. "
                                              "Without it, the strictest.", default="strictest",
    )  # fmt: skip

    tidy_field = staticmethod(jurisdictions.tidied)  # a place by any of its names

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: refused plants, and what is kept as a plain ratio."""
        found = botanicals.spotted(said, ("botanical", "liquid"))
        kept = found.get("kept")
        if isinstance(kept, str):
            return {**found, "kept": _PER_GRAM.sub("", kept)}
        return found


def check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself, and where there is nothing to infuse."""
    if inputs.method == "pressure" and inputs.gas is None:
        raise BadInput(
            f"{named('method')} pressure needs its gas: write {named('gas')} n2o for nitrous "
            "oxide; carbon dioxide is refused.",
            "gas",
        )
    if inputs.gas is not None and inputs.method in ("maceration", "heated"):
        raise BadInput(
            f"{named('gas')} {inputs.gas} belongs to {named('method')} pressure, and "
            f"{inputs.method} needs no gas; leave one of the two out.",
            "gas",
        )
    for part in inputs.botanical:
        require_solid(part, "botanical")
    for part in inputs.liquid:
        if syrup.is_strained(part):
            raise BadInput(
                f"{named('liquid', part.words)} is a plant that is strained off again; give it as "
                f"{named('botanical')}.",
                "liquid",
            )
    if not math.fsum(part.mass_kg for part in inputs.liquid) > 0:
        raise BadInput(
            f"{named('liquid')} amounts to 0; write for example 700 ml spirit 43 %.", "liquid"
        )
    if not math.fsum(part.mass_kg for part in inputs.botanical) > 0:
        raise BadInput(
            f"{named('botanical')} amounts to 0; write for example 300 g strawberries.",
            "botanical",
        )
    if inputs.kept is not None and inputs.drained is not None:
        raise BadInput(
            f"{named('kept')} and {named('drained')} say the same thing; give one of them.", "kept"
        )
    if inputs.extraction is not None and not any(
        part.ingredient.group in EXTRACTED_GROUPS for part in inputs.botanical
    ):
        raise BadInput(
            f"{named('extraction')} is for coffee and tea, and neither is among the plants; "
            "leave it out.",
            "extraction",
        )


# ---- an infusion over time ----

Shown = dict[str, Any]  # Any: a figure or None; the Result takes many kinds of keywords
TIMES_H = (0.5, 1.0, 2.0, 4.0, 8.0, 24.0, 48.0, 96.0, 168.0, 336.0)
_SHOULD = 'write for example "6 h: 4" (a score), "6 h: 318 g" (the drained plants) or "6 h: 9.5 Bx"'
_SCORE = later(r"^\d{1,4}(?:[.,]\d{1,4})?$")
_UNITS = (("g", "weight"), ("Bx", "Bx"), ("% vol", "strength"))


class Noted(NamedTuple):
    """One reading: hours, what it reads, and its kind."""

    hours: float
    reads: float
    kind: str


class Course(Record):
    """How far it is at the time: shares 0 to 1, least, likely, most; None where unknown."""

    curve: Curve | None
    kind: str
    low: float | None
    likely: float | None
    high: float | None
    exchange: bool  # whether the share is that of water and sugar, not of taste
    last_h: float


def read_noted(words: str) -> Noted:
    """Read "6 h: 4", "6 h: 318 g", "6 h: 9.5 Bx" or "6 h: 40.1 % vol"."""
    time_words, colon, rest = (text.strip() for text in words.partition(":"))
    if not colon or not rest:
        raise BadInput(f"{named('noted', words)} cannot be read; {_SHOULD}.", "noted")
    hours = float(parse_quantity(time_words, ("h",), named("noted")))
    for unit, kind in _UNITS:
        if rest.endswith(unit):
            return _checked(
                Noted(hours, float(parse_quantity(rest, (unit,), named("noted"))), kind), words
            )
    if _SCORE.match(rest) is None:
        raise BadInput(f"{named('noted', words)} cannot be read; {_SHOULD}.", "noted")
    return _checked(Noted(hours, float(rest.replace(",", ".")), "taste"), words)


def _checked(note: Noted, words: str) -> Noted:
    if not (note.hours > 0.0 and math.isfinite(note.reads) and 0.0 < note.reads <= 1e7):
        raise BadInput(
            f"{named('noted', words)}: time and reading must both be more than 0; {_SHOULD}.",
            "noted",
        )
    return note


ROOM_MOST_C = 35.0  # a hot kitchen; warmer is heating and is judged as such [JUDGEMENT]


def check_course(inputs: Inputs) -> None:
    """BadInput for what contradicts itself or lacks what it needs."""
    needs = {
        "heated_in": "belongs to method heated", "gas_time": "belongs to method pressure",
        "tastes_as": "belongs to method pressure",
    }  # fmt: skip
    method = "pressure" if inputs.gas is not None else inputs.method
    for name, said in needs.items():
        if getattr(inputs, name) is not None and method != said.split()[-1]:
            raise BadInput(f"{named(name)} {said}; leave it out or change the method.", name)
    if method == "heated" and (inputs.temperature is None or inputs.heated_in is None):
        missing = "temperature" if inputs.temperature is None else "heated_in"
        raise BadInput(
            f"{named('method')} heated needs {named(missing)}: for example "
            f"{named(missing, '55 C' if missing == 'temperature' else 'bag')}.",
            missing,
        )
    heat_c = 0.0 if inputs.temperature is None else float(inputs.temperature)
    if method != "heated" and heat_c > ROOM_MOST_C:
        raise BadInput(
            f"{named('temperature')} is {heat_c:g} C; above {ROOM_MOST_C:g} C it is heated, which "
            f"is never done under gas: write {named('method', 'heated')} and what it is heated in, "
            f"such as {named('heated_in', 'bag')}.",
            "temperature",
        )
    if (inputs.gas_time is None) != (inputs.tastes_as is None):
        missing = "gas_time" if inputs.gas_time is None else "tastes_as"
        raise BadInput(
            f"{named(missing)} is missing: the factor is your time without gas over your time "
            f"under gas, for the same taste.",
            missing,
        )
    if inputs.noted_at is not None and (not inputs.noted or inputs.temperature is None):
        raise BadInput(
            f"{named('noted_at')} needs {named('noted')}, and {named('temperature')} to go to.",
            "noted_at",
        )
    if inputs.time is not None and not inputs.noted and inputs.thickness is None:
        raise BadInput(
            f"{named('time')} alone says nothing: no published time fits spirit. Add "
            f"{named('thickness', '3 mm')} of the pieces for a band, or two of "
            f"{named('noted', '6 h: 4')}.",
            "time",
        )
    for text in inputs.aroma:
        if text.strip().lower() not in infusion.LOG_P:
            near = close_names(text.strip().lower(), infusion.LOG_P, n=1)
            hint = f"did you mean {near[0]}" if near else f"known are {', '.join(infusion.LOG_P)}"
            raise BadInput(f"{named('aroma', text)} is not known here; {hint}.", "aroma")


def of(inputs: Inputs, poured: Mixture, put_in: Mixture, full: Mixture) -> Course:
    """The course by own readings, or by the thickness of the pieces."""
    time_h = None if inputs.time is None else float(inputs.time)
    noted = sorted(read_noted(text) for text in inputs.noted)
    if not noted:
        if time_h is None or inputs.thickness is None:
            return Course(None, "", None, None, None, exchange=True, last_h=0.0)
        low, likely, high = (
            infusion.diffusion_share(time_h, float(inputs.thickness) / 1e3, d)
            for d in infusion.DIFFUSIVITY_M2_S
        )
        return Course(None, "band", low, likely, high, exchange=True, last_h=math.inf)
    kinds = {note.kind for note in noted}
    if len(kinds) > 1 or len(noted) < 2:
        raise BadInput(
            f"{named('noted')} is needed twice or more, all of one kind; here it is "
            f"{len(noted)} of {' and '.join(sorted(kinds))}.",
            "noted",
        )
    kind = noted[0].kind
    changes = [(note.hours, _change(note, poured, put_in)) for note in noted]
    try:
        curve = infusion.peleg(changes)
    except BadInput as error:
        said = ", ".join(f"{one.reads:g} at {one.hours:g} h" for one in noted)
        raise BadInput(
            f"{named('noted')}: {said} lie on no curve that rises fast and then levels off; the "
            "later must change by more, but by less than in proportion to time. Note it again.",
            "noted",
        ) from error
    shares: tuple[float | None, float | None, float | None] = (None, None, None)
    if time_h is not None:
        shares = _at(inputs, curve, time_h)
    exchange = kind in ("Bx", "strength")
    if exchange:
        whole = _whole(kind, poured, full)
        if whole > 0.0:  # of all that can be exchanged, not of where the curve ends
            scale = curve.final / whole
            shares = _three(
                tuple(None if share is None else min(1.0, share * scale) for share in shares)
            )
    return Course(curve, kind, *shares, exchange=exchange, last_h=noted[-1].hours)


def _three(
    found: tuple[float | None, ...],
) -> tuple[float | None, float | None, float | None]:
    low, likely, high = found
    return low, likely, high


def _change(note: Noted, poured: Mixture, put_in: Mixture) -> float:
    """How far a reading is from the start; BadInput where it has not moved, or cannot tell."""
    if note.kind == "taste":
        return note.reads
    if note.kind == "weight":
        found = abs(note.reads - 1000 * put_in.mass_kg)
    elif note.kind == "strength":
        found = 100 * poured.abv - note.reads
    else:
        if poured.ethanol_kg:
            raise BadInput(
                f"{named('noted')} in Bx says nothing in spirit, which a refractometer reads as "
                "sugar; note a score, the weight of the drained plants, or a measured strength.",
                "noted",
            )
        found = note.reads - poured.refractometer_brix
    if found <= 1e-9:
        raise BadInput(
            f"{named('noted')}: {note.reads:g} after {note.hours:g} h is no change from the start.",
            "noted",
        )
    return found


def _whole(kind: str, poured: Mixture, full: Mixture) -> float:
    if kind == "strength":
        return 100 * (poured.abv - full.abv)
    return full.refractometer_brix - poured.refractometer_brix


def speeds(inputs: Inputs) -> tuple[float, float]:
    """How many times faster than where it was noted: least and most."""
    if inputs.noted_at is None or inputs.temperature is None:
        return 1.0, 1.0
    at_c, to_c = float(inputs.noted_at), float(inputs.temperature)
    found = sorted(
        infusion.speed(at_c, to_c, ea) for ea in (infusion.LEAST_EA_J_MOL, infusion.MOST_EA_J_MOL)
    )
    return found[0], found[1]


def _at(inputs: Inputs, curve: Curve, time_h: float) -> tuple[float, float, float]:
    slow, fast = speeds(inputs)
    return (
        curve.share(time_h * slow),
        curve.share(time_h * math.sqrt(slow * fast)),
        curve.share(time_h * fast),
    )


# heat and gas


def bubble_c(poured: Mixture) -> float:
    """Where the liquid boils at sea level, by its water and spirit."""
    water, spirit = poured.of("water") / WATER_KG_MOL, poured.ethanol_kg / ETHANOL_KG_MOL
    return infusion.bubble_point_c(spirit / (water + spirit) if water + spirit else 0.0)


WARM_C = (5.0, 57.0)  # between them germs grow in food [FOOD-CODE-TIME]
WEAK_ABV, LONGEST_WARM_H = 0.18, 4.0


def _warm_weak_h(inputs: Inputs, full: Mixture) -> float:
    """Hours that a weak liquid is warm; without end where no time was entered."""
    heat_c = float(inputs.temperature or 0.0)
    if full.abv >= WEAK_ABV or not WARM_C[0] < heat_c < WARM_C[1]:
        return 0.0
    return 9999.0 if inputs.time is None else float(inputs.time)


def facts(inputs: Inputs, poured: Mixture, full: Mixture, course: Course) -> Facts:
    """What the caution rules judge of time, heat, gas and aroma."""
    found: Facts = {}
    if inputs.method == "heated" and inputs.temperature is not None:
        heat_c = float(inputs.temperature)
        found |= {
            "heat_c": heat_c,
            "heated_in": inputs.heated_in or "",
            "bubble_c": bubble_c(poured),
            "under_bubble_k": bubble_c(poured) - heat_c,
            "heat_over_flash_k": ethanol.over_flash_k(poured.abv, heat_c)
            if poured.ethanol_kg else -999.0,
            "heat_abv": 100 * poured.abv,
            "heat_h": None if inputs.time is None else float(inputs.time),
            "warm_weak_h": _warm_weak_h(inputs, full),
        }  # fmt: skip
    if inputs.time is not None:
        found |= {"course_kind": course.kind, "past_readings": float(inputs.time) / course.last_h}
    if (inputs.method == "pressure" or inputs.gas is not None) and inputs.gas_time is None:
        found["gas_factor_told"] = None
    slow, fast = speeds(inputs)
    found["speed_band"] = fast / slow
    liked = [infusion.likes(infusion.LOG_P[text.strip().lower()]) for text in inputs.aroma]
    fatty = poured.fraction("fat", "milk_fat") > 0.5
    found["aroma_wants_fat"] = 0 if fatty else liked.count("fat")
    found["aroma_wants_water"] = liked.count("water") if fatty else 0
    return found


def values(inputs: Inputs, course: Course, at: tuple[Mixture, Mixture, Mixture] | None) -> Shown:
    """What is shown of the course; `at`: the liquid at least, likely and most exchange."""
    curve, slow_fast = course.curve, speeds(inputs)
    found: Shown = {}
    percent = [
        None if value is None else 100 * value for value in (course.low, course.likely, course.high)
    ]
    found |= dict(zip(("share_low", "share", "share_high"), percent, strict=True))
    if curve is not None:
        found |= {
            "half_time": curve.time_h(0.5) / math.sqrt(slow_fast[0] * slow_fast[1]),
            "ninety_time": curve.time_h(0.9) / math.sqrt(slow_fast[0] * slow_fast[1]),
        }
    elif inputs.thickness is not None:
        thick = float(inputs.thickness) / 1e3
        slowest, _, fastest = infusion.DIFFUSIVITY_M2_S
        found |= {
            "ninety_low": infusion.diffusion_time_h(0.9, thick, fastest),
            "ninety_high": infusion.diffusion_time_h(0.9, thick, slowest),
        }
    if inputs.noted_at is not None:
        found |= {"speed_low": slow_fast[0], "speed_high": slow_fast[1]}
    if inputs.gas_time is not None and inputs.tastes_as is not None:
        found["faster"] = float(inputs.tastes_as) / float(inputs.gas_time)
    if at is not None:
        least_done, likely, most_done = at
        found |= {
            "abv_at": 100 * likely.abv or None,
            "abv_at_most": 100 * least_done.abv or None,
            "abv_at_least": 100 * most_done.abv or None,
            "sugar_at": likely.of(*SUGARS) / likely.volume_20_m3,
        }
    return found


def table(
    inputs: Inputs, course: Course, poured: Mixture, juice: Mixture, kept_kg: float, full: Mixture
) -> tuple[Table, ...]:
    """The plants' own water and sugar over time, and what likes which liquid."""
    found = []
    if course.exchange and course.likely is not None and inputs.time is not None:
        hours = sorted(
            {*(value for value in TIMES_H if value <= 4 * float(inputs.time)), float(inputs.time)}
        )
        rows: list[tuple[str | float | None, ...]] = []
        for hour in hours:
            low, likely, high = _shares(inputs, course, poured, full, hour)
            liquid = strained(poured, juice, kept_kg, likely).liquid
            rows.append((f"{written(hour)} h", 100 * low, 100 * likely, 100 * high,
                         100 * liquid.abv, liquid.of(*SUGARS) / liquid.volume_20_m3))  # fmt: skip
        columns = (
            Column("time"), Column("exchanged, least", "%", 0), Column("likely", "%", 0),
            Column("most", "%", 0), Column("strength, likely", "% vol", 1),
            Column("sugars, likely", "g/l", 0),
        )  # fmt: skip
        found.append(Table("course", "the plants' water and sugar over time", columns, tuple(rows)))
    return (*found, *evidence(inputs), *aroma_table(inputs))


def _shares(
    inputs: Inputs, course: Course, poured: Mixture, full: Mixture, hour: float
) -> tuple[float, float, float]:
    if course.curve is None:
        thick = float(inputs.thickness or 0.0) / 1e3
        low, likely, high = (
            infusion.diffusion_share(hour, thick, d) for d in infusion.DIFFUSIVITY_M2_S
        )
        return low, likely, high
    whole = _whole(course.kind, poured, full)
    scale = course.curve.final / whole if whole > 0.0 else 1.0
    low, likely, high = (min(1.0, value * scale) for value in _at(inputs, course.curve, hour))
    return low, likely, high


#: What is published of a plant in water, by its group or a word of its name: what, how fast.
PUBLISHED = (
    ("tea", "caffeine of leaf of 1.4 to 2 mm at 80 °C", "nine tenths in 2.3 min"),
    ("tea", "phenols of granules of 2 mm at 60 °C", "half in 2.7 min, nine tenths in 9 min"),
    ("hibiscus", "colour at 1:25 and at 1:5", "88 % and 63 % in the end; heat changes the speed"),
    ("coffee", "caffeine at 21 to 25 °C, 1:10, still", "flat by 6 to 7 h, whatever the grind"),
    ("vanilla", "US extract: 100 g of beans to the litre", "at least 35 % vol; 2 g/l of vanillin"),
)
_EVIDENCE_OF = {
    "tea": "TEA-1999", "hibiscus": "ROSELLE-2012", "coffee": "COLD-BREW-2017",
    "vanilla": "VANILLA-CFR",
}  # fmt: skip


def evidence(inputs: Inputs) -> tuple[Table, ...]:
    """What was published of these plants in water, where time or heat is asked about."""
    asked = (inputs.time, inputs.thickness, inputs.temperature, *inputs.noted)
    if not any(one is not None for one in asked):
        return ()
    words = {word for part in inputs.botanical for word in part.name.lower().split()}
    kinds = words | {part.ingredient.group for part in inputs.botanical}
    rows = tuple(row for row in PUBLISHED if row[0] in kinds)
    columns = (Column("plant"), Column("what was measured, in water"), Column("result"))
    return (Table("evidence", "published of these plants", columns, rows),) if rows else ()


def aroma_table(inputs: Inputs) -> tuple[Table, ...]:
    """Which liquid takes what: by octanol over water, an order alone."""
    if not inputs.aroma:
        return ()
    said = {
        "water": "water, weak spirit",
        "both": "spirit, fat as well",
        "fat": "fat, strong spirit",
    }
    rows = [
        (name, infusion.LOG_P[name], said[infusion.likes(infusion.LOG_P[name])])
        for name in (text.strip().lower() for text in inputs.aroma)
    ]
    columns = (Column("aroma"), Column("log P", "", 2), Column("goes into"))
    return (Table("aroma", "what goes into which liquid", columns, tuple(rows)),)


def steps(inputs: Inputs, course: Course, poured: Mixture) -> Iterator[Step]:
    """The working of the course."""
    curve = course.curve
    if curve is not None:
        yield Step("curve of your readings", f"t / ({curve.k1:.4g} + {curve.k2:.4g} t), t in h, "
                   f"through {len(inputs.noted)} of {course.kind}. The worst is "
                   f"{100 * curve.worst:.0f} % off", curve.final, "", "PELEG")  # fmt: skip
        yield Step("half of it", "k1 / k2, where it was noted", curve.time_h(0.5), "h", "PELEG")
    elif inputs.thickness is not None:
        yield Step("band of time", f"a slab of {float(inputs.thickness):g} mm wet on both faces, "
                   "diffusivity 1e-11 to 1e-9 m2/s", source="INFUSION-DIFFUSIVITY")  # fmt: skip
    if inputs.noted_at is not None:
        slow, fast = speeds(inputs)
        yield Step("faster by heat", f"{float(inputs.noted_at):g} C to "
                   f"{float(inputs.temperature or 0.0):g} C by 17 to 40 kJ/mol: {slow:.2f} to "
                   f"{fast:.2f} times", source="TEA-1999")  # fmt: skip
    if inputs.gas_time is not None and inputs.tastes_as is not None:
        yield Step("faster under gas", f"{float(inputs.tastes_as):g} h without gas / "
                   f"{float(inputs.gas_time):.3g} h under gas, by your own tasting",
                   float(inputs.tastes_as) / float(inputs.gas_time), "", "DEFINITION")  # fmt: skip
    for row in (row for one in evidence(inputs) for row in one.rows):
        yield Step(f"published of {row[0]}", f"{row[1]}: {row[2]}",
                   source=_EVIDENCE_OF[str(row[0])])  # fmt: skip
    if inputs.method == "heated":
        yield Step("boiling point at sea level", f"{100 * poured.abv:.1f} % vol", bubble_c(poured),
                   "C", "ETHANOL-BUBBLE")  # fmt: skip
    for name in inputs.aroma:
        log_p = infusion.LOG_P[name.strip().lower()]
        yield Step(f"log P of {name.strip().lower()}", "octanol over water, an order alone", log_p,
                   "", "LOGP")  # fmt: skip
