"""cloud: smoke, mist, fog and balloons: who breathes what."""

from __future__ import annotations

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, checked
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Declared, Figure, Judge, Screen, Step, Table, Way, output
from prepkit.model import Result as BaseResult
from prepkit.science import ethanol, room_air
from prepkit.shared import room_check
from prepkit.units import Measured

# ---- what cloud is told, and which of it each kind of cloud reads ----

DOME, GLASS, BUBBLE, MIST = "smoke dome", "smoked glass", "aroma bubble", "mist"
FOG, BREATH, SPOON, RIM = "fog", "gas to breathe", "foam by the spoon", "spray on the rim"
WAYS = (DOME, GLASS, BUBBLE, MIST, FOG, BREATH, SPOON, RIM)
SMOKES, ROOM_INPUTS = (DOME, GLASS), ("room_volume", "air_changes", "place", "hours")
AT_IT, AWAY = "at it", "away"
# what each way reads beside `way`; anything else that is told is refused, never ignored
READS: dict[str, tuple[str, ...]] = {
    DOME: ("burnt", "fuel", "space", "face", "clouds", "alarm", *ROOM_INPUTS),
    GLASS: ("burnt", "fuel", "space", "aired", "clouds", "alarm", *ROOM_INPUTS),
    BUBBLE: ("liquid", "burnt", "fuel", "space"),
    MIST: ("liquid", "rate", "room_volume", "air_changes", "hours"),
    FOG: ("liquid", "face", "fog_from", "place"),
    BREATH: ("gas",),
    SPOON: ("liquid", "gas", "foam_volume"),
    RIM: ("liquid", "face"),
}
AIRED_S = 10.0  # [CLOUD-PRACTICE] (practice)


class Inputs(BaseInputs):
    """What the cloud is made of, how, where the faces are, and the room."""

    only_read = ("room_volume", "air_changes")
    groups = (
        ("Most needed", "way burnt fuel space liquid gas face aired fog_from"),
        ("The room", "room_volume air_changes place clouds hours rate alarm"),
        ("Foam", "foam_volume"),
    )
    takes = (("gas", "gas"), ("burnt", "name"))

    way: str = choice(
        WAYS, "kind of cloud", "How a guest meets it. Breathed clouds are refused, but for water."
    )
    burnt: str | None = words(
        "plant that smoulders", "Wood or herb, by its name. Never treated wood.", "oak",
        default=None,
    )  # fmt: skip
    fuel: Measured | None = quantity(
        "g", "burnt for one cloud", "Weigh the fuel before and after.", "0.5 g", default=None,
        above=0, high=1000, because="one dome or glass",
    )  # fmt: skip
    space: Measured | None = quantity(
        "l", "space the cloud fills", "Of the dome, the glass or the bubble.", "1 l",
        default=None, above=0.001, high=1000, because="a dome or a glass",
    )  # fmt: skip
    liquid: tuple[Part, ...] = parts(
        "liquid of the cloud", "All that is sprayed, misted or in the foam.", "50 ml water",
        default=None,
    )  # fmt: skip
    gas: str | None = words("gas of the cloud", "In the balloon or the foam.", "helium",
                            default=None)  # fmt: skip
    face: str | None = choice(
        (AT_IT, AWAY), "where the faces are", "Away: an arm's length, and it is lifted under a "
        "hood or in moving air.", default=None,
    )  # fmt: skip
    aired: Measured | None = quantity(
        "s", "aired after tipping out", "The glass, before the drink goes in.", "10 s",
        default=None, low=0, high=3600, because="one glass",
    )  # fmt: skip
    fog_from: str | None = choice(
        ("separate vessel", "the drink"), "dry ice lies in", "Never in what is drunk.",
        default=None,
    )  # fmt: skip
    rate: Measured | None = quantity(
        "l/h", "liquid misted", "By the tank, before and after an hour.", "0.3 l/h", default=None,
        above=0, high=100, because="a mister",
    )  # fmt: skip
    clouds: Measured | None = quantity(
        "/h", "clouds an hour", "All of them in this room.", "10 /h", default=None, above=0,
        high=1000, because="one room",
    )  # fmt: skip
    hours: Measured = quantity(
        "h", "hours of service", "The bartender's shift.", "8 h", default=8.0, above=0, high=24,
        because="a day",
    )  # fmt: skip
    room_volume: Measured | None = quantity(
        "m3", "volume of the room, net", "Without furniture and people.", "50 m3", default=None,
        above=0, high=1e6, because="a room",
    )  # fmt: skip
    air_changes: Measured | None = quantity(
        "/h", "fresh air", "Measured. None is counted if left out.", "4 /h", default=None, low=0,
        high=100, because="a room",
    )  # fmt: skip
    place: str = choice(room_check.PLACES, "kind of room", "Where it is lit or stands.",
                        default="room")  # fmt: skip
    foam_volume: Measured | None = quantity(
        "ml", "foam in one serve", "To know its gas.", "100 ml", default=None, above=0, high=2000,
        because="one serve",
    )  # fmt: skip
    alarm: bool = flag("alarm", "A carbon monoxide alarm that works hangs in the room.")


def check(inputs: Inputs) -> None:
    """BadInput for what the way does not read: nothing that is told is ignored."""
    for name, spec in inputs.specs().items():
        if name == "way" or name in READS[inputs.way]:
            continue
        if getattr(inputs, name) != inputs.default(name):
            raise BadInput(
                f"{named(name)} ({spec.label}) does not go with {inputs.way}; leave it out.",
                name,
            )


# ---- cloud ----

EXAMPLE = (
    'prepkit cloud --way "smoke dome" --burnt oak --fuel "0.5 g" --space "1 l" --face away '
    '--room-volume "50 m3" --air-changes "4 /h" --clouds "10 /h"'
)
#: Plants that are smouldered for their smoke, by custom [PRACTICE]; any other is not known
FUELS = (
    "oak", "beech", "apple", "cherry", "pear", "plum", "alder", "maple", "hickory", "pecan",
    "mesquite", "olive", "vine", "rosemary", "thyme", "cinnamon", "tea leaf",
)  # fmt: skip
_FORMS = ("wood", "chips", "chip", "sawdust", "dust", "shavings", "pellets", "sticks", "stick")
_CHARCOAL = ("charcoal", "coal", "briquette", "briquettes", "coals", "embers", "binchotan")
PURE = 0.9995  # water from here on is plain water
_OIL = ("fat", "milk_fat", "essential_oil")
_CLAIM_G, _CLAIM_H = 10.0, 40.0 / 60.0  # a large drink in 40 min, as a mist was sold


class Result(BaseResult):
    """What is in the cloud, at the face and in the room."""

    screen = Screen(
        headline=(
            "{co_face} carbon monoxide in the cloud, {co_room} in the room.",
            "{co_face} carbon monoxide in the cloud.",
            "{cloud_answer}.",
        ),
        primary=(
            Figure("carbon monoxide in the cloud", "co_face", "co_face_high"),
            "co_room",
            "co_shift",
            "flammable",
            "lung_oxygen",
            "gas_in_foam",
        ),
    )

    co_face: float | None = output("carbon monoxide at the face", "ppm", 0)
    co_face_high: float | None = output("carbon monoxide, upper bound", "ppm", 0, limit="least")
    co_room: float | None = output("in the room, one cloud", "ppm", 2, figures=2)
    co_shift: float | None = output("in the room, whole shift", "ppm", 2, figures=2)
    flammable: float | None = output("share of flammable limit", "%", 1, figures=2)
    lung_oxygen: float | None = output("oxygen left in lungs", "%", 1)
    gas_in_foam: float | None = output("gas in one foam", "ml", 0)


def compute(inputs: Inputs) -> Result:
    """What is told of the cloud, who breathes it, and the sums that decide."""
    check(inputs)
    mixture = Mixture.total(part.mixture for part in inputs.liquid)
    facts: Facts = {**_sources(inputs), **_where(inputs), **_of_liquid(inputs, mixture)}
    smoke, mist = _smoke(inputs), _mist(inputs, mixture)
    facts |= smoke
    if "cloud_co_ppm" in smoke:  # no limit is judged on these two
        facts["cloud_co_ppm"] = _three(smoke["cloud_co_ppm"])
        facts["cloud_co_most_ppm"] = _three(smoke["cloud_co_most_ppm"])
    if mist is not None:
        facts["cloud_flammable_percent"] = mist
    lungs = facts.get("cloud_lung_percent")
    eaten = inputs.way == SPOON and inputs.foam_volume is not None
    return Result(
        product=mixture if inputs.liquid else None,
        deciding=_deciding(inputs, facts),
        co_face=smoke.get("cloud_co_ppm"),
        co_face_high=smoke.get("cloud_co_most_ppm"),
        co_room=smoke.get("cloud_room_ppm"),
        co_shift=smoke.get("cloud_usual_shift_ppm"),
        flammable=mist,
        lung_oxygen=lungs if isinstance(lungs, float) else None,
        gas_in_foam=float(inputs.foam_volume) if eaten and inputs.foam_volume else None,
        facts=facts,
        tables=(_who(inputs, facts),),
        working=tuple(_steps(inputs, facts)),
    )


def _fuel(words: str) -> str:
    """The plant of a fuel's words, without what form it has.

    >>> _fuel("Oak wood chips"), _fuel("oak tree")
    ('oak', 'oak tree')
    """
    left = [word for word in words.lower().replace("-", " ").split() if word not in _FORMS]
    return " ".join(left)


def _known_wood(words: str) -> bool:
    """Whether the published figures of wood stand for this fuel."""
    return _fuel(words) in FUELS


def _sources(inputs: Inputs) -> Facts:
    """Whether it is known what the cloud is made of; the gas, and the breath without oxygen."""
    facts: Facts = {}
    told = {
        DOME: inputs.burnt, GLASS: inputs.burnt, BUBBLE: inputs.liquid or inputs.burnt,
        MIST: inputs.liquid, FOG: inputs.liquid, BREATH: inputs.gas, SPOON: inputs.gas,
        RIM: inputs.liquid,
    }[inputs.way]  # fmt: skip
    facts["cloud_source_told"] = 1 if told else None
    if inputs.burnt is not None:
        plant = _fuel(inputs.burnt)
        facts["cloud_fuel"] = plant or inputs.burnt
        if set(plant.split()) & set(_CHARCOAL):
            facts["cloud_charcoal_count"] = 1
        elif plant not in FUELS:
            facts["cloud_fuel_unknown_count"] = 1
    if inputs.gas is None:
        return facts
    gas = room_check.gas_named(inputs.gas)
    facts["cloud_gas"] = gas.name
    if gas.why:
        return {**facts, "refused_gas_count": 1, "refused_gas": gas.name,
                "refused_gas_why": gas.why}  # fmt: skip
    if inputs.way == BREATH and not gas.asphyxiant:
        facts["cloud_breath_air_count"] = 1
    elif inputs.way == BREATH:
        breath_l = room_air.LUNG_L - room_air.EMPTY_L
        facts["cloud_lung_percent"] = 100 * room_air.lung_oxygen(breath_l, room_air.EMPTY_L)
        facts["cloud_sip_percent"] = 100 * room_air.lung_oxygen(0.5, room_air.RESTING_L)
    if inputs.way == SPOON:
        facts["cloud_spoon_count"] = 1
        facts["cloud_answer"] = "It is eaten with a spoon, not breathed in"
    return facts


def _where(inputs: Inputs) -> Facts:
    """Where the faces, the ice and the flame are."""
    facts: Facts = {}
    if inputs.way in (DOME, FOG, RIM):
        facts["cloud_face_told"] = None if inputs.face is None else 1
    faced, away = inputs.face == AT_IT, inputs.face == AWAY
    if inputs.way == DOME:
        facts |= {"cloud_smoke_faced": float(faced), "cloud_smoke_away": float(away)}
    if inputs.way == BUBBLE and inputs.burnt is not None:
        facts["cloud_smoke_bubble_count"] = 1
    if inputs.way == FOG:
        facts |= {
            "cloud_fog_faced": float(faced),
            "cloud_fog_away": float(away),
            "cloud_fog_in_drink": float(inputs.fog_from == "the drink"),
            "cloud_fog_told": None if inputs.fog_from is None else 1,
        }
        if inputs.place in room_check.NO_CRYOGEN:
            facts |= {"cloud_closed_count": 1, "place": inputs.place}
    if inputs.way in SMOKES and inputs.place in room_check.NO_CRYOGEN:
        facts |= {"cloud_closed_count": 1, "place": inputs.place}
    if inputs.way == GLASS:
        facts["cloud_aired_s"] = None if inputs.aired is None else float(inputs.aired)
    if inputs.way == RIM:
        facts |= {"cloud_spray_faced": float(faced), "cloud_spray_away": float(away)}
        if away and inputs.liquid:
            facts["cloud_answer"] = "It is smelled on the rim, not breathed in"
    if inputs.way in SMOKES:
        facts["cloud_alarm"] = 1 if inputs.alarm else None
        facts["cloud_fuel_g"] = 0.0 if inputs.fuel is None else float(inputs.fuel)
        facts["cloud_room_ppm"] = facts["cloud_co_ppm"] = None
        if inputs.burnt is None or _known_wood(inputs.burnt):
            facts["cloud_shift_ppm"] = None
    return facts


def _of_liquid(inputs: Inputs, mixture: Mixture) -> Facts:
    """What the liquid of a breathed cloud holds beside water."""
    facts: Facts = derived.facts(mixture) if inputs.liquid else {}
    if not inputs.liquid or inputs.way not in (BUBBLE, MIST, FOG):
        return facts
    facts["cloud_abv_percent"] = 100 * mixture.abv if mixture.of("ethanol") else 0.0
    if inputs.way == FOG:
        return facts
    water = mixture.fraction("water") >= PURE and not mixture.tags
    facts |= {
        "cloud_oil_percent": 100 * mixture.fraction(*_OIL),
        "cloud_glycerol_percent": 100 * mixture.fraction("glycerol"),
        "cloud_not_water": float(not water),
        "cloud_water_count": float(water),
    }
    if water and inputs.burnt is None:
        facts["cloud_answer"] = "Water alone may be breathed as a mist, if it is clean"
    return facts


def _three(ppm: float) -> float:
    """As it is said in words, to three figures: what wood gives off is known no better."""
    return float(f"{ppm:.3g}")


def _smoke(inputs: Inputs) -> Facts:
    """Carbon monoxide in the cloud and in the room, ppm."""
    if inputs.burnt is None or inputs.fuel is None or not _known_wood(inputs.burnt):
        return {}
    fuel_g = float(inputs.fuel)
    found: Facts = {}
    if inputs.space is not None:
        space_l = float(inputs.space)
        found["cloud_co_ppm"] = room_air.carbon_monoxide_ppm(fuel_g, space_l)
        most = room_air.carbon_monoxide_ppm(fuel_g, space_l, room_air.CO_MOST_KG_KG)
        found["cloud_co_most_ppm"] = most
    if inputs.room_volume is None:
        return found
    room_m3 = float(inputs.room_volume)
    found["cloud_room_ppm"] = room_air.carbon_monoxide_ppm(fuel_g, 1000 * room_m3)
    if inputs.clouds is None:
        return found
    hours = float(inputs.hours)
    grams = fuel_g * float(inputs.clouds) * hours
    ends = {}
    for name, emission in (
        ("cloud_usual_shift_ppm", room_air.CO_USUAL_KG_KG),
        ("cloud_shift_ppm", room_air.CO_MOST_KG_KG),
    ):
        gas_m3 = grams * emission / room_air.CO_G_MOL * room_air.MOLAR_L / 1000
        ends[name] = 1e6 * _after(hours, room_m3, gas_m3, inputs)
    return {**found, **checked(ends)}


def _after(hours: float, room_m3: float, gas_m3: float, inputs: Inputs) -> float:
    """Share of a gas that comes evenly, at the end of the hours."""
    changes = 0.0 if inputs.air_changes is None else float(inputs.air_changes)
    leak = room_air.Release(gas_m3, 0.0, 3600 * hours)
    return room_air.concentration(3600 * hours, room_m3, [leak], changes)


def _mist(inputs: Inputs, mixture: Mixture) -> float | None:
    """Spirit of a mist in the room over the flammable limit, %; None without the sizes."""
    if inputs.way != MIST or not mixture.of("ethanol"):
        return None
    if inputs.rate is None or inputs.room_volume is None:
        return None
    hours = float(inputs.hours)
    ethanol_g = 1000 * float(inputs.rate) * mixture.abv * ethanol.PURE_KG_M3 / 1000 * hours
    gas_m3 = ethanol_g / room_air.ETHANOL_G_MOL * room_air.MOLAR_L / 1000
    share = _after(hours, float(inputs.room_volume), gas_m3, inputs)
    return 100 * room_air.flammable_share(room_air.ethanol_g_m3(share))


def _number(facts: Facts, name: str) -> float | None:
    value = facts.get(name)
    return value if isinstance(value, float) else None


def _deciding(inputs: Inputs, facts: Facts) -> str:
    """The figure that decides, where there is one."""
    monoxide = _number(facts, "cloud_co_ppm")
    faced = facts.get("cloud_smoke_faced") or facts.get("cloud_smoke_bubble_count")
    if faced and monoxide is not None:
        return (
            f"A face at this cloud meets {monoxide:,.0f} ppm carbon monoxide; "
            f"{room_air.CO_DANGER_PPM:,.0f} ppm endangers life."
        )
    lungs = _number(facts, "cloud_lung_percent")
    if lungs is not None:
        return f"One full breath of {facts['cloud_gas']} leaves {lungs:.1f} % oxygen in the lungs."
    mist = _number(facts, "cloud_flammable_percent")
    if mist is not None:
        return f"The spirit in the air comes to {mist:.0f} % of its flammable limit."
    return ""


def _who(inputs: Inputs, facts: Facts) -> Table:
    """What the guest, the bartender and the neighbour breathe."""
    guest = {
        DOME: "the smoke, if the face is at the dome", GLASS: "what is left in the aired glass",
        BUBBLE: "all of the bubble", MIST: "the mist, as long as it is made",
        FOG: "the room's air, if the face stays away", BREATH: "a lungful without oxygen",
        SPOON: "nothing: it is eaten", RIM: "the scent alone",
    }[inputs.way]  # fmt: skip
    monoxide = _number(facts, "cloud_co_ppm")
    beside = ""
    if monoxide is not None and inputs.way != GLASS:
        guest += f": {monoxide:,.0f} ppm carbon monoxide"
        beside = f"{room_air.CO_DANGER_PPM:,.0f} ppm endangers life"
    lungs, sip = _number(facts, "cloud_lung_percent"), _number(facts, "cloud_sip_percent")
    if lungs is not None and sip is not None:
        guest += f": {lungs:.1f} % oxygen stays"
        beside = f"even a sip of 0.5 l leaves {sip:.1f} %, and the next less"
    rows = [("guest", guest, beside)]
    shift, one = _number(facts, "cloud_shift_ppm"), _number(facts, "cloud_room_ppm")
    if inputs.way in SMOKES:
        limit = f"{room_air.CO_SHIFT_PPM:g} ppm over 8 h"
        said = "not known" if shift is None else f"up to {shift:.2g} ppm after the shift"
        rows.append(("bartender", f"the smoke at the flame, and in the room {said}", limit))
        said = "not known" if one is None else f"{one:.2g} ppm after one cloud"
        rows.append(("neighbour", f"in the room {said}", limit))
    elif inputs.way == MIST:
        rows.append(("bartender", "the same mist, for the whole shift", ""))
        rows.append(("neighbour", "the same mist, unasked", ""))
    elif inputs.way == FOG:
        said = "carbon dioxide of the ice, lowest at the floor and in a cellar"
        rows += [("bartender", said, "see the cryogen calculator"), ("neighbour", said, "")]
    else:
        rows += [("bartender", "next to nothing", ""), ("neighbour", "next to nothing", "")]
    columns = (Column("who"), Column("breathes"), Column("beside"))
    return Table("who", "who breathes it", columns, tuple(rows))


def _steps(inputs: Inputs, facts: Facts) -> list[Step]:
    """The working, as on a board."""
    steps: list[Step] = []
    fuel, space = inputs.fuel, inputs.space
    if fuel is not None and space is not None and inputs.burnt is not None:
        steps.append(
            Step(
                "carbon monoxide in the cloud",
                f"1e6 x {float(fuel):g} g x {room_air.CO_USUAL_KG_KG:g} / "
                f"{room_air.CO_G_MOL} g/mol x {room_air.MOLAR_L} l/mol / {float(space):g} l",
                _number(facts, "cloud_co_ppm"),
                "ppm",
                "FIRE-EMISSIONS",
            )
        )
        steps.append(
            Step(
                "endangers life at once",
                "carbon monoxide",
                room_air.CO_DANGER_PPM,
                "ppm",
                "CO-IDLH-MEMORY",
            )
        )
    if (one := _number(facts, "cloud_room_ppm")) is not None and inputs.room_volume is not None:
        steps.append(Step("the same in the room", f"the same over "
                          f"{1000 * float(inputs.room_volume):,.0f} l", one, "ppm",
                          "FIRE-EMISSIONS"))  # fmt: skip
    if (shift := _number(facts, "cloud_shift_ppm")) is not None:
        steps.append(Step("room at the end of the shift", f"{float(inputs.hours):g} h, at most "
                          f"{room_air.CO_MOST_KG_KG:g} g of it per g burnt", shift, "ppm",
                          "FIRE-EMISSIONS"))  # fmt: skip
        steps.append(Step("limit of a shift", "carbon monoxide, 8 h", room_air.CO_SHIFT_PPM, "ppm",
                          "CO-LIMITS"))  # fmt: skip
    if facts.get("cloud_charcoal_count"):
        low, high = room_air.charcoal_air_m3_h(1.0)
        steps.append(Step("fresh air for charcoal", f"{low:g} to {high:g} m3/h for each kW", high,
                          "m3/h", "CHARCOAL-2011"))  # fmt: skip
    if (lungs := _number(facts, "cloud_lung_percent")) is not None:
        steps.append(
            Step(
                "oxygen after one full breath",
                f"{100 * room_air.LUNG_OXYGEN:g} % x {room_air.EMPTY_L:g} l "
                f"/ {room_air.LUNG_L:g} l",
                lungs,
                "%",
                "CLOUD-MEMORY",
            )
        )
    if facts.get("cloud_abv_percent"):
        air = _CLAIM_G / _CLAIM_H / room_air.BREATHED_M3_H / room_air.TAKEN_UP
        steps.append(
            Step(
                "air for a large drink in 40 min",
                f"{_CLAIM_G:g} g / ({room_air.BREATHED_M3_H:g} m3/h x "
                f"{room_air.TAKEN_UP:g} x 40 min) "
                f"over {1000 * room_air.LOWER_FLAMMABLE:.0f} ml/l of vapour",
                100 * room_air.flammable_share(air),
                "% of the flammable limit",
                "CLOUD-MEMORY",
            )
        )
    if (mist := _number(facts, "cloud_flammable_percent")) is not None:
        steps.append(Step("this mist in the room", "over the flammable limit of the vapour", mist,
                          "%", "DEFINITION"))  # fmt: skip
    if not steps:
        steps.append(Step("kind of cloud", f"{inputs.way}: judged by what it is made of and where "
                          "the faces are", source="JUDGEMENT"))  # fmt: skip
    return steps


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """What gives the scent without the breath: the rim, the aired glass, the spoon."""
    tried: list[tuple[str, Inputs]] = []
    if inputs.way == DOME and inputs.face != AWAY:
        tried.append(("lift the dome away from every face", inputs.replaced(face=AWAY)))
    if inputs.burnt is not None and inputs.way != GLASS:
        aired = Measured(AIRED_S, "s")
        other = _turned(inputs, GLASS, aired=aired)
        tried.append(("smoke the empty glass, tip it out, air it for 10 s", other))
    if inputs.liquid and (inputs.way != RIM or inputs.face != AWAY):
        tried.append(("spray it on the rim, away from the face", _turned(inputs, RIM, face=AWAY)))
    if inputs.gas is not None and inputs.way == BREATH:
        tried.append(("a foam, eaten with a spoon", _turned(inputs, SPOON)))
    judged = [(label, other, judge.quick(other)) for label, other in tried]
    return tuple(
        Way(label, verdict, "", other.words())
        for label, other, verdict in judged
        if verdict != "stop"
    )


def _turned(inputs: Inputs, way: str, **more: Declared) -> Inputs:
    """The same cloud made another way, without what that way does not read."""
    gone = {
        name: inputs.default(name)
        for name in inputs.specs()
        if name != "way" and name not in READS[way]
    }
    return inputs.replaced(**gone, way=way, **more)
