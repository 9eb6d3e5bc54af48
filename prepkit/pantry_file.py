"""A house's own ingredients, from its file or from the label of a packet.

Whatever could make a later calculation fail or lose a caution is refused here: a name that cannot
be asked for, an allergen or hazard that nothing knows, a composition that cannot be at a strength.
"""

import math
import re
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import cache
from typing import Annotated, Any

from prepkit import blocks, hazard_names
from prepkit.errors import BadInput, BadRecipe, later, named, unseen
from prepkit.file_models import ById, FileModel, Form, Kind, Rows, TableProblem, mended
from prepkit.files import place_of
from prepkit.ingredient import STRENGTH_KINDS
from prepkit.ingredient import WORDS as PIECES
from prepkit.mixture import COMPONENTS, Mixture
from prepkit.numbers import close_names
from prepkit.pantry import Pantry
from prepkit.science import ethanol

# ---- a house's own ingredients ----

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
        if unseen(tidy):
            raise BadRecipe("it has a control character in it; write plain text.")
        return tidy

    def form(self) -> Form:
        """Words of a bounded length."""
        return {"type": "string", "maxLength": self.most} | (
            {"minLength": 1} if self.needed else {}
        )


class KnownWord(Letters):
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


class StrengthEnds(Kind):
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
        near = close_names(word, known, n=1)
        right = f"did you mean {near[0]}" if near else f"it must be one of {', '.join(known)}"
        raise BadRecipe(f'it is "{word}"; {right}.')


@cache
def _in_pantry(key: str) -> tuple[str, ...]:
    """Every word that the package's own ingredients have under a key."""
    every = (blocks.words(path, key) for path in blocks.names("pantry"))
    return tuple(sorted(frozenset().union(*every)))


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
    form: Annotated[str, KnownWord("How it is poured or weighed.", lambda: FORMS, needed=True)]
    also: Annotated[tuple[str, ...], Several("Other names of it.", Letters("", needed=True))] = ()
    per_100_g: Annotated[
        Mapping[str, float] | None, Masses("Grams of each component in 100 g.")
    ] = None
    per_litre: Annotated[
        Mapping[str, float] | None,
        Masses("Of what has a strength in % vol: grams in a litre beside alcohol and water."),
    ] = None
    strength: Annotated[
        str, KnownWord("How its strength is written, if it has one.", lambda: STRENGTH_KINDS)
    ] = ""
    strength_range: Annotated[
        tuple[float, float] | None, StrengthEnds("The least and the most strength.")
    ] = None
    strength_default: Annotated[float | None, Number("The strength where none is written.")] = None
    allergens: Annotated[
        tuple[str, ...],
        Several("The allergens that guests must be told of.", Allergen("", needed=True)),
    ] = ()
    hazards: Annotated[
        tuple[str, ...],
        Several("Hazards that the cautions must know.",
                KnownWord("", lambda: _in_pantry("hazards"), needed=True)),
    ] = ()  # fmt: skip
    keeps: Annotated[str, KnownWord("How it keeps.", lambda: _in_pantry("keeps"))] = ""
    piece_g: Annotated[
        float | None,
        Number("Weight of one piece, g.",
               above="it is 0; it must be what one piece weighs, in g."),
    ] = None  # fmt: skip
    piece_note: Annotated[str, Letters("Which piece that is.")] = ""
    pieces: Annotated[
        Mapping[str, PieceTable],
        Pieces("Weights of its pieces.", PieceTable,
               KnownWord("", lambda: PIECES, needed=True), len(PIECES)),
    ] = {}  # fmt: skip
    note: Annotated[str, Letters("For readers of the file.", most=_MOST_NOTE)] = ""
    source: Annotated[str, Letters("Where its figures are from.")] = "house"
    obtained: Annotated[str, KnownWord("How they were obtained.", lambda: _OBTAINED)] = "practice"


class PantryFile(FileModel, called="pantry"):
    """The house's own ingredients."""

    ingredient: Annotated[
        tuple[IngredientTable, ...],
        Rows("The ingredients.", IngredientTable, MOST_INGREDIENTS),
    ] = ()


PieceTable.kinds()["g"].missing = "its weight is missing; write g = what one weighs, in g."

# the entries


def _refuse(problem: TableProblem) -> None:
    """Raise the first problem; its `field` is the place in the file."""
    raise BadRecipe(problem.sentence, place_of(problem.path))


def house_entries(
    said: Mapping[str, object], tell: Callable[[TableProblem], None] = _refuse
) -> tuple[Entry, ...]:
    """The ingredients of a pantry file as `Pantry` takes them.

    What is wrong is told: by default, the first is raised as a BadRecipe. An entry with a problem
    is left out.
    """
    refused: set[object] = set()

    def note(problem: TableProblem) -> None:
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
            tell(TableProblem(("ingredient", number, *error.keys), error.sentence))
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
    names = [text.lower() for text in (row.name, *row.also)]
    for place, name in enumerate(names):
        hazard = hazard_names.dangerous(name, _package_names)
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


# ---- an entry of a house's pantry from the nutrition label of a packet ----

# kcal per g on European labels; alcohol, fibre and polyols as there [ENERGY-FACTORS] (memory)
KCAL = {"fat": 9.0, "carbohydrate": 4.0, "protein": 4.0, "fibre": 2.0, "alcohol": 7.0}
_POLYOL_LESS = 4.0 - 2.4  # a gram of polyols stands among the carbohydrate and counts 2.4
KJ_PER_KCAL = 4.184
ENERGY_SHARE, ENERGY_KCAL = 0.15, 8.0  # how far a label may be from its own sums (practice)
NEEDED = ("energy", "fat", "carbohydrate", "sugars", "protein", "salt")
TAKEN = (*NEEDED, "polyols", "fibre")
_ONE = later(r"^(?P<name>[a-z]+)\s+(?P<number>[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>k?g|kj|kcal)$")
_ALSO = {"fiber": "fibre", "sugar": "sugars", "carbohydrates": "carbohydrate", "carbs":
         "carbohydrate", "proteins": "protein", "polyol": "polyols"}  # fmt: skip
EXAMPLE = "energy 1020 kJ, fat 0 g, carbohydrate 60 g, sugars 60 g, protein 0 g, salt 0 g"


def read(words: str) -> dict[str, float]:
    """The label's words as g, and the energy as kcal; BadInput where one is missing or odd.

    >>> round(read(EXAMPLE)["energy"])
    244
    """
    found: dict[str, float] = {}
    for part in re.split(r"[,;]\s+|;", words.strip().lower()):
        match = _ONE.match(" ".join(part.split()))
        if match is None:
            raise BadInput(f'{named("label")} has "{part}"; write it as in "{EXAMPLE}".', "label")
        name = _ALSO.get(match["name"], match["name"])
        if name not in TAKEN:
            raise BadInput(f'{named("label")} has "{name}"; it takes {", ".join(TAKEN)}.', "label")
        if name in found:
            raise BadInput(f"{named('label')} gives {name} twice; write it once.", "label")
        value, unit = float(match["number"].replace(",", ".")), match["unit"]
        if (name == "energy") != (unit in ("kj", "kcal")) or unit == "kg":
            right = "kJ or kcal" if name == "energy" else "g"
            raise BadInput(
                f"{named('label')} gives {name} in {unit}; it is read in {right}.", "label"
            )
        found[name] = value / KJ_PER_KCAL if unit == "kj" else value
    missing = [name for name in NEEDED if name not in found]
    if missing:
        raise BadInput(
            f"{named('label')} does not say {', '.join(missing)}; read it on the packet, and "
            f"write 0 g only where it says so.",
            "label",
        )
    return found


def checked(label: Mapping[str, float], abv: float = 0.0, per_ml: bool = False) -> float:
    """The energy that the label's own parts give, kcal; BadInput where the label is another.

    abv: % vol. per_ml: the label is of 100 ml.
    """
    if label["sugars"] > label["carbohydrate"] + 0.05:
        raise BadInput(
            f"{named('label')} has {label['sugars']:g} g of sugars in "
            f"{label['carbohydrate']:g} g of carbohydrate; sugars are part of it.",
            "label",
        )
    polyols = label.get("polyols", 0.0)
    if label["sugars"] + polyols > label["carbohydrate"] + 0.05:
        raise BadInput(
            f"{named('label')} has {label['sugars']:g} g of sugars and {polyols:g} g of "
            f"polyols in {label['carbohydrate']:g} g of carbohydrate; both are part of it.",
            "label",
        )
    alcohol_g = abv / 100 * ethanol.PURE_KG_M3 / 10 * (1.0 if per_ml else 1.03)
    parts = {**label, "alcohol": alcohol_g}
    energy = math.fsum(factor * parts.get(name, 0.0) for name, factor in KCAL.items())
    energy -= _POLYOL_LESS * polyols
    told = label["energy"]
    if abs(energy - told) > max(ENERGY_KCAL, ENERGY_SHARE * max(energy, told)):
        raise BadInput(
            f"{named('label')} says {told:.0f} kcal, and its own parts give {energy:.0f} kcal; "
            f"read both again (erythritol or acids can be the reason: write the entry by hand).",
            "label",
        )
    return energy


def entry(
    name: str, group: str, form: str, label: Mapping[str, float], allergens: Collection[str],
    *, keeps: str, caffeine_mg: float, per_ml: bool = False, density_g_ml: float | None = None,
    abv: float = 0.0,
) -> dict[str, object]:  # fmt: skip
    """The entry, as a pantry file has it, checked as one.

    `keeps` is a keeping class of the pantry, or "none" for what keeps unopened on a shelf;
    `caffeine_mg` is of 100 g, or of 100 ml as the label is. Both are asked for: cautions rest on
    them. Polyols count as sorbitol, sugars as sucrose, other carbohydrate as other dissolved
    solids, and water is what is left. Raises BadInput where the parts are more than the whole, or a
    density is needed.
    """
    if form != "liquid" and (per_ml or abv):
        raise BadInput(f"a {form} is labelled per 100 g, and has no % vol.", "form")
    checked(label, abv, per_ml)
    density = density_g_ml or 1.0
    for _ in range(60):
        by_volume = density if per_ml else 1.0
        parts = {
            "sucrose": label["sugars"] / by_volume,
            "sorbitol": label.get("polyols", 0.0) / by_volume,
            "other_solubles": max(
                label["carbohydrate"] - label["sugars"] - label.get("polyols", 0.0), 0.0
            )
            / by_volume,
            "caffeine": caffeine_mg / 1000 / by_volume,
            "milk_fat" if keeps == "dairy" else "fat": label["fat"] / by_volume,
            "protein": label["protein"] / by_volume,
            "salt": label["salt"] / by_volume,
            "fibre": label.get("fibre", 0.0) / by_volume,
            "ethanol": abv / 100 * ethanol.PURE_KG_M3 / 10 / density,
        }
        water = 100.0 - sum(parts.values())
        if water < -0.5:
            raise BadInput(
                f"{named('label')} sums to {100 - water:.1f} g in 100 g; read it again, and "
                f"whether it is per 100 g or per 100 ml.",
                "label",
            )
        parts["water"] = max(water, 0.0)
        if density_g_ml is not None or form != "liquid":
            break
        made = Mixture({key: grams for key, grams in parts.items() if grams}).density_kg_m3() / 1000
        done = abs(made - density) < 1e-7
        density = made
        if done:
            break
    total = sum(parts.values())
    grams = {key: round(100 * value / total, 4) for key, value in parts.items() if value > 0.00005}
    if keeps == "dairy" and "milk" not in {allergen.partition(":")[0] for allergen in allergens}:
        raise BadInput(
            f"{named('keeps')} is dairy, and {named('allergens')} does not say milk; add it.",
            "allergens",
        )
    hazards = ["dairy"] if keeps == "dairy" else []
    hazards += ["caffeine"] if caffeine_mg else []
    hazards += ["polyol"] if label.get("polyols") else []
    kept = {} if keeps == "none" else {"keeps": keeps}
    row: dict[str, object] = {
        "name": " ".join(name.lower().split()), "group": group, "form": form, "per_100_g": grams,
        "allergens": list(allergens), "hazards": hazards, **kept, "source": "house",
        "obtained": "practice",
        "note": "from the label of the packet; sugars taken as sucrose, acid and minerals unknown",
    }  # fmt: skip
    house_entries({"ingredient": [row]})
    return row


def toml(row: Mapping[str, object]) -> str:
    """The entry as text for a pantry file."""

    def text(value: object) -> str:
        if isinstance(value, Mapping):
            return "{ " + ", ".join(f"{key} = {one:g}" for key, one in value.items()) + " }"
        if isinstance(value, list):
            return "[" + ", ".join(text(one) for one in value) + "]"
        quoted = str(value).replace("\\", "\\\\").replace('"', '\\"')
        return f'"{quoted}"'

    return "\n".join(["[[ingredient]]", *(f"{key} = {text(one)}" for key, one in row.items()), ""])
