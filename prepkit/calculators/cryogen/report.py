"""Cryogens at service by jurisdiction, what a store loses, what the air does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit import jurisdictions
from prepkit.calculators.cryogen.inputs import Inputs
from prepkit.model import Column, Compared, Deciding, Table
from prepkit.science import cryogen, room_sizes
from prepkit.shared import room_check, room_limits, room_ways

# Where something is known of cryogens at service; the rest are held to the strictest.
FOG_FORBIDDEN = {"new york": True, "us": False, "uk": False}
_EATEN = ("left in", "fog", "punch bowl")  # a guest would swallow it
STORE_STOP_PPM = 15000.0  # three times the limit of a shift: JUDGEMENT


def service(inputs: Inputs) -> dict[str, object]:
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
    facts: Mapping[str, Any],  # Any: words and numbers, compared with limits
    limits: Mapping[str, list[room_limits.Against]],
) -> Deciding:
    """The figure that decides, with its limit."""
    if facts["service"] in _EATEN:
        return Deciding(f"No {facts['cryogen']} in anything that a guest gets.")
    if facts["room_m3"] is None or not facts["service_forbidden"]:
        store = facts.get("steady_co2_ppm", 0.0)
        said = room_ways.deciding({**facts, "cold": True, "cryogens": facts["cryogen"]}, limits)
        if store >= STORE_STOP_PPM and not room_check.stops(facts):
            return Deciding(
                f"{store:.0f} ppm carbon dioxide from the store. Limit: 3 times 5000 ppm.",
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
        least_left, most_left = cryogen.dry_ice_left_kg(kg, hours)
        lost, left = (kg - most_left, kg - least_left), (least_left, most_left)
        what, unit, source = "dry ice in an insulated box, 1 to 2 % an hour", "kg", "FAA-2006"
    else:
        litres = cryogen.litres_of_liquid(kg)
        slow, fast = cryogen.DEWAR_LOSS_L_D
        what, source = f"one small open dewar, {slow:g} to {fast:g} l a day", "OXFORD-S4-03"
        if inputs.dewar_loss is not None:
            slow = fast = float(inputs.dewar_loss)
            what = f"dewars, {slow:g} l a day by the maker"
        what += ", twice that when they age"
        lost = (
            min(slow * hours / 24, litres),
            min(room_sizes.DEWAR_FACTOR * fast * hours / 24, litres),
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
    facts: Mapping[str, Any],  # Any: words and numbers, compared with limits
) -> list[tuple[str, float, str, str]]:
    """What is published of such air, with its source."""
    found = [("oxygen", "o2", facts["oxygen_percent"])]
    if gas == "co2":
        found.append(("carbon dioxide", "co2", facts["co2_percent"]))
    rows = [(name, percent, room_check.effect(key, percent)) for name, key, percent in found]
    return [(n, p, row["text"], f"{row['source']} ({row['obtained']})") for n, p, row in rows]
