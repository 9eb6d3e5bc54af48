"""The register of a house's own vessels: what is on the plate, by id, with its inspection.

A TOML file with one table per vessel, in the words of the siphon's options:

    [north]
    vessel_volume = "0.78 l"
    max_fill = "0.5 l"
    rated = "17 bar"
    inspection_due = 2027-03-01
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from prepkit import spelling, toml_text
from prepkit.errors import BadInput, BadRecipe, FileProblem, named

FACTS = (
    "vessel_volume", "max_fill", "rated", "allowed_gas", "allowed_charger", "most_chargers",
    "hottest", "head", "inspection_due",
)  # fmt: skip
NOTES = ("checked", "bought", "note")  # for the person, not for the calculation
MOST_BYTES = 1 << 20


def load_register(path: str | Path) -> dict[str, dict[str, Any]]:
    """Every vessel of a register file by id; FileProblem or BadRecipe in one sentence."""
    file = Path(path)
    try:
        with open(file, "rb") as opened:
            raw = opened.read(MOST_BYTES + 1)
        text = raw.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is no UTF-8 text"
        raise FileProblem(f"the vessel register {file} cannot be read: {why}.") from error
    if len(raw) > MOST_BYTES:
        raise FileProblem(f"{file} is larger than 1 MiB; a register is a short text file.")
    try:
        tables = toml_text.tables(text)
    except ValueError as error:
        why = str(error).rstrip(".")
        raise FileProblem(f"the vessel register {file} is no TOML: {why}.") from error
    tables = tables.get("vessels", tables)
    if not isinstance(tables, Mapping):
        raise BadRecipe(f"{file}: vessels is no table; begin each with a line [vessels.an-id].")
    for name, entry in tables.items():
        if not isinstance(entry, Mapping):
            raise BadRecipe(f"{file}: {name} stands outside a vessel; begin with a line [an-id].")
        for key in entry:
            if key not in (*FACTS, *NOTES):
                near = spelling.close(key, FACTS, 1)
                hint = f"did you mean {near[0]}" if near else f"it takes {', '.join(FACTS)}"
                raise BadRecipe(f"{file}: vessel {name} has no {key}; {hint}.")
    return {name: dict(entry) for name, entry in tables.items()}


def facts_of(
    vessel: str, register: str | Path, check: Callable[[str, Any], None] | None = None
) -> dict[str, Any]:
    """The plate of one vessel as siphon inputs; BadInput with the ids there are.

    `check` reads one entry as the option of its name would be; what it refuses is told with file
    and vessel.
    """
    entries = load_register(register)
    if vessel not in entries:
        near = spelling.close(vessel, entries, 1)
        hint = f"did you mean {near[0]}" if near else f"it has {', '.join(entries) or 'none'}"
        raise BadInput(f'the register {register} has no vessel "{vessel}"; {hint}.', "vessel")
    facts = {name: _plain(value) for name, value in entries[vessel].items() if name in FACTS}
    for name, value in facts.items():
        try:
            if check is not None:
                check(name, value)
        except BadInput as error:
            raise BadRecipe(f"{register}: vessel {vessel}: {error.wording}", name) from error
    return facts


def _plain(value: Any) -> Any:
    """A day as the words that the option takes; all else as it stands."""
    return value.isoformat()[:10] if isinstance(value, date) else value


def merged(
    said: Mapping[str, Any], check: Callable[[str, Any], None] | None = None
) -> dict[str, Any]:
    """Siphon inputs with the register's facts put in; an option may not override the plate."""
    vessel, register = said.get("vessel"), said.get("vessel_register")
    if vessel is None and register is None:
        return dict(said)
    if vessel is None or register is None:
        raise BadInput(
            f"give both: {named('vessel')} with the id, {named('vessel_register')} with the file "
            "it stands in.",
            "vessel",
        )
    facts = facts_of(str(vessel), str(register), check)
    for name, value in facts.items():
        if said.get(name) not in (None, (), [], value):
            raise BadInput(
                f"--{name.replace('_', '-')} is {said[name]!r} and the register says {value!r} "
                f"for {vessel}; correct the one that is wrong and leave the option out.",
                name,
            )
    return {**said, **facts}
