"""Acids off the shelf, what dissolves, what is told; how sweet and sour a mixture tastes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, checked
from prepkit.ingredient import Ingredient
from prepkit.mixture import ACIDS, Mixture
from prepkit.model import Column, Step, Table
from prepkit.pantry import Pantry
from prepkit.record import FieldValue, Record
from prepkit.science import acids, solution, sweetness
from prepkit.science.solvers import bracketed
from prepkit.units import Measured, parse_number, split_amount

# ---- what the acid calculators share ----

END_POINT = 8.2
# Higher than this no aim is taken: there a trace of mineral or protein moves the pH by whole units.
PH_AIM_HIGH = 5.0
WRITTEN_AS = ("citric", "tartaric", "malic", "lactic")
# What an ingredient may hold beside one acid and water and still count as an acid off the shelf.
_FOREIGN_MATTER = 0.005
_UNSAID = ("acid", "acids", "acid blend", "acid mix", "blend", "acid powder", "sour mix")
_POWDERS = ("fumaric", "succinic", "ascorbic", "malic", "citric", "tartaric")


class ShelfAcid(str):
    """The words of one acid off the shelf, with its parts and what the bottle holds.

    `parts` are by the ratio that the calculator asks for, `acid` is the component, `purity` the
    kg of it in 1 kg of the ingredient.
    """

    parts: float
    acid: str
    purity: float
    ingredient: Ingredient

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str) -> ShelfAcid:
        """Read "2 parts citric acid", or an acid alone for one part; BadInput otherwise."""
        parts, name = read_parts(words, field)
        if " ".join(name.lower().split()) in _UNSAID:
            raise BadInput(
                f'{field} "{words}" does not say which acids; give {field} once for each, such as '
                f'{field} "2 parts citric acid" {field} "1 part malic acid".',
                field,
            )
        return cls.of(pantry.ingredient(name, field), parts, words, field)

    @classmethod
    def of(cls, found: Ingredient, parts: float, words: str, field: str) -> ShelfAcid:
        """An ingredient that was looked up already; BadInput where it is no single acid."""
        self = cls(words)
        self.parts, self.ingredient = parts, found
        self.acid, self.purity = _one_acid(found, words, field)
        return self

    @property
    def powder(self) -> bool:
        """Whether it is weighed as a solid."""
        return self.ingredient.form != "liquid"


def read_shelf(
    name: str, value: FieldValue, pantry: Pantry, so_far: Mapping[str, object]
) -> FieldValue:
    """The acids of an input "acid" by their words; any other input as it is."""
    if name != "acid":
        return value
    return tuple(ShelfAcid.read(one, pantry, named("acid")) for one in value)


def read_parts(words: str, field: str) -> tuple[float, str]:
    """Parts and name of "2 parts citric acid"; one part where no number is said."""
    if not words.strip()[:1].isdigit():
        return 1.0, words
    number, rest = parse_number(words, field)
    first, _, name = rest.partition(" ")
    if first.lower() not in ("part", "parts") or not name.strip():
        raise BadInput(
            f'{field} "{words}": acids are given in parts, such as "2 parts citric acid"; how much '
            f"to weigh follows from the strength and the amount wanted.",
            field,
        )
    if not number > 0.0:
        raise BadInput(f'{field} "{words}": the parts must be more than 0.', field)
    return number, name.strip().removeprefix("of ").strip()


def read_weight(words: str, pantry: Pantry, field: str) -> tuple[float, str] | None:
    """Grams of pure acid and the name of "20 g citric acid"; None where it is not by weight."""
    if not words.strip()[:1].isdigit():
        return None
    amount, name = split_amount(words, field)
    if amount.unit != "g" or not name or amount.plus_minus:
        return None
    if not amount > 0.0:
        raise BadInput(f'{field} "{words}": the amount must be more than 0.', field)
    name = name.removeprefix("of ").strip()
    return float(amount) * _one_acid(pantry.ingredient(name, field), words, field)[1], name


def _one_acid(found: Ingredient, words: str, field: str) -> tuple[str, float]:
    masses = found.mixture.masses_kg
    present = [name for name in ACIDS if masses.get(name, 0.0) > _FOREIGN_MATTER]
    foreign = math.fsum(mass for name, mass in masses.items() if name not in (*present, "water"))
    if len(present) != 1 or foreign > _FOREIGN_MATTER:
        raise BadInput(
            f'{field} "{words}": {found.name} is no single acid; write an acid such as citric '
            f"acid, malic acid or lactic acid 80 %.",
            field,
        )
    return present[0], masses[present[0]]


def by_mass(shelf: Iterable[ShelfAcid], ratio_by: str) -> list[float]:
    """Shares by mass of pure acid (sum 1) of parts by "mass", "titratable" or "molarity"."""

    def weight(acid: str) -> float:
        if ratio_by == "titratable":
            return acids.equivalent_weight_g_mol(acid)
        return acids.ACIDS[acid].molar_mass_g_mol if ratio_by == "molarity" else 1.0

    shares = [shelf_acid.parts * weight(shelf_acid.acid) for shelf_acid in shelf]
    whole = math.fsum(shares)
    return [share / whole for share in shares]


def made_up(shelf: Sequence[ShelfAcid], shares: Sequence[float], fraction: float) -> Mixture:
    """1 kg of a stock with a mass fraction of pure acid, in these shares of it."""
    solids = Mixture.total(
        acid.ingredient.mixture.scaled(fraction * share / acid.purity)
        for acid, share in zip(shelf, shares, strict=True)
    )
    return solids + Mixture({"water": max(1.0 - solids.mass_kg, 0.0)})


def acid_fraction(
    shelf: Sequence[ShelfAcid], shares: Sequence[float], strength: Measured, counted: float = 1.0
) -> float:
    """Mass fraction of pure acid in a stock of a strength in % w/w or % w/v.

    `counted` is what 1 kg of the acids counts towards the strength. BadInput where these grades
    cannot be so strong.
    """
    wanted, unit = float(strength), strength.unit
    # the strength of these grades blended without any water
    most = 1.0 / math.fsum(share / acid.purity for acid, share in zip(shelf, shares, strict=True))

    def by_volume(fraction: float) -> float:
        density = density_kg_m3(made_up(shelf, shares, fraction))
        return 0.1 * fraction * counted * density - wanted

    if unit == "% w/w":
        fraction = wanted / 100.0 / counted
        at_most = 100.0 * most * counted
    else:
        # Beyond 85 % solids no density is published; the water in the grades sets the other end.
        high = min(most, 0.84)
        at_most = by_volume(high) + wanted
        fraction = high * 2.0 if at_most < wanted else bracketed(by_volume, 0.0, high, 1e-10)
    if fraction > most * (1.0 + 1e-9):
        raise BadInput(
            f"{named('strength')} {wanted:g} {unit} is more than these acids have themselves; "
            "without any "
            f"water they make {at_most:.1f} {unit}, so ask for less or take a stronger grade.",
            "strength",
        )
    return fraction


def titratable_eq_kg(mixture: Mixture, ph_end: float = END_POINT) -> float:
    """Titratable acidity to an end point, equivalents per kg of the whole."""
    if not mixture.acid_molalities:
        return 0.0
    per_water = acids.titratable_acidity_eq_kg(
        mixture.acid_molalities, mixture.strong_cation_molality[1], ph_end
    )
    return per_water * mixture.of("water") / mixture.mass_kg


def acidity_as_citric(mixture: Mixture, unit: str) -> float:
    """Titratable acidity as citric in % w/w or g/l; below zero where a base prevails."""
    if not mixture.acid_molalities:
        return 0.0
    share = titratable_eq_kg(mixture) * acids.EQUIVALENT_KG["citric"]
    return 100.0 * share if unit == "% w/w" else share * mixture.density_kg_m3(20.0)


def acidity_table(eq_kg: float, density_kg_m3: float, ph_end: float) -> Table:
    """The same titration as every usual acid: % w/w, % w/v and g/l."""
    rows = tuple(
        (
            f"{acid} acid",
            100.0 * eq_kg * acids.EQUIVALENT_KG[acid],
            0.1 * eq_kg * acids.EQUIVALENT_KG[acid] * density_kg_m3,
            eq_kg * acids.EQUIVALENT_KG[acid] * density_kg_m3,
        )
        for acid in WRITTEN_AS
    )
    return Table(
        "acidity",
        f"titratable acidity to pH {ph_end:g}, written as",
        (
            Column("as"),
            Column("by mass", "% w/w", 2),
            Column("by volume", "% w/v", 2),
            Column("per litre", "g/l", 1),
        ),
        rows,
    )


_UNIT_MEANS = {
    "% w/w": "g as citric acid in 100 g of the finished liquid (a bare % means this too)",
    "g/l": "g as citric acid in a litre of the finished liquid at 20 °C",
}


def aim_step(acidity: Measured | None) -> tuple[Step, ...]:
    """The acidity that was asked for and what it counts; nothing where none was."""
    if acidity is None:
        return ()
    unit = acidity.unit
    return (Step("acidity wanted", _UNIT_MEANS[unit], float(acidity), unit, "DEFINITION"),)


def density_kg_m3(mixture: Mixture) -> float:
    """Density at 20 C."""
    return mixture.density_kg_m3(20.0)


def density_error_kg_m3(mixture: Mixture) -> float:
    """Stated error of `density_kg_m3`; phosphoric acid in water by its own published rows."""
    if set(mixture.masses_kg) <= {"phosphoric", "water"} and mixture.of("phosphoric") > 0.0:
        return acids.DENSITY_ERROR["phosphoric"]
    return solution.density_error_kg_m3(mixture.solution_fractions)


def density_or_none(mixture: Mixture) -> float | None:
    """Density at 20 C where one is published."""
    try:
        return density_kg_m3(mixture)
    except BadInput:
        return None


def saturation_facts(mixture: Mixture, temperature_c: float) -> Facts:
    """Facts for the caution rules on what dissolves."""
    by_acid = derived.saturation(mixture, temperature_c)
    facts: dict[str, object] = {"storage_c": temperature_c}
    # What is too much at the lowest known temperature is too much colder as well.
    known = {acid: ratio for acid, (ratio, here, _) in by_acid.items() if here or ratio > 1.0}
    cold = {acid: ratio for acid, (ratio, _, _) in by_acid.items() if acid not in known}
    for name, ratios in (("saturation", known), ("cold_saturation", cold)):
        if ratios:
            worst = max(ratios, key=lambda acid: ratios[acid])
            facts[name] = ratios[worst]
            facts[f"{name}_acid"] = f"{worst} acid"
            facts[f"{name}_known_c"] = by_acid[worst][2]
            most = acids.solubility_mass_fraction(worst, by_acid[worst][2])
            facts[f"{name}_most_percent"] = 100.0 * most
    return checked(facts)


def shelf_facts(shelf: Iterable[tuple[str, float]]) -> Facts:
    """Facts about the bottles and bags that are handled: (acid, purity) of each."""
    facts: dict[str, float] = {}
    for acid, purity in shelf:
        name = f"handled_{acid}_percent"
        facts[name] = max(100.0 * purity, facts.get(name, 0.0))
    if "handled_lactic_percent" in facts:
        label = facts["handled_lactic_percent"]
        facts["lactic_at_once_percent"] = 100.0 * acids.lactic_acts_as(min(label / 100.0, 0.95))
    return checked(facts)


def ph_facts(mixture: Mixture) -> tuple[float | None, float, Facts]:
    """The pH, its stated error, and the facts about it; None with the reason where it has none."""
    try:
        found = mixture.ph
    except BadInput as error:
        return None, 0.0, {"ph": None, "ph_reason": error.message.rstrip(".")}
    return found.value, found.plus_minus, {"ph": found.value, "ph_error": found.plus_minus}


def known_ph(mixture: Mixture) -> float:
    """The pH; where none is known 0 in much acid and 14 in little, so that a search can pass.

    What a search ends on must go through `require_ph`.
    """
    try:
        return mixture.ph.value
    except BadInput:
        much = 0.5 * acids.TESTED_ACID_MOLALITY
        return 0.0 if math.fsum(mixture.acid_molalities.values()) > much else 14.0


def require_ph(wanted: float, found: Mixture, last_known: Mixture | None = None) -> None:
    """Refuse a search for a pH that ended where none is known; say what is possible."""
    try:
        if abs(found.ph.value - wanted) < 1e-3:
            return
        why = f"it would be {found.ph.value:.2f}"
    except BadInput as error:
        why = error.wording.rstrip(".")
        if math.fsum(found.acid_molalities.values()) >= acids.TESTED_ACID_MOLALITY * (1.0 - 1e-6):
            why = (
                f"it takes more than {acids.TESTED_ACID_MOLALITY:g} mol of acid in 1 kg water, "
                f"where no pH is known"
            )
    possible = ""
    if last_known is not None:
        try:
            lowest = math.ceil(100.0 * last_known.ph.value) / 100.0
            possible = f"; with these acids it can be brought down to {lowest:.2f}"
        except BadInput:
            pass
    raise BadInput(
        f"{named('target_ph')} {wanted:g} is outside what can be worked out here "
        f"({why}){possible}.",
        "target_ph",
    )


def dissolving_order(weigh: Iterable[tuple[ShelfAcid, float]]) -> list[tuple[ShelfAcid, float]]:
    """Powders from the least soluble to the most, then liquids (practice)."""

    def place(item: tuple[ShelfAcid, float]) -> tuple[bool, float]:
        one, _ = item
        return not one.powder, float(_POWDERS.index(one.acid)) if one.powder else one.purity

    return sorted(weigh, key=place)


def bound_at_first_mol(acid: str, purity: float, acid_kg: float) -> float:
    """Equivalents of a concentrated lactic acid that act only after standing diluted."""
    if acid != "lactic":
        return 0.0
    label = min(purity, 0.95)
    return (1.0 - acids.lactic_acts_as(label) / label) * acid_kg / acids.EQUIVALENT_KG["lactic"]


# One mole of each at 20 C and one atmosphere, for the size of what foams up.
CO2_L_KG = 24.05 / 0.044010
_BICARBONATES = {
    "potassium bicarbonate": ("potassium", 39.098, 100.115),
    "sodium bicarbonate": ("sodium", 22.990, 84.007),
}


def bicarbonate(name: str, mass_kg: float) -> tuple[dict[str, float], float]:
    """What a bicarbonate leaves in an acid liquid, kg by component, and the kg of gas that goes."""
    metal, metal_g_mol, whole_g_mol = _BICARBONATES[name]
    left = {
        metal: mass_kg * metal_g_mol / whole_g_mol,
        "water": mass_kg * (18.015 - 1.008) / whole_g_mol,  # the acid still counts its proton
    }
    return left, mass_kg * 44.010 / whole_g_mol


def tartar_facts(mixture: Mixture) -> Facts:
    """How near potassium and tartaric acid are to cream of tartar, where both are there."""
    water_kg = mixture.of("water")
    if mixture.of("tartaric") <= 0.0 or mixture.of("potassium") <= 0.0 or water_kg <= 0.0:
        return {}
    potassium = 1000.0 * mixture.of("potassium") / 39.098 / water_kg
    try:
        ratio = acids.cream_of_tartar_ratio(
            mixture.acid_molalities, potassium, mixture.strong_cation_molality[1]
        )
    except BadInput:
        return {}
    return {"tartar_ratio": ratio}


def in_acid(found: Ingredient) -> Mixture:
    """1 kg of an acid or salt as it ends up in an acid liquid: a bicarbonate loses its gas."""
    name = {"baking soda": "sodium bicarbonate"}.get(found.name, found.name)
    if name not in _BICARBONATES:
        return found.mixture
    left, _ = bicarbonate(name, 1.0)
    return Mixture(left, tags=found.mixture.tags)


# ---- how sweet and how sour a mixture is beside sucrose and citric acid ----


class Tasted(Record):
    """Sweetness as sucrose, acid to pH 4.4 as citric, both % w/w; None where 0. None without its ±.

    No figure of taste is better than a fifth for one person.
    """

    sweetness: float | None
    plus_minus: float
    sourness: float | None
    temperature_c: float

    @property
    def errors(self) -> dict[str, float]:
        """The stated error of what is shown."""
        known = {"sweetness": self.sweetness, "sourness": self.sourness}
        found = {name: sweetness.PERSON_ERROR * value for name, value in known.items() if value}
        if "sweetness" in found:
            found["sweetness"] = max(found["sweetness"], self.plus_minus)
        return found

    @property
    def steps(self) -> tuple[Step, ...]:
        """What the two rest on."""
        found = []
        if self.sweetness:
            found.append(
                Step("sweetness", "each sugar by its sweetness beside sucrose, fructose at "
                     f"{self.temperature_c:g} °C", self.sweetness, "% w/w", "FRUCTOSE-SWEETNESS")
            )  # fmt: skip
        if self.sourness:
            found.append(
                Step("acid to pH 4.4", "protons to pH 4.4 less minerals, as citric acid: it ranks "
                     "acids as tongues do", self.sourness, "% w/w", "SOUR-TITRATION")
            )  # fmt: skip
        return tuple(found)


def of(mixture: Mixture, temperature_c: float) -> Tasted:
    """A mixture at the temperature at which it is drunk, held within 0 and 60 C."""
    at_c = min(max(temperature_c, sweetness.SWEET_LOW_C), sweetness.SWEET_HIGH_C)
    sweet = mixture.sweetness_at(at_c)
    return Tasted(
        100 * sweet.value or None, 100 * sweet.plus_minus, 100 * mixture.sour_as_citric or None,
        at_c,
    )  # fmt: skip


def swap_table() -> Table:
    """What may stand for 10 g of citric acid: from the lowest to the highest of four rules."""
    rows = tuple(
        (f"{swap.acid} acid", *(10 * end for end in swap.range), 10 * swap.moles, 10 * swap.sour,
         10 * swap.titrated, None if swap.chart is None else 10 * swap.chart)
        for swap in sweetness.swaps()
        if swap.acid not in ("acetic", "ascorbic")
    )  # fmt: skip
    columns = (
        Column("acid"), Column("from", "g", 1), Column("to", "g", 1),
        Column("by moles", "g", 1), Column("by base to pH 4.4", "g", 1),
        Column("by titratable acidity", "g", 1), Column("by a maker's chart", "g", 1),
    )  # fmt: skip
    title = "as sour as 10 g of citric acid, in this range by rules that disagree: taste"
    return Table("swap", title, columns, rows)
