"""clarify: milk punch and other ways to clear a drink."""

from __future__ import annotations

from typing import NamedTuple

from prepkit import cautions, derived, model
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, parts, quantity
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import acids, ethanol, infusion
from prepkit.units import Measured

# ---- the inputs of clarify, the ways without milk, and what each way may be given ----


class Agent(NamedTuple):
    """A way without milk: dose from trade to trade, yield from to, what it takes out."""

    dose: tuple[float, float] | None  # g per kg of what is cleared
    yields: tuple[float, float]  # shares, practice
    takes: str
    allergen: str
    vegan: bool
    source: str = "FINING-DOSES"


# doses [FINING-DOSES] and [GEL-CLARIFYING] (read), mg/l of wine taken as mg/kg; yields practice:
# fining lees 2 to 5 % lost
AGENTS = {
    "freeze-thaw": Agent((5.0, 5.0), (0.60, 0.85), "fat and haze", "", False, "GEL-CLARIFYING"),
    "agar": Agent((2.0, 2.0), (0.75, 0.90), "haze", "", True, "GEL-CLARIFYING"),
    "centrifuge": Agent(None, (0.80, 0.95), "haze and pulp", "", True, "GEL-CLARIFYING"),
    "enzyme": Agent((0.5, 4.0), (0.95, 1.0), "pectin, not tannin", "", True, "PRACTICE"),
    "bentonite": Agent((0.25, 0.5), (0.95, 0.98), "protein", "", True),
    "gelatine": Agent((0.015, 0.3), (0.95, 0.98), "tannin", "", False),
    "isinglass": Agent((0.01, 0.1), (0.95, 0.98), "tannin", "fish", False),
    "egg white": Agent((0.06, 0.1), (0.95, 0.98), "tannin", "eggs", False),
    "casein": Agent((0.05, 0.5), (0.95, 0.98), "tannin", "milk", False),
    "pvpp": Agent((0.2, 0.6), (0.95, 0.98), "tannin", "", True),
    "silica": Agent((0.03, 0.3), (0.95, 0.98), "haze, with gelatine", "", False),
    "carbon": Agent((0.1, 1.0), (0.95, 0.98), "colour and smell", "", True),
}
WITH_GELATINE = ("freeze-thaw", "gelatine", "silica")  # silica does not clear by itself
FREEZER_C = -18.0  # if left out: a freezer for food [JUDGEMENT]
MILKS = ("whole milk", "skimmed milk")


class Inputs(BaseInputs):
    """What is to be cleared, how, and what you weighed after."""

    only_read = ("measured_ph", "rotor", "radius")
    groups = (
        ("Most needed", "part way milk temperature curd clear measured_ph"),
        ("Other ways", "dose freezer"),
        ("Centrifuge", "radius speed rotor still_time vapour_allowed"),
    )

    part: tuple[Part, ...] = parts(
        "to be cleared", "All but the milk. One for each.", "700 ml spirit 43 %"
    )
    way: str = choice(
        ("milk", *AGENTS), "way", "How it is cleared. Milk if left out.", default="milk"
    )
    milk: Part | None = model.part(
        "milk", "The milk that is curdled.", "400 ml whole milk", default=None
    )
    temperature: Measured = quantity(
        "C", "temperature of the mix", "As it is cleared; of punch and milk once together.", "20 C",
        default=20.0, low=0, high=80, because="what milk is curdled at",
    )  # fmt: skip
    curd: str | None = choice(
        ("drained", "pressed"), "curd", "Left to drip through a cloth, or pressed. Drained if "
        "left out.", default=None,
    )  # fmt: skip
    clear: Measured | None = quantity(
        "g", "clear liquid, weighed", "All that ran clear; replaces the band of the yield.",
        "1500 g", default=None, above=0, extensive=True,
    )  # fmt: skip
    measured_ph: float | None = number(
        "measured pH", "pH of punch and milk once together, with a calibrated meter.", "4.4",
        default=None, low=0.5, high=10,
    )  # fmt: skip
    dose: Measured | None = quantity(
        "g", "agent, weighed", "Of the agent; an enzyme by the dose on its label. Without it the "
        "least of the trade's range.", "2 g", default=None, above=0, extensive=True,
    )  # fmt: skip
    freezer: Measured | None = quantity(
        "C", "temperature of the freezer", "For freezing and thawing. -18 °C if left out.",
        "-18 C", default=None, low=-40, high=0, because="a freezer",
    )  # fmt: skip
    radius: Measured | None = quantity(
        "mm", "radius of the spin", "From the middle of the rotor to the liquid.", "100 mm",
        default=None, above=0, high=500, because="a rotor for a bar",
    )  # fmt: skip
    speed: float | None = number(
        "speed of the spin", "Turns in a minute.", "4000", default=None, above=0, high=30000,
        because="a rotor for a bar",
    )  # fmt: skip
    rotor: float | None = number(
        "highest speed of the rotor", "Turns in a minute, from its plate or manual.", "4500",
        default=None, above=0, high=100000,
    )  # fmt: skip
    still_time: Measured | None = quantity(
        "h", "time to clear by standing", "Your own trial on a shelf, as deep as the tube.",
        "48 h", default=None, above=0, high=2000, because="weeks on a shelf",
    )  # fmt: skip
    vapour_allowed: bool = flag(
        "spirit allowed", "The centrifuge's manual allows liquids whose vapour burns."
    )


_OF_WAY = {
    "milk": ("milk", "measured_ph", "curd"),
    "freeze-thaw": ("freezer",),
    "centrifuge": ("radius", "speed", "rotor", "still_time", "vapour_allowed"),
}


def only_of_its_way(inputs: Inputs) -> None:
    """Raises BadInput where a way lacks its words or is given those of another."""
    for way, fields in _OF_WAY.items():
        for field in fields:
            if inputs.way != way and getattr(inputs, field) not in (None, False):
                raise BadInput(
                    f"{named(field)} is for {named('way', way)}; with {named('way', inputs.way)} "
                    "leave it out.",
                    field,
                )
    if inputs.dose is not None and inputs.way in ("milk", "centrifuge"):
        raise BadInput(
            f"{named('dose')} is of an agent; with {named('way', inputs.way)} leave it out.", "dose"
        )
    if inputs.way == "milk" and (inputs.milk is None or not inputs.milk.mass_kg):
        raise BadInput(
            f"enter how much milk, such as {named('milk', '250 ml whole milk')}, or choose "
            f"another way, such as {named('way', 'agar')}.",
            "milk",
        )
    for text, other in (("radius", "speed"), ("speed", "radius")):
        if getattr(inputs, text) is not None and getattr(inputs, other) is None:
            raise BadInput(f"{named(text)} needs {named(other)} beside it.", other)
    if inputs.still_time is not None and inputs.speed is None:
        raise BadInput(f"{named('still_time')} needs {named('speed')} beside it.", "speed")


# ---- whether milk curdles in a punch ----

MOST_PROTEIN = 0.01  # above it protein of other parts takes up acid that no model here counts


class Sour(NamedTuple):
    """pH with milk: likely, and the ends of its band."""

    value: float
    low: float
    high: float


def ph_with(inputs: Inputs, poured: Mixture, milk: Mixture) -> Sour | None:
    """pH of punch and milk: as measured, or by the acids less what milk takes; None if unknown."""
    if inputs.measured_ph is not None:
        return Sour(*(float(inputs.measured_ph),) * 3)
    whole = poured + milk
    if poured.fraction("protein") > MOST_PROTEIN:
        return None
    molal, water = poured.acid_molalities, poured.of("water")
    if not molal:
        return Sour(infusion.MILK_PH, 6.5, infusion.MILK_PH)
    solvent = whole.of("water", "ethanol")
    try:
        acids.require_medium(min(whole.sugar, 1.0), whole.abv)
        shift = acids.food_acid_pk_shift(whole.ethanol_kg / solvent)
        molal = {name: one * water / solvent for name, one in molal.items()}
        least, point, most = (one * water / solvent for one in poured.strong_cation_molality)
        litres = 1000 * milk.volume_20_m3 / solvent
        value = infusion.ph_with_milk(molal, point, litres, shift.point)
        off = infusion.uptake_error(value)
        low = infusion.ph_with_milk(molal, least, litres, shift.low, 1 - off)
        high = infusion.ph_with_milk(molal, most, litres, shift.high, 1 + off)
        _, ionic = acids.equilibrium(molal, point, pk_shift=shift.point)
    except BadInput:
        return None
    own = acids.ph_error(ionic, max(molal.values()))
    return Sour(value, min(low, value) - own, max(high, value) + own)


def verdict(inputs: Inputs, found: Sour | None, whole: Mixture) -> tuple[str, str]:
    """Whether it curdles ("yes", "perhaps", "no"), and why."""
    cold = float(inputs.temperature) < infusion.COLD_C
    alone, surely = infusion.SPIRIT_ALONE_ABV
    if found is None:
        return "perhaps", "its pH could not be worked out, so measure it with a meter"
    if cold and found.low <= infusion.curd_seen_ph(infusion.COLD_C):
        return "perhaps", f"below {infusion.COLD_C:g} °C milk may not clot, however sour"
    if found.high <= infusion.ISOELECTRIC_PH:
        return "yes", ""
    seen = infusion.curd_seen_ph(max(float(inputs.temperature), infusion.COLD_C))
    if found.low <= seen + infusion.SEEN_ERROR:
        return "perhaps", f"pH {found.value:.1f} may end above 4.6, where curd is complete"
    if whole.abv >= alone:
        word = "most" if whole.abv >= surely else "some"
        return "perhaps", f"{100 * whole.abv:.0f} % vol curdles {word} milk without acid"
    return "no", f"pH {found.value:.1f} with milk, and curd needs {seen:.1f} at this warmth"


def steps(found: Sour | None, inputs: Inputs, milk: Mixture) -> list[Step]:
    seen = infusion.curd_seen_ph(max(float(inputs.temperature), infusion.COLD_C))
    said = (
        f"at {float(inputs.temperature):g} °C; curd is complete below {infusion.ISOELECTRIC_PH:g}"
    )
    known = [Step("curd below pH", said, seen, "", "CURD-MEMORY")]
    if found is None:
        return [*known, Step("pH with milk", "not worked out: measure it", source="DEFINITION")]
    if inputs.measured_ph is not None:
        return [*known, Step("pH with milk", "as measured", found.value, "", "DEFINITION")]
    litres = 1000 * milk.volume_20_m3
    said = (
        f"acids of the punch less what {litres:.3f} l of milk takes up: "
        f"between {found.low:.1f} and {found.high:.1f}"
    )
    return [*known, Step("pH with milk", said, found.value, "", "MILK-ACID-MODEL")]


# ---- clarify ----

EXAMPLE = (
    'prepkit clarify --part "700 ml spirit 43 %" --part "200 ml lemon juice" '
    '--part "300 ml syrup 50 Bx" --part "300 ml water" --milk "400 ml whole milk"'
)
MOST_LOST = 0.15  # of a milk punch with cloth and vessel (practice: 8 to 15 %)
BLOCK_K = 10.0  # colder than where it begins to freeze, for a solid block (judgement)


_SHOWN: tuple[derived.Name, ...] = (
    "mass", "volume", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "density",
)  # fmt: skip


class Result(BaseResult):
    """What runs clear, and what is known of it."""

    screen = Screen(
        headline=(
            "Perhaps {volume} clear, CONTAINS MILK: {curdling_why}.",
            "{volume} clear at {abv}. CONTAINS MILK: {lactose} lactose.",
            "{volume} clear. CONTAINS MILK: {lactose} lactose.",
            "{volume} clear at {abv}.",
            "{volume} clear.",
            "No clear drink: at pH {ph} the milk does not curdle.",
            "No clear drink: the milk does not curdle.",
        ),
        primary=(
            Figure("volume", "volume"),
            Figure("yield", "yield_mass"),
            Figure("strength", "abv"),
            Figure("pH with milk", "ph"),
            "acid_taken",
            "spin",
            "spin_time",
        ),
        check=("mass", Figure("refractometer", "refractometer"), Figure("density", "density")),
        do_this=("Pour the punch slowly into the milk. Wet curd to expect: {wet_curd}.",),
        weigh="weigh",
    )

    mass: float | None = output("clear liquid", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    yield_mass: float | None = output("yield by weight", "%", 0)
    lost: float | None = output("lost, liquid and curd", "g", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    ph: float | None = output("pH with milk", "", 1)
    curdled: float | None = output("curd below pH", "", 1)
    acid_taken: float | None = output(
        "citric acid the milk takes", "g", 1, extensive=True, help="Least, below pH 3.5."
    )
    dry_curd: float | None = output("dry curd", "g", 0, extensive=True)
    wet_curd: float | None = output("wet curd", "g", 0, extensive=True)
    lactose: float | None = output("lactose left in it", "g", 1, extensive=True)
    protein: float | None = output("protein left in it", "g", 1, extensive=True)
    calcium: float | None = output("calcium, upper bound", "mg", 0, extensive=True, limit="least")
    sugar: float | None = output("sugars", "% w/w", 1)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 1)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    agent: float | None = output("agent to weigh", "g", 2, extensive=True)
    agent_dose: float | None = output("dose", "mg/kg", 0)
    freezing_point: float | None = output("begins to freeze", "C", 1)
    spin: float | None = output("spin, times gravity", "", 0)
    spin_time: float | None = output("time of the spin", "min", 1)


def compute(inputs: Inputs) -> Result:
    """Curdle and drain, or fine, gel, freeze or spin. Raises BadInput where one lacks its words."""
    poured = Mixture.total(part.mixture for part in inputs.part)
    if not poured.mass_kg:
        raise BadInput(f"{named('part')} amounts to 0; give an amount above 0.", "part")
    only_of_its_way(inputs)
    return _milk(inputs, poured) if inputs.way == "milk" else _agent(inputs, poured)


# milk


def _milk(inputs: Inputs, poured: Mixture) -> Result:
    given = inputs.milk
    assert given is not None  # refused before
    if given.ingredient.name not in MILKS:
        raise BadInput(
            f"{named('milk', given.words)}: how its curd forms is known of whole and skimmed milk "
            f"only; give one of {', '.join(MILKS)}.",
            "milk",
        )
    if "dairy" in poured.tags:
        raise BadInput(
            f"{named('part')} holds milk or cream; what is to curdle goes to {named('milk')}, and "
            "the curd of anything else is not known.",
            "part",
        )
    milk = given.mixture
    whole = poured + milk
    found = ph_with(inputs, poured, milk)
    curdled, why = verdict(inputs, found, whole)
    seen = infusion.curd_seen_ph(max(float(inputs.temperature), infusion.COLD_C))
    facts: Facts = {
        "curdles": False,  # on purpose here, and said by rows of this calculator
        "clarify_way": "milk",
        "clarify_agent": "milk",
        "curdling": curdled,
        "curdling_why": why or None,
        "not_vegan": True,
        "mix_abv": 100 * whole.abv,
        "mix_c": float(inputs.temperature),
        "over_flash_k": max(
            ethanol.over_flash_k(mixture.abv, float(inputs.temperature))
            for mixture in (poured, whole)
        ),
    }
    ph = None if found is None else found.value
    error = {"curdled": infusion.SEEN_ERROR}
    if found is not None:
        error["ph"] = 0.5 * (found.high - found.low)
    if curdled == "no":
        return Result(
            ph=ph, curdled=seen, facts={**cautions.about(whole), **facts}, model_error=error,
            tables=(_weigh(inputs, given, None),),
            working=tuple(steps(found, inputs, milk)),
        )  # fmt: skip
    protein, fat = milk.of("protein"), milk.of("milk_fat", "fat")
    dry = infusion.dry_curd_kg(protein, fat)
    serum = whole.without(_in_curd(milk))
    low, high = infusion.PRESSED if inputs.curd == "pressed" else infusion.DRAINED
    least = infusion.liquid_in_curd_kg(dry, low)
    most = max(infusion.liquid_in_curd_kg(dry, high), MOST_LOST * whole.mass_kg - dry)
    clear, half = _clear_kg(inputs, serum.mass_kg, least, most)
    product = serum.of_mass(clear)
    shown, errors = derived.of(product, *_SHOWN)
    wet = dry + 0.5 * (least + infusion.liquid_in_curd_kg(dry, high))
    taken = None
    if ph is not None:
        taken = 1000 * infusion.citric_taken_kg_l(ph) * 1000 * milk.volume_20_m3
        error["acid_taken"] = infusion.uptake_error(ph) * taken
    error |= errors | _half(half, clear, shown, whole.mass_kg)
    keeps = found is not None and product.abv <= acids.KEEPING_ABV_HIGH
    facts |= {
        **derived.facts(product),
        "ph": found.high if found is not None and keeps else None,
        "clear_g": None if inputs.clear is None else float(inputs.clear),
    }
    return Result(
        product=product,
        mass=shown["mass"],
        volume=shown["volume"],
        yield_mass=100 * clear / whole.mass_kg,
        lost=1000 * (whole.mass_kg - clear),
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        ph=ph,
        curdled=seen,
        acid_taken=taken,
        dry_curd=1000 * dry,
        wet_curd=1000 * wet,
        lactose=1000 * product.of("lactose"),
        protein=1000 * product.of("protein"),
        calcium=1e6 * product.of("calcium"),
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        density=shown["density"],
        model_error=error,
        facts=facts,
        tables=(_weigh(inputs, given, None), _order_of_milk(), _ways()),
        working=(
            *steps(found, inputs, milk),
            Step("dry curd", f"0.80 x {1000 * protein:.1f} g protein + 0.95 x {1000 * fat:.1f} g "
                             "fat", 1000 * dry, "g", "DAIRY-WHEY"),
            Step("lost", _how_lost(inputs, least, most), 1000 * (whole.mass_kg - clear), "g",
                 "PRACTICE" if inputs.clear is None else "DEFINITION"),
        ),
    )  # fmt: skip


def _in_curd(milk: Mixture) -> dict[str, float]:
    shares = {"protein": infusion.PROTEIN_IN_CURD, "milk_fat": infusion.FAT_IN_CURD,
              "fat": infusion.FAT_IN_CURD}  # fmt: skip
    return {name: share * milk.of(name) for name, share in shares.items() if milk.of(name)}


def _clear_kg(
    inputs: Inputs, liquid_kg: float, least_kg: float, most_kg: float
) -> tuple[float, float]:
    """What runs clear and half its band, kg: as weighed, or the middle of what may stay behind."""
    if inputs.clear is not None:
        clear = float(inputs.clear) / 1000
        if clear > liquid_kg * (1 + 1e-9):
            raise BadInput(
                f"{named('clear')} is {1000 * clear:g} g, and only {1000 * liquid_kg:.0f} g of "
                "liquid went in. Weigh it without its vessel.",
                "clear",
            )
        return clear, 0.0
    if most_kg >= liquid_kg:
        raise BadInput(
            f"the curd would hold all {1000 * liquid_kg:.0f} g of the liquid. Take less milk.",
            "milk",
        )
    return liquid_kg - 0.5 * (least_kg + most_kg), 0.5 * (most_kg - least_kg)


def _half(half: float, clear: float, shown: derived.Shown, whole_kg: float) -> dict[str, float]:
    """The band of the yield as errors of what follows from it."""
    if not half:
        return {}
    share = half / clear
    found = {"mass": 1000 * half, "yield_mass": 100 * half / whole_kg, "lost": 1000 * half}
    for name in ("volume", "ethanol"):
        if (value := shown[name]) is not None:
            found[name] = share * value
    return found


def _how_lost(inputs: Inputs, least: float, most: float) -> str:
    if inputs.clear is not None:
        return "what went in less what you weighed"
    return f"curd, and {1000 * least:.0f} g to {1000 * most:.0f} g of liquid in curd, cloth, vessel"


# the other ways


def _agent(inputs: Inputs, poured: Mixture) -> Result:
    agent = AGENTS[inputs.way]
    low, high = (1 - share for share in agent.yields)
    clear, half = _clear_kg(inputs, poured.mass_kg, high * poured.mass_kg, low * poured.mass_kg)
    product = poured.of_mass(clear)
    if agent.allergen:
        product = product.marked(allergens=(agent.allergen,))
    shown, error = derived.of(product, *_SHOWN)
    error |= _half(half, clear, shown, poured.mass_kg)
    facts: Facts = {
        **derived.facts(product),
        "ph": derived.facts(product).get("ph"),
        "clarify_way": inputs.way,
        "clarify_agent": "gelatine" if inputs.way in WITH_GELATINE else inputs.way,
        "mix_abv": 100 * poured.abv,
        "mix_c": float(inputs.temperature),
        "over_flash_k": ethanol.over_flash_k(poured.abv, float(inputs.temperature)),
        "not_vegan": not agent.vegan,
        "clear_g": None if inputs.clear is None else float(inputs.clear),
    }
    steps = [Step("yield", _how_yields(inputs, agent), 100 * clear / poured.mass_kg, "%",
                  "PRACTICE" if inputs.clear is None else "DEFINITION")]  # fmt: skip
    weighed = dose = None
    if agent.dose is not None:
        least, most = (value * poured.mass_kg for value in agent.dose)  # g
        weighed = least if inputs.dose is None else float(inputs.dose)
        dose = 1000 * weighed / poured.mass_kg
        facts |= {"agent_over": weighed / most, "agent_under": weighed / least * (1 + 1e-9)}
        steps.append(Step("dose", f"the trade takes {least:.2f} g to {most:.2f} g for this batch",
                          weighed, "g", agent.source))  # fmt: skip
    freezing = None
    if inputs.way == "freeze-thaw":
        freezing = derived.of(poured, "freezing_point")[0]["freezing_point"]
        facts["freezing_c"] = freezing
        if freezing is not None:
            freezer_c = FREEZER_C if inputs.freezer is None else float(inputs.freezer)
            facts["freezer_needs_k"] = freezer_c + BLOCK_K - freezing
    spin = minutes = None
    if inputs.way == "centrifuge":
        facts |= {"rotor_share": None, "spin_allows_vapour": inputs.vapour_allowed}
        if inputs.speed is not None and inputs.radius is not None:
            spin = infusion.spin_g(float(inputs.radius) / 10, float(inputs.speed))
            steps.append(Step("spin", "1.118e-5 x radius in cm x speed squared", spin, "",
                              "DEFINITION"))  # fmt: skip
            if inputs.rotor is not None:
                facts["rotor_share"] = float(inputs.speed) / float(inputs.rotor)
            if inputs.still_time is not None:
                minutes = 60 * float(inputs.still_time) / spin
                steps.append(Step("time of the spin", "time to clear by standing over the spin",
                                  minutes, "min", "DEFINITION"))  # fmt: skip
    return Result(
        product=product,
        mass=shown["mass"],
        volume=shown["volume"],
        yield_mass=100 * clear / poured.mass_kg,
        lost=1000 * (poured.mass_kg - clear),
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        density=shown["density"],
        agent=weighed,
        agent_dose=dose,
        freezing_point=freezing,
        spin=spin,
        spin_time=minutes,
        model_error=error,
        facts=facts,
        tables=(_weigh(inputs, None, weighed), _ways()),
        working=tuple(steps),
    )


def _name(way: str) -> str:
    """What is weighed for a way."""
    return "gelatine" if way == "freeze-thaw" else way


def _how_yields(inputs: Inputs, agent: Agent) -> str:
    if inputs.clear is not None:
        return "what you weighed over what went in"
    low, high = agent.yields
    return f"the trade finds {100 * low:.0f} % to {100 * high:.0f} %"


# tables


def _weigh(inputs: Inputs, milk: Part | None, agent_g: float | None) -> Table:
    """All that is weighed, in the order in which it is poured: milk first, punch into it."""
    rows: list[tuple[str | float | None, ...]] = []
    if milk is not None:
        rows.append((milk.name, 1000 * milk.mass_kg, derived.volume_ml(milk.mixture), "first"))
    what = "poured into the milk" if milk is not None else "to be cleared"
    rows += [
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture), what)
        for part in inputs.part
    ]
    if agent_g is not None:
        rows.append((_name(inputs.way), agent_g, None, "stirred in"))
    columns = (
        Column("part"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 0), Column("what"),
    )  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def _order_of_milk() -> Table:
    rows = (
        ("milk in the vessel, the punch slowly into it, one stir", "minutes"),
        ("stand until curd and clear liquid part", "30 min to a night, in the fridge"),
        ("through a cloth; the first cloudy runs go back over the curd", "1 to 6 h per litre"),
        ("through paper for the last haze", "2 to 12 h per litre"),
        ("taste: the curd took acid, tannin and colour with it", "then correct"),
    )
    return Table("order", "order and time, as practice", (Column("step"), Column("time")), rows)


def _ways() -> Table:
    """Every other way: dose, yield, what it takes out, allergen, vegan or not."""
    rows = tuple(
        (
            name, agent.dose and 1000 * agent.dose[0], agent.dose and 1000 * agent.dose[1],
            100 * agent.yields[0], 100 * agent.yields[1], agent.takes,
            agent.allergen or ("fish, if of fish" if name in WITH_GELATINE else "none"),
            "vegan" if agent.vegan else "not vegan",
        )
        for name, agent in AGENTS.items()
    )  # fmt: skip
    columns = (
        Column("way"), Column("least dose", "mg/kg", 0), Column("most", "mg/kg", 0),
        Column("yield from", "%", 0), Column("to", "%", 0), Column("takes out"),
        Column("allergen"), Column("vegan"),
    )  # fmt: skip
    return Table("ways", "other ways", columns, rows)
