"""cryogen: liquid nitrogen and dry ice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar, TypedDict

from prepkit import jurisdictions
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, number, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import (
    Column,
    Compared,
    Deciding,
    Figure,
    Judge,
    Screen,
    Step,
    Table,
    Way,
    output,
)
from prepkit.model import Result as BaseResult
from prepkit.science import heat, room_air
from prepkit.science.heat import MELTING_J_KG
from prepkit.shared import drink, room_check
from prepkit.units import Measured

# ---- what cryogen is told ----

SERVICE = ("gone", "fog beside", "fog", "punch bowl", "left in")


class Inputs(BaseInputs):
    """What is chilled, what is stored, and the room it is done in."""

    only_read = ("room_volume", "air_changes", "dewar_loss", "room_temperature")
    groups = (
        ("Most needed", "cryogen part target room_volume air_changes stored hours"),
        ("Store", "dewar_loss place"),
        ("Conditions", "temperature cold_used service jurisdiction room_temperature"),
    )
    takes = (("jurisdiction", "place"),)

    judged_at_end: ClassVar[Mapping[str, int]] = {"room_volume": -1, "air_changes": -1}

    cryogen: str = choice(
        tuple(heat.CRYOGENS), "cryogen", "Of food grade where it touches food at all."
    )
    part: tuple[Part, ...] = parts(
        "what is chilled", "An amount of one ingredient. One entry for each.",
        "2 l syrup 20 Bx", default=None, at=True,
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature at the start", "Of the parts without their own.", "20 C",
        default=20.0, low=-20, high=95, because="a liquid batch",
    )  # fmt: skip
    target: float | None = quantity(
        "C", "temperature wanted", "Of the batch, at rest, when all the cryogen has gone.", "2 C",
        default=None, low=-40, high=40, because="colder is not for eating",
    )  # fmt: skip
    stored: Measured | None = quantity(
        ("kg", "l"), "cryogen kept in that room",
        "In a cooler or dewar, on top of what is used. Litres for liquid nitrogen only.", "5 kg",
        default=None, low=0, high=1e6, because="more is a plant", extensive=True,
    )  # fmt: skip
    hours: float = quantity(
        "h", "time it is kept", "For what is left of it.", "8 h",
        default=8.0, low=0, high=200, because="no box keeps it longer",
    )  # fmt: skip
    dewar_loss: float | None = quantity(
        "l/d", "loss of the dewars", "As the maker states it, all together; doubled for age.",
        "0.3 l/d", default=None, low=0, high=1000, because="more is a plant", extensive=True,
    )  # fmt: skip
    room_volume: float | None = quantity(
        "m3", "net volume of the room", "Needed for any figure. Never assumed.", "60 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air",
        "As measured: air changes an hour, or a flow such as 50 l/s. At most 20 /h are "
        "counted. Never assumed.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    place: str = choice(
        room_check.PLACES, "kind of room", "Where it is used or kept.", default="room"
    )
    cold_used: float | None = number(
        "share of the cold used",
        "0 where the gas leaves as cold as it boils off, 1 where it leaves as warm as the batch "
        "ends; measured, for one figure inside the range.",
        "0.5",
        default=None,
        low=0,
        high=1,
        because="a share",
    )
    service: str | None = choice(
        SERVICE, "cryogen at serving",
        "Gone means none is left. Fog beside comes from a separate vessel that nobody drinks "
        "from. Fog comes from the glass. Punch bowl and left in mean it touches the drink.",
        default=None,
    )  # fmt: skip
    jurisdiction: str | None = words(
        "jurisdiction",
        "The place whose rules count, such as New York, US or UK. Without it, the strictest.",
        "New York", default=None,
    )  # fmt: skip
    room_temperature: float = quantity(
        "C", "temperature of the room", "Its gas takes up more room when warm.", "20 C",
        default=20.0, low=-10, high=45, because="a room with people",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: object) -> object:
        """Hook of the base: a walk-in is a cold room."""
        if name == "service" and isinstance(said, str):
            return said.replace("-", " ")
        return room_check.tidy(said) if name == "place" and isinstance(said, str) else said


# ---- cryogens at service by jurisdiction, what a store loses, what the air does ----

# Where something is known of cryogens at service; the rest are held to the strictest.
FOG_FORBIDDEN = {"new york": True, "us": False, "uk": False}
_EATEN = ("left in", "fog", "punch bowl")  # a guest would swallow it
STORE_CARE_PPM, STORE_STOP_PPM = map(jurisdictions.air_limit, ("co2_store_care", "co2_store_stop"))


def service(inputs: Inputs) -> Facts:
    """What comes to the guest, against the rules that are known here."""
    key = jurisdictions.key_of(inputs.jurisdiction or "")
    law = (key or "").lower()
    forbidden = FOG_FORBIDDEN.get(law, True)
    if law in FOG_FORBIDDEN:
        rule = f"{jurisdictions.name(key or '')} forbids fog at the table"
    else:
        why = (
            "No place was entered" if inputs.jurisdiction is None else "No rule there is known here"
        )
        rule = f"{why}. The strictest place known here, New York, forbids fog at the table"
    return {
        "service": inputs.service or "not said",
        "fog_forbidden": forbidden,
        "fog_rule": rule,
        "service_forbidden": inputs.service in _EATEN
        or (inputs.service == "fog beside" and forbidden),
        "jurisdiction": inputs.jurisdiction or "-",
        "jurisdiction_known": inputs.jurisdiction is None or law in FOG_FORBIDDEN,
        "jurisdictions": "New York, US, UK",
    }


def deciding(
    facts: Facts,
    limits: Mapping[str, list[room_check.Against]],
) -> Deciding:
    """The figure that decides, with its limit."""
    if facts["service"] in _EATEN:
        return Deciding(f"No {facts['cryogen']} in anything that a guest gets.")
    if facts["room_m3"] is None or not facts["service_forbidden"]:
        store = facts.get("steady_co2_ppm", 0.0)
        said = room_check.deciding({**facts, "cold": True, "cryogens": facts["cryogen"]}, limits)
        if store >= STORE_STOP_PPM and not room_check.stops(facts):
            return Deciding(
                f"{store:.0f} ppm carbon dioxide from the store. Limit: "
                f"{STORE_STOP_PPM / STORE_CARE_PPM:g} times {STORE_CARE_PPM:g} ppm.",
                Compared(store, STORE_STOP_PPM, "ppm", 0),
            )
        return said
    return Deciding(f"{facts['fog_rule']}.")


def store_tables(inputs: Inputs, kg: float) -> tuple[Table, ...]:
    """What a store loses in its time, as the range that was read."""
    if not inputs.stored:
        return ()
    hours = float(inputs.hours)
    if inputs.cryogen == "dry ice":
        least_left, most_left = heat.dry_ice_left_kg(kg, hours)
        lost, left = (kg - most_left, kg - least_left), (least_left, most_left)
        what, unit, source = "dry ice in an insulated box, 1 to 2 % an hour", "kg", "FAA-2006"
    else:
        litres = heat.litres_of_liquid(kg)
        slow, fast = heat.DEWAR_LOSS_L_D
        what, source = f"one small open dewar, {slow:g} to {fast:g} l a day", "OXFORD-S4-03"
        if inputs.dewar_loss is not None:
            slow = fast = float(inputs.dewar_loss)
            what = f"dewars, {slow:g} l a day by the maker"
        what += ", twice that when they age"
        lost = (
            min(slow * hours / 24, litres),
            min(room_air.DEWAR_FACTOR * fast * hours / 24, litres),
        )
        left, unit = (litres - lost[1], litres - lost[0]), "l"
    rows = (
        (f"lost in {hours:g} h: {what}", *lost, source),
        ("left", *left, source),
    )
    columns = (
        Column("store"), Column("lower bound", unit, 2), Column("upper bound", unit, 2),
        Column("source"),
    )  # fmt: skip
    return (Table("store", "what the store loses", columns, rows),)


def effects(
    gas: str,
    facts: Facts,
) -> list[tuple[str, float, str, str]]:
    """What is published of such air, with its source."""
    found = [("oxygen", "o2", facts["oxygen_percent"])]
    if gas == "co2":
        found.append(("carbon dioxide", "co2", facts["co2_percent"]))
    rows = [(name, percent, room_check.effect(key, percent)) for name, key, percent in found]
    return [(n, p, row["text"], f"{row['source']} ({row['obtained']})") for n, p, row in rows]


# ---- cryogen ----

LEAST_M3 = 0.01
EXAMPLE = (
    'prepkit cryogen --cryogen "dry ice" --part "2 l syrup 20 Bx" --target "2 C" '
    '--room-volume "60 m3" --air-changes "4 /h"'
)


class Result(BaseResult):
    """A range for the work, and the air for the larger end of it."""

    screen = Screen(
        headline=(
            "{least} to {most} of {cryogen}; {gas} of gas if all goes at once.",
            "{store_gas} of gas from the store.",
        ),
        primary=(
            Figure("cryogen needed", "least", "most"),
            Figure("gas, all at once", "gas"),
            Figure("oxygen then", "oxygen"),
            Figure("carbon dioxide then", "co2"),
            Figure("STOP above, at once", "room_stands"),
            "frozen",
            "store_gas",
            "store_gas_share",
            Figure("left of the store", "left_least", "left_most"),
            "at_share",
        ),
        check=(Figure("as liquid", "least_litres", "most_litres"),),
    )

    least: float | None = output(
        "cryogen needed, lower bound", "g", 0, extensive=True, limit="most"
    )
    most: float | None = output(
        "cryogen needed, upper bound", "g", 0, extensive=True, limit="least"
    )
    least_litres: float | None = output(
        "lower bound, as liquid", "l", 2, extensive=True, limit="most"
    )
    most_litres: float | None = output(
        "upper bound, as liquid", "l", 2, extensive=True, limit="least"
    )
    at_share: float | None = output("cryogen needed, measured share", "g", 0, extensive=True)
    frozen: float | None = output("share of the batch frozen", "% w/w", 0)
    gas: float | None = output("gas of a sudden release", "l", 0, extensive=True)
    oxygen: float | None = output("oxygen after a sudden release", "%", 1, limit="most")
    oxygen_mixing: float | None = output("oxygen if air mixes out", "%", 1)
    co2: float | None = output("carbon dioxide after the release", "%", 2, limit="least")
    room_stands: float | None = output("STOP above, at once, unventilated", "g", 0, limit="most")
    store_gas: float | None = output("gas from the store", "l/h", 1, extensive=True)
    store_gas_share: float | None = output("store gas, share of air", "%", 3)
    left_least: float | None = output(
        "store left, lower bound", "kg", 1, extensive=True, limit="most"
    )
    left_most: float | None = output(
        "store left, upper bound", "kg", 1, extensive=True, limit="least"
    )


#: What may stand beside a stop: the reasons, and where a stop begins.
REASONS = ("gas", "oxygen", "oxygen_mixing", "co2", "room_stands")


def _as_warm_as_all(inputs: Inputs) -> Inputs:
    """The inputs at the temperature of all parts, where some of them say their own."""
    parts, spec = inputs.part or (), inputs.spec("temperature")
    if all(part.temperature_c is None for part in parts):
        return inputs
    at_c = drink.together_c(parts, drink.each_c(parts, float(inputs.temperature), "part", spec))
    spread = getattr(inputs.temperature, "plus_minus", 0.0)
    return inputs.replaced(temperature=Measured(at_c, "C", spread))


def compute(inputs: Inputs) -> Result:
    """Work and store, then the room for all of it at once."""
    inputs = _as_warm_as_all(inputs)
    batch = Mixture.total(part.mixture for part in inputs.part or ())
    works = batch.mass_kg > 0
    if works != (inputs.target is not None) or not (works or inputs.stored is not None):
        raise BadInput(
            f"cryogen needs {named('part')} with {named('target')} for what is chilled, or "
            f"{named('stored')} for what is kept, "
            f"or both. For example: {named('part', '2 l syrup 20 Bx')} {named('target', '2 C')}.",
            "part",
        )
    target = inputs.target  # given where something is chilled
    if target is not None and float(target) > float(inputs.temperature):
        raise BadInput(
            f"{named('target')} is {float(target):g} °C and the batch is at "
            f"{float(inputs.temperature):g} °C; a cryogen only cools.",
            "target",
        )
    if inputs.dewar_loss is not None and not inputs.stored:
        raise BadInput(
            f"{named('dewar_loss')} is what kept nitrogen loses; give {named('stored')}, what the "
            "dewars hold, too.",
            "dewar_loss",
        )
    name, gas = inputs.cryogen, heat.CRYOGENS[inputs.cryogen].gas
    facts: Facts = {
        "cryogen": name,
        "place": inputs.place,
        **room_check.less(inputs.place, cold=True),
        "stored_kg": _stored_kg(inputs),
        **service(inputs),
    }
    if target is not None:
        facts |= {"served_with_cryogen": name, "product_c": float(target)}
    if inputs.room_volume is None:
        facts |= {"room_m3": None}
        return Result(
            product=batch if works else None,
            facts=facts,
            deciding=deciding(facts, {}).words,
        )
    room_m3, room_c = _least(inputs.room_volume), float(inputs.room_temperature)
    if room_m3 < LEAST_M3:
        raise BadInput(
            f"{named('room_volume')} may be as little as {room_m3:g} m3 by its ±; measure it "
            "better.",
            "room_volume",
        )
    told = room_check.changes_h(inputs.air_changes, room_m3)
    facts |= {
        "air_changes": room_check.counted(told, inputs.place),
        "air_changes_told": told or 0.0,
    }
    law = room_check.jurisdiction(inputs.jurisdiction)
    work, working = ChillingValues(), tuple[Step, ...]()
    if target is not None:
        work, working = _work(inputs, batch, float(target))
    whole_kg = work.get("most", 0.0) / 1000 + _stored_kg(inputs)
    gas_m3 = heat.gas_m3(name, whole_kg, room_c)
    per_kg = heat.gas_m3(name, 1.0, room_c)
    facts |= room_check.cold_facts(room_m3, gas, gas_m3)
    limits: dict[str, list[room_check.Against]] = {}
    if gas == "co2":
        limits, of_work = room_check.at_once(law, room_m3, gas_m3, facts["air_changes"] or 0.0)
        facts |= of_work
    kept = _store(inputs, facts, room_m3, per_kg)
    forbidden = room_check.forbids(inputs.place, cold=True)
    no_air = room_check.too_little_for_cold(facts["air_changes"])
    no_amount = forbidden or facts["service_forbidden"] or no_air
    store = store_tables(inputs, _stored_kg(inputs))
    stopped = no_amount or facts.get("steady_co2_ppm", 0.0) >= STORE_STOP_PPM
    stopped = bool(room_check.stops(facts) or stopped)
    if stopped:
        working, store = (), ()
    decides = deciding(facts, limits)
    found = Result(
        product=batch if works else None,
        facts=facts,
        deciding=decides.words,
        compared=decides.compared,
        working=(
            *working,
            Step("gas", f"{whole_kg:.3f} kg x {1000 * per_kg:.0f} l/kg at {room_c:g} °C",
                 1000 * gas_m3, "l", "GAS-EOS"),
            Step("oxygen", f"20.95 % x (1 - {gas_m3:.3f} / {room_m3:g} m3)",
                 facts["oxygen_percent"], "%", "UK-SHE-DEWAR-2014"),
        ),
        tables=(
            Table(
                "air",
                "what such air does",
                (Column("gas"), Column("in the air", "%", 2), Column("effect"), Column("source")),
                tuple(effects(gas, facts)),
            ),
            *store,
        ),
        gas=1000 * gas_m3,
        oxygen=facts["oxygen_percent"],
        oxygen_mixing=100 * room_air.oxygen_fraction_mixing(room_m3, gas_m3),
        co2=facts["co2_percent"] if gas == "co2" else None,
        room_stands=room_check.largest_kg(
            gas, 1000 * room_m3, per_kg, digits=0, caps=room_check.caps(law)
        ),
        **work,
        **kept,
    )  # fmt: skip
    if stopped:
        return found.only(REASONS[:-1] if no_amount else REASONS)
    return found


def _stored_kg(inputs: Inputs) -> float:
    stored = inputs.stored
    if stored is None:
        return 0.0
    if stored.unit == "kg":
        return float(stored)
    if inputs.cryogen == "dry ice":
        raise BadInput(
            f"{named('stored')} is {float(stored):g} l of dry ice, which has no fixed volume; "
            "weigh it.",
            "stored",
        )
    return float(stored) * heat.LIQUID_NITROGEN_KG_L


def _least(value: float) -> float:
    """A quantity at the low end of its ±."""
    return float(value) - float(getattr(value, "plus_minus", 0.0))


class ChillingValues(TypedDict, total=False):
    """Values of the result on what is chilled."""

    least: float
    most: float
    least_litres: float | None
    most_litres: float | None
    at_share: float
    frozen: float | None


class StoreValues(TypedDict, total=False):
    """Values of the result on what is kept."""

    store_gas: float
    store_gas_share: float
    left_least: float | None
    left_most: float | None


def _work(inputs: Inputs, batch: Mixture, end_c: float) -> tuple[ChillingValues, tuple[Step, ...]]:
    """The range for the batch."""
    start_c = float(inputs.temperature)
    joules, ice = drink.heat_to_remove_j(batch, start_c, end_c)
    least, most = heat.needed_range_kg(inputs.cryogen, joules, end_c)
    one = heat.CRYOGENS[inputs.cryogen]
    liquid = inputs.cryogen == "liquid nitrogen"
    shown: ChillingValues = {
        "least": 1000 * least,
        "most": 1000 * most,
        "least_litres": heat.litres_of_liquid(least) if liquid else None,
        "most_litres": heat.litres_of_liquid(most) if liquid else None,
        "frozen": 100 * ice / batch.mass_kg if ice else None,
    }
    if inputs.cold_used is not None:
        warmed = inputs.cold_used * heat.gas_heat_j_kg(inputs.cryogen, end_c)
        shown["at_share"] = 1000 * joules / (one.latent_j_kg + warmed)
    cp = drink.specific_heat_j_kg_k(batch, start_c, end_c)
    warmed = heat.gas_heat_j_kg(inputs.cryogen, end_c)
    steps = (
        Step(
            "heat to remove",
            f"{batch.mass_kg:.3f} kg x {cp / 1000:.3f} kJ/(kg K) x ({start_c:g} - {end_c:g}) K + "
            f"{MELTING_J_KG / 1000:.1f} kJ/kg x {ice:.3f} kg of ice",
            joules / 1000,
            "kJ",
            "PREPKIT-SPIRIT",
        ),
        Step(
            "upper bound",
            f"over {one.latent_j_kg / 1000:.1f} kJ/kg alone: the gas leaves as cold as it boils",
            1000 * most,
            "g",
            "GAS-EOS" if liquid else "DRY-ICE-HEAT",
        ),
        Step(
            "lower bound",
            f"over {one.latent_j_kg / 1000:.1f} + {warmed / 1000:.1f} kJ/kg: it leaves as warm as "
            f"the batch ends",
            1000 * least,
            "g",
            "GAS-EOS" if liquid else "DRY-ICE-HEAT",
        ),
    )
    return shown, steps


def _store(
    inputs: Inputs,
    facts: Facts,
    room_m3: float,
    per_kg: float,
) -> StoreValues:
    """What the store loses and leaves; its gas goes to the facts too."""
    if inputs.cryogen == "liquid nitrogen":
        if inputs.dewar_loss is None:
            return {}
        gas_m3_h = room_air.dewar_gas_m3_h(float(inputs.dewar_loss))
        left = None
    else:
        if not inputs.stored:
            return {}
        gas_m3_h = heat.DRY_ICE_LOSS_H[1] * _stored_kg(inputs) * per_kg
        left = heat.dry_ice_left_kg(_stored_kg(inputs), float(inputs.hours))
    changes = facts["air_changes"] or 0.0
    share = room_air.steady_concentration(room_m3, gas_m3_h, changes)
    if not changes:  # nothing leaves: what has come by the end of the time
        share = min(gas_m3_h * float(inputs.hours) / room_m3, 1.0)
    if inputs.cryogen == "dry ice":
        facts["steady_co2_ppm"] = 1e6 * share
    return {
        "store_gas": 1000 * gas_m3_h,
        "store_gas_share": 100 * share,
        "left_least": left[0] if left else None,
        "left_most": left[1] if left else None,
    }


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Ways out of a stop: less at a time, a larger room, more fresh air, another place."""
    if inputs.room_volume is None or inputs.service not in (None, "gone"):
        return ()

    def less(base: Inputs) -> Callable[[float], Inputs]:
        def scaled(share: float) -> Inputs:
            stored = base.stored
            return base.replaced(
                part=tuple(part.scaled(share) for part in base.part),
                stored=None if stored is None else Measured(stored * share, stored.unit),
            )

        return scaled

    def larger(base: Inputs) -> Callable[[float], Inputs]:
        return lambda m3: base.replaced(room_volume=Measured(m3, "m3"))

    def amount(other: Inputs, share: float) -> str:
        said = [f"{100 * share:g} % of the batch at a time"] if other.part else []
        if other.stored:
            said.append(f"{float(other.stored):.3g} {other.stored.unit} kept")
        return f"at most {' with '.join(said)}"

    least = float(inputs.room_volume) - float(getattr(inputs.room_volume, "plus_minus", 0.0))
    judge = room_check.strict(judge, lambda one: compute(one).facts)
    return room_check.of(inputs, judge, less, larger, amount, least, cold=True)
