"""acid-match: the acids on the shelf that match a juice.

In that order: the titratable acidity is met where anything on the shelf can meet it; then the
kinds of acid, as shares of all acid; the pH as far as minerals on the shelf bring it there. Acids
alone make the pH that they make, and are not exchanged for others to chase it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.ingredient import Ingredient
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import ingredient, number, quantity, words
from prepkit.mixture import MINERALS, NOTHING, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import acids
from prepkit.science.solvers import MOST_UNKNOWNS, non_negative
from prepkit.shared import acidity
from prepkit.units import Measured

# ---- what acid-match is told ----


class Bottle(str):
    """The words of one acid or acid salt off the shelf, with what it is."""

    ingredient: Ingredient
    mixture: Mixture  # of 1 kg, as it ends up in the liquid

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> Bottle:
        """Read "malic acid" or "tripotassium citrate"; BadInput otherwise."""
        if said[:1].isdigit():
            raise BadInput(
                f"{named('acid', f'{said}')}: acid-match finds the amounts itself; write the name "
                "alone.",
                "acid",
            )
        found = pantry.ingredient(said, named("acid"))
        own = found.mixture
        if not own.of(*acids.FOOD_ACIDS, *MINERALS) or own.of("sucrose", "glucose", "fructose"):
            raise BadInput(
                f"{named('acid', f'{said}')}: {found.name} is not an acid or an acid salt.", "acid"
            )
        self = cls(said)
        self.ingredient, self.mixture = found, acidity.in_acid(found)
        return self


class Inputs(BaseInputs):
    """The acids in the house and the juice to match."""

    groups = (
        ("Most needed", "like acid make"),
        ("Target", "acidity ph"),
    )
    takes = (("acid", "acid"),)

    acid: tuple[Bottle, ...] = words(
        "acids and salts at hand",
        "An acid, or a salt such as trisodium citrate in place of a juice's potassium. One "
        "entry for each.",
        "citric acid",
        many=True,
        several=True,
    )
    like: Ingredient | None = ingredient(
        "juice to match",
        "Its published acids and minerals give the acidity, pH and make-up.",
        "lime juice",
        default=None,
    )
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity to match",
        "Your own titration, as citric acid (a bare % is by weight). Replaces the published "
        "acidity.",
        "5.5 % w/w",
        default=None,
        above=0,
        high=300,
    )
    ph: float | None = number(
        "pH to match", "Your own reading. Replaces the computed one.", "2.3",
        default=None, low=1.0, high=7.0, because="no juice lies outside",
    )  # fmt: skip
    make: Measured = quantity(
        ("ml", "g"),
        "how much to make",
        "The finished liquid, by volume at 20 °C or by mass.",
        "1 l",
        default=1000.0,
        above=0,
        high=1e6,
        because="a batch of at most a tonne",
        extensive=True,
    )

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: the bottles on the shelf."""
        if name != "acid":
            return value
        if not 1 <= len(value) <= MOST_UNKNOWNS:
            raise BadInput(
                f"{named('acid')} names {len(value)} things; acid-match takes 1 to "
                f"{MOST_UNKNOWNS}, such as "
                f"{named('acid', 'citric acid')} {named('acid', 'malic acid')}.",
                "acid",
            )
        return tuple(Bottle.read(one, pantry) for one in value)

    def words(self) -> dict[str, object]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}


# ---- which amounts of acids and acid salts come nearest to an acidity, a make-up and a pH ----

# A miss of this size counts as one: share of the acidity, share of the acids' kinds, pH.
ACIDITY_MISS, MAKE_UP_MISS, PH_MISS = 1e-4, 0.02, 0.05
_PASSES = 12
_NO_MINERALS = (
    "nothing on the shelf brings minerals, so it was left out: acidity and kinds of acid come first"
)
_ONLY_UP = "minerals only raise it, so it was left out: acidity and kinds of acid come first"
_NO_NEARER = "this shelf comes no nearer at that acidity"


class Aim(NamedTuple):
    """Per kg of the finished liquid: equivalents, pH, and mol of each acid where a juice says."""

    eq: float
    ph: float | None
    make_up: Mapping[str, float]


class Match(NamedTuple):
    """Kg of each bottle in 1 kg of liquid, and what is to be said where the pH is missed."""

    kg: list[float]
    ph_because: str = _NO_NEARER
    ph_left_out: bool = False


def moles(mixture: Mixture) -> dict[str, float]:
    """Mol of each food acid, its salts included."""
    return {
        a: mixture.of(a) / acids.MOLAR_MASS_KG_MOL[a]
        for a in acids.FOOD_ACIDS
        if mixture.of(a) > 0.0
    }


def make_up_off(aim: Aim, made: Mixture) -> float:
    """Share of the acid, %, that is of another kind than wanted: 0 to 100."""
    found = moles(made)
    whole, wanted = math.fsum(found.values()), math.fsum(aim.make_up.values())
    if not whole or not wanted:
        return 100.0 if wanted else 0.0
    return 50.0 * math.fsum(
        abs(found.get(a, 0.0) / whole - aim.make_up.get(a, 0.0) / wanted)
        for a in {*found, *aim.make_up}
    )


def searched_liquid(bottles: Sequence[Mixture], kg: Sequence[float]) -> Mixture:
    """1 kg of the finished liquid."""
    dry = Mixture.total(b.scaled(x) for b, x in zip(bottles, kg, strict=True))
    return dry + Mixture({"water": max(1.0 - dry.mass_kg, 0.0)})


def matched(bottles: Sequence[Mixture], aim: Aim) -> Match:
    """The amounts that come nearest; bottles as 1 kg of each, as it ends up in the liquid."""
    plain = [place for place, bottle in enumerate(bottles) if not bottle.of(*MINERALS)]
    if aim.ph is None or not aim.make_up or not plain:
        return Match(_fit(bottles, aim))
    of_acids = _fit([bottles[place] for place in plain], Aim(aim.eq, None, aim.make_up))
    kg = [0.0] * len(bottles)
    for place, x in zip(plain, of_acids, strict=True):
        kg[place] = x
    if len(plain) == len(bottles):
        return Match(kg, _NO_MINERALS, True)
    if 0.0 < math.fsum(kg) < 1.0:
        ph = acidity.ph_facts(searched_liquid(bottles, kg))[0]
        if ph is not None and ph >= aim.ph:
            return Match(kg, _ONLY_UP, True)
    return Match(_fit(bottles, aim))


def _fit(bottles: Sequence[Mixture], aim: Aim) -> list[float]:
    """Least squares at the aim's own pH, where both balances are linear in the amounts.

    Repeated, because the activities and the strength in the flask follow from the amounts.
    """
    contents = [moles(bottle) for bottle in bottles]
    cations = [_cations(bottle) for bottle in bottles]
    taken = [
        math.fsum(mol * acids.protons_titrated(a, acidity.END_POINT) for a, mol in own.items()) - c
        for own, c in zip(contents, cations, strict=True)
    ]
    kinds = _make_up_rows(contents, aim)
    kg = [aim.eq * 0.06 / len(bottles)] * len(bottles)
    eq = aim.eq
    for _ in range(_PASSES):
        scale = 1.0 / (ACIDITY_MISS * aim.eq)
        rows = [[scale * value for value in taken], *kinds]
        wanted = [scale * eq, *(0.0 for _ in kinds)]
        if aim.ph is not None:
            row, value = _ph_row(searched_liquid(bottles, kg), contents, cations, aim.ph)
            rows.append(row)
            wanted.append(value)
        kg = non_negative(rows, wanted)
        if not 0.0 < math.fsum(kg) < 1.0:
            break
        found = acidity.titratable_eq_kg(searched_liquid(bottles, kg))
        linear = math.fsum(t * x for t, x in zip(taken, kg, strict=True))
        eq = aim.eq + linear - found  # the flask's own strength, a part in a thousand
    return kg


def _make_up_rows(contents: Sequence[Mapping[str, float]], aim: Aim) -> list[list[float]]:
    """For each acid: how much of it there is beyond its share of all acid."""
    whole = math.fsum(aim.make_up.values())
    if not whole:
        return []
    names = sorted({*aim.make_up, *(a for own in contents for a in own)})
    unit = 1.0 / (MAKE_UP_MISS * whole)
    return [
        [
            unit * (own.get(a, 0.0) - aim.make_up.get(a, 0.0) / whole * math.fsum(own.values()))
            for own in contents
        ]
        for a in names
    ]


def _ph_row(
    made: Mixture, contents: Sequence[Mapping[str, float]], cations: Sequence[float], ph: float
) -> tuple[list[float], float]:
    """Charge balance at the wanted pH in units of a miss of pH, with the activities of now."""
    molal = made.acid_molalities or {"citric": 1e-6}
    strong = acids.at_fixed_ph(molal, ph)
    ionic = min(strong.ionic_strength, acids.IONIC_STRENGTH_HIGH)
    beta = (acids.at_fixed_ph(molal, ph + 0.05).strong_cation
            - acids.at_fixed_ph(molal, ph - 0.05).strong_cation) / 0.1  # fmt: skip
    water = made.of("water")
    unit = 1.0 / (PH_MISS * max(beta * water, 1e-6))
    row = [
        unit * (math.fsum(mol * acids.mean_charge(a, ph, ionic) for a, mol in own.items()) - c)
        for own, c in zip(contents, cations, strict=True)
    ]
    free = (strong.acid_charge - strong.strong_cation) * water  # hydrogen less hydroxide
    return row, unit * free


def _cations(mixture: Mixture) -> float:
    metals = (mixture.of(name) for name in ("potassium", "sodium", "calcium", "magnesium"))
    return acids.strong_cations_mol(*metals).point


def ph_range(bottles: Sequence[Mixture], eq: float) -> tuple[float | None, float | None]:
    """Lowest and highest pH at an acidity: those of single acids; no top where there is a salt."""
    found = []
    plain = [bottle for bottle in bottles if not bottle.of(*MINERALS)]
    for bottle in plain:
        kg = _fit((bottle,), Aim(eq, None, {}))
        ph = (
            acidity.ph_facts(searched_liquid((bottle,), kg))[0]
            if 0.0 < math.fsum(kg) < 1.0
            else None
        )
        if ph is not None:
            found.append(ph)
    if not found:
        return None, None
    return min(found), max(found) if len(plain) == len(bottles) else None


def aim_of(
    like: Mixture | None,
    like_name: str,
    wanted: float | None,
    ph: float | None,
) -> Aim:
    """The aim of a juice, of an own measurement (as citric, mass fraction), or of both."""
    make_up: dict[str, float] = {}
    eq = 0.0
    if like is not None:
        eq = like.titratable_acidity_eq_kg
        if eq < 1e-4:
            raise BadInput(f"{named('like')} {like_name} has no acids to match.", "like")
        whole = like.of(*acids.FOOD_ACIDS)
        make_up = {a: mol for a, mol in moles(like).items() if like.of(a) > 0.01 * whole}
        if ph is None:
            ph = acidity.ph_facts(like)[0]
    if wanted is not None:
        own = wanted / acids.EQUIVALENT_KG["citric"]
        make_up = {a: mol * own / eq for a, mol in make_up.items()}
        eq = own
    return Aim(eq, ph, make_up)


# ---- acid-match ----

EXAMPLE = (
    'prepkit acid-match --like "lime juice" --acid "citric acid" --acid "malic acid" '
    '--acid "tripotassium citrate" --make "1 l"'
)
_HOPELESS_PH = 0.5


class Result(BaseResult):
    """The nearest make-up, and how near it is."""

    screen = Screen(
        headline=("{acidity} acidity at pH {ph}; wanted {acidity_wanted} at pH {ph_wanted}.",),
        primary=(
            Figure("acidity, as citric", "acidity"),
            Figure("acidity wanted, as citric", "acidity_wanted"),
            Figure("pH", "ph"),
            Figure("pH wanted", "ph_wanted"),
            Figure("acid of another kind", "make_up_off"),
            Figure("volume", "volume"),
        ),
        check=("mass", Figure("density", "density")),
        weigh="weigh",
    )

    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 1, extensive=True)
    water: float | None = output("water to weigh", "g", 1, extensive=True)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity made, as citric", "% w/w", 2)
    acidity_wanted: float | None = output("titratable acidity wanted, as citric", "% w/w", 2)
    ph: float | None = output("pH made", "", 2)
    ph_wanted: float | None = output("pH wanted", "", 2)
    ph_lowest: float | None = output("lowest pH within reach", "", 2, limit="least")
    ph_highest: float | None = output("highest pH within reach", "", 2, limit="most")
    make_up_off: float | None = output("share of other acids", "%", 0)


def compute(inputs: Inputs) -> Result:
    """The nearest make-up; a strength per litre needs the density that follows from it."""
    bottles = [bottle.mixture for bottle in inputs.acid]
    aim = _aim(inputs, 1000.0)
    found = matched(bottles, aim)
    if inputs.acidity is not None and inputs.acidity.unit == "g/l":
        for _ in range(4):
            made = searched_liquid(bottles, found.kg)
            aim = _aim(inputs, acidity.density_or_none(made) or 1000.0)
            found = matched(bottles, aim)
    ends = lowest, highest = ph_range(bottles, aim.eq)
    if aim.ph is not None and inputs.ph is not None and lowest is not None:
        short = max(lowest - aim.ph, aim.ph - (highest or aim.ph))
        if short > _HOPELESS_PH:
            most = f" to {highest:.2f}" if highest else " and more"
            raise BadInput(
                f"{named('ph')} {aim.ph:g} is out of reach: at that acidity what is on the shelf "
                "makes pH "
                f"{lowest:.2f}{most}; change the acidity, or add a salt such as trisodium citrate "
                f"to go up.",
                "ph",
            )
    return _answer(aim, found, ends, inputs)


def _aim(inputs: Inputs, density: float) -> Aim:
    if inputs.like is None and inputs.acidity is None:
        raise BadInput(
            "acid-match needs a juice or your own measurement. Write "
            f"{named('like', 'lime juice')}, or both {named('acidity')} and {named('ph')}.",
            "like",
        )
    wanted = None
    if inputs.acidity is not None:
        wanted = float(inputs.acidity) / (100.0 if inputs.acidity.unit == "% w/w" else density)
    like = inputs.like
    return aim_of(like.mixture if like else None, like.name if like else "", wanted, inputs.ph)


def _answer(
    aim: Aim, found: Match, ends: tuple[float | None, float | None], inputs: Inputs
) -> Result:
    bottles = inputs.acid
    kg = found.kg
    if not 0.0 < math.fsum(kg) < 1.0:
        raise BadInput(
            "nothing on the shelf gives that acidity in water; add an acid such as citric acid.",
            "acid",
        )
    liquid = searched_liquid([bottle.mixture for bottle in bottles], kg)
    density = acidity.density_kg_m3(liquid)
    size = float(inputs.make)
    mass_kg = 1e-3 * size if inputs.make.unit == "g" else 1e-6 * size * density
    eq = acidity.titratable_eq_kg(liquid)
    ph, ph_error, facts = acidity.ph_facts(liquid)
    citric = acids.EQUIVALENT_KG["citric"]
    off = make_up_off(aim, liquid)
    facts |= acidity.shelf_facts(
        (a, b.mixture.fraction(a))
        for b, x in zip(bottles, kg, strict=True)
        for a in acids.FOOD_ACIDS
        if x > NOTHING and b.mixture.of(*MINERALS) <= 0.0 and b.mixture.of(a) > 0.0
    )
    facts |= acidity.saturation_facts(liquid, 20.0) | acidity.tartar_facts(liquid)
    facts |= {
        "acidity_wanted_percent": 100.0 * aim.eq * citric,
        "acidity_percent": 100.0 * eq * citric,
        "acidity_off_percent": 100.0 * abs(eq / aim.eq - 1.0),
    }
    if aim.ph is not None and ph is not None:
        facts |= {
            "ph_wanted": aim.ph,
            "ph_off": abs(ph - aim.ph),
            "ph_because": found.ph_because,
        }
    if aim.make_up:
        facts["make_up_off_percent"] = off
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts)
    used = [(b, x) for b, x in zip(bottles, kg, strict=True) if x > NOTHING]
    weigh = [("water", 1000.0 * mass_kg * max(1.0 - math.fsum(kg), 0.0))]
    weigh += [(b.ingredient.name, 1000.0 * mass_kg * x / b.mixture.mass_kg) for b, x in used]
    _, errors = derived.of(liquid)
    errors["density"] = acidity.density_error_kg_m3(liquid)
    if ph is not None:
        errors["ph"] = ph_error
    return Result(
        product=liquid.scaled(mass_kg),
        mass=1000.0 * mass_kg,
        volume=1e6 * mass_kg / density,
        water=weigh[0][1],
        density=density,
        acidity=100.0 * eq * citric,
        acidity_wanted=100.0 * aim.eq * citric,
        ph=ph,
        ph_wanted=aim.ph,
        ph_lowest=ends[0],
        ph_highest=ends[1],
        make_up_off=off if aim.make_up else None,
        facts=facts,
        working=(
            Step("acidity", "protons to pH 8.2 less cations, per kg", 1000.0 * eq, "meq/kg",
                 "PREPKIT-ACID"),
            *acidity.aim_step(inputs.acidity),
            Step("make-up", "least squares, no amount below zero. A miss counts one at "
                 f"{100.0 * ACIDITY_MISS:g} % of acidity, "
                 f"{100.0 * MAKE_UP_MISS:g} % of the acids' kinds, "
                 f"{PH_MISS:g} pH", None, "", "JUDGEMENT"),
            *((Step("pH", found.ph_because),) if found.ph_left_out else ()),
        ),
        tables=(
            Table("weigh", "weigh, in this order", (Column("what"), Column("mass", "g", 2)),
                  tuple(weigh)),
            _profile(aim, liquid, density),
            acidity.swap_table(),
        ),
        model_error=errors,
    )  # fmt: skip


def _profile(aim: Aim, liquid: Mixture, density: float) -> Table:
    made = moles(liquid)
    rows = tuple(
        (
            f"{a} acid",
            aim.make_up[a] * acids.ACIDS[a].molar_mass_g_mol * density / 1000.0
            if a in aim.make_up
            else None,
            made.get(a, 0.0) * acids.ACIDS[a].molar_mass_g_mol * density / 1000.0,
        )
        for a in acids.FOOD_ACIDS
        if a in made or a in aim.make_up
    )
    return Table(
        "profile",
        "acids with their salts",
        (Column("acid"), Column("wanted", "g/l", 1), Column("made", "g/l", 1)),
        rows,
    )
