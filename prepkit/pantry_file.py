"""A house's own ingredients: the [[ingredient]] tables of its pantry file, checked.

Whatever could make a later calculation fail or lose a caution is refused here: a name that cannot
be asked for, an allergen or hazard that nothing knows, a composition that cannot be at a strength.
"""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Annotated, Any

from prepkit import blocks, unlisted
from prepkit.errors import UNSEEN, BadInput, BadRecipe
from prepkit.file_kinds import Form, Kind
from prepkit.file_lines import place_of
from prepkit.file_models import ById, FileModel, Problem, Rows, mended
from prepkit.mixture import COMPONENTS
from prepkit.near import close
from prepkit.pantry import STRENGTH_KINDS, Pantry
from prepkit.pieces import WORDS as PIECES

FORMS = ("liquid", "solid", "powder")
MOST_INGREDIENTS = 1000
_MOST_LETTERS = 100  # of a name
_MOST_NOTE = 1000  # letters of a note
_MOST_LISTED = 200
_OBTAINED = ("read", "memory", "practice", "computed")
_MOST_PER_LITRE = 700.0  # g of solids in a litre of spirit
Entry = Mapping[str, Any]  # Any: values of an entry of the pantry, as the package's own have them

# kinds of values


class Letters(Kind):
    """Text on one line of a bounded length; a `needed` one is not empty."""

    instead = ""
    missing = '"{key}" is missing; it must be text.'

    def __init__(self, about: str, *, most: int = _MOST_LETTERS, needed: bool = False) -> None:
        super().__init__(about)
        self.most, self.needed = most, needed

    def read(self, value: object) -> str:
        """The words."""
        if self.needed and not (isinstance(value, str) and value.strip()):
            raise BadRecipe(self.missing)
        if not isinstance(value, str):
            raise BadRecipe(f"it is {value!r}; it must be text.")
        tidy = " ".join(value.split())
        if len(tidy) > self.most:
            raise BadRecipe(f"it has {len(tidy)} characters; at most {self.most} are taken.")
        if UNSEEN.search(tidy):
            raise BadRecipe("it has a control character in it; write plain text.")
        return tidy

    def form(self) -> Form:
        """Words of a bounded length."""
        return {"type": "string", "maxLength": self.most} | (
            {"minLength": 1} if self.needed else {}
        )


class Known(Letters):
    """A word of a closed list, known when one is read; empty where none is `needed`."""

    def __init__(
        self, about: str, words: Callable[[], Iterable[str]], *, needed: bool = False
    ) -> None:
        super().__init__(about, needed=needed)
        self.words = words

    def read(self, value: object) -> str:
        """The word."""
        word = super().read(value)
        if word or self.needed:
            _known(word, tuple(self.words()))
        return word

    def form(self) -> Form:
        """The words of the list."""
        return {"enum": [*([] if self.needed else [""]), *self.words()]}


class Several(Kind):
    """A list of words, each read as one of another kind."""

    instead: object = ()

    def __init__(self, about: str, kind: Kind) -> None:
        super().__init__(about)
        self.kind = kind

    def read(self, value: object) -> tuple[str, ...]:
        """The words."""
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise BadRecipe(f"it is {value!r}; it must be a list of words.")
        if len(value) > _MOST_LISTED:
            raise BadRecipe(f"it has {len(value)} entries; at most {_MOST_LISTED} are taken.")
        if not all(one.strip() for one in value):
            raise BadRecipe("a word of it is empty; write it or leave it out.")
        return tuple(str(self.kind.read(one)) for one in value)

    def form(self) -> Form:
        """A list of words."""
        return {"type": "array", "items": self.kind.form(), "maxItems": _MOST_LISTED}


class Allergen(Letters):
    """An allergen, with its detail after a colon where it has such: "nuts: almond"."""

    def read(self, value: object) -> str:
        """The words."""
        word = super().read(value)
        name, _, detail = word.partition(":")
        rows = {str(row["id"]): row for row in blocks.blocks("allergens.toml", "allergen")}
        _known(name, tuple(rows))
        details = tuple(map(str, rows[name]["details"]))
        if detail and detail not in details:
            right = f"write {name}" if not details else f"write {name}: and {' or '.join(details)}"
            raise BadRecipe(f'it is "{word}"; {right}.')
        return word


class Number(Kind):
    """A number from 0 to `most`; where it is `above` that, more than 0."""

    def __init__(self, about: str, most: float = 1e6, *, above: str = "") -> None:
        super().__init__(about)
        self.most, self.above = most, above

    def read(self, value: object) -> float:
        """The number."""
        number = _number(value, self.most)
        if self.above and number == 0:
            raise BadRecipe(self.above)
        return number

    def form(self) -> Form:
        """A number within its limits."""
        least = "exclusiveMinimum" if self.above else "minimum"
        return {"type": "number", least: 0, "maximum": self.most}


class Ends(Kind):
    """The least and the most of a strength."""

    def read(self, value: object) -> tuple[float, float]:
        """Both numbers."""
        if not isinstance(value, list) or len(value) != 2:
            raise BadRecipe(f"it is {value!r}; it must be a list of the least and the most.")
        low, high = (_number(end, 100.0) for end in value)
        if not low <= high:
            raise BadRecipe("its least is above its most.")
        return low, high

    def form(self) -> Form:
        """A list of two numbers."""
        number = {"type": "number", "minimum": 0, "maximum": 100}
        return {"type": "array", "items": number, "minItems": 2, "maxItems": 2}


class Masses(Kind):
    """Grams by component."""

    missing = '"{key}" is missing; write grams of each component.'

    def read(self, value: object) -> dict[str, float]:
        """The grams."""
        if not isinstance(value, dict) or (not value and self.examples):
            raise BadRecipe(self.missing)
        for component, grams in value.items():
            if component not in COMPONENTS:
                raise BadRecipe(
                    f'"{component}" is not a component; they are {", ".join(COMPONENTS)}.'
                )
            if isinstance(grams, bool) or not isinstance(grams, int | float) or not grams >= 0:
                raise BadRecipe(f"{component} is {grams!r}; it must be grams, zero or more.")
        return dict(value)

    def form(self) -> Form:
        """Numbers by component."""
        return {
            "type": "object",
            "propertyNames": {"enum": list(COMPONENTS)},
            "additionalProperties": {"type": "number", "minimum": 0},
        }


def _number(value: object, most: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= most:
        raise BadRecipe(f"it is {value!r}; it must be a number from 0 to {most:g}.")
    return float(value)


def _known(word: str, known: tuple[str, ...]) -> None:
    if word not in known:
        near = close(word, known, n=1)
        right = f"did you mean {near[0]}" if near else f"it must be one of {', '.join(known)}"
        raise BadRecipe(f'it is "{word}"; {right}.')


@cache
def _in_pantry(key: str) -> tuple[str, ...]:
    """Every word that the package's own ingredients have under a key."""
    found: set[str] = set()
    for path in blocks.names("pantry"):
        for line in re.findall(rf"^{key} = (.*)$", blocks.read(path), re.MULTILINE):
            found |= set(re.findall(r'"([^"]+)"', line))
    return tuple(sorted(found))


# the tables


class PieceTable(FileModel, called="piece"):
    """What one piece weighs."""

    g: Annotated[float, Number("Weight of one, g.")]
    low: Annotated[float | None, Number("The lightest of them, g.")] = None
    high: Annotated[float | None, Number("The heaviest of them, g.")] = None
    source: Annotated[str, Letters("Where that is from.")] = ""
    note: Annotated[str, Letters("For readers of the file.", most=_MOST_NOTE)] = ""


class Pieces(ById):
    """Weights of pieces: { leaf = { g = 0.5, low = 0.3, high = 0.8 } }."""

    def read(self, value: object) -> object:
        """The tables, which their model then reads."""
        if isinstance(value, list | str | int | float):
            raise BadRecipe(f"it is {value!r}; write pieces.leaf = {{ g = 0.5 }}.")
        return super().read(value)


class IngredientTable(FileModel, called="ingredient"):
    """An ingredient of the house."""

    name: Annotated[str, Letters("The name it is asked for by.", needed=True)]
    group: Annotated[str, Letters("The kind, such as syrup or juice.", needed=True)]
    form: Annotated[str, Known("How it is poured or weighed.", lambda: FORMS, needed=True)]
    also: Annotated[tuple[str, ...], Several("Other names of it.", Letters("", needed=True))] = ()
    per_100_g: Annotated[
        Mapping[str, float] | None, Masses("Grams of each component in 100 g.")
    ] = None
    per_litre: Annotated[
        Mapping[str, float] | None,
        Masses("Of what has a strength in % vol: grams in a litre beside alcohol and water."),
    ] = None
    strength: Annotated[
        str, Known("How its strength is written, if it has one.", lambda: STRENGTH_KINDS)
    ] = ""
    strength_range: Annotated[
        tuple[float, float] | None, Ends("The least and the most strength.")
    ] = None
    strength_default: Annotated[float | None, Number("The strength where none is written.")] = None
    allergens: Annotated[
        tuple[str, ...],
        Several("The allergens that guests must be told of.", Allergen("", needed=True)),
    ] = ()
    hazards: Annotated[
        tuple[str, ...],
        Several("Hazards that the cautions must know.",
                Known("", lambda: _in_pantry("hazards"), needed=True)),
    ] = ()  # fmt: skip
    keeps: Annotated[str, Known("How it keeps.", lambda: _in_pantry("keeps"))] = ""
    piece_g: Annotated[
        float | None,
        Number("Weight of one piece, g.",
               above="it is 0; it must be what one piece weighs, in g."),
    ] = None  # fmt: skip
    piece_note: Annotated[str, Letters("Which piece that is.")] = ""
    pieces: Annotated[
        Mapping[str, PieceTable],
        Pieces("Weights of its pieces.", PieceTable,
               Known("", lambda: PIECES, needed=True), len(PIECES)),
    ] = {}  # fmt: skip
    note: Annotated[str, Letters("For readers of the file.", most=_MOST_NOTE)] = ""
    source: Annotated[str, Letters("Where its figures are from.")] = "house"
    obtained: Annotated[str, Known("How they were obtained.", lambda: _OBTAINED)] = "practice"


class PantryFile(FileModel, called="pantry"):
    """The house's own ingredients."""

    ingredient: Annotated[
        tuple[IngredientTable, ...],
        Rows("The ingredients.", IngredientTable, MOST_INGREDIENTS),
    ] = ()


PieceTable.kinds()["g"].missing = "its weight is missing; write g = what one weighs, in g."

# the entries


def _refuse(problem: Problem) -> None:
    """Raise the first problem; its `field` is the place in the file."""
    raise BadRecipe(problem.sentence, place_of(problem.path))


def house_entries(
    said: Mapping[str, object], tell: Callable[[Problem], None] = _refuse
) -> tuple[Entry, ...]:
    """The ingredients of a pantry file as `Pantry` takes them.

    What is wrong is told: by default, the first is raised as a BadRecipe. An entry with a problem
    is left out.
    """
    refused: set[object] = set()

    def note(problem: Problem) -> None:
        refused.update(problem.path[1:2])
        tell(problem)

    file = mended(PantryFile, said, note)
    found: list[Entry] = []
    taken: set[str] = set()
    for number, row in enumerate(file.ingredient if file else ()):
        if number in refused:
            continue
        try:
            found.append(_entry(row, taken))
        except _Wrong as error:
            tell(Problem(("ingredient", number, *error.keys), error.sentence))
    return tuple(found)


class _Wrong(Exception):
    """What is wrong with an ingredient as a whole, and the key where it is."""

    def __init__(self, sentence: str, *keys: str) -> None:
        super().__init__(sentence)
        self.sentence, self.keys = sentence, keys


@cache
def _package_names() -> tuple[str, ...]:
    return tuple(Pantry().names())


def _entry(row: IngredientTable, taken: set[str]) -> Entry:
    """An ingredient as the pantry has it; `taken` are the names before it."""
    names = [one.lower() for one in (row.name, *row.also)]
    for place, name in enumerate(names):
        hazard = unlisted.dangerous(name, _package_names)
        if hazard is not None and not hazard.flag:
            unless = f" It changes only if {hazard.unless}." if hazard.unless else ""
            raise _Wrong(
                f'"{name}" names {hazard.name}, and no pantry takes it: {hazard.reason}.{unless}',
                "name",
            )
        if name in taken or name in names[:place]:
            raise _Wrong(f'"{name}" is taken by another; give each its own.', "name")
    for word, piece in row.pieces.items():
        low = piece.g if piece.low is None else piece.low
        high = piece.g if piece.high is None else piece.high
        if not 0 < low <= piece.g <= high:
            raise _Wrong(
                f"it is {piece.g:g} g, from {low:g} to {high:g} g. They must be more than 0, and "
                f"the weight must be between its ends.",
                "pieces", word,
            )  # fmt: skip
    entry = _plain(row) | {"name": names[0], "also": names[1:]}
    _composition(row)
    _at_strengths(row, entry)
    taken.update(names)
    return entry


def _plain(row: FileModel) -> dict[str, Any]:  # Any: values of an entry
    """The values that a table says, with those that are always there."""
    found = {}
    for key in row.kinds():
        value = getattr(row, key)
        if isinstance(value, Mapping):
            value = {
                word: _plain(one) if isinstance(one, FileModel) else one
                for word, one in value.items()
            }
        if value not in (None, {}) and (value != "" or key == "keeps"):
            found[key] = list(value) if isinstance(value, tuple) else value
    return found


def _composition(row: IngredientTable) -> None:
    """Masses by component that can be an ingredient of its kind of strength."""
    by_litre = row.strength == "abv"
    right, wrong = ("per_litre", "per_100_g") if by_litre else ("per_100_g", "per_litre")
    if getattr(row, wrong) is not None:
        raise _Wrong(f'"{wrong}" is written; what it is made of goes into {right}.', wrong)
    masses = getattr(row, right)
    if not by_litre and not masses:
        raise _Wrong(f'"{right}" is missing; write grams of each component.')
    total = math.fsum((masses or {}).values())
    if by_litre and total > _MOST_PER_LITRE:
        raise _Wrong(
            f"per_litre sums to {total:g} g; it is at most {_MOST_PER_LITRE:g} g beside the "
            f"alcohol and the water.",
            right,
        )
    if not by_litre and not 99.5 <= total <= 100.5:
        raise _Wrong(f"per_100_g sums to {total:g} g; it must be 100 g.", right)


def _at_strengths(row: IngredientTable, entry: Entry) -> None:
    """That it can be had at its usual strength and at both ends of its range."""
    strengths: list[float | None] = [None]
    if not row.strength:
        for key in ("strength_range", "strength_default"):
            if getattr(row, key) is not None:
                raise _Wrong(f'"{key}" is written without strength; write both.', key)
    else:
        low, high = row.strength_range or (0.0, 100.0)
        usual = low if row.strength_default is None else row.strength_default
        if not low <= usual <= high:
            raise _Wrong(
                f"it is {usual:g}; it must be from {low:g} to {high:g}, as its range.",
                "strength_default",
            )
        strengths = [low, high, usual]
    pantry = Pantry((entry,))
    for strength in strengths:
        shown = "" if strength is None else f" {strength:.6f} {STRENGTH_KINDS[row.strength]}"
        try:
            made = pantry.ingredient(f"{entry['name']}{shown}")
            if made.form == "liquid":  # a dry one is weighed, and needs no density
                made.mixture.density_kg_m3(20.0)
        except BadInput as error:
            raise _Wrong(
                f"it cannot be made of that{' at' + shown if shown else ''}: {error.message}"
            ) from error
        except (KeyError, ZeroDivisionError) as error:
            raise _Wrong(
                f"what it is made of holds nothing that its strength ({row.strength}) could count."
            ) from error
