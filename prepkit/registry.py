"""Name to calculator, and the one way to run any: validate, compute, judge, gather, add the +/-.

Where a part is refused the calculator is not run: the empty part is found, and the answer stops
with its reason, whatever else is missing or wrong in the inputs.

Gas and cryogen are no component of a mixture: weight, volume, strength and pressure that are worked
out from it would leave them out. So what a siphon, a keg or a cryogen has touched is marked, the
marks travel with every mixture made from it, and only the works that are done last take it.

The +/- of an input is how far the true figure may be from the given one, either way, any figure
between as likely as the next. The +/- of a value is the same of the value. Each uncertain input is
moved to both ends of its +/- and the calculator is run again; half the difference of the two is
that input's share, inputs are independent, and shares add in quadrature, with the model's own
stated error where the result gives one. (So the +/- of a value is 1.73 times its standard
deviation. Where every input's +/- is a standard deviation instead, so is the value's.)

A value that does not follow its inputs in a straight line goes further one way than the other: it
bends, jumps, stops at a limit, or has no value at one end. Several inputs together may do what none
does alone, so that they are moved together too, in each direction that pulls some value or fact one
way. Where the larger sides come to more than `UNEVEN` over the even ones, the larger are shown and
the +/- is marked as not linear.
"""

import importlib
import math
import os
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from prepkit import cautions, derived, hazard_names, ingredient, jurisdictions, model
from prepkit.errors import BadInput, NamedHazard, PrepkitError, UnknownIngredient, named
from prepkit.facts import Facts
from prepkit.index import CALCULATORS
from prepkit.ingredient import REFUSED_GROUP, Part
from prepkit.inputs import Inputs, Spec, read
from prepkit.mixture import GASSY, Mixture
from prepkit.model import Answer, Caution, Judge, Output, OwnInputs, Result, Step, Value, Way
from prepkit.numbers import close_names
from prepkit.pantry import Pantry, counted
from prepkit.record import FieldValue, Record
from prepkit.units import Measured

if TYPE_CHECKING:
    from pathlib import Path

    from prepkit.jurisdictions import Refused

# ---- the +/- of any result ----

Compute = Callable[[OwnInputs], Result]
UNEVEN = 0.15
MOST_CORNERS = 8
_DUST = 1e-9  # of a value, below which a change is rounding
_DUST_SHOWN = 1e-6  # of the last digit shown


class PlusMinus(NamedTuple):
    """The +/- of a value in its own unit, and whether it holds evenly both ways."""

    plus_minus: float
    linear: bool


class Place(NamedTuple):
    """One uncertain input: its name and label, its place where it takes many, its value."""

    name: str
    label: str
    at: int | None
    value: FieldValue


class Move(NamedTuple):
    """An input moved to the upper (1) or lower (-1) end of its +/-; None: it cannot be there."""

    place: Place
    sign: int
    value: FieldValue

    @property
    def said(self) -> str:
        """The end in words: temperature of the contents 6 °C."""
        return f"{self.place.label} {_words(self.value)}"


class End(NamedTuple):
    """One input, or several together, at an end, and the result; None: refused there."""

    moves: tuple[Move, ...]
    result: Result | None
    numbers: Mapping[str, float]

    @property
    def said(self) -> str:
        """Where it is, in words."""
        return " and ".join(move.said for move in self.moves)


def _moved(value: FieldValue, sign: int, spec: Spec) -> FieldValue:
    """An input at one end of its +/-, no further than it can go; None where that is nowhere."""
    if isinstance(value, Part):
        return value.scaled(max(1.0 + sign * value.amount.plus_minus / float(value.amount), 0.0))
    at = float(value) + sign * value.plus_minus
    if spec.above is not None and at <= spec.above:
        return None
    at = at if spec.low is None else max(at, spec.low)
    at = at if spec.high is None else min(at, spec.high)
    return Measured(at, value.unit, value.plus_minus)


def _words(value: FieldValue) -> str:
    if isinstance(value, Part):
        if value.members:
            return ", ".join(_words(member) for member in value.members)
        amount = value.amount
        return f"{float(amount):.6g} {amount.unit} {value.words_without_amount}"
    degree = "°" if value.unit == "C" else ""
    return f"{float(value):.6g} {degree}{value.unit}".rstrip()


def _uncertain(value: FieldValue) -> bool:
    if isinstance(value, Part):
        return value.amount.plus_minus > 0 and float(value.amount) > 0
    return isinstance(value, Measured) and value.plus_minus > 0


def _places(inputs: Inputs) -> Iterator[Place]:
    for name, spec in inputs.specs().items():
        value = getattr(inputs, name)
        if isinstance(value, tuple):
            yield from (
                Place(name, spec.label, at, one) for at, one in enumerate(value) if _uncertain(one)
            )
        elif _uncertain(value):
            yield Place(name, spec.label, None, value)


def _run(compute: Compute, inputs: Inputs, moves: tuple[Move, ...]) -> End:
    moved: dict[str, FieldValue] = {}
    for place, _, value in moves:
        if value is None:
            return End(moves, None, {})
        if place.at is None:
            moved[place.name] = value
        else:
            many = list(moved.get(place.name, getattr(inputs, place.name)))
            many[place.at] = value
            moved[place.name] = tuple(many)
    try:
        result = compute(inputs.replaced(**moved))
    except PrepkitError:
        return End(moves, None, {})
    return End(moves, result, result.numbers())


def error_ends(compute: Compute, inputs: Inputs, result: Result) -> tuple[End, ...]:
    """Each uncertain input at its upper and at its lower end; nothing where all are certain."""
    base = result.numbers()
    return tuple(
        _end(compute, inputs, base, place, sign) for place in _places(inputs) for sign in (1, -1)
    )


def _end(
    compute: Compute, inputs: Inputs, base: Mapping[str, float], place: Place, sign: int
) -> End:
    move = Move(place, sign, _moved(place.value, sign, inputs.spec(place.name)))
    end = _run(compute, inputs, (move,))
    if inputs.judged_at_end.get(place.name) == sign and not base.keys() <= end.numbers.keys():
        # judged at its own end from there, it would be moved twice: what is lacking for that
        # alone is taken from the end as it is
        plain = _run(compute, inputs, (move._replace(value=_certain(move.value)),))
        return end._replace(numbers={**plain.numbers, **end.numbers})
    return end


def _certain(value: FieldValue) -> FieldValue:
    """An input without its +/-."""
    if isinstance(value, Part):
        return value.replaced(amount=Measured(float(value.amount), value.amount.unit))
    return None if value is None else Measured(float(value), value.unit)


def error_corners(
    compute: Compute, inputs: Inputs, result: Result, found: tuple[End, ...]
) -> tuple[End, ...]:
    """Inputs moved together, each to the end that pulls some value or numeric fact one way.

    An input that the calculator itself judges at that end (`judged_at_end`) stays where it is.
    """
    if len(found) < 4:
        return ()
    corner = []
    for signs in _directions(result, found):
        moves = tuple(
            pair[0 if sign > 0 else 1].moves[0]
            for pair, sign in zip(_pairs(found), signs, strict=True)
            if sign
        )
        moves = tuple(
            move for move in moves if inputs.judged_at_end.get(move.place.name) != move.sign
        )
        if len(moves) > 1:
            corner.append(_run(compute, inputs, moves))
    return tuple(corner)


def _pairs(found: tuple[End, ...]) -> list[tuple[End, End]]:
    return list(zip(found[::2], found[1::2], strict=True))


def _directions(result: Result, found: tuple[End, ...]) -> list[tuple[int, ...]]:
    """For each input the end (1, -1, or 0 where it does nothing), for what moves by two or more.

    A direction that is part of another is left out; of the rest, at most `MOST_CORNERS`, those of
    the most inputs first, and then those of the most values and facts.
    """
    base = _numeric(result)
    sides = [_numeric(end.result) if end.result is not None else {} for end in found]
    wanted: Counter[tuple[int, ...]] = Counter()
    for name, value in base.items():
        least = _DUST * abs(value)
        signs = []
        for up, down in zip(sides[::2], sides[1::2], strict=True):
            change = up.get(name, value) - down.get(name, value)
            signs.append(0 if abs(change) <= least else 1 if change > 0 else -1)
        if sum(map(abs, signs)) > 1:
            wanted.update((tuple(signs), tuple(-sign for sign in signs)))
    chosen: list[tuple[int, ...]] = []
    for signs_of in sorted(wanted, key=lambda signs: (-sum(map(abs, signs)), -wanted[signs])):
        if not any(
            all(number in (0, other) for number, other in zip(signs_of, known, strict=True))
            for known in chosen
        ):
            chosen.append(signs_of)
    return chosen[:MOST_CORNERS]


def _numeric(result: Result) -> dict[str, float]:
    facts = {
        name: float(value)
        for name, value in result.facts.items()
        if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    }
    return facts | {f"value {name}": value for name, value in result.numbers().items()}


class _Share(NamedTuple):
    """What one input does to one value: half the difference of its ends, and the larger side.

    A value that is not there at one end has half of the other side; at neither, it is not known.
    """

    even: float
    larger: float
    known: bool = True


def _share(base: float, sides: Iterable[float | None], output: Output) -> _Share:
    least = max(_DUST * abs(base), _DUST_SHOWN * 10.0**-output.digits)
    moves = [side - base for side in sides if side is not None]
    moves = [move if abs(move) > least else 0.0 for move in moves]
    if not moves:
        return _Share(0.0, 0.0, known=False)
    return _Share(0.5 * abs(moves[0] - (moves[1:] or [0.0])[0]), max(map(abs, moves)))


def _shares(result: Result, found: tuple[End, ...]) -> dict[str, list[_Share]]:
    """By value, one for each input."""
    outputs = result.outputs()
    return {
        name: [
            _share(base, (up.numbers.get(name), down.numbers.get(name)), outputs[name])
            for up, down in _pairs(found)
        ]
        for name, base in result.numbers().items()
    }


def _together(
    name: str, base: float, output: Output, by: list[_Share], corner: tuple[End, ...]
) -> float:
    """What inputs moved together do to a value, as the quadrature of so many equal shares."""
    many = sum(share.larger > 0 for share in by) or len(by)
    moved = [_share(base, (end.numbers.get(name),), output).larger for end in corner]
    return max(moved, default=0.0) / math.sqrt(many)


def spreads(
    result: Result,
    found: tuple[End, ...],
    corner: tuple[End, ...] = (),
    *,
    model_error: Mapping[str, float] | None = None,
    at_end: Collection[str] = (),
) -> dict[str, PlusMinus]:
    """The +/- of each value that has one, or that is there at neither end of some input.

    `model_error` is the result's own unless told otherwise. at_end: inputs that the calculator
    itself takes at an end (`judged_at_end`); a value at its worst (`Output.worst`) has them within.
    """
    errors = result.model_error if model_error is None else model_error
    spread: dict[str, PlusMinus] = {}
    if not found:
        for name in result.numbers():
            if errors.get(name, 0.0) > 0:
                spread[name] = PlusMinus(errors[name], True)
        return spread
    outputs = result.outputs()
    shares = _shares(result, found)
    for name, base in result.numbers().items():
        by, error, worst = shares[name], errors.get(name, 0.0), outputs[name].worst
        if worst:
            by = [
                share
                for share, (up, _) in zip(by, _pairs(found), strict=True)
                if up.moves[0].place.name not in at_end
            ]
        even = math.hypot(error, *(share.even for share in by))
        larger = max(
            math.hypot(error, *(share.larger for share in by)),
            math.hypot(error, _together(name, base, outputs[name], by, corner))
            if corner and not worst
            else 0.0,
        )
        linear = larger <= (1.0 + UNEVEN) * even and all(share.known for share in by)
        if larger > 0 or not linear:
            spread[name] = PlusMinus(even if linear else larger, linear)
    return spread


# ---- any calculator, run ----

# ---- where the house is ----

SETTINGS = "prepkit.toml"  # in the folder where prepkit is started: house = "FOLDER"


def folder(named: str | os.PathLike[str] | None = None) -> "Path | None":
    """The folder of the house file; None where none was named and there is no prepkit.toml.

    Raises FileProblem, and BadRecipe in one sentence where prepkit.toml says anything else.
    """
    wanted = named is not None and str(named).strip()
    if not wanted and not os.path.exists(SETTINGS):
        return None
    from pathlib import Path  # here, so that a calculation without a house starts faster

    if named is not None and wanted:
        return Path(named)
    from prepkit.plan.files import Reader, read_text, tables_of
    from prepkit.plan.house_file import SettingsFile

    text = read_text(SETTINGS, "settings")
    reader = Reader(SETTINGS, text)
    return Path(reader.model(SettingsFile, tables_of(text, SETTINGS, "settings")).house)


def house_pantry(named: str | os.PathLike[str] | None = None) -> Pantry | None:
    """The ingredients and measures of the house; None where there is no house.

    Raises FileProblem where the house file cannot be read, BadRecipe where it is wrong.
    """
    place = folder(named)
    if place is None:
        return None
    from prepkit.plan.files import Reader
    from prepkit.plan.house import FILE, read_house

    return read_house(Reader(FILE), None, place, place).pantry


# ---- inputs that name what goes into no drink ----

_NAMES = frozenset(("part", "parts", "ingredient", "ingredients", "words", "many words"))
# words that name no part: gases where gases are asked for, files, dates, places
_NO_PARTS = frozenset(
    (
        "gas", "release", "rate", "allowed_gas", "vessel", "vessel_register", "sequence", "made",
        "inspection_due", "date", "today", "use_by", "jurisdiction", "amount", "cryogen", "place",
        "target", "want", "noted", "aroma",
    )
)  # fmt: skip
_BOILS = frozenset(("reduce",))  # calculators that boil what they are given


def _rules(said: Mapping[str, object]) -> str:
    where = said.get("jurisdiction")
    try:
        return jurisdictions.key_of(where) or "" if isinstance(where, str) else ""
    except BadInput:  # said of its field where that is read
        return ""


def _texts(value: object) -> list[str]:
    many = value if isinstance(value, list | tuple) else (value,)
    return [part for one in many if isinstance(one, str) for part in ingredient.split(one)]


def first_hazard(
    inputs: type[Inputs], name: str, said: Mapping[str, object], pantry: Pantry
) -> Inputs | None:
    """Inputs with an empty part for each hazard that is named, spelt right; None without one."""
    found: dict[str, list[tuple[str, Refused]]] = {}
    for field, spec in inputs.specs().items():
        if field not in said or spec.kind not in _NAMES or field in _NO_PARTS:
            continue
        for words in _texts(said[field]):
            if pantry.made_here(words):
                continue
            hazard = hazard_names.find(words, _rules(said), name in _BOILS)
            if hazard is not None and not hazard.flag:
                found.setdefault(field, []).append((words, hazard))
    return _made(inputs, said, found, pantry) if found else None


def hazard_after(
    inputs: type[Inputs],
    said: Mapping[str, object],
    problems: Mapping[str, PrepkitError],
    pantry: Pantry,
) -> Inputs | None:
    """The same from what was found wrong when it was read: misspelt, or told by the pantry."""
    from prepkit.jurisdictions import Refused

    found: dict[str, list[tuple[str, Refused]]] = {}
    for field, problem in problems.items():
        if not isinstance(problem, NamedHazard) or _lawful(problem.words, said):
            continue
        at = (field or problem.field or "").lstrip("-").replace("-", "_")
        at = at if at in inputs.specs() else next(iter(inputs.specs()))
        words = next(
            (text for text in _texts(said.get(at)) if problem.words in text), problem.words
        )
        assert isinstance(problem.hazard, Refused)
        found.setdefault(at, []).append((words, problem.hazard))
    return _made(inputs, said, found, pantry) if found else None


def lawful(
    said: Mapping[str, object], problems: Mapping[str, PrepkitError]
) -> dict[str, PrepkitError]:
    """The same problems; what is refused only under other rules is only not held here."""
    return {
        field: UnknownIngredient(
            f'{named(field)} is "{problem.words}"; there is no ingredient of that name here. '
            "Add it from its label to the house's pantry."
        )
        if isinstance(problem, NamedHazard) and _lawful(problem.words, said)
        else problem
        for field, problem in problems.items()
    }


def _lawful(words: str, said: Mapping[str, object]) -> bool:
    """Whether the name is refused only under other rules than those asked for."""
    return hazard_names.find(words) is not None and hazard_names.find(words, _rules(said)) is None


def hazard_facts(error: NamedHazard, place: str | None = None) -> Facts:
    """The facts of a hazard that was named in words which the calculator reads itself.

    place: a key of `jurisdictions`, whose law is cited; None where none was told.
    """
    from prepkit.jurisdictions import Refused
    from prepkit.shared import botanicals

    places = jurisdictions.chain(place) if place is not None else ()
    hazards = [value.under(places) for value in (error.hazard,) if isinstance(value, Refused)]
    return botanicals.facts_of(hazards)


def _made(
    inputs: type[Inputs],
    said: Mapping[str, object],
    found: "Mapping[str, list[tuple[str, Refused]]]",
    pantry: Pantry,
) -> Inputs:
    from prepkit.shared import botanicals

    values: dict[str, object] = {}
    for field, spec in inputs.specs().items():
        if field in found:
            many = tuple(
                botanicals.part_of(words, hazard, named(field)) for words, hazard in found[field]
            )
            values[field] = many if spec.kind in ("parts", "many words") else many[0]
        elif field in said:
            values[field] = _or_none(spec, inputs.tidy_field(field, said[field]), field, pantry)
    return inputs.stopped(values)


def _or_none(spec: Spec, value: object, field: str, pantry: Pantry) -> object:
    """One input as it is read, or None where something is wrong with it too."""
    try:
        return read(spec, value, field, pantry)
    except PrepkitError:
        return None


# ---- what was charged, or met dry ice or liquid nitrogen, holds more than its mixture says ----

CHARGED, MET_CRYOGEN = "charged", "met-cryogen"
MARKS = frozenset((CHARGED, MET_CRYOGEN))
COLD = ("liquid nitrogen", "dry ice")
#: The works that take what has met gas or a cryogen.
LAST = ("layer", "serve", "keep", "window")


def mark(name: str, inputs: Inputs, product: Mixture) -> Mixture:
    """The product of a calculator with the marks of what it does to it."""
    if name == "siphon":
        return product.marked(tags=(CHARGED,))
    if name == "carbonate":
        return product.marked(tags=(CHARGED, GASSY))
    if name == "cryogen" or getattr(inputs, "way", None) in COLD:
        return product.marked(tags=(MET_CRYOGEN,))
    return product


def gas_facts(name: str, inputs: Inputs) -> Facts:
    """The facts of parts that no such work can be done with; empty where there is none."""
    if name in LAST:
        return {}
    met = [one for part in charged_parts(inputs) for one in part.each if one.mixture.tags & MARKS]
    if not met:
        return {}
    cold = any(MET_CRYOGEN in part.mixture.tags for part in met)
    return {
        "met_gas_count": len(met),
        "met_gas_names": " and ".join(dict.fromkeys(part.name for part in met)),
        "met_gas_what": "dry ice or liquid nitrogen"
        if cold
        else "the gas of a charger or cylinder",
    }


def charged_parts(inputs: Inputs) -> Iterator[Part]:
    """Every part among the inputs of a calculator."""
    values = vars(inputs)
    for name in inputs.specs():
        value = values[name]
        if isinstance(value, Part):
            yield value
        elif isinstance(value, tuple):
            yield from (one for one in value if isinstance(one, Part))


# ---- name to calculator, and one way to run any of them ----

WITHIN = "Within your ±:"  # stands before a caution that an end of a ± triggers


class Calculator(Record):
    """A calculator by its parts: one file in prepkit/calculators, past about 700 lines a folder."""

    name: str
    family: str
    summary: str
    inputs: type[Inputs]
    result: type[Result]
    compute: Callable[[OwnInputs], Result]  # without a number to go ahead with beside a stop
    example: str
    ways_out: Callable[[OwnInputs, Judge], tuple[Way, ...]] | None = None
    refused: Callable[[OwnInputs], Result] | None = None


@cache
def load(name: str) -> Calculator:
    """The calculator of a name; BadInput with the nearest names."""
    if name not in CALCULATORS:
        near = close_names(name, CALCULATORS, n=2)
        hint = f"the nearest is {near[0]}" if near else f"they are {', '.join(CALCULATORS)}"
        raise BadInput(f'no calculator "{name}"; {hint}.', "calculator")
    module_name, family, summary = CALCULATORS[name]
    module = importlib.import_module(f"prepkit.calculators.{module_name}")
    refused = getattr(module, "refused", None)
    compute = _without_go_ahead(name, module.Result, module.compute, refused)
    return Calculator(
        name, family, summary, module.Inputs, module.Result, compute, module.EXAMPLE,
        getattr(module, "ways_out", None), refused,
    )  # fmt: skip


def _without_go_ahead(
    name: str,
    result: type[Result],
    compute: Callable[[OwnInputs], Result],
    refused: Callable[[OwnInputs], Result] | None,
) -> Callable[[OwnInputs], Result]:
    """`compute`, with only those values beside a stop that its Result lets stand there.

    refused: what is known before anything is computed; where that is a stop it is all there is.
    """
    if refused is None and result.beside_stop is Result.beside_stop:
        return compute

    def computed(inputs: OwnInputs) -> Result:
        if refused is not None and _is_stop(name, first := refused(inputs)):
            return first.beside_stop()
        found = compute(inputs)
        return found.beside_stop() if _is_stop(name, found) else found

    return computed


def _is_stop(name: str, result: Result) -> bool:
    """Whether any caution of a result says stop."""
    return cautions.is_stop(name, {**cautions.about(result.product), **result.facts})


def validate(name: str, said: Mapping[str, object], pantry: Pantry | None = None) -> Inputs:
    """Words or numbers as the calculator's Inputs; BadInput with the first thing wrong."""
    problems = _try(name, said, pantry)
    if isinstance(problems, Inputs):
        return problems
    raise next(iter(problems.values()))


def problems(
    name: str, said: Mapping[str, object], pantry: Pantry | None = None
) -> dict[str, PrepkitError]:
    """Everything wrong with the words of one calculation, by input name."""
    found = _try(name, said, pantry)
    return {} if isinstance(found, Inputs) else found


def _try(
    name: str, said: Mapping[str, object], pantry: Pantry | None
) -> Inputs | dict[str, PrepkitError]:
    calculator = load(name)
    tidy: dict[str, FieldValue] = {}
    for key, value in said.items():
        field = key.lstrip("-").replace("-", "_")
        if field in tidy:
            return {field: BadInput(f"{named(field)} is given twice; write it once.", field)}
        tidy[field] = value
    stopped = first_hazard(calculator.inputs, name, tidy, pantry or Pantry())
    if stopped is not None:
        return stopped
    found = _validated(calculator, tidy, pantry)
    if isinstance(found, Inputs):
        return found
    found = lawful(tidy, found)
    # a name that is known as a hazard is answered with a stop, not as an error
    return hazard_after(calculator.inputs, tidy, found, pantry or Pantry()) or found


def _validated(
    calculator: Calculator, said: Mapping[str, object], pantry: Pantry | None
) -> Inputs | dict[str, PrepkitError]:
    made, problems = calculator.inputs.from_words(said, pantry or Pantry())
    if made is not None:
        return made
    return {field: _in_words(calculator, field, error) for field, error in problems.items()}


def _in_words(calculator: Calculator, field: str, error: Exception) -> PrepkitError:
    """What is wrong with one field as one sentence in the trade's words."""
    if isinstance(error, PrepkitError):
        return error
    specs = calculator.inputs.specs()
    if field in specs:
        spec = specs[field]
        return BadInput(
            f"{calculator.name} needs {named(field)}, {spec.label}: "
            f"for example {named(field, spec.example)}.",
            field,
        )
    near = close_names(field, specs, n=1)
    hint = (
        f"did you mean {named(near[0])}"
        if near
        else (f"it takes {', '.join(named(one) for one in specs)}")
    )
    return BadInput(f"{calculator.name} takes no {named(field)}; {hint}.", field)


def _refused(inputs: Inputs) -> Facts:
    """The facts of a refused plant among the parts of any calculator; empty where there is none."""
    parts = [part for part in charged_parts(inputs) if part.ingredient.group == REFUSED_GROUP]
    if not parts:
        return {}
    from prepkit.shared import botanicals

    return botanicals.refusal(parts, jurisdiction=jurisdictions.told(inputs) or "")


def not_run(name: str, inputs: Inputs) -> Facts:
    """The facts for which a calculator is not run at all; empty where there is no such reason."""
    return _refused(inputs) or gas_facts(name, inputs)


def _facts(name: str, inputs: Inputs, result: Result) -> Facts:
    """All that a result is judged by."""
    from prepkit.shared import drink

    of_glass = drink.glass_facts(name, inputs, result.product)
    return {
        **cautions.told(inputs), **cautions.about(result.product), **of_glass, **result.facts,
    }  # fmt: skip


def _counted(inputs: Inputs) -> tuple[Step, ...]:
    """What was given by a number of pieces, in g, with the band of one piece and its source."""
    found: list[Step] = []
    for name, spec in inputs.specs().items():
        held = getattr(inputs, name)
        if spec.kind not in ("part", "parts") or not held:
            continue
        for part in held if isinstance(held, tuple) else (held,):
            for one in part.each:
                if one.amount.unit != "piece" or one.ingredient.group == REFUSED_GROUP:
                    continue
                piece = counted(one)
                if piece is not None:
                    note = f": {piece.note}" if piece.note else ""
                    how = (
                        f"{float(one.amount):g} x {piece.g:g} g, {piece.low:.3g} to "
                        f"{piece.high:.3g} g each{note}"
                    )
                    source = piece.source or one.ingredient.source
                    found.append(Step(one.words, how, 1000 * one.mass_kg, "g", source))
    return tuple(found)


def _judged(name: str, inputs: Inputs, result: Result) -> tuple[Caution, ...]:
    return cautions.judge(name, _facts(name, inputs, result))


def _judged_there(inputs: Inputs, end: End) -> bool:
    """Whether the calculator has judged this end of an input itself."""
    return any(inputs.judged_at_end.get(move.place.name) == move.sign for move in end.moves)


def _with_ends(
    name: str,
    inputs: Inputs,
    ends: Iterable[End],
    result: Result,
    found: tuple[Caution, ...],
    spread: dict[str, PlusMinus],
) -> tuple[Result, tuple[Caution, ...], dict[str, PlusMinus]]:
    """What is judged at the ends of the +/- too: never milder than without it.

    A caution of an end that is not there already is added, with the end in words, where it is as
    serious as the verdict. Where an end is a stop, its numbers are shown: those of the figures as
    given would be a go-ahead beside it.
    """
    added: dict[str, Caution] = {}
    stopped: list[End] = []
    for end in ends:
        if end.result is None:
            continue
        for caution in cautions.judge(name, _facts(name, inputs, end.result), found):
            more = f"{caution.more} Reached within the ± you entered, at {end.said}.".strip()
            said = caution.replaced(text=f"{WITHIN} {caution.text}", more=more)
            added.setdefault(caution.id, said)
            if caution.severity == "stop" and end not in stopped:
                stopped.append(end)
    if stopped and cautions.verdict(found) != "stop":
        worst = min((end.result for end in stopped if end.result), key=lambda r: len(r.numbers()))
        result = worst.with_cautions(_judged(name, inputs, worst))
        spread = {}
    return result, cautions.consistent(cautions.ordered((*found, *added.values()))), spread


def answer(name: str, inputs: Inputs) -> Answer:
    """Compute, judge and gather: the complete answer to validated inputs.

    A stop gets the ways out of it, each judged by the same computation.
    """
    found = without_ways(name, inputs)
    calculator = load(name)
    if found.verdict != "stop" or calculator.ways_out is None or not_run(name, inputs):
        return found

    def quick(other: OwnInputs) -> str:
        return cautions.worst(name, _facts(name, other, calculator.compute(other)))

    def full(other: OwnInputs) -> Answer:
        return found if other is inputs else without_ways(name, other)

    ways = calculator.ways_out(inputs, Judge(quick, full))
    ways = tuple(way.beside(found.inputs) for way in ways)
    return found.replaced(result=found.result.replaced(ways_out=ways))


def without_ways(name: str, inputs: Inputs) -> Answer:
    """The answer to validated inputs but for the ways out of a stop, which are the most work."""
    calculator = load(name)
    refused = not_run(name, inputs)
    try:
        result = calculator.result(facts=refused) if refused else calculator.compute(inputs)
    except NamedHazard as error:  # named in words that the calculator reads itself
        refused = hazard_facts(error, jurisdictions.told(inputs))
        result = calculator.result(facts=refused)
    found = _judged(name, inputs, result)
    result = result.with_cautions(found)
    ends = () if refused else error_ends(calculator.compute, inputs, result)
    corners = error_corners(calculator.compute, inputs, result, ends)
    spread = spreads(result, ends, corners, at_end=inputs.judged_at_end)
    if ends:
        judged = [end for end in ends if not _judged_there(inputs, end)]
        result, found, spread = _with_ends(name, inputs, (*judged, *corners), result, found, spread)
    if result.product is not None:
        result = result.replaced(product=mark(name, inputs, result.product))
    outputs = calculator.result.outputs()
    values = {
        key: Value(number, outputs[key].unit, spread[key].plus_minus or None,
                   outputs[key].label, outputs[key].shown_digits(number), not spread[key].linear,
                   outputs[key].limit)
        if key in spread
        else Value(number, outputs[key].unit, None, outputs[key].label,
                   outputs[key].shown_digits(number), limit=outputs[key].limit)
        for key, number in result.numbers().items()
    }  # fmt: skip
    given = [spec for spec in inputs.specs() if getattr(inputs, spec) is not None]
    working = () if refused else _counted(inputs)
    shown = derived.steps(outputs, result.numbers(), result.working, given)
    working = (*working, *result.working, *shown)
    keys = [step.source for step in working] + [caution.source for caution in found]
    return Answer(
        name,
        inputs.words(),
        values,
        cautions.verdict(found),
        found,
        working,
        result.tables,
        model.cited(keys),
        result,
    )


def run(
    name: str,
    said: Mapping[str, object] | None = None,
    *,
    pantry: Pantry | None = None,
    house: str | os.PathLike[str] | None = None,
    **keywords: FieldValue,
) -> Answer:
    """One calculation in words or numbers, as on the command line.

    `said` maps input names to words ("500 ml cream 35 %") or to numbers in the input's own unit;
    keyword arguments do the same. `house` is the folder of a house file, whose own ingredients and
    measures are then known; without it that of prepkit.toml here, if there is one. Raises BadInput
    with one sentence.
    """
    if pantry is None:
        pantry = house_pantry(house)
    for key in said or {}:
        if key in keywords:
            raise BadInput(f"{named(key)} is given twice; write it once.", key)
    return answer(name, validate(name, {**(said or {}), **keywords}, pantry))
