"""The file of a tasting: what is compared, and the answers as they come in. It holds no key."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

from prepkit import whole_files
from prepkit.errors import BadInput, BadRecipe, FileProblem, PrepkitError, by_key
from prepkit.file_kinds import WORDS, Flag, Form, Kind, Note, Quantity
from prepkit.file_models import FileModel, Table
from prepkit.file_values import shown, text
from prepkit.plan.fields import Reader
from prepkit.plan.files import read_text, tables_of
from prepkit.plan.toml_words import quoted
from prepkit.tasting.design import REFERENCE, Sheet, Tasting, sheets
from prepkit.units import Measured

BETWEEN, TIED = " ", "="
ANSWERS = "[answers]"
_HEADING = re.compile(r"\s*\[\s*answers\s*\]\s*(#.*)?")


class Names(Kind):
    """A list of words."""

    def read(self, value: object) -> tuple[str, ...]:
        """Each of them, tidy."""
        if not isinstance(value, list):
            raise BadRecipe(f'it is {shown(value)}; write a list, such as ["one", "two"].')
        return tuple(text(one) for one in value)

    def form(self) -> Form:
        """A list of words."""
        return {"type": "array", "items": WORDS}


class Whole(Kind):
    """A whole number."""

    def read(self, value: object) -> int:
        """The number itself."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise BadRecipe(f"it is {shown(value)}; write a whole number.")
        return value

    def form(self) -> Form:
        """A whole number."""
        return {"type": "integer", "minimum": 0}


class TastingTable(FileModel, called="tasting"):
    """What is compared, by whom, and how."""

    title: Annotated[str, Note("The name of the tasting.")]
    test: Annotated[str, Note("pair, preference, three, triangle, duo-trio or ranking.")]
    glasses: Annotated[tuple[str, ...], Names("The drinks that are compared, by name.")]
    taste: Annotated[str | None, Note("The taste that is expected to differ.")] = None
    expected: Annotated[str | None, Note("The glass that should have more of it.")] = None
    in_order: Annotated[bool, Flag("The glasses stand in the order that is expected.")] = False
    tasters: Annotated[int, Whole("How many people taste.")]
    seed: Annotated[int, Whole("Which codes and orders.")] = 1
    glass_volume: Annotated[Measured, Quantity("In each glass. [ml]", ("ml",), 1.0, 200.0)]
    abv: Annotated[Measured, Quantity("Of the strongest glass. [% vol]", ("% vol",), 0.0, 100.0)]
    allergens: Annotated[tuple[str, ...], Names("Of all glasses together; [] for none.")]


class _Tasting(Table):
    """The table [tasting], without which there is none."""

    missing = "it is missing; write a table, [tasting]."


class Answers(Kind):
    """The answers by taster, which the tasting then reads."""

    def read(self, value: object) -> Mapping[str, object]:
        """The table as it is written."""
        if not isinstance(value, Mapping):
            raise BadRecipe(f"it is {shown(value)}; write a table.")
        return value

    def form(self) -> Form:
        """Words by taster."""
        return {"type": "object", "additionalProperties": WORDS}


class TastingFile(FileModel, called="tasting_file"):
    """A tasting, and the answers as they come in."""

    tasting: Annotated[TastingTable, _Tasting("", TastingTable)]
    answers: Annotated[Mapping[str, object], Answers("The answer of each taster.")] = {}


def load(path: str | Path) -> tuple[Tasting, dict[int, str]]:
    """The tasting of a file and the answers so far, by taster.

    Raises FileProblem, and BadRecipe in one sentence with the line.
    """
    file, said = str(path), read_text(path, "tasting")
    tables = tables_of(said, file, "tasting")

    reader = Reader(file, said)
    file_said = reader.model(TastingFile, tables)
    read = file_said.tasting
    try:
        tasting = Tasting(
            title=read.title,
            test=read.test,
            glasses=read.glasses,
            taste=read.taste,
            expected=read.expected,
            in_order=read.in_order,
            tasters=read.tasters,
            seed=read.seed,
            glass_ml=float(read.glass_volume),
            abv_percent=float(read.abv),
            allergens=read.allergens,
        )
    except BadInput as error:
        raise reader.wrong(("tasting",), by_key(error.wording)) from error
    answers: dict[int, str] = {}
    for taster, words in file_said.answers.items():
        try:
            number, answer = read_answer(tasting, f"{taster}: {words}")
        except BadInput as error:
            raise reader.wrong(("answers", taster), by_key(error.wording)) from error
        if number in answers:
            raise reader.wrong(("answers", taster), "this taster has two answers; leave one.")
        answers[number] = answer
    return tasting, answers


def read_answer(tasting: Tasting, words: str) -> tuple[int, str]:
    """A taster's answer from words: "3: 417", or "3: 417 238=911" for a ranking.

    Raises BadInput with the codes that can be answered.
    """
    who, _, said = (" ".join(words.split())).partition(":")
    who = who.lower().removeprefix("taster").strip()
    if not who.isdecimal() or not 1 <= int(who) <= tasting.tasters:
        raise BadInput(
            f'"{words[:60]}" names no taster from 1 to {tasting.tasters}; write it as "3: 417".',
            "answer",
        )
    sheet = sheets(tasting)[int(who) - 1]
    if tasting.test != "ranking":
        return int(who), _code(sheet, said.strip())
    groups = [
        TIED.join(_code(sheet, code) for code in group.split(TIED))
        for group in said.replace(" = ", TIED).replace(",", BETWEEN).split()
    ]
    answer = BETWEEN.join(groups)
    if sorted(answer.replace(TIED, BETWEEN).split()) != sorted(sheet.codes):
        raise BadInput(
            f"taster {who} ranked {answer or 'nothing'}; write each of {', '.join(sheet.codes)} "
            "once, equal ones joined by =.",
            "answer",
        )
    return int(who), answer


def _code(sheet: Sheet, said: str) -> str:
    if said in sheet.codes:
        return said
    raise BadInput(
        f'taster {sheet.taster} has no glass "{said[:60]}"; the codes are '
        f"{', '.join(sheet.codes)}. A guess counts, no answer does not.",
        "answer",
    )


def ranks(sheet: Sheet, answer: str) -> tuple[float, ...]:
    """The ranks of the tasting's glasses in their own order; equal glasses share their mean."""
    found, place = {}, 1
    for group in answer.split(BETWEEN):
        codes = group.split(TIED)
        for code in codes:
            found[code] = place + 0.5 * (len(codes) - 1)
        place += len(codes)
    by_glass = {pour.glass: found[pour.code] for pour in sheet.pours if pour.code != REFERENCE}
    return tuple(by_glass[at] for at in range(len(by_glass)))


def written(tasting: Tasting, answers: Mapping[int, str] | None = None) -> str:
    """The file as TOML."""
    out = ["[tasting]", f"title = {quoted(tasting.title)}", f'test = "{tasting.test}"']
    out.append(f"glasses = [{', '.join(map(quoted, tasting.glasses))}]")
    if tasting.taste is not None:
        out.append(f"taste = {quoted(tasting.taste)}")
    if tasting.expected is not None:
        out.append(f"expected = {quoted(tasting.expected)}")
    if tasting.in_order:
        out.append("in_order = true")
    out += [
        f"tasters = {tasting.tasters}",
        f"seed = {tasting.seed}",
        f'glass_volume = "{tasting.glass_ml:g} ml"',
        f'abv = "{tasting.abv_percent:g} % vol"',
        f"allergens = [{', '.join(map(quoted, tasting.allergens))}]",
    ]
    return "\n".join(out) + "\n" + _answers(answers or {})


def _answers(answers: Mapping[int, str]) -> str:
    rows = "".join(f'{one} = "{answers[one]}"\n' for one in sorted(answers))
    return f"\n{ANSWERS}\n{rows}" if rows else ""


def save(path: Path, answers: Mapping[int, str]) -> None:
    """Write the answers into their file, whole; all else in it stays as it was written.

    Raises FileProblem where that cannot be done.
    """
    kept, among = [], False
    said = read_text(path, "tasting")
    for line in said.splitlines():
        if line.lstrip().startswith("["):
            among = _HEADING.fullmatch(line) is not None
        if not among:
            kept.append(line)
    text = "\n".join(kept).rstrip() + "\n" + _answers(answers)
    if not _adds(said, text, answers):
        raise FileProblem(
            f"{str(path)!r} was changed by hand and its answers cannot be added to; write them "
            f'as a table {ANSWERS} with lines such as 3 = "417".'
        )
    try:
        whole_files.write(path, text, over=True)
    except OSError as error:
        raise FileProblem(f"{str(path)!r} cannot be written: {error.strerror}.") from error


def _adds(before: str, after: str, answers: Mapping[int, str]) -> bool:
    """Whether the text still says the same, with these answers."""
    try:
        old, new = (dict(tables_of(one, "", "tasting")) for one in (before, after))
    except PrepkitError:
        return False
    said = {str(taster): answer for taster, answer in answers.items()}
    return {"answers": {}, **new} == {**old, "answers": said}
