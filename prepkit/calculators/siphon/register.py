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
from datetime import datetime
from pathlib import Path
from typing import Annotated

from pydantic_core import ValidationError

from prepkit import files, numbers
from prepkit.errors import BadInput, BadRecipe, FileProblem, by_key, named
from prepkit.file_models import FileModel, Input, Note, problems
from prepkit.files import Input as Entry


class _OfPlate(Input):
    """An entry of a plate: also a day that stands with its time; a number counts as its words.

    So a number without a unit is refused where a unit is needed, as in a house file.
    """

    def read(self, value: object) -> Entry:
        """The words; of a day with its time, the day."""
        read = super().read(value.date() if isinstance(value, datetime) else value)
        return read if isinstance(read, str | list | bool) else str(read)


_PLATE = _OfPlate("As the siphon takes it.")
_NOTE = Note("For the person, not for the calculation.")
_Plate = Annotated[Entry | None, _PLATE]
_Note = Annotated[str | None, _NOTE]
MOST_BYTES = 1 << 20


class Vessel(FileModel):
    """What the plate of one vessel says, and what was noted of it."""

    vessel_volume: _Plate = None
    max_fill: _Plate = None
    rated: _Plate = None
    allowed_gas: _Plate = None
    allowed_charger: _Plate = None
    most_chargers: _Plate = None
    hottest: _Plate = None
    head: _Plate = None
    inspection_due: _Plate = None
    checked: _Note = None
    bought: _Note = None
    note: _Note = None

    @property
    def facts(self) -> dict[str, Entry]:
        """The inputs of the siphon that the register says."""
        return {name: value for name in FACTS if (value := getattr(self, name)) is not None}


FACTS = tuple(name for name, kind in Vessel.kinds().items() if isinstance(kind, Input))


def load_register(path: str | Path) -> dict[str, Vessel]:
    """Every vessel of a register file by id; FileProblem or BadRecipe in one sentence."""
    file = Path(path)
    text = _text(file)
    try:
        tables = files.tables(text)
    except ValueError as error:
        why = str(error).rstrip(".")
        raise FileProblem(f"The vessel register {file} is not TOML: {why}.") from error
    inner = tables.get("vessels", tables)
    if not isinstance(inner, Mapping):
        raise BadRecipe(f"{file}: vessels is not a table. Begin each with a line [vessels.an-id].")
    found = {}
    for name, entry in inner.items():
        if not isinstance(entry, Mapping):
            raise BadRecipe(f"{file}: {name} stands outside a vessel; begin with a line [an-id].")
        try:
            found[name] = Vessel.read(dict(entry))
        except ValidationError as error:
            problem = problems(Vessel, error)[0]
            at = _place(file, text, (name, *problem.path))
            where = ".".join(str(one)[:60] for one in (name, *problem.path))
            raise BadRecipe(f"{at}: vessel {where}: {problem.sentence}") from error
    return found


def _text(file: Path) -> str:
    """What the file holds; FileProblem where it cannot be read."""
    try:
        with open(file, "rb") as opened:
            raw = opened.read(MOST_BYTES + 1)
        text = raw.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise FileProblem(f"the vessel register {file} cannot be read: {why}.") from error
    if len(raw) > MOST_BYTES:
        raise FileProblem(f"{file} is larger than 1 MiB; a register is a short text file.")
    return text


def _place(file: Path, text: str, path: files.KeyPath) -> str:
    """The file with the line of an entry of a vessel, in [vessels] or without."""
    known = files.lines(text)
    line = files.line_of(known, ("vessels", *path)) or files.line_of(known, path)
    return f"{file}:{line}" if line else str(file)


def facts_of(
    vessel: str, register: str | Path, check: Callable[[str, Entry], None] | None = None
) -> dict[str, Entry]:
    """The plate of one vessel as siphon inputs; BadInput with the ids there are.

    `check` reads one entry as the option of its name would be; what it refuses is told with file
    and vessel.
    """
    entries = load_register(register)
    if vessel not in entries:
        near = numbers.close(vessel, entries, 1)
        hint = f"did you mean {near[0]}" if near else f"it has {', '.join(entries) or 'none'}"
        raise BadInput(f'the register {register} has no vessel "{vessel}"; {hint}.', "vessel")
    facts = entries[vessel].facts
    for name, value in facts.items():
        try:
            if check is not None:
                check(name, value)
        except BadInput as error:
            at = _place(Path(register), _text(Path(register)), (vessel, name))
            raise BadRecipe(f"{at}: vessel {vessel}: {by_key(error.wording)}", name) from error
    return facts


def merged(
    said: Mapping[str, object], check: Callable[[str, Entry], None] | None = None
) -> dict[str, object]:
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
        if said.get(name) not in (None, (), [], value) and str(said[name]) != value:
            raise BadInput(
                f"{named(name)} is {said[name]!r} and the register says {value!r} "
                f"for {vessel}; correct the one that is wrong and leave {named(name)} out.",
                name,
            )
    return {**said, **facts}
