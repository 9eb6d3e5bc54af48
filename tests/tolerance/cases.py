"""What is sampled: each calculator's example, the demo recipes, and sets at edges, all with +/-."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from prepkit.index import CALCULATORS
from prepkit.ingredient import Part
from prepkit.inputs import Inputs
from prepkit.plan import load_recipe, make_plan
from prepkit.registry import load, validate
from prepkit.units import Measured

RECIPES = Path(__file__).parents[2] / "recipes"
SHARES = (0.005, 0.02, 0.10)  # of each amount: a good scale, a jigger, a guess
_TEMPERATURE_C = 1.0  # +/- of each temperature, whatever it is


class Case(NamedTuple):
    """One set of inputs, each uncertain one with its +/-."""

    calculator: str
    name: str
    inputs: Inputs


def example_words(calculator: str) -> dict[str, Any]:
    """The inputs of a calculator's example."""
    words = shlex.split(load(calculator).example)[2:]
    said: dict[str, list[str]] = {}
    for name, value in zip(words[::2], words[1::2], strict=True):
        said.setdefault(name.lstrip("-").replace("-", "_"), []).append(value)
    return {name: of[0] if len(of) == 1 else of for name, of in said.items()}


def loosened(inputs: Inputs, share: float) -> Inputs:
    """The inputs that were given, each amount and number +/- a share of itself."""

    def loose(value: Any, kind: str) -> Any:
        if isinstance(value, Part):
            amount = value.amount
            return value.replaced(
                amount=Measured(float(amount), amount.unit, share * float(amount))
            )
        if isinstance(value, Measured):
            off = _TEMPERATURE_C if value.unit == "C" else share * abs(float(value))
            return Measured(float(value), value.unit, off)
        if kind == "number" and isinstance(value, float):
            return Measured(value, "", share * abs(value))
        return value

    moved = {}
    for name in inputs.words():
        held, kind = getattr(inputs, name), inputs.spec(name).kind
        many = isinstance(held, tuple)
        moved[name] = tuple(loose(one, kind) for one in held) if many else loose(held, kind)
    return inputs.replaced(**moved)


def examples(shares: tuple[float, ...] = SHARES) -> Iterator[Case]:
    """The example of every calculator, at each share."""
    for name in CALCULATORS:
        inputs = validate(name, example_words(name))
        for share in shares:
            yield Case(name, f"{name} example ± {100 * share:g} %", loosened(inputs, share))


def of_recipes(share: float = 0.01) -> Iterator[Case]:
    """Every item of the demo recipes, as it is run in its plan."""
    for path in sorted(RECIPES.glob("*.toml")):
        plan = make_plan(load_recipe(path), 40)
        for made in plan.made:
            inputs = plan.prepared.ran[made.item.id][0]
            yield Case(made.item.calculator, f"{path.stem} {made.item.id}", loosened(inputs, share))


_SIPHON = {
    "vessel_volume": "0.78 l ± 0.01 l", "max_fill": "0.5 l", "rated": "17 bar", "gas": "n2o",
    "temperature": "5 C ± 1 C", "charger_gas_mass": "8 g ± 0.3 g",
}  # fmt: skip
# in each: what is near a threshold, a saturation, the edge of a window, or another way of working
EDGES: dict[str, tuple[dict[str, Any], ...]] = {
    "oleo": (
        # all the sugar just dissolves
        {"peel": "100 g ± 2 g lemon peel", "sugar": "93 g ± 3 g", "water_loss": "0.40 ± 0.02",
         "solids_gain": "0.08 ± 0.01"},
        {"peel": "100 g ± 1 g orange peel", "sugar": "100 g ± 1 g", "liquid": "60 g ± 1 g water",
         "water_loss": "0.4 ± 0.04", "solids_gain": "0.08 ± 0.02", "kept": "30 % ± 5 %"},
        {"peel": "100 g ± 2 g lemon peel", "sugar": "100 g ± 2 g", "time": "6 h ± 0.5 h",
         "thickness": "2 mm ± 0.3 mm", "temperature": "20 C ± 2 C"},
        {"peel": ["100 g ± 2 g lemon peel", "200 g ± 4 g orange peel"], "sugar": "300 g ± 3 g",
         "own": ["lemon peel: water 0.40, sugar 0.08"]},
        {"oil": "0.5 g ± 0.05 g lemon oil", "liquid": "500 g ± 5 g syrup 50 Bx",
         "emulsifier": "5 g ± 0.2 g gum arabic", "droplet": "2 um ± 0.5 um",
         "per_drink": "20 ml ± 1 ml", "drink": "150 ml ± 5 ml"},
    ),
    "cordial": (
        # the juice is about as strong as asked: no acid or no water to add on one side
        {"part": ["1 kg ± 10 g water"], "sweeten": "white sugar", "brix": "65 ± 1"},
        {"part": ["500 ml ± 5 ml lemon juice", "500 ml ± 5 ml water"], "sweeten": "white sugar",
         "brix": "45 ± 0.5", "acidity": "1.60 % ± 0.10 %"},
        {"part": ["1 kg ± 10 g grapefruit juice"], "sweeten": "white sugar", "brix": "40 ± 0.4",
         "acidity": "1.2 % ± 0.05 %", "spirit": "spirit 40 %", "abv": "15 % vol ± 0.3 % vol",
         "make": "2 l ± 20 ml"},
        {"part": ["1 kg ± 5 g water", "50 g ± 2 g dried hibiscus"], "sweeten": "white sugar",
         "brix": "50 ± 0.5", "kept_by_solids": "3.5 ± 0.7", "measured_ph": "2.8 ± 0.1",
         "fridge": "4 C ± 1 C", "room": "22 C ± 2 C", "stored": "30 d ± 3 d"},
    ),
    "infuse": (
        {"liquid": ["700 ml ± 10 ml spirit 43 %"], "botanical": ["300 g ± 10 g strawberries"],
         "kept": "0.3 ± 0.05", "drained": None},
        {"liquid": ["700 ml ± 5 ml rum 43 %"], "botanical": ["60 g ± 1 g ground coffee"],
         "drained": "540 g ± 5 g"},
        {"liquid": ["500 ml ± 5 ml spirit 40 %"], "botanical": ["15 g ± 0.2 g black tea leaves"]},
        {"liquid": ["1 l ± 10 ml water"], "botanical": ["60 g ± 1 g ground coffee"],
         "extraction": "20 % ± 2 %"},
        {"liquid": ["700 ml ± 5 ml spirit 43 %"], "botanical": ["50 g ± 1 g ginger"],
         "kept": "1", "time": "12 h ± 1 h", "noted": ["6 h: 4", "24 h: 7"],
         "noted_at": "20 C ± 1 C", "temperature": "30 C ± 1 C"},
    ),
    "fat-wash": (
        {"spirit": ["700 ml ± 5 ml spirit 40 %"], "fat": ["100 g ± 1 g butter"],
         "temperature": "12 C ± 2 C", "mixed_at": "35 C ± 3 C"},
        {"spirit": ["700 ml ± 5 ml spirit 40 %"], "fat": ["100 g ± 1 g bacon fat"],
         "temperature": "4 C ± 2 C", "washed": "600 g ± 2 g"},
        {"spirit": ["500 ml ± 5 ml rum 43 %"], "fat": ["200 g ± 2 g coconut milk"],
         "temperature": "15 C ± 1 C", "fat_out": "95 g ± 2 g"},
        {"spirit": ["500 ml ± 5 ml rum 43 %"], "fat": ["50 g ± 1 g sesame oil"],
         "temperature": "-18 C ± 2 C"},
    ),
    "carbonate": (
        {"contents": "18 l ± 0.2 l water", "into": "keg", "temperature": "7 C ± 1 C",
         "volumes": "3", "rated": "9 bar ± 0.2 bar", "line_rated": "9 bar ± 0.2 bar",
         "regulator_rated": "8 bar ± 0.2 bar", "warmest": "20 C ± 2 C", "headspace": "5 % ± 1 %"},
        {"contents": "4 l ± 0.1 l water, 1 l ± 0.05 l lemon juice", "into": "keg",
         "temperature": "6 C ± 1 C", "pressure": "1.4 bar ± 0.1 bar", "rated": "9 bar",
         "line_rated": "9 bar", "regulator_rated": "8 bar", "warmest": "20 C",
         "read_pressure": "1 bar ± 0.1 bar", "bore": "6.35 mm ± 0.2 mm", "lift": "1 m ± 0.1 m"},
    ),
    "salt": (
        {"dissolve": "salt", "strength": "20 % w/w ± 0.5 % w/w", "make": "100 g ± 1 g",
         "into": ["90 ml ± 2 ml gin 20 %"], "amount": "0.5 ml"},
        {"part": ["20 g ± 0.5 g salt", "100 g ± 2 g water"], "into": ["90 ml ± 2 ml water"],
         "salinity": "0.2 % w/w ± 0.02 % w/w"},
        {"dissolve": "msg", "strength": "10 % w/v ± 0.2 % w/v", "into": ["100 ml ± 2 ml water"],
         "amount": "4 drops", "weighed": "1.1 g ± 0.05 g", "weighed_drops": 20},
    ),
    "freeze": (
        # just above and just below the freezing point, and slush
        {"part": ["700 ml ± 7 ml spirit 40 %", "200 ml ± 4 ml water"], "temperature": "-18 C ± 2 C",
         "container": "750 ml ± 10 ml", "filled": "650 ml ± 10 ml"},
        {"part": ["1 l ± 10 ml orange juice", "120 g ± 2 g white sugar", "200 ml ± 4 ml rum 40 %"],
         "way": "slush", "temperature": "-5 C ± 0.5 C"},
        {"part": ["500 ml ± 5 ml gin 43 %", "250 ml ± 5 ml dry vermouth"],
         "dilute_like": "-2 C ± 1 C", "start": "20 C ± 2 C"},
        {"part": ["500 ml ± 5 ml gin 43 %"], "abv": "30 ± 0.5"},
    ),
    "clarify": (
        {"part": ["700 ml ± 7 ml spirit 43 %", "200 ml ± 4 ml lemon juice", "400 ml ± 4 ml water"],
         "milk": "300 ml ± 6 ml whole milk", "temperature": "40 C ± 3 C"},
        # pH near the curd's own
        {"part": ["500 ml ± 5 ml spirit 40 %", "40 ml ± 2 ml lemon juice"],
         "milk": "400 ml ± 8 ml whole milk", "clear": "850 g ± 10 g"},
        {"part": ["1 l ± 10 ml orange juice"], "way": "freeze-thaw", "dose": "5 g ± 0.2 g",
         "freezer": "-18 C ± 2 C"},
        {"part": ["1 l ± 10 ml lime juice"], "way": "centrifuge", "radius": "100 mm ± 3 mm",
         "speed": "4000 ± 50", "rotor": "4500", "still_time": "48 h ± 6 h"},
        {"part": ["1 l ± 10 ml apple juice"], "way": "bentonite", "dose": "0.5 g ± 0.02 g"},
    ),
    "reduce": (
        {"liquid": ["1 l ± 10 ml orange juice"], "brix": "14 ± 1"},
        {"liquid": ["1 l ± 10 ml orange juice"], "volume": "400 ml ± 10 ml"},
        {"liquid": ["1 kg ± 5 g orange juice"], "mass": "450 g ± 5 g", "measured_ph": "3.5 ± 0.1",
         "time": "20 min ± 3 min", "heat": "95 C ± 2 C"},
        {"liquid": ["1 kg ± 10 g orange juice"], "method": "freeze", "freezer": "-18 C ± 2 C",
         "ice_brix": "3 ± 0.5", "brix": "25 ± 0.5"},
    ),
    "acid-solution": (
        {"acid": "citric acid", "strength": "59 % w/w ± 2 %", "make": "500 ml ± 5 ml",
         "storage": "20 C ± 3 C"},
        {"acid": ["1 part citric acid", "1 part tartaric acid"], "strength": "20 % w/v ± 0.5 %",
         "make": "1 l ± 5 ml", "end_point": "8.2 ± 0.1"},
        {"acid": "succinic acid", "strength": "6 % w/w ± 0.5 %", "make": "500 g ± 5 g",
         "storage": "20 C ± 2 C"},
    ),
    "acid-adjust": (
        {"part": ["1 kg ± 10 g orange juice"], "acid": ["citric acid"],
         "target": "0.95 % w/w ± 0.2 %"},
        {"part": ["1 kg ± 10 g orange juice"], "acid": ["citric acid"], "target_ph": "3.0 ± 0.1"},
        {"part": ["1 kg ± 10 g lime juice"], "acid": ["2 parts citric acid", "1 part malic acid"],
         "measured": "6 % w/w ± 0.2 %", "stretch_to": "2 l ± 20 ml"},
    ),
    "acid-match": (
        {"like": "lemon juice", "acid": ["citric acid", "malic acid"], "make": "500 ml ± 5 ml",
         "acidity": "5 % w/w ± 0.2 %"},
        {"like": "lime juice", "acid": ["citric acid", "malic acid", "tripotassium citrate"],
         "make": "1 l ± 10 ml", "ph": "2.4 ± 0.1"},
    ),
    "dose": (
        {"stock": ["citric acid"], "strength": "20 % w/w ± 0.5 %", "into": ["120 ml ± 2 ml water"],
         "target": "0.8 % w/w ± 0.05 %"},
        {"stock": ["citric acid"], "strength": "20 % w/w ± 0.5 %", "into": ["120 ml ± 2 ml water"],
         "target_ph": "2.9 ± 0.1"},
        {"stock": ["citric acid"], "strength": "20 % w/w ± 0.5 %",
         "into": ["120 ml ± 2 ml water", "30 ml ± 1 ml syrup 65 Bx"], "amount": "10 drops",
         "weighed_drops": 20, "weighed": "1.1 g ± 0.05 g"},
    ),
    "foam": (
        {"liquid": ["400 ml ± 4 ml lemon juice"], "foamer": "lecithin", "dose": "0.6 % ± 0.05 %",
         "expansion": "30 ± 5", "height": "20 mm ± 2 mm", "bubble": "1 mm ± 0.2 mm"},
        {"liquid": ["500 ml ± 5 ml cream 36 %", "25 g ± 1 g white sugar"], "foamer": "cream",
         "method": "whip", "overrun": "100 % ± 10 %", "temperature": "5 C ± 1 C"},
        {"liquid": ["300 ml ± 3 ml lemon juice"], "foamer": "egg white powder",
         "dose": "5 % ± 0.2 %", "cup_liquid": "238 g ± 2 g", "cup_foam": "120 g ± 5 g",
         "ph": "2.6 ± 0.1"},
        {"liquid": ["200 ml ± 2 ml water", "60 ml ± 1 ml spirit 40 %"], "foamer": "egg yolk",
         "egg": "pasteurised", "dose": "20 % ± 1 %"},
    ),
    "float": (
        # just at the edge of floating
        {"gas": "helium", "liquid_fraction": "0.1 % ± 0.01 %", "bubble": "3 mm ± 0.2 mm",
         "height": "50 mm ± 5 mm", "temperature": "20 C ± 2 C", "humidity": "50 % ± 10 %"},
        {"gas": "helium", "liquid_fraction": "2 % ± 0.5 %", "bubble": "3 mm ± 0.5 mm",
         "film": "1 um ± 0.2 um", "surface_tension": "30 ± 3", "foam_volume": "150 ml ± 10 ml",
         "serves": 40, "lost": "50 % ± 10 %", "room_volume": "60 m3 ± 3 m3", "price": "25 ± 2"},
    ),
    "siphon": (
        {**_SIPHON, "contents": "480 ml ± 10 ml cream 35 %", "chargers": 1},
        {**_SIPHON, "contents": "450 ml ± 10 ml cold brew coffee", "gas": "n2", "chargers": 1,
         "charger_gas_mass": "2.4 g ± 0.1 g", "warmest": "22 C ± 2 C", "altitude": "400 m ± 50 m"},
        {**_SIPHON, "vessel_volume": "1.4 l ± 0.02 l", "max_fill": "1 l ± 0.01 l", "gas": "co2",
         "contents": "900 ml ± 10 ml syrup 10 Bx", "chargers": 1, "mode": "dispense",
         "portion_size": "90 ml ± 5 ml"},
        {**_SIPHON, "contents": "450 ml ± 5 ml cream 35 %", "mode": "plan", "portions": 24,
         "portion_size": "40 ml ± 1 ml", "style": "whipped-cream"},
        {**_SIPHON, "contents": "400 ml ± 5 ml water", "mode": "targets",
         "target_dissolved": "6 g/l ± 0.5 g/l"},
        {**_SIPHON, "contents": "400 ml ± 5 ml cream 35 %", "mode": "targets",
         "target_overrun": "100 % ± 10 %"},
    ),
    "compose": (
        {"shelf": ["spirit 43 %", "lemon juice", "syrup 65 Bx", "water"], "volume": "120 ml ± 2 ml",
         "target": ["strength=20 %", "acidity=0.8 %", "sugar=8 % to 10 %"]},
        {"shelf": ["spirit 43 %", "lemon juice", "syrup 65 Bx", "water"], "volume": "120 ml",
         "make": "1.2 l ± 0.02 l", "target": ["strength=15 %", "acidity=0.6 %"]},
    ),
    "window": (
        {"part": ["60 ml ± 1 ml spirit 43 %", "90 ml ± 2 ml water"], "temperature": "0 C ± 0.5 C",
         "ice": "120 g ± 10 g", "room": "22 C ± 2 C", "humidity": "50 % ± 5 %",
         "want": ["temperature=at most 6 C", "dilution=at most 20 %"]},
        {"part": ["150 ml ± 3 ml filter coffee"], "temperature": "78 C ± 2 C", "room": "20 C ± 1 C",
         "want": ["temperature=52 C to 65 C"]},
    ),
    "blend": (
        {"part": ["700 ml ± 7 ml spirit 43 %", "300 ml ± 3 ml water", "50 g ± 1 g white sugar",
                  "30 ml ± 1 ml lemon juice"], "temperature": "4 C ± 2 C"},
        {"part": ["700 ml ± 7 ml spirit 43 %", "300 ml ± 3 ml lemon juice"], "free": "water",
         "abv": "20 % vol ± 0.2 % vol"},
        {"part": ["700 ml ± 7 ml spirit 43 %", "300 ml ± 3 ml lemon juice"], "free": "syrup 65 Bx",
         "sugar": "120 g/l ± 5 g/l", "bottle": "700 ml ± 5 ml", "hold_up": "10 ml ± 3 ml"},
    ),
    "dilute": (
        {"part": ["700 ml ± 7 ml spirit 60 %"], "to_strength": "59 % ± 0.5 %"},
        {"part": ["700 ml ± 7 ml spirit 60 %"], "to_proof": "80 ± 1",
         "alcoholometer": "60 % vol ± 0.3 %", "alcoholometer_temperature": "20 C ± 1 C"},
        {"part": ["300 ml ± 3 ml spirit 40 %", "100 ml ± 2 ml lemon juice"],
         "to_sugar": "100 g/l ± 3 g/l", "to_strength": "15 % vol ± 0.2 %"},
        {"part": ["90 ml ± 2 ml spirit 40 %"], "dilution": "25 % ± 3 %", "base": "start volume",
         "serve": "90 ml ± 2 ml"},
    ),
    "chill": (
        {"part": ["60 ml ± 1 ml spirit 40 %", "22 ml ± 1 ml lemon juice"], "way": "stir",
         "target": "0 C ± 1 C", "temperature": "20 C ± 2 C", "ice": "120 g ± 10 g",
         "ice_temperature": "-5 C ± 3 C", "wet": "3 % ± 2 %", "tin": "250 g ± 20 g"},
        {"part": ["60 ml ± 1 ml spirit 40 %"], "way": "shake", "temperature": "22 C ± 2 C",
         "ice": "40 g ± 5 g"},
        {"part": ["600 ml ± 6 ml spirit 40 %", "300 ml ± 3 ml water"], "way": "no ice",
         "target": "4 C ± 1 C"},
        {"part": ["700 ml ± 7 ml spirit 40 %"], "way": "bottle", "target": "6 C ± 1 C",
         "bottle": "700 ml ± 10 ml", "place": "fridge", "place_temperature": "3 C ± 1 C"},
        {"part": ["60 ml ± 1 ml spirit 40 %", "22 ml ± 1 ml lemon juice"],
         "way": "no ice", "target": "4 C ± 1 C", "dilute_like": "-2 C ± 1 C",
         "temperature": "20 C ± 1 C"},
    ),
    "warm": (
        {"hot": "120 g ± 2 g filter coffee", "hot_temperature": "78 C ± 2 C",
         "part": ["40 ml ± 1 ml spirit 40 %", "15 g ± 0.5 g syrup 50 Bx"], "cup": "250 g ± 10 g",
         "cup_temperature": "20 C ± 3 C", "serve": "180 ml ± 5 ml"},
        {"hot_ingredient": "filter coffee", "hot_temperature": "85 C ± 2 C",
         "part": ["40 ml ± 1 ml spirit 40 %"], "target": "60 C ± 1 C"},
        # as warm as 60 C, or not
        {"hot": "100 g ± 2 g water", "hot_temperature": "80 C ± 2 C",
         "part": ["60 ml ± 2 ml spirit 40 %"], "temperature": "22 C ± 2 C"},
    ),
    "layer": (
        {"layer": ["120 ml filter coffee at 65 C", "30 ml cream 36 %"],
         "temperature": "20 C ± 3 C", "glass": "65 mm ± 2 mm"},
        {"layer": ["30 ml syrup 50 Bx", "30 ml lemon juice", "30 ml spirit 40 %"],
         "glass": "60 mm ± 3 mm", "temperature": "10 C ± 5 C"},
    ),
    "serve": (
        {"part": ["60 ml ± 2 ml spirit 40 %", "25 ml ± 1 ml lemon juice"], "country": "uk",
         "loss": "3 % ± 1 %"},
        {"part": ["700 ml ± 5 ml spirit 40 %", "300 ml ± 5 ml cold brew coffee"], "serves": 12},
    ),
    "reading": (
        {"refractometer": "24 ± 0.2", "temperature": "24 C ± 0.5 C"},
        {"hydrometer": "15.8 Bx ± 0.2 Bx", "refractometer": "24 ± 0.2", "acid": "0.5 % ± 0.05 %"},
        {"alcoholometer": "43 % vol ± 0.3 %", "temperature": "24 C ± 0.5 C"},
        {"specific_gravity": "1.064 ± 0.001", "temperature": "18 C ± 1 C"},
        {"refractometer": "1.35 ± 0.1", "liquid": "coffee", "dose": "18 g ± 0.1 g",
         "brew": "percolation", "beverage": "36 g ± 0.5 g"},
        {"tds": "1.35 % ± 0.05 %", "liquid": "coffee", "brew": "immersion",
         "dose": "18 g ± 0.1 g", "water": "300 g ± 2 g"},
        {"refractometer": "30 ± 0.2", "thinned": "1 ± 0.05", "invert": "20 % ± 5 %"},
        # almost no spirit: alcohol cannot be less than none
        {"refractometer": "20 ± 0.2", "hydrometer": "19.8 Bx ± 0.2 Bx"},
    ),
    "correct": (
        {"batch": "2 kg ± 20 g cordial", "refractometer": "44.1 ± 0.2", "acidity": "1.1 % ± 0.05 %",
         "abv": "0 % vol", "to_brix": "45", "to_acidity": "1.3 %"},
        # as good as on target: water or sugar, according to where it is
        {"batch": "2 kg ± 20 g cordial", "brix": "45 ± 0.3", "acidity": "1.1 % ± 0.05 %",
         "abv": "0 % vol", "to_brix": "45"},
        {"batch": "1 kg ± 5 g cordial", "refractometer": "30 ± 0.2", "abv": "10 % vol ± 0.2 %",
         "acidity": "0.5 % ± 0.02 %", "to_abv": "14 % vol", "to_brix": "30",
         "spirit": "spirit 40 %"},
    ),
    "cloud": (
        {"way": "smoke dome", "burnt": "oak", "fuel": "0.5 g ± 0.05 g", "space": "1 l ± 0.1 l",
         "face": "away", "room_volume": "50 m3 ± 5 m3", "air_changes": "4 /h ± 1 /h",
         "clouds": "10 /h ± 2 /h"},
        # a shift that may end above the limit
        {"way": "smoked glass", "burnt": "apple", "fuel": "1 g ± 0.1 g", "space": "0.4 l ± 0.05 l",
         "aired": "11 s ± 2 s", "room_volume": "50 m3 ± 2 m3", "air_changes": "1 /h ± 0.2 /h",
         "clouds": "8 /h ± 1 /h"},
        {"way": "mist", "liquid": ["100 ml ± 2 ml spirit 40 %", "300 ml ± 5 ml water"],
         "rate": "0.6 l/h ± 0.1 l/h", "room_volume": "50 m3 ± 2 m3", "hours": "1 h ± 0.1 h"},
        {"way": "foam by the spoon", "gas": "helium", "foam_volume": "100 ml ± 10 ml"},
    ),
    "coffee": (
        {"brew": "espresso", "dose": "18 g ± 0.1 g", "beverage": "36 g ± 0.5 g",
         "tds": "9 % ± 0.3 %", "bean": "arabica", "serve": "30 g ± 1 g",
         "served_at": "67 C ± 3 C", "crema": "20 % ± 5 %"},
        {"brew": "filter", "dose": "60 g ± 1 g", "water": "1 l ± 10 ml",
         "refractometer": "1.6 ± 0.1", "held": "2.05 ± 0.1", "caffeine": "1.2 % ± 0.2 %"},
        # the water steeps about where germs begin to grow
        {"brew": "cold brew", "dose": "100 g ± 1 g", "water": "1 kg ± 10 g",
         "beverage": "780 g ± 5 g", "extraction": "21 % ± 2 %", "temperature": "5 C ± 2 C",
         "serve": "150 ml ± 5 ml"},
        {"brew": "tea", "dose": "10 g ± 0.2 g", "water": "500 g ± 5 g", "leaf": "green",
         "tds": "0.35 % ± 0.05 %", "temperature": "60 C ± 2 C", "served_at": "65 C ± 2 C"},
    ),
    "keep": (
        {"part": ["1 kg ± 10 g lemon juice", "600 g ± 6 g white sugar"], "ph": "2.6 ± 0.1"},
        {"part": ["1 kg ± 10 g water", "1.9 kg ± 10 g white sugar"], "ph": "4.55 ± 0.1",
         "fridge": "4 C ± 1 C"},
        {"part": ["500 ml ± 5 ml spirit 40 %", "500 ml ± 5 ml cream 35 %"], "ph": "6.5 ± 0.1",
         "out_of_cold": "3.5 h ± 1 h", "fridge": "4.5 C ± 1 C"},
        {"water_activity": "0.86 ± 0.02", "ph": "4.6 ± 0.1", "sugar": "600 g/l ± 20 g/l",
         "abv": "10 % vol ± 0.5 %"},
    ),
    "room": (
        {"volume": "30 m3 ± 2 m3", "release": "1.6 kg co2", "air_changes": "0 /h"},
        {"length": "5 m ± 0.1 m", "width": "4 m ± 0.1 m", "height": "2.5 m ± 0.05 m",
         "equipment": "10 % ± 3 %", "release": "8 kg co2", "air_changes": "4 /h ± 1 /h",
         "temperature": "20 C ± 3 C", "altitude": "400 m ± 100 m"},
        {"volume": "40 m3 ± 2 m3", "rate": "0.2 kg/h co2", "air_changes": "2 /h ± 0.5 /h",
         "for": "3 h ± 0.5 h"},
        {"volume": "40 m3 ± 2 m3", "release": "2 kg n2", "air_changes": "2 /h ± 0.5 /h",
         "worst_corner": "3 ± 0.5"},
    ),
    "cryogen": (
        {"cryogen": "dry ice", "part": ["2 l ± 20 ml syrup 20 Bx"], "target": "2 C ± 1 C",
         "room_volume": "60 m3 ± 3 m3", "air_changes": "4 /h", "temperature": "20 C ± 1 C"},
        # the target about where it begins to freeze
        {"cryogen": "liquid nitrogen", "part": ["1 l ± 10 ml water"], "target": "0 C ± 1 C",
         "room_volume": "60 m3 ± 3 m3", "air_changes": "4 /h", "cold_used": "0.5 ± 0.1"},
        {"cryogen": "liquid nitrogen", "stored": "10 l ± 1 l", "dewar_loss": "0.3 l/d ± 0.05 l/d",
         "hours": "24 h ± 4 h", "room_volume": "60 m3 ± 3 m3", "air_changes": "2 /h ± 0.5 /h"},
    ),
}  # fmt: skip


def edges() -> Iterator[Case]:
    """Sets at thresholds, saturations and edges, and the other ways of each calculator."""
    for name, sets in EDGES.items():
        for place, said in enumerate(sets, 1):
            given = {key: value for key, value in said.items() if value is not None}
            yield Case(name, f"{name} {place}", validate(name, given))
