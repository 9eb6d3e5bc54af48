"""acid-match: which acids off the shelf make the acidity and pH of a juice, and how nearly."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.acid_match import search
from prepkit.calculators.acid_match.inputs import Inputs
from prepkit.calculators.acid_match.search import Aim, Match
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import MINERALS, NOTHING, Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import acids
from prepkit.shared import acidity, tasted

EXAMPLE = (
    'prepkit acid-match --like "lime juice" --acid "citric acid" --acid "malic acid" '
    '--acid "tripotassium citrate" --make "1 l"'
)
_HOPELESS_PH = 0.5


@dataclass(frozen=True, kw_only=True)
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
    ph_lowest: float | None = output("lowest pH within reach", "", 2)
    ph_highest: float | None = output("highest pH within reach", "", 2)
    make_up_off: float | None = output("share of other acids", "%", 0)


def compute(inputs: Inputs) -> Result:
    """The nearest make-up; a strength per litre needs the density that follows from it."""
    bottles = [bottle.mixture for bottle in inputs.acid]
    aim = _aim(inputs, 1000.0)
    found = search.matched(bottles, aim)
    if inputs.acidity is not None and inputs.acidity.unit == "g/l":
        for _ in range(4):
            made = search.liquid(bottles, found.kg)
            aim = _aim(inputs, acidity.density_or_none(made) or 1000.0)
            found = search.matched(bottles, aim)
    ends = lowest, highest = search.ph_range(bottles, aim.eq)
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
    return search.aim_of(
        like.mixture if like else None, like.name if like else "", wanted, inputs.ph
    )


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
    liquid = search.liquid([bottle.mixture for bottle in bottles], kg)
    density = acidity.density_kg_m3(liquid)
    size = float(inputs.make)
    mass_kg = 1e-3 * size if inputs.make.unit == "g" else 1e-6 * size * density
    eq = acidity.titratable_eq_kg(liquid)
    ph, ph_error, facts = acidity.ph_facts(liquid)
    citric = acids.EQUIVALENT_KG["citric"]
    off = search.make_up_off(aim, liquid)
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
                 f"{100.0 * search.ACIDITY_MISS:g} % of acidity, "
                 f"{100.0 * search.MAKE_UP_MISS:g} % of the acids' kinds, "
                 f"{search.PH_MISS:g} pH", None, "", "JUDGEMENT"),
            *((Step("pH", found.ph_because),) if found.ph_left_out else ()),
        ),
        tables=(
            Table("weigh", "weigh, in this order", (Column("what"), Column("mass", "g", 2)),
                  tuple(weigh)),
            _profile(aim, liquid, density),
            tasted.swap_table(),
        ),
        model_error=errors,
    )  # fmt: skip


def _profile(aim: Aim, liquid: Mixture, density: float) -> Table:
    made = search.moles(liquid)
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
