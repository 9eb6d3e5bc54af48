"""Mixture, the currency: masses by component, marks, and what follows from them.

The currency of the whole tool: an ingredient, a syrup, a drink, the contents of a siphon are all
mixtures. Adding adds masses, scaling scales them; every derived value calls a published relation in
`prepkit.science` and raises OutOfRange where that relation does not hold.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TypeVar

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.record import Record
from prepkit.science import acids, ethanol, food, keeping, solution, sweetness

# ---- marks that travel with a mixture into every later work, whatever it is mixed with ----

GASSY = "gassy"  # holds gas of its own: sparkling drinks (data/pantry)
FERMENTING = "fermenting"  # makes gas as it stands (data/pantry)
CARBONATE = "carbonate"  # gives gas with acid (data/pantry)
SETS_COLD = "sets-cold"  # a gelling agent that sets as it cools (data/pantry)
SETS_HOT = "sets-hot"  # one that sets as it is heated (data/pantry)
SOLID_FAT = "solid-fat"  # a fat that is solid in a cool room (data/pantry)


# ---- mixture ----

SUGARS = ("sucrose", "glucose", "fructose", "lactose", "maltose")
ACIDS = (
    "citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "succinic", "fumaric",
    "ascorbic",
)  # fmt: skip
SWEET_ALCOHOLS = ("erythritol", "xylitol", "sorbitol", "isomalt")
SWEET = (*SUGARS, "allulose", *SWEET_ALCOHOLS, "glycerol")
MINERALS = ("potassium", "sodium", "calcium", "magnesium", "phosphorus")
COMPONENTS = (
    "water", *SUGARS, "allulose", *SWEET_ALCOHOLS, "other_solubles", "glycerol", "ethanol", *ACIDS,
    "salt", *MINERALS, "caffeine",
    "milk_fat", "fat", "protein", "fibre", "ash", "essential_oil", "foamer", "gum",
)  # fmt: skip
_KNOWN = frozenset(COMPONENTS)
_Found = TypeVar("_Found")
# dissolved in the water phase; ash and minor minerals are lumped with the other dissolved solids
_DISSOLVED = frozenset(
    (*SUGARS, "allulose", *SWEET_ALCOHOLS, "other_solubles", "glycerol", "ethanol", *ACIDS,
     *keeping.NAMES)
)  # fmt: skip
_LUMPED = frozenset(("calcium", "magnesium", "phosphorus", "ash", "caffeine", "foamer", "gum"))
_NOT_DISSOLVED = ("milk_fat", "fat", "protein", "fibre", "essential_oil")
_CO86 = {"fat": "fat", "protein": "protein", "fibre": "fibre"}
NOTHING = 1e-6  # of a batch: less is rounding, and no kitchen scale shows it (judgement)
# orange oil at 20 C: 0.842 to 0.846 at 25/25 C [USP-32], 0.75 kg/m3 per K (memory): 843 to 847.
# Lemon oil is 1 % denser [LEMON-OIL].
ESSENTIAL_OIL_KG_M3 = 845.0
_PH_ERROR_HIGH = 1.0  # a pH that is less sure than this says nothing
_KCAL_PER_G = {
    "fat": 9.0, "milk_fat": 9.0, "protein": 4.0, "ethanol": 7.0, "fibre": 2.0, "glycerol": 4.32,
    "other_solubles": 4.0, "essential_oil": 9.0,
    # polyols 2.4 and erythritol 0 in the European label rules; allulose 0.4 (memory)
    "xylitol": 2.4, "sorbitol": 2.4, "isomalt": 2.4, "allulose": 0.4,
} | dict.fromkeys(SUGARS, 4.0) | dict.fromkeys(ACIDS, 3.0)  # fmt: skip


_NOTHING_KNOWN: frozenset[str] = frozenset()


def something(kg: float, whole_kg: float) -> float:
    """`kg`, or 0 where that is less than 1e-6 of the whole: rounding is never an addition.

    >>> something(0.002, 1.0), something(1e-17, 1.0)
    (0.002, 0.0)
    """
    return kg if kg > NOTHING * whole_kg else 0.0


class Estimate(Record):
    """A derived value with the stated error of the relation it came from."""

    value: float
    plus_minus: float


class Mixture(Record):
    """Masses in kg by component, and what must be known of it beside its masses.

    `allergens` are ids of data/allergens.toml (with a detail after a colon), `tags` are hazard tags
    of the pantry, `keeps` the keeping classes of what went in ("dairy", "egg", "juice", ...).

    >>> syrup = Mixture({"sucrose": 1.0}) + Mixture({"water": 1.0})
    >>> round(100 * syrup.dissolved_solids, 2)
    50.0
    """

    masses_kg: Mapping[str, float]
    allergens: frozenset[str] = _NOTHING_KNOWN
    tags: frozenset[str] = _NOTHING_KNOWN
    keeps: frozenset[str] = _NOTHING_KNOWN

    def __init__(
        self,
        masses_kg: Mapping[str, float],
        allergens: frozenset[str] = _NOTHING_KNOWN,
        tags: frozenset[str] = _NOTHING_KNOWN,
        keeps: frozenset[str] = _NOTHING_KNOWN,
    ) -> None:
        for component, mass_kg in masses_kg.items():
            if component not in _KNOWN:
                raise BadInput(
                    f'"{component}" is not a component; the components are {", ".join(COMPONENTS)}.'
                )
            if not 0.0 <= mass_kg < math.inf:  # nor is it nan
                raise OutOfRange(f"mass of {component}", mass_kg, 0.0, None, "kg")
        fields = self.__dict__
        # of many mixtures nothing is known: they hold one empty set, and not each its own
        fields["masses_kg"], fields["allergens"] = masses_kg, allergens or _NOTHING_KNOWN
        fields["tags"], fields["keeps"] = tags or _NOTHING_KNOWN, keeps or _NOTHING_KNOWN

    def once(self, work: Callable[[Mixture], _Found]) -> _Found:
        """What `work` makes of it, made once. It is shared: not to be changed."""
        held: dict[Callable[[Mixture], _Found], _Found] = vars(self).setdefault("_once", {})
        if work not in held:
            held[work] = work(self)
        return held[work]

    # arithmetic

    def __add__(self, other: Mixture) -> Mixture:
        masses = dict(self.masses_kg)
        for component, mass_kg in other.masses_kg.items():
            masses[component] = masses.get(component, 0.0) + mass_kg
        return Mixture(
            masses,
            self.allergens | other.allergens,
            self.tags | other.tags,
            self.keeps | other.keeps,
        )

    def scaled(self, factor: float) -> Mixture:
        """The same preparation, `factor` times as much (factor >= 0)."""
        masses = {component: mass * factor for component, mass in self.masses_kg.items()}
        return Mixture(masses, self.allergens, self.tags, self.keeps)

    def of_mass(self, mass_kg: float) -> Mixture:
        """The same preparation, `mass_kg` of it."""
        if self.mass_kg <= 0:
            raise BadInput("an empty mixture cannot be scaled to a mass; give it an ingredient.")
        return self.scaled(mass_kg / self.mass_kg)

    def without(self, removed: Mapping[str, float]) -> Mixture:
        """Less `removed` kg of each component; raises OutOfRange below zero."""
        masses = dict(self.masses_kg)
        for component, mass_kg in removed.items():
            left = masses.get(component, 0.0) - mass_kg
            if left < -1e-12:
                raise OutOfRange(
                    f"{component} removed", mass_kg, 0.0, masses.get(component, 0.0), "kg"
                )
            masses[component] = max(left, 0.0)
        return Mixture(masses, self.allergens, self.tags, self.keeps)

    def marked(self, *, tags: Iterable[str] = (), allergens: Iterable[str] = ()) -> Mixture:
        """The same masses with more tags or allergens."""
        return Mixture(
            self.masses_kg,
            self.allergens | frozenset(allergens),
            self.tags | frozenset(tags),
            self.keeps,
        )

    @staticmethod
    def total(parts: Iterable[Mixture]) -> Mixture:
        """The sum of any number of mixtures; their order changes no digit of it.

        A part of 0 kg is not in it, and neither is what is known of that part.
        """
        added = tuple(part for part in parts if not part.masses_kg or part.mass_kg > 0.0)
        masses: dict[str, list[float]] = {}
        for part in added:
            for component, mass_kg in part.masses_kg.items():
                masses.setdefault(component, []).append(mass_kg)
        return Mixture(
            {name: math.fsum(masses[name]) for name in COMPONENTS if name in masses},
            frozenset().union(*(part.allergens for part in added)),
            frozenset().union(*(part.tags for part in added)),
            frozenset().union(*(part.keeps for part in added)),
        )

    # masses

    def of(self, *components: str) -> float:
        """Mass in kg of the named components together."""
        masses = self.masses_kg
        if len(components) == 1:
            return float(masses.get(components[0], 0.0))
        return math.fsum([masses[component] for component in components if component in masses])

    def fraction(self, *components: str) -> float:
        """Mass fraction (0-1) of the named components together."""
        return self.of(*components) / self.mass_kg if self.mass_kg else 0.0

    @cached_property
    def mass_kg(self) -> float:
        """Total mass, kg."""
        return math.fsum(self.masses_kg.values())

    @cached_property
    def solution_kg(self) -> float:
        """Mass of the water phase: water, ethanol and everything dissolved, kg."""
        return self.mass_kg - self.of(*_NOT_DISSOLVED)

    @cached_property
    def solution_fractions(self) -> dict[str, float]:
        """Mass fractions in the water phase by the names of `science.solution`, water implied."""
        total = self.solution_kg
        if total <= 0:
            return {}
        fractions: dict[str, float] = {}
        lumped = 0.0
        # the volume of milk solids was fitted with the minerals of milk among them
        milk = ("sodium", "potassium") if "dairy" in self.tags else ()
        for component, mass in self.masses_kg.items():
            if mass <= 0.0:
                continue
            if component in milk:
                lumped += mass / total
            elif component in _DISSOLVED:
                fractions[component] = mass / total
            elif component in _LUMPED:
                lumped += mass / total
        if lumped:
            fractions["other_solubles"] = fractions.get("other_solubles", 0.0) + lumped
        return fractions

    @cached_property
    def sugar(self) -> float:
        """Mass fraction of all sugars."""
        return self.fraction(*SUGARS)

    @cached_property
    def dissolved_solids(self) -> float:
        """True dissolved solids: mass fraction of the water phase, ethanol not counted."""
        fractions = self.solution_fractions
        return math.fsum(value for name, value in fractions.items() if name != "ethanol")

    # volume and density

    def volume_m3(self, temperature_c: float = 20.0) -> float:
        """Volume at a temperature, m3, without trapped gas; see `_volume_m3`."""
        held: dict[float, float] = vars(self).setdefault("_volumes", {})
        if temperature_c not in held:
            held[temperature_c] = self._volume_m3(temperature_c)
        return held[temperature_c]

    def _volume_m3(self, temperature_c: float) -> float:
        """Volume at a temperature.

        Water phase by `science.solution` (its stated error), milk fat and milk solids by the
        published table of milk and cream between 4 and 39 C, other fat, protein and fibre by the
        food-composition relation. Raises OutOfRange outside those.
        """
        inert = 0.0
        solution_kg = self.solution_kg
        fractions = self.solution_fractions
        masses = self.masses_kg
        if "milk_fat" in masses and masses["milk_fat"] > 0:
            inert += masses["milk_fat"] * food.milk_fat_volume_m3_kg(temperature_c)
        for component, name in _CO86.items():
            mass = masses.get(component, 0.0)
            if mass and component == "protein" and "dairy" in self.tags:
                inert += mass * food.milk_protein_volume_m3_kg(temperature_c)
            elif mass:
                inert += mass / food.component_density_kg_m3(name, temperature_c)
        oil = masses.get("essential_oil", 0.0)
        if oil:
            inert += oil / ESSENTIAL_OIL_KG_M3
        if solution_kg <= 0:
            return inert
        return inert + solution_kg / solution.density_kg_m3(fractions, temperature_c)

    def density_kg_m3(self, temperature_c: float = 20.0) -> float:
        """Density at a temperature, kg/m3, without trapped gas; see `volume_m3`."""
        volume = self.volume_m3(temperature_c)
        if volume <= 0:
            raise BadInput("an empty mixture has no density; give it an ingredient.")
        return self.mass_kg / volume

    @cached_property
    def volume_20_m3(self) -> float:
        """Volume at 20 C, m3."""
        return self.volume_m3(20.0)

    # readings

    @cached_property
    def refractometer_brix(self) -> float:
        """Expected refractometer reading at 20 C; sugar only where there is nothing but sugar."""
        return solution.refractometer_brix(self.solution_fractions)

    @cached_property
    def hydrometer_brix(self) -> float:
        """What a sugar hydrometer shows in the strained liquid at 20 C."""
        return solution.hydrometer_brix(self.solution_fractions)

    # strength

    @property
    def ethanol_kg(self) -> float:
        """Ethanol, kg."""
        return self.of("ethanol")

    @cached_property
    def abv(self) -> float:
        """Alcoholic strength by volume at 20 C, fraction 0-1."""
        if not self.ethanol_kg:
            return 0.0
        return self.ethanol_kg / ethanol.PURE_KG_M3 / self.volume_20_m3

    @cached_property
    def solvent_ethanol(self) -> float:
        """Mass fraction of ethanol in water + ethanol alone."""
        solvent = self.of("ethanol", "water")
        return self.of("ethanol") / solvent if solvent else 0.0

    # acidity

    @cached_property
    def acid_molalities(self) -> dict[str, float]:
        """mol of each acid per kg of water, phosphorus counted as phosphoric acid."""
        water_kg = self.of("water")
        if water_kg <= 0:
            return {}
        molal = {
            acid: mass / acids.MOLAR_MASS_KG_MOL[acid] / water_kg
            for acid in ACIDS
            if (mass := self.masses_kg.get(acid, 0.0)) > 0
        }
        phosphorus = self.masses_kg.get("phosphorus", 0.0)
        if phosphorus:
            molal["phosphoric"] = molal.get("phosphoric", 0.0) + phosphorus / 0.030974 / water_kg
        return molal

    @cached_property
    def strong_cation_molality(self) -> tuple[float, float, float]:
        """Equivalents of strong cations per kg water: least, best estimate, most."""
        water_kg = self.of("water")
        if water_kg <= 0:
            return (0.0, 0.0, 0.0)
        masses = self.masses_kg
        least, point, most = acids.strong_cations_mol(
            masses.get("potassium", 0.0),
            masses.get("sodium", 0.0),
            masses.get("calcium", 0.0),
            masses.get("magnesium", 0.0),
        )
        return (least / water_kg, point / water_kg, most / water_kg)

    @cached_property
    def net_acidity_eq_kg(self) -> float:
        """Acids to pH 8.2 less the minerals that neutralise them, equivalents per kg of the whole.

        Negative where minerals outweigh the acids: that much acid is taken up before any titrates.
        """
        if not self.mass_kg or self.of("water") <= 0:
            return 0.0
        minerals = self.strong_cation_molality[1]
        per_kg_water = -minerals
        if self.acid_molalities:
            per_kg_water = acids.titratable_acidity_eq_kg(self.acid_molalities, minerals)
        return per_kg_water * self.of("water") / self.mass_kg

    @property
    def titratable_acidity_eq_kg(self) -> float:
        """Titratable acidity to pH 8.2, equivalents per kg of the whole; never below zero."""
        return max(0.0, self.net_acidity_eq_kg)

    @cached_property
    def acidity_as_citric(self) -> float:
        """Titratable acidity as anhydrous citric acid, mass fraction."""
        return self.titratable_acidity_eq_kg * acids.EQUIVALENT_KG["citric"]

    @cached_property
    def sugar_acid_ratio(self) -> float | None:
        """Sugars over titratable acidity as citric, by mass; None without acid."""
        return self.sugar / self.acidity_as_citric if self.acidity_as_citric > 1e-9 else None

    @cached_property
    def ph(self) -> Estimate:
        """pH at 25 C with its stated error.

        Alcohol raises every pKa by the likely share of the published shift; the error holds the
        whole band. That is an estimate from one family of acids. Raises OutOfRange above 50 % vol,
        above 50 % sugar, above ionic strength 0.5, and where protein (which takes up acid) is
        above 1 %; BadInput without an acid to work from, where it comes out above 7 (its
        minerals are listed without their acids), and where its stated error is more than 1.
        """
        molal = self.acid_molalities
        if not molal:
            raise BadInput("pH needs an acid in the mixture; water or salt alone has no usable pH.")
        if self.fraction("protein") > 0.01:
            raise OutOfRange(
                "protein", 100 * self.fraction("protein"), 0.0, 1.0, "%", "pH model without protein"
            )
        acids.require_medium(min(self.sugar, 1.0), self.abv)
        least, point, most = self.strong_cation_molality
        water_kg = self.of("water")
        solvent_kg = water_kg + self.ethanol_kg
        if self.ethanol_kg:  # the published constants are per kg of the solvent
            molal = {acid: m * water_kg / solvent_kg for acid, m in molal.items()}
            least, point, most = (m * water_kg / solvent_kg for m in (least, point, most))
        shift = acids.food_acid_pk_shift(self.ethanol_kg / solvent_kg)
        value, ionic = acids.equilibrium(molal, point, pk_shift=shift.point)
        if value > 7.0:  # minerals without the acids that go with them: no figure to show
            raise BadInput(
                "its minerals are listed without the acids that go with them. Measure the pH."
            )
        error = acids.ph_error(ionic, math.fsum(molal.values()))
        if most > 0:  # minerals of a composition table: the bracket, and what the table leaves open
            bracket = 0.5 * abs(acids.ph(molal, most) - acids.ph(molal, least))
            error = math.hypot(max(error, acids.ERROR_JUICE_LOW), bracket)
        if self.ethanol_kg:
            low, high = (
                acids.equilibrium(molal, point, pk_shift=number).ph
                for number in (shift.low, shift.high)
            )
            error += max(value - low, high - value)
        if error > _PH_ERROR_HIGH:
            raise BadInput(
                f"with so little acid and minerals from a table the pH could be off by {error:.1f}"
                f". Measure it with a calibrated meter."
            )
        return Estimate(value, error)

    # keeping and cold

    @cached_property
    def water_activity(self) -> Estimate:
        """Water activity at 25 C with its stated error."""
        return Estimate(*keeping.of_mixture(self._molar_base()))

    @cached_property
    def freezing_point_c(self) -> float:
        """Freezing point, C (approximate additive rule for mixtures)."""
        return keeping.of_mixture_c(self._molar_base())

    def _molar_base(self) -> dict[str, float]:
        """Dissolved components and water in kg, for relations per kg of water."""
        base = {name: mass for name, mass in self.masses_kg.items() if name in _DISSOLVED and mass}
        base["water"] = self.of("water")
        return base

    def time_temperature_control(self, heat_treated_and_packaged: bool = False) -> str:
        """ "N" or "PA" by the Food Code tables on this mixture's own pH and water activity.

        Raises OutOfRange above 20 % vol: the tables are of food in water.
        """
        require("abv", self.abv, 0.0, acids.KEEPING_ABV_HIGH, "as a fraction by volume")
        return keeping.time_temperature_control(
            self.ph.value, self.water_activity.value, heat_treated_and_packaged
        )

    # heat

    def specific_heat_j_kg_k(self, temperature_c: float = 20.0) -> float:
        """Specific heat, J/(kg K): spirit, dissolved solids 1820, the rest by composition."""
        solvent = self.of("water", "ethanol")
        heat = 0.0
        if solvent:
            heat += solvent * ethanol.specific_heat_j_kg_k(self.solvent_ethanol, temperature_c)
        dissolved = self.solution_kg - solvent
        heat += max(dissolved, 0.0) * 1820.0
        for component, name in (*_CO86.items(), ("milk_fat", "fat"), ("essential_oil", "fat")):
            mass = self.masses_kg.get(component, 0.0)
            if mass:
                heat += mass * food.component_specific_heat_j_kg_k(name, temperature_c)
        return heat / self.mass_kg if self.mass_kg else 0.0

    # what it is to the guest

    def sweetness_at(self, temperature_c: float) -> Estimate:
        """Sweetness of 1 kg as kg of sucrose where it is drunk at 0 to 60 C."""
        found = sweetness.sweetness({name: self.fraction(name) for name in SWEET}, temperature_c)
        return Estimate(*found)

    @cached_property
    def sour_as_citric(self) -> float:
        """Acid by titration to pH 4.4 as anhydrous citric acid in water, mass fraction."""
        if self.of("water") <= 0 or not self.acid_molalities:
            return 0.0
        taken = sweetness.sour_eq_kg(self.acid_molalities, self.strong_cation_molality[1])
        per_kg = taken * self.of("water") / self.mass_kg
        return per_kg * acids.MOLAR_MASS_KG_MOL["citric"] / sweetness.sour_eq_mol("citric")

    @cached_property
    def energy_kcal(self) -> float:
        """Energy of the whole by general food factors, kcal."""
        return 1000 * math.fsum(
            mass * _KCAL_PER_G.get(component, 0.0) for component, mass in self.masses_kg.items()
        )
