"""acid-match: which acids off the shelf make the acidity and pH of a juice, and how nearly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationInfo, field_validator

from prepkit import acidity, derived
from prepkit.errors import BadInput
from prepkit.mixture import MINERALS, Mixture
from prepkit.model import Column, Step, Table, ingredient, number, output, quantity, words
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.pantry import Ingredient, Pantry
from prepkit.science import acids
from prepkit.science.least_squares import MOST_UNKNOWNS, non_negative
from prepkit.units import Measured

EXAMPLE = (
    'prepkit acid-match --like "lime juice" --acid "citric acid" --acid "malic acid" '
    '--acid "tripotassium citrate" --make "1 l"'
)
# How much each aim weighs against the others: a miss of this size counts as one.
_ACIDITY_MISS, _PH_MISS, _MAKE_UP_MISS = 0.005, 0.02, 0.5
_PASSES = 12
_HOPELESS_PH = 0.5


class Bottle(str):
    """The words of one acid or acid salt off the shelf, with what it is."""

    ingredient: Ingredient
    mixture: Mixture  # of 1 kg, as it ends up in the liquid

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> Bottle:
        """Read "malic acid" or "tripotassium citrate"; BadInput otherwise."""
        if said[:1].isdigit():
            raise BadInput(
                f'--acid "{said}": acid-match finds the amounts itself; write the name alone.',
                "acid",
            )
        found = pantry.ingredient(said, "--acid")
        own = found.mixture
        if not own.of(*acids.FOOD_ACIDS, *MINERALS) or own.of("sucrose", "glucose", "fructose"):
            raise BadInput(f'--acid "{said}": {found.name} is no acid or acid salt.', "acid")
        self = cls(said)
        self.ingredient, self.mixture = found, acidity.in_acid(found)
        return self


class Inputs(BaseInputs):
    """What stands on the shelf and what it is to match."""

    acid: tuple[str, ...] = words(
        "what is on the shelf",
        "An acid, or a salt such as trisodium citrate that brings what potassium does in a juice; "
        "give the option once for each.",
        "citric acid",
        many=True,
    )
    like: Ingredient | None = ingredient(
        "the juice to match",
        "Its published acids and minerals give the acidity, pH and make-up.",
        "lime juice",
        default=None,
    )
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity to match",
        "Your own titration, written as citric acid; takes the place of the published one.",
        "5.5 % w/w",
        default=None,
        above=0,
        high=300,
    )
    ph: float | None = number(
        "pH to match", "Your own reading; takes the place of the computed one.", "2.3",
        default=None, low=1.0, high=7.0, because="no juice lies outside",
    )  # fmt: skip
    make: Measured = quantity(
        ("ml", "g"),
        "how much to make",
        "The finished liquid, by volume at 20 C or by mass.",
        "1 l",
        default=1000.0,
        above=0,
        high=1e6,
        because="a batch of at most a tonne",
        extensive=True,
    )

    @field_validator("acid", mode="after")
    @classmethod
    def _on_the_shelf(cls, value: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
        if not 1 <= len(value) <= MOST_UNKNOWNS:
            raise BadInput(
                f"--acid names {len(value)} things; acid-match takes 1 to {MOST_UNKNOWNS}, such as "
                f'--acid "citric acid" --acid "malic acid".',
                "acid",
            )
        pantry = (info.context or {}).get("pantry") or Pantry()
        return tuple(Bottle.read(one, pantry) for one in value)

    def words(self) -> dict[str, Any]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The nearest make-up, and how near it is."""

    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 C", "ml", 1, extensive=True)
    water: float | None = output("water to weigh", "g", 1, extensive=True)
    density: float | None = output("density at 20 C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity made, as citric", "% w/w", 2)
    acidity_wanted: float | None = output("titratable acidity wanted, as citric", "% w/w", 2)
    ph: float | None = output("pH made", "", 2)
    ph_wanted: float | None = output("pH wanted", "", 2)
    ph_lowest: float | None = output("lowest pH of this shelf at that acidity", "", 2)
    ph_highest: float | None = output("highest pH of this shelf at that acidity", "", 2)
    make_up_off: float | None = output("acid of another kind than wanted", "%", 0)


@dataclass(frozen=True)
class _Aim:
    """Per kg of the finished liquid: equivalents, pH, and mol of each acid where a juice says."""

    eq: float
    ph: float | None
    make_up: Mapping[str, float]


def compute(inputs: Any) -> Result:
    """Least squares at the aim's own pH, where both balances are linear in the amounts."""
    bottles: tuple[Bottle, ...] = inputs.acid
    aim = _aim(inputs, 1000.0)
    made = _matched(bottles, aim)
    if inputs.acidity is not None and inputs.acidity.unit == "g/l":
        for _ in range(4):  # grams per litre of a liquid whose density follows from the match
            density = acidity.density_or_none(_liquid(bottles, made)) or 1000.0
            aim = _aim(inputs, density)
            made = _matched(bottles, aim)
    lowest, highest = _ph_range(bottles, aim)
    if aim.ph is not None and inputs.ph is not None and lowest is not None:
        short = max(lowest - aim.ph, aim.ph - (highest or aim.ph))
        if short > _HOPELESS_PH:
            most = f" to {highest:.2f}" if highest else " and more"
            raise BadInput(
                f"--ph {aim.ph:g} is out of reach: at that acidity what is on the shelf makes pH "
                f"{lowest:.2f}{most}; change the acidity, or add a salt such as trisodium citrate "
                f"to go up.",
                "ph",
            )
    return _answer(bottles, aim, made, (lowest, highest), inputs)


def _aim(inputs: Any, density: float) -> _Aim:
    like: Mixture | None = inputs.like.mixture if inputs.like is not None else None
    if like is None and inputs.acidity is None:
        raise BadInput(
            'acid-match needs what to match: --like "lime juice", or --acidity and --ph of your '
            "own measurement.",
            "like",
        )
    make_up: dict[str, float] = {}
    ph, eq = inputs.ph, 0.0
    if like is not None:
        eq = like.titratable_acidity_eq_kg
        if eq < 1e-4:
            raise BadInput(f"--like {inputs.like.name} has no acids to match.", "like")
        make_up = {
            a: like.of(a) / acids.MOLAR_MASS_KG_MOL[a]
            for a in acids.FOOD_ACIDS
            if like.of(a) > 0.01 * like.of(*acids.FOOD_ACIDS)
        }
        if ph is None:
            ph = acidity.ph_facts(like)[0]
    if inputs.acidity is not None:
        share = (
            float(inputs.acidity) / 100.0
            if inputs.acidity.unit == "% w/w"
            else float(inputs.acidity) / density
        )
        wanted = share / acids.EQUIVALENT_KG["citric"]
        make_up = {a: mol * wanted / eq for a, mol in make_up.items()}
        eq = wanted
    return _Aim(eq, ph, make_up)


def _liquid(bottles: tuple[Bottle, ...], kg: list[float]) -> Mixture:
    """1 kg of the finished liquid."""
    dry = Mixture.total(b.mixture.scaled(x) for b, x in zip(bottles, kg, strict=True))
    return dry + Mixture({"water": max(1.0 - dry.mass_kg, 0.0)})


def _matched(bottles: tuple[Bottle, ...], aim: _Aim) -> list[float]:
    """Kg of each bottle in 1 kg of liquid; a second round takes up what linear left over."""
    moles = [_moles(b.mixture) for b in bottles]
    cations = [_cations(b.mixture) for b in bottles]
    kg = [aim.eq * 0.06 / len(bottles)] * len(bottles)
    eq = aim.eq
    for _ in range(_PASSES):
        liquid = _liquid(bottles, kg)
        rows, wanted = [], []
        scale = 1.0 / (_ACIDITY_MISS * aim.eq)
        taken = [
            sum(mol * acids.protons_titrated(a, acidity.END_POINT) for a, mol in own.items()) - c
            for own, c in zip(moles, cations, strict=True)
        ]
        rows.append([scale * value for value in taken])
        wanted.append(scale * eq)
        if aim.ph is not None:
            row, value = _ph_row(liquid, moles, cations, aim.ph)
            rows.append(row)
            wanted.append(value)
        whole = sum(aim.make_up.values())
        for a, mol in aim.make_up.items():
            rows.append([own.get(a, 0.0) / (_MAKE_UP_MISS * whole) for own in moles])
            wanted.append(mol / (_MAKE_UP_MISS * whole))
        kg = non_negative(rows, wanted)
        if sum(kg) <= 0.0 or sum(kg) >= 1.0:
            break
        found = acidity.titratable_eq_kg(_liquid(bottles, kg))
        linear = sum(t * x for t, x in zip(taken, kg, strict=True))
        eq = aim.eq + linear - found  # the flask's own strength, a part in a thousand
    return kg


def _ph_row(
    liquid: Mixture, moles: list[dict[str, float]], cations: list[float], ph: float
) -> tuple[list[float], float]:
    """Charge balance at the wanted pH in units of a miss of pH, with the activities of now."""
    molal = liquid.acid_molalities or {"citric": 1e-6}
    strong = acids.at_fixed_ph(molal, ph)
    ionic = min(strong.ionic_strength, acids.IONIC_STRENGTH_HIGH)
    beta = (acids.at_fixed_ph(molal, ph + 0.05).strong_cation
            - acids.at_fixed_ph(molal, ph - 0.05).strong_cation) / 0.1  # fmt: skip
    water = liquid.of("water")
    unit = 1.0 / (_PH_MISS * max(beta * water, 1e-6))
    row = [
        unit * (sum(mol * acids.mean_charge(a, ph, ionic) for a, mol in own.items()) - c)
        for own, c in zip(moles, cations, strict=True)
    ]
    free = (strong.acid_charge - strong.strong_cation) * water  # hydrogen less hydroxide
    return row, unit * free


def _moles(mixture: Mixture) -> dict[str, float]:
    return {
        a: mixture.of(a) / acids.MOLAR_MASS_KG_MOL[a]
        for a in acids.FOOD_ACIDS
        if mixture.of(a) > 0.0
    }


def _cations(mixture: Mixture) -> float:
    metals = (mixture.of(name) for name in ("potassium", "sodium", "calcium", "magnesium"))
    return acids.strong_cations_mol(*metals).point


def _ph_range(bottles: tuple[Bottle, ...], aim: _Aim) -> tuple[float | None, float | None]:
    """Lowest and highest pH at the wanted acidity: those of single acids; no top with a salt."""
    found = []
    plain = [bottle for bottle in bottles if not bottle.mixture.of(*MINERALS)]
    for bottle in plain:
        kg = _matched((bottle,), _Aim(aim.eq, None, {}))
        ph = acidity.ph_facts(_liquid((bottle,), kg))[0] if 0.0 < sum(kg) < 1.0 else None
        if ph is not None:
            found.append(ph)
    if not found:
        return None, None
    return min(found), max(found) if len(plain) == len(bottles) else None


def _answer(
    bottles: tuple[Bottle, ...],
    aim: _Aim,
    kg: list[float],
    ends: tuple[float | None, float | None],
    inputs: Any,
) -> Result:
    if not 0.0 < sum(kg) < 1.0:
        raise BadInput(
            "nothing on the shelf gives that acidity in water; add an acid such as citric acid.",
            "acid",
        )
    liquid = _liquid(bottles, kg)
    density = acidity.density_kg_m3(liquid)
    size = float(inputs.make)
    mass_kg = 1e-3 * size if inputs.make.unit == "g" else 1e-6 * size * density
    eq = acidity.titratable_eq_kg(liquid)
    ph, ph_error, facts = acidity.ph_facts(liquid)
    citric = acids.EQUIVALENT_KG["citric"]
    off = _make_up_off(aim, liquid)
    facts |= acidity.shelf_facts(
        (a, b.mixture.fraction(a))
        for b, x in zip(bottles, kg, strict=True)
        for a in acids.FOOD_ACIDS
        if x > 0.0 and b.mixture.of(*MINERALS) <= 0.0 and b.mixture.of(a) > 0.0
    )
    facts |= acidity.saturation_facts(liquid, 20.0) | acidity.tartar_facts(liquid)
    facts |= {
        "acidity_wanted_percent": 100.0 * aim.eq * citric,
        "acidity_percent": 100.0 * eq * citric,
        "acidity_off_percent": 100.0 * abs(eq / aim.eq - 1.0),
    }
    if aim.ph is not None and ph is not None:
        facts |= {"ph_wanted": aim.ph, "ph_off": abs(ph - aim.ph)}
    if aim.make_up:
        facts["make_up_off_percent"] = off
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts)
    used = [(b, x) for b, x in zip(bottles, kg, strict=True) if x > 0.0]
    weigh = [("water", 1000.0 * mass_kg * max(1.0 - sum(kg), 0.0))]
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
            Step("make-up", "least squares, no amount below zero; a miss counts one at "
                 f"{100.0 * _ACIDITY_MISS:g} % of acidity, {_PH_MISS:g} pH, "
                 f"{100.0 * _MAKE_UP_MISS:g} % of the acids' kinds", None, "", "JUDGEMENT"),
        ),
        tables=(
            Table("weigh", "weigh, in this order", (Column("what"), Column("mass", "g", 2)),
                  tuple(weigh)),
            _profile(aim, liquid, density),
        ),
        model_error=errors,
    )  # fmt: skip


def _make_up_off(aim: _Aim, liquid: Mixture) -> float:
    made = _moles(liquid)
    names = {*made, *aim.make_up}
    gap = sum(abs(made.get(a, 0.0) - aim.make_up.get(a, 0.0)) for a in names)
    return 50.0 * gap / sum(aim.make_up.values()) if aim.make_up else 0.0


def _profile(aim: _Aim, liquid: Mixture, density: float) -> Table:
    made = _moles(liquid)
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
