"""Readings of a batch: which instrument, what it should show, what was typed, how far it is off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from prepkit.errors import BadInput
from prepkit.first_screen import number
from prepkit.page.batch_files import reading_version
from prepkit.plan.readings import KEYS
from prepkit.render.batch import Expected
from prepkit.sheet import AccountSheet, DriftSheet
from prepkit.units import parse_number, shown_in

READ = "read"
WARM = ("refractometer", "density")  # read with the temperature of the sample
OWN = ("temperature", "atc")
PRESSURE = "pressure"
ATC = "-atc"  # of a refractometer that corrects for temperature
LONGEST = 60  # characters of a reading
# the instrument that reads it, as the field's chooser has it
NAMES = {
    "mass": "Scale, all of it", "refractometer": "Refractometer", "density": "Hydrometer",
    "acidity": "Titration, as citric", "abv": "Alcoholometer", "ph": "pH meter",
    "pressure": "Gauge on the vessel",
}  # fmt: skip
_LEFT, _WIDTH, _THIN = 12.0, 76.0, 6.0  # per cent of a strip


class Instrument(NamedTuple):
    """One choice of what to read with: what it should show, and what was read."""

    what: str
    name: str
    label: str
    expected: str
    off: str
    unit: str
    kept: str
    version: str

    @property
    def reading(self) -> str:
        """What it reads, whether it corrects for temperature or not."""
        return self.what.removesuffix(ATC)

    @property
    def warm(self) -> bool:
        """Whether the temperature of the sample counts."""
        return self.what in WARM


@dataclass(frozen=True)
class Strip:
    """A reading as a strip: the band that was expected, the dot that was read; places in %."""

    what: str
    label: str
    band: str
    read: str
    says: str
    beyond: bool
    band_at: float
    band_wide: float
    dot_at: float
    middle: float
    gap: str


def instruments(expected: Sequence[Expected], kept: Mapping[str, object]) -> list[Instrument]:
    """What an item can be read with, in the order of the sheet."""
    found = []
    for one in expected:
        there = kept.get(one.what)
        for what, name in _choices(one.what):
            right = what == one.what or bool(kept.get("atc"))
            if one.what == "refractometer" and kept.get("atc"):
                right = what != one.what
            found.append(
                Instrument(
                    what, name, one.label, one.value, one.off, one.unit,
                    bare(there, one.unit) if right else "", reading_version(there),
                )
            )  # fmt: skip
    return found


def _choices(what: str) -> list[tuple[str, str]]:
    """The instruments for one reading."""
    if what != "refractometer":
        return [(what, NAMES[what])]
    return [(what, NAMES[what]), (what + ATC, f"{NAMES[what]} with ATC")]


def strips(account: AccountSheet, system: str) -> list[Strip]:
    """The readings of one item as strips; those beyond their band first."""
    found = [_strip(one, system) for one in account["readings"]]
    return sorted(found, key=lambda one: not one.beyond)


def _strip(one: DriftSheet, system: str) -> Strip:
    zero, unit = shown_in(0.0, one["unit"], system)
    places = one["digits"] if unit == one["unit"] else max(one["digits"], 2)
    expected, measured = (
        shown_in(one[key], one["unit"], system)[0] for key in ("expected", "measured")
    )
    most = abs(shown_in(one["may_be_off"], one["unit"], system)[0] - zero)
    low, high = expected - most, expected + most
    first, last = min(low, measured), max(high, measured)
    scale = _WIDTH / (last - first) if last > first else 0.0
    wide = max(_THIN, scale * (high - low))
    at = min(_LEFT + scale * (low - first), _LEFT + _WIDTH - wide)
    dot = _LEFT + scale * (measured - first)
    gap = number(abs(measured - expected), places)
    side = "above" if measured > expected else "below"
    of = f" {unit}" if unit else ""
    read = number(measured, places)
    return Strip(
        one["what"],
        one["label"],
        f"{number(low, places)} – {number(high, places)}{of}",
        read,
        f"{read}{of} is {gap} {side} expected." if one["beyond"] else f"{read}{of} is as planned.",
        one["beyond"],
        round(at, 1),
        round(wide, 1),
        round(dot, 1),
        round((dot + at + wide / 2) / 2, 1),
        f"{gap} too {'high' if measured > expected else 'low'}" if one["beyond"] else "",
    )


# what was typed


def shown_unit(key: str, system: str) -> str:
    """The unit beside a reading's field: what a bare number is in."""
    units = KEYS[key]
    return shown_in(0.0, units[0], system)[1] if units else ""


def bare(value: object, unit: str) -> str:
    """A reading as its field shows it: without the unit beside it.

    >>> bare("48.2 Bx", "Bx"), bare("9 g/l", "% w/w"), bare(3.1, ""), bare(None, "g")
    ('48.2', '9 g/l', '3.1', '')
    """
    if value is None:
        return ""
    text = str(value)
    return text.removesuffix(f" {unit}") if unit else text


def held_of(args: Any, item: str) -> dict[str, str]:  # Any: werkzeug's MultiDict
    """What an address holds of one item, by reading; empty fields are none."""
    found = {}
    for key in (*KEYS, "atc"):
        text = _tidy(args.get(f"{READ}.{item}.{key}", ""))
        if text:
            found[key] = text
    return found


def field_of(args: Any, item: str) -> dict[str, str]:  # Any: werkzeug's MultiDict
    """What the one field of an item was sent with: what, value, temperature, atc."""
    names = ("what", "value", "temperature")
    found = {key: text for key in names if (text := _tidy(args.get(f"{key}.{item}", "")))}
    if found.get("what", "").endswith(ATC):
        found |= {"what": found["what"].removesuffix(ATC), "atc": "yes"}
    return found


def readings_in(
    typed: Mapping[str, str], kept: Mapping[str, object], system: str
) -> dict[str, str]:
    """The readings that the one field changes; "" takes one away.

    Raises BadInput where it names no instrument, or another temperature than what is kept has.
    """
    what = typed.get("what", "")
    if what not in NAMES:
        raise BadInput("Choose what it was read with.", "value")
    found = {what: typed.get("value", "")}
    if what not in WARM:
        return found
    others = [one for one in WARM if one != what and kept.get(one) is not None]
    temperature = typed.get("temperature", "") if found[what] else ""
    if not others:
        found["temperature"] = temperature
    elif found[what] and _degrees(temperature, system) != kept.get("temperature"):
        at = kept.get("temperature") or "20 C"
        raise BadInput(
            f"The {NAMES[others[0]].lower()} was read at {at}, and a batch keeps one temperature. "
            f"Read both at the same, or take the other away first.",
            "temperature",
        )
    if what == "refractometer":
        found["atc"] = typed.get("atc", "") if found[what] else ""
    return found


def _degrees(typed: str, system: str) -> object:
    """A temperature as a file of readings keeps it; None where none was typed."""
    return table_of({"temperature": typed}, system)[0].get("temperature") if typed else None


def table_of(
    typed: Mapping[str, str], system: str
) -> tuple[dict[str, Any], dict[str, str]]:  # Any: words and numbers of a file
    """What was typed as a table of readings, and what is wrong with it by reading.

    A bare number is in the unit that stands beside its field.
    """
    table: dict[str, object] = {}
    wrong: dict[str, str] = {}
    for key, text in typed.items():
        if key == "atc":
            table[key] = True
            continue
        if len(text) > LONGEST:
            wrong[key] = f"It has {len(text)} characters; a reading is a number with its unit."
            continue
        try:
            number_, rest = parse_number(text, key)
        except BadInput as error:
            wrong[key] = error.message
            continue
        unit = shown_unit(key, system)
        if key == "ph" and not rest:
            table[key] = number_
        else:
            table[key] = text if rest or not unit else f"{text} {unit}"
    if set(table) <= set(OWN) and not wrong and table:
        wrong["temperature" if "temperature" in table else "atc"] = (
            "A temperature alone is nothing to compare; write what was read at it."
        )
    return table, wrong


def _tidy(text: object) -> str:
    return " ".join(str(text).split())
