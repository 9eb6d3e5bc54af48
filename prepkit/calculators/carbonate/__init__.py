"""carbonate: carbon dioxide into a keg or bottle: the regulator, what it can come to, the glass."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Self

from prepkit import cautions
from prepkit.calculators.carbonate.gas import (
    BAR,
    CO2_KG_MOL,
    RATINGS,
    Held,
    first_pa,
    gas_held,
    of_contents,
    of_headspace,
    of_room,
    open_gas_volumes,
    ph_with,
    shown_of,
    shut_bound_pa,
    steps,
    tables,
    warmest_c,
)
from prepkit.calculators.carbonate.gas import Inputs as Inputs
from prepkit.calculators.siphon.checks import unfit
from prepkit.derived import ph_at_most
from prepkit.errors import BadInput, PrepkitError, named
from prepkit.facts import Facts
from prepkit.mixture import GASSY, Mixture
from prepkit.model import Figure, Judge, Screen, Step, Way, output
from prepkit.model import Result as BaseResult
from prepkit.science import dissolved_gas, gases, keeping
from prepkit.shared import room_check
from prepkit.units import Measured, rounded_down, rounded_up

__all__ = ["EXAMPLE", "Inputs", "Result", "compute", "ways_out"]

EXAMPLE = (
    'prepkit carbonate --contents "18 l water" --into keg --volumes 3.5 --temperature "5 C" '
    '--rated "9 bar" --line-rated "8 bar" --regulator-rated "6 bar" --warmest "25 C"'
)
WEAK_ABV = 0.18  # as for an infusion: below it strength is not taken to keep it


class Result(BaseResult):
    """The regulator's setting, the bound of the shut vessel, the time, line and glass."""

    screen = Screen(
        headline=("Set the regulator to {set_pressure}: {volumes} volumes.",),
        primary=(
            Figure("regulator, gauge", "set_pressure"),
            Figure("upper bound, gauge", "bound"),
            Figure("margin below rated", "margin"),
            Figure("days it takes", "days_low", "days_high"),
            "own_days",
            Figure("carbon dioxide", "co2"),
            Figure("left after pouring, at least", "left"),
            Figure("balanced line", "line_low", "line_high"),
        ),
        check=("volumes_now", "ph"),
        do_this=(
            "Set {set_pressure} at {temperature}, and keep the keg or bottle that cold.",
            "Cut the line {line_high} long, then shorten it by tasting.",
        ),
    )

    set_pressure: float | None = output("regulator set pressure (gauge)", "bar", 2)
    set_low: float | None = output("set pressure, lower bound (gauge)", "bar", 2, limit="most")
    set_high: float | None = output("set pressure, upper bound (gauge)", "bar", 2, limit="least")
    volumes: float | None = output("gas dissolved, volumes (0 °C, 1 atm)", "", 2)
    volumes_low: float | None = output("volumes, lower bound", "", 2, limit="most")
    volumes_high: float | None = output("volumes, upper bound", "", 2, limit="least")
    co2: float | None = output("carbon dioxide dissolved", "g/l", 2)
    co2_mass: float | None = output("carbon dioxide in all", "g", 0, extensive=True)
    bound: float | None = output(
        "pressure, upper bound (gauge)", "bar", 1, limit="least"
    )  # fmt: skip
    margin: float | None = output("margin below rated pressure", "bar", 1, limit="most")
    days_low: float | None = output("days to equilibrium, lower bound", "d", 0, limit="most")
    days_high: float | None = output("days to equilibrium, upper bound", "d", 0, limit="least")
    own_days: float | None = output("your own time", "d", 2)
    volumes_now: float | None = output("volumes by the pressure read", "", 2)
    reached: float | None = output("share of the gas wanted", "%", 0)
    ph_still: float | None = output("pH, still", "", 2)
    ph: float | None = output("pH with its gas", "", 2)
    titration_adds: float | None = output("titration error, as citric", "% w/w", 2)
    lost_opening: float | None = output("lost at each opening", "g/l", 2)
    left: float | None = output("poured into the glass, least", "g/l", 1, limit="most")
    left_wall: float | None = output("poured down the wall, least", "g/l", 1, limit="most")
    left_ten: float | None = output("10 min later, least", "g/l", 1, limit="most")
    lift_pressure: float | None = output("pressure the rise takes", "bar", 2)
    drop_low: float | None = output("line loss per metre, least", "bar", 3, limit="most")
    drop_high: float | None = output("line loss per metre, most", "bar", 3, limit="least")
    line_low: float | None = output("balanced length, lower bound", "m", 1, limit="most")
    line_high: float | None = output("balanced length, upper bound", "m", 1, limit="least")
    mass: float | None = output("drink", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)

    def beside_stop(self) -> Self:
        """Hook of the base: a bound that is passed; no figure to go ahead with."""
        passed = (self.margin or 0.0) < 0.0
        kept = ("bound", "margin") if passed else ()
        steps = tuple(one for one in self.working if passed and "bound" in one.label)
        first = Step("volume judged", "all of the contents", source="DEFINITION")
        return self.only(kept).replaced(working=(*steps, first)[:1], tables=(), model_error={})


def compute(inputs: Inputs) -> Result:
    """Refusals first; then the setting, the bound against the plates, time, acid, line, glass."""
    mixture = inputs.contents.mixture
    if not mixture.mass_kg:
        raise BadInput(
            f"{named('contents')} amounts to 0; give the drink, such as 18 l water.", "contents"
        )
    facts: Facts = {**cautions.about(mixture), **unfit(inputs.contents), **of_contents(inputs)}
    facts |= {
        "carbonate_way": inputs.how,
        "carbonate_into": inputs.into,
        "gas_name": "carbon dioxide",
    }
    product = mixture.marked(tags=(GASSY,))
    missing = [words for name, words in RATINGS.items() if getattr(inputs, name) is None]
    facts |= {"keg_not_known": bool(missing), "keg_missing": " and ".join(missing)}
    facts |= of_room(inputs)
    refused = inputs.how in ("priming", "dry-ice", "powder") or inputs.into == "other-bottle"
    if refused or missing or _unfit(facts):
        return Result(product=product, facts=facts, deciding=_deciding(facts))
    _check(inputs)
    gas = gas_held(inputs, mixture)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    bound_pa = shut_bound_pa(inputs, mixture, gas, ambient_pa)
    ratings = {name: float(getattr(inputs, name)) for name in RATINGS}
    shut_in = min(ratings["rated"], ratings["line_rated"])
    set_bar = max(gas.set_pa, first_pa(inputs)) / BAR
    bound_bar = bound_pa / BAR if isfinite(bound_pa) else 999.0
    facts |= {
        "bound_known": isfinite(bound_pa),
        "bound_bar": bound_bar,
        "bound_over_rating": bound_bar / shut_in,
        "bound_over_regulator": bound_bar / ratings["regulator_rated"],
        "regulator_bar": ratings["regulator_rated"],
        "rated_bar": shut_in,
        "warmest_c": warmest_c(inputs),
        "warmest_told": inputs.warmest is not None,
        "set_bar": set_bar,
        "gauge_bar": gas.set_pa / BAR,
        "weakest_bar": min(ratings.values()),
        "set_over_rating": set_bar / min(ratings.values()),
        "relief_words": f"{rounded_down(min(ratings.values())):g} bar",
        "through_regulator": True,
        "flat_count": 1 if gas.set_pa <= 0.0 else 0,
        **of_headspace(inputs, mixture),
        "sealed_low_acid_count": _low_acid_warm(mixture, warmest_c(inputs)),
    }
    shown = shown_of(inputs, mixture, gas, ambient_pa)
    facts |= {
        "gas_volumes": shown["volumes"],
        "gas_left_percent": 100 * (shown["left"] or 0.0) / max(1e-9, shown["co2"] or 0.0),
        "titration_gas_percent": shown["titration_adds"],
        "reached_percent": shown["reached"],
        "line_told": None if inputs.bore is None else 1.0,
        "line_short_bar": 0.0 if inputs.bore is None
        else ((shown["lift_pressure"] or 0.0) - gas.set_pa / BAR),
        "own_time_told": None if inputs.own_time is None else 1.0,
        "gas_share_percent": 100 * inputs.gas.share,
    }  # fmt: skip
    return Result(
        product=product,
        facts=facts,
        deciding=_deciding(facts),
        bound=bound_bar if isfinite(bound_pa) else None,
        margin=shut_in - bound_bar if isfinite(bound_pa) else None,
        mass=1000 * mixture.mass_kg,
        volume=1e6 * mixture.volume_20_m3,
        model_error=_errors(mixture, gas),
        working=tuple(steps(inputs, mixture, gas, shown, bound_bar)),
        tables=tables(inputs, shown),
        **shown,
    )


def _low_acid_warm(mixture: Mixture, warm_c: float) -> int:
    """1 for food that is shut in above 5 C with a pH not surely 4.6 or less [FOOD-CODE-TCS]."""
    sour = ph_at_most(mixture) <= keeping.ACID_FOOD_PH
    return int(
        bool(mixture.keeps - {"dry"})
        and mixture.abv < WEAK_ABV
        and not sour
        and warm_c > keeping.COLD_HOLDING_C
    )


def _errors(mixture: Mixture, gas: Held) -> dict[str, float]:
    """By how much the solubility and the pH may be off."""
    per_mol = dissolved_gas.volumes("co2", 1.0)
    off = max(gas.most - gas.dissolved, gas.dissolved - gas.least)
    set_off = max(gas.set_high_pa - gas.set_pa, gas.set_pa - gas.set_low_pa)
    _, ph, ph_off = ph_with(mixture, gas.dissolved)
    found = {"set_pressure": set_off / BAR, "volumes": off * per_mol, "co2": off * CO2_KG_MOL}
    found |= {"ph": ph_off} if ph is not None else {}
    return {name: value for name, value in found.items() if value > 0.0}


def _check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself or cannot be decided."""
    if (inputs.volumes is None) == (inputs.pressure is None):
        raise BadInput(
            f"carbonate needs either {named('volumes')} or {named('pressure')}, one of the two: "
            f"for example {named('volumes', '3.5')}.",
            "volumes",
        )
    if inputs.how == "high-then-low" and inputs.first_pressure is None:
        raise BadInput(
            f"high-then-low needs {named('first_pressure')}, the pressure at first: for example "
            f"{named('first_pressure', '2.5 bar')}.",
            "first_pressure",
        )
    if inputs.warmest is not None and float(inputs.warmest) < float(inputs.temperature):
        raise BadInput(
            f"{named('warmest')} is {float(inputs.warmest):g} C, colder than the "
            f"{float(inputs.temperature):g} C at which it takes the gas; enter the warmest place.",
            "warmest",
        )


def _unfit(facts: Facts) -> bool:
    """Whether the contents alone forbid it (the caution rows say why)."""
    return bool(
        facts["already_gassy"] or facts["fermenting"] or facts["carbonate"] or facts["no_liquid"]
        or facts["corrosive_share"] >= 1.0 or facts["acid_citric_percent"] >= 20
        or facts["oil_percent"] >= 5 or facts["does_plug"]
    )  # fmt: skip


# what decides, and the ways out


def _deciding(facts: Facts) -> str:
    """The figure that decides with its limit, as a sentence."""
    if facts["already_gassy"]:
        return "Part of the contents is a sparkling drink, with gas that is not counted."
    if facts["fermenting"]:
        return "Part of the contents ferments and makes gas without limit."
    if facts["carbonate_way"] == "priming":
        return "Sugar and yeast in a closed vessel make gas without limit."
    if facts["carbonate_way"] in ("dry-ice", "powder"):
        return "Gas from a solid in a closed vessel has no regulator and no limit."
    if facts["carbonate_into"] == "other-bottle":
        return "This bottle is not made for a fizzy drink."
    if facts["keg_not_known"]:
        return f"Not known: {facts['keg_missing']}."
    if facts.get("bound_known") is False:
        return "No upper bound of the pressure is known."
    if facts.get("set_over_rating", 0.0) > 1.0:
        return (
            f"Regulator set to {facts['set_bar']:.2f} bar, weakest part rated "
            f"{rounded_down(facts['weakest_bar']):g} bar."
        )
    if facts.get("room_over_least", 0.0) > 1.0:
        return (
            f"{facts['room_gas_g'] / 1000:g} kg of carbon dioxide in {facts['room_m3']:g} m3; it "
            f"needs {facts['least_room_m3']:.1f} m3."
        )
    if "bound_bar" not in facts:
        return "The contents are not put under gas."
    if facts["flat_count"]:
        return "So little gas stays in by itself; no pressure can be set for it."
    left = facts["headspace_left"]
    if facts["bound_over_rating"] <= 1.0 and left is not None and left <= 0.0:
        return f"At {facts['warmest_c']:.3g} °C the drink fills all of it."
    if facts["sealed_low_acid_count"] and facts["bound_over_rating"] <= 1.0:
        return f"Low-acid food shut in at {facts['warmest_c']:.3g} °C; 5 °C is the most."
    bottle = facts["carbonate_into"] != "keg"
    if bottle and left is None and facts["bound_over_rating"] <= 0.5:
        return "The empty share of the bottle is not entered."
    half = bottle and 0.5 < facts["bound_over_rating"] <= 1.0
    taken = ", of which a bottle takes half" if half else ""
    stops = half or facts["bound_over_rating"] > 1.0
    # no setting beside a stop
    setting = "Up" if stops else f"Set {facts['gauge_bar']:.2f} bar: up"
    return (
        f"{setting} to {rounded_up(facts['bound_bar'], 1):.1f} bar at {facts['warmest_c']:.3g} °C; "
        f"keg or bottle and lines rated {rounded_down(facts['rated_bar']):g} bar{taken}."
    )


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Less gas, or a colder place; each worked out and judged as the whole."""
    found = [*_less(inputs, judge), *_colder(inputs, judge)]
    return tuple(way for way in found if way.verdict != "stop")


def _judged(judge: Judge, other: Inputs, label: str) -> Iterator[Way]:
    try:
        answer = judge.full(other)
    except PrepkitError:  # what cannot be asked is no way out
        return
    yield Way(label, answer.verdict, answer.result.deciding, answer.inputs)


def _less(inputs: Inputs, judge: Judge) -> Iterator[Way]:
    name = "volumes" if inputs.volumes is not None else "pressure"
    told = getattr(inputs, name)
    if told is None or inputs.first_pressure is not None:
        return

    def made(share: float) -> Inputs:
        value = share * float(told)
        return inputs.replaced(**{name: value if name == "volumes" else Measured(value, "bar")})

    least = 0.05
    if name == "volumes":  # what open gas holds is no setting
        open_volumes = open_gas_volumes(inputs, inputs.contents.mixture)
        least = min(1.0, 1.05 * open_volumes / float(told))
    try:
        edge = room_check.found_edge(judge, made, least, 1.0)
    except PrepkitError:
        return
    if edge is not None:
        share = room_check.rounded(edge * float(told), up=False) / float(told)
        unit = "volumes" if name == "volumes" else "bar"
        yield from _judged(judge, made(share), f"{share * float(told):.3g} {unit}")


def _colder(inputs: Inputs, judge: Judge) -> Iterator[Way]:
    if warmest_c(inputs) <= max(keeping.COLD_HOLDING_C, float(inputs.temperature)):
        return
    cold = Measured(max(keeping.COLD_HOLDING_C, float(inputs.temperature)), "C")
    other = inputs.replaced(warmest=cold)
    yield from _judged(judge, other, f"kept at {float(cold):g} °C or colder, also on the way")
