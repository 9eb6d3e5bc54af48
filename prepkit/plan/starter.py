"""A first recipe file from a few questions, with comments that say what to change."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import click

from prepkit import files
from prepkit.errors import BadInput, FileProblem
from prepkit.pantry import Pantry
from prepkit.plan.files import value_words, whole_serves, write_new
from prepkit.stdout import put_text
from prepkit.units import parse_quantity

T = TypeVar("T")

GASES = ("none", "n2", "n2o", "co2")


@dataclass(frozen=True)
class Answers:
    """The answers, each as words that a recipe takes."""

    title: str
    serves: int
    base: str  # an ingredient with its strength; empty for none
    base_ml: str
    sweetener: str
    brix: str
    syrup_ml: str
    water_ml: str
    fridge: str
    gas: str
    plate: dict[str, str]  # vessel facts that were known


def new_recipe(path: str) -> str:
    """Ask, write the file, and say what comes next; FileProblem where it cannot be written."""
    _free(path)
    text = recipe_text(ask())
    write_new(path, text)
    return (
        f"{path} is written. Next: read it through, then\n"
        f"  prepkit plan {path} --check\n  prepkit plan {path}\n"
    )


def _free(path: str) -> None:
    """Refuse a file that is there, or a place where none can be, before anything is asked."""
    target = Path(path)
    if "\0" in path or not target.name:
        raise FileProblem(f"{path!r} cannot be written: it is no name of a file.")
    try:
        taken, folder = os.path.lexists(target), target.parent.is_dir()
    except OSError as error:
        raise FileProblem(f"{path} cannot be written: {error.strerror}.") from error
    if taken:
        raise FileProblem(f"{path} is there already and is not overwritten; name another file.")
    if not folder:
        raise FileProblem(f"{path} cannot be written: there is no folder {target.parent}.")


# the questions


def ask() -> Answers:
    """Each question until its answer can be used."""
    put_text("A few questions for a first recipe; Enter takes what stands in brackets.\n")
    title = _prompt("Name of the recipe", _title, "Tonight's drink")
    serves = _prompt("How many serves is it written for", _serves, "8")
    base = _prompt("Spirit or other base, with its strength (- for none)", _base, "spirit 40 %")
    base_ml = _prompt("How much of that in one serve", _volume, "40 ml") if base else ""
    sweetener = _prompt("Sweetener of the syrup", _sweetener, "white sugar")
    brix = _prompt("How strong the syrup is", _brix, "50 Bx")
    syrup_ml = _prompt("How much syrup in one serve", _volume, "20 ml")
    water_ml = _prompt("How much water in one serve", _volume, "40 ml")
    fridge = _prompt("Temperature of the fridge", _fridge, "4 C")
    gas = _prompt(f"Charged with a gas ({', '.join(GASES)})", _gas, "none")
    plate = _plate() if gas != "none" else {}
    return Answers(
        title, serves, base, base_ml, sweetener, brix, syrup_ml, water_ml, fridge, gas, plate
    )


def _plate() -> dict[str, str]:
    """What is known of the vessel; nothing is guessed."""
    put_text(
        "The vessel's facts, from its plate and its manual. Enter leaves one out: the plan then "
        "says what is missing, and stop until it is known.\n"
    )
    questions = {
        "vessel_volume": "Whole inside volume of the vessel",
        "max_fill": "Most that may be filled in",
        "rated": "Rated pressure, gauge",
        "charger_gas_mass": "Gas in one charger, as it is printed on it",
    }
    units = {"vessel_volume": "l", "max_fill": "l", "rated": "bar", "charger_gas_mass": "g"}
    found = {}
    for name, question in questions.items():
        answer = _prompt(question, _known(units[name]), "")
        if answer:
            found[name] = answer
    return found


def _prompt(question: str, read: Callable[[str], T], default: str) -> T:
    """Ask until the answer can be read; what is wrong is said in one sentence."""

    def value(words: str) -> T:
        try:
            return read(words.strip())
        except BadInput as error:
            raise click.UsageError(error.message) from error

    return click.prompt(question, default=default, value_proc=value, show_default=bool(default))


def _title(words: str) -> str:
    return files.text(words, ", such as Tonight")


def _serves(words: str) -> int:
    return whole_serves(words, "the answer")


def _base(words: str) -> str:
    if words in ("-", "none", ""):
        return ""
    if Pantry().ingredient(words, "the base").form != "liquid":
        raise BadInput(f'"{words}" is no liquid; name a liquid, such as rum 40 %.')
    return words


def _sweetener(words: str) -> str:
    found = Pantry().ingredient(words, "the sweetener")
    if not found.mixture.sugar > 0.5:
        raise BadInput(f'"{words}" is not mostly sugar; name a sweetener, such as white sugar.')
    return words


def _volume(words: str) -> str:
    amount = parse_quantity(words, ("ml",), "the answer")
    if not 0 < amount <= 1000:
        raise BadInput(f"it is {amount:g} ml; one serve takes more than 0 and at most 1000 ml.")
    return f"{float(amount):g} ml"


def _brix(words: str) -> str:
    level = parse_quantity(words, ("Bx",), "the answer", bare=True)
    if not 10 <= level <= 66:
        raise BadInput(f"it is {level:g} Bx; a syrup that stays clear is from 10 to 66 Bx.")
    return f"{float(level):g} Bx"


def _fridge(words: str) -> str:
    level = parse_quantity(words, ("C",), "the answer")
    if not 0 <= level <= 15:
        raise BadInput(f"it is {level:g} °C; a fridge is from 0 to 15 °C.")
    return f"{float(level):g} °C"


def _gas(words: str) -> str:
    if words.lower() not in GASES:
        raise BadInput(f'it is "{words}"; write one of {", ".join(GASES)}.')
    return words.lower()


def _known(unit: str) -> Callable[[str], str]:
    def read(words: str) -> str:
        if not words:
            return ""
        amount = parse_quantity(words, (unit,), "the answer")
        if not amount > 0:
            raise BadInput(f"it is {amount:g} {unit}; it must be more than 0.")
        return f"{float(amount):g} {unit}"

    return read


# the file


def recipe_text(said: Answers) -> str:
    """The recipe as TOML with comments."""
    made = "tonight-charged" if said.gas != "none" else "tonight-mix"
    parts = [f"{_times(said.syrup_ml, said.serves)} tonight-syrup",
             f"{_times(said.water_ml, said.serves)} water"]  # fmt: skip
    if said.base:
        parts.insert(0, f"{_times(said.base_ml, said.serves)} {said.base}")
    total = sum(_ml(one) for one in (said.base_ml, said.syrup_ml, said.water_ml) if one)
    blocks = [
        f"""# A recipe for prepkit plan. Amounts are words: a number, its unit, the ingredient
# and its strength. One item uses another by its id. For an editor, prepkit plan --schema prints
# all that can be written. prepkit plan FILE --check lists what is wrong.

title = {value_words(said.title)}
serves = {said.serves}
note = "Tell the maker here."

[house]  # or house = "house.toml", a file beside this one: bench, vessels, prices, room
fridge_temperature = "{said.fridge}"
""",
        f"""# An item: its calculator and that calculator's words.
[items.tonight-syrup]
calculator = "cordial"
part = "500 g water"
sweeten = {value_words(said.sweetener)}
brix = "{said.brix}"
loss = "2 %"  # what sticks to pots and cloths
note = "Stir until clear."

# Steps with their times make a timetable: prepkit plan FILE --service 18:00
[[items.tonight-syrup.step]]
text = "Weigh, stir until clear, bottle"
takes = "20 min"
hands_on = "15 min"
""",
        f"""[items.tonight-mix]
calculator = "blend"
part = {value_words(parts)}
note = "Stir, strain, into the fridge."
""",
    ]
    if said.gas != "none":
        blocks.insert(1, _vessel(said))
        blocks.append(_charged(said))
    blocks.append(
        f"""# The parts of one portion. Write [[serve]] once for each kind of drink.
[[serve]]
name = {value_words(said.title)}
part = "{total:g} ml {made}"
# garnish = "2 g mint"

# Prices of packs. Without prices there are no costs on the sheet.
# [[price]]
# ingredient = {value_words(said.sweetener)}
# pack = "1 kg"
# cost = 1.40
"""
    )
    return "\n".join(blocks)


def _vessel(said: Answers) -> str:
    lines = {
        "vessel_volume": "whole inside volume, to the closed head",
        "max_fill": "the mark, or the number in the manual",
        "rated": "working pressure above the air outside, never the test pressure",
    }
    shown = [
        f'{name} = "{said.plate[name]}"  # {what}'
        if name in said.plate
        else f'# {name} = ""  # FILL IN: {what}'
        for name, what in lines.items()
    ]
    return "\n".join(
        ["# From the vessel's own plate and manual, never a guess: the verdict rests on it.",
         "[vessels.first]", *shown, ""]
    )  # fmt: skip


def _charged(said: Answers) -> str:
    known = said.plate.get("charger_gas_mass")
    charger = f'charger_gas_mass = "{known}"' if known else '# charger_gas_mass = ""  # FILL IN:'
    return f"""[items.tonight-charged]
calculator = "siphon"
vessel = "first"
contents = "500 ml tonight-mix"
gas = "{said.gas}"
chargers = 1
{charger}{"  #" if known else ""} as it is printed on the charger
temperature = "{said.fridge}"
loss = "3 %"
note = "Charge cold, shake, keep cold."
"""


def _ml(words: str) -> float:
    return float(parse_quantity(words, ("ml",)))


def _times(words: str, serves: int) -> str:
    return f"{_ml(words) * serves:g} ml"
