"""Cautions: rows of data, read strictly, judged against the facts of a result.

A row (data/cautions/*.toml) either stands for named calculators, or is triggered when all of its
conditions hold. A condition names a fact (`facts`), a small rule, and its limit.

`python -m prepkit.blocks` reads them so and keeps them as lines, of which those that speak to a
calculator are made rows again. A row that cannot be used is refused with its file and id; where the
lines are not those of the files there is no verdict: no rules, no answer.
"""

import math
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from copy import copy
from functools import cache, lru_cache
from typing import Any, NamedTuple

from prepkit import blocks, derived, facts, jurisdictions
from prepkit import facts as fact_names
from prepkit.blocks import Entry
from prepkit.errors import BadInput, FileProblem
from prepkit.facts import Facts
from prepkit.index import CALCULATORS
from prepkit.jurisdictions import AIR_LIMITS, air_limit
from prepkit.mixture import Mixture
from prepkit.model import Caution
from prepkit.units import rounded_down, rounded_up

FOLDER = "cautions"
KINDS = (
    "pressure", "cryogen", "inhalation", "acid", "heat", "fire", "alcohol", "allergen", "keeping",
    "botanical", "equipment",
)  # fmt: skip
SEVERITIES = ("stop", "care", "note")
MUST_STAND = ("pressure", "cryogen", "inhalation")
ANY = "any"
MISSING = "missing"
Limit = bool | int | float | str | tuple[str, ...] | None


Fact = Any  # Any: a number, a truth, a word or a set of words: only the rule knows which


def _is(fact: Fact, limit: Fact) -> bool:
    return fact in limit if isinstance(limit, tuple) else bool(fact == limit)


def _has(fact: Fact, limit: Fact) -> bool:
    wanted = limit if isinstance(limit, tuple) else (limit,)
    return any(one in fact for one in wanted)


RULES: dict[str, Callable[[Fact, Fact], bool]] = {
    "above": lambda fact, limit: fact > limit,
    "at_least": lambda fact, limit: fact >= limit,
    "below": lambda fact, limit: fact < limit,
    "at_most": lambda fact, limit: fact <= limit,
    "is": _is,  # equal to the limit, or one of several
    "has": _has,  # a set that holds the limit, or any of several
}
_BY_SIZE = ("above", "at_least", "below", "at_most")


class Condition(NamedTuple):
    """One condition of a row: a fact, a rule, and its limit (None for the rule "missing")."""

    fact: str
    rule: str
    limit: Limit = None

    def holds(self, known: facts.Known) -> bool:
        """Whether it holds; a fact that is absent or unknown (None) triggers nothing.

        The rule "missing" is the exception: it holds where the fact is listed and unknown.

        >>> Condition("rated_bar", "missing").holds({"rated_bar": None})
        True
        >>> Condition("peak_bar", "above", 17).holds({"peak_bar": 17.0})
        False
        """
        fact = known.get(self.fact)
        if self.rule == MISSING:
            return fact is None and self.fact in known
        return fact is not None and RULES[self.rule](fact, self.limit)


class Row(NamedTuple):
    """One caution: it stands for its calculators, or is triggered when all of `when` hold."""

    id: str
    kind: str
    severity: str
    text: str
    action: str
    source: str
    standing: bool
    calculators: tuple[str, ...]  # (ANY,) for every one
    when: tuple[Condition, ...] = ()
    more: str = ""
    source_from: str = ""  # a fact that names the source, where the place decides which
    unless_stop: bool = False  # it says what still goes: never beside a stop

    @property
    def advice(self) -> str:
        """What to do, with all that is said of it."""
        return f"{self.action} {self.more}".rstrip()

    def concerns(self, calculator: str) -> bool:
        """Whether it speaks to a calculator."""
        return calculator in self.calculators or ANY in self.calculators

    def triggered(self, known: facts.Known) -> bool:
        """Whether all its conditions hold; never for a row that stands."""
        for one in self.when:
            if not one.holds(known):
                return False
        return bool(self.when)

    @property
    def about(self) -> frozenset[str]:
        """The facts that its conditions name."""
        return frozenset(one.fact for one in self.when)


# reading


class _Bad(Exception):
    """What is wrong with a row, as half a sentence."""


def _texts(table: Entry, *keys: str) -> list[str]:
    for key in keys:
        if not isinstance(table.get(key), str) or not table[key].strip():
            raise _Bad(f"it needs {key} as text, and has {table.get(key)!r}")
    return [table[key] for key in keys]


def _closed(table: Entry, allowed: frozenset[str]) -> None:
    unknown = sorted(table.keys() - allowed)
    if unknown:
        raise _Bad(
            f'the key "{unknown[0]}" is not known; the keys are {", ".join(sorted(allowed))}'
        )


def _one_of(what: str, value: object, known: tuple[str, ...]) -> None:
    if value not in known:
        raise _Bad(f"the {what} {value!r} is not one of {', '.join(known)}")


def _limits_in(words: str) -> str:
    """The words with each @name as the figure of that limit: @co2_stop is "3"."""
    return re.sub(r"@([a-z0-9_]+)", lambda found: f"{air_limit(found[1]):g}", words)


def condition(table: object) -> Condition:
    """A condition of a TOML row. Raises ValueError on anything that is not known."""
    try:
        return _condition(table)
    except _Bad as bad:
        raise ValueError(str(bad)) from None


def _condition(table: object) -> Condition:
    if not isinstance(table, dict):
        raise _Bad(f"a condition is a table of fact, rule and limit, and this is {table!r}")
    _closed(table, frozenset(("fact", "rule", "limit")))
    fact, rule = _texts(table, "fact", "rule")
    kind = facts.kind(fact)
    if kind is None:
        raise _Bad(f'the fact "{fact}" is not one of those in prepkit/facts.py')
    _one_of("rule", rule, (*RULES, MISSING))
    if (rule == MISSING) == ("limit" in table):
        raise _Bad(f'the rule "{rule}" on "{fact}" takes {"no" if rule == MISSING else "a"} limit')
    limit = table.get("limit")
    if rule in _BY_SIZE and isinstance(limit, str) and limit.startswith("@"):
        limit = air_limit(limit[1:])
    if rule in _BY_SIZE:
        right = kind == "number" and _number(limit)
    elif rule == "has":
        right = kind == "words" and _words(limit)
    elif rule == "is":
        right = _fits(kind, limit)
    else:
        right = True
    if not right:
        raise _Bad(f'the rule "{rule}" with the limit {limit!r} does not fit "{fact}", a {kind}')
    return Condition(fact, rule, tuple(limit) if isinstance(limit, list) else limit)


def _number(limit: object) -> bool:
    return isinstance(limit, int | float) and type(limit) is not bool and math.isfinite(limit)


def _fits(kind: str, limit: object) -> bool:
    """Whether a fact of a kind can be equal to a limit."""
    if kind == "flag":
        return isinstance(limit, bool)
    return _number(limit) if kind == "number" else kind == "word" and _words(limit)


def _words(limit: object) -> bool:
    several = limit if isinstance(limit, list) else [limit]
    return bool(several) and all(isinstance(value, str) and value for value in several)


_KEYS = frozenset(
    (
        "id",
        "kind",
        "severity",
        "text",
        "action",
        "source",
        "standing",
        "calculators",
        "when",
        "more",
        "source_from",
        "unless_stop",
    )
)


def row(table: Entry) -> Row:
    """A row of its TOML table. Raises ValueError on anything that is not known."""
    try:
        return _row(table)
    except _Bad as bad:
        raise ValueError(str(bad)) from None


def _row(table: Entry) -> Row:
    _closed(table, _KEYS)
    name, kind, severity, text, action, source = _texts(
        table, "id", "kind", "severity", "text", "action", "source"
    )
    more = _texts(table, "more")[0] if "more" in table else ""
    text, action, more = map(_limits_in, (text, action, more))
    source_from = _texts(table, "source_from")[0] if "source_from" in table else ""
    if source_from and facts.kind(source_from) != "word":
        raise _Bad(f'source_from is "{source_from}", which is not a word of prepkit/facts.py')
    unless_stop = table.get("unless_stop", False)
    if not isinstance(unless_stop, bool) or (unless_stop and severity == "stop"):
        raise _Bad(f"unless_stop is true or false, never of a stop, and is {unless_stop!r}")
    _one_of("kind", kind, KINDS)
    _one_of("severity", severity, SEVERITIES)
    standing = "standing" in table
    if standing == ("when" in table):
        raise _Bad("it needs either standing or when")
    if standing == ("calculators" in table):
        raise _Bad("it names calculators where it has when, and only there")
    if standing and severity != "note":
        raise _Bad("a standing line is a note")
    named = table["standing" if standing else "calculators"]
    if not _words(named) or not isinstance(named, list):
        raise _Bad(f"it needs a list of calculators, and has {named!r}")
    for one in named:
        _one_of("calculator", one, tuple(CALCULATORS) if standing else (*CALCULATORS, ANY))
    when = table.get("when", [])
    if not isinstance(when, list) or not (when or standing):
        raise _Bad(f"when is a list of conditions, and this is {when!r}")
    for shown in (text, action, more):
        _check_shown(shown)
    return Row(
        name, kind, severity, text, action, source, standing, tuple(named),
        tuple(_condition(one) for one in when), more, source_from, unless_stop,
    )  # fmt: skip


def _check_shown(text: str) -> None:
    import string

    for _, name, form, _ in string.Formatter().parse(text):
        if name is None:
            continue
        kind = facts.kind(name)
        if kind is None:
            raise _Bad(f'its text shows "{name}", which is not one of those in prepkit/facts.py')
        if form and form[-1] in "efgd%" and kind != "number":
            raise _Bad(f'its text shows "{name}", a {kind}, as a number')


def parsed(texts: Mapping[str, str]) -> tuple[Row, ...]:
    """The rows of files by their name, in order. Raises FileProblem on one that cannot be used."""
    import tomllib

    found: dict[str, Row] = {}
    for path, text in texts.items():
        try:
            tables = tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            raise FileProblem(f"the cautions in {path} cannot be read: {error}.") from error
        if list(tables) != ["caution"] or not isinstance(tables["caution"], list):
            raise FileProblem(
                f"the cautions in {path} are [[caution]] tables; it has {', '.join(tables)}."
            )
        for table in tables["caution"]:
            try:
                one = row(table)
            except ValueError as error:
                name = table.get("id", "no id")
                raise FileProblem(
                    f"the caution {name} in {path} cannot be used: {error}."
                ) from None
            if one.id in found:
                raise FileProblem(f"the caution {one.id} in {path} stands twice; rename one.")
            found[one.id] = one
    return tuple(found.values())


def _files() -> tuple[str, ...]:
    found = blocks.names(FOLDER)
    if not found:
        raise FileProblem(f"there are no cautions in data/{FOLDER}.")
    return found


def read_files() -> tuple[Row, ...]:
    """Every row, read from the files. Raises FileProblem."""
    return parsed({path: blocks.read(path) for path in _files()})


# ---- the lines that they are kept as ----


def lines() -> Iterator[str]:
    """Each row as a line: its calculators, a tab, its values. Raises FileProblem."""
    for file in read_files():
        when = [[each.fact, each.rule, _plain(each.limit)] for each in file.when]
        values = [*file[:7], list(file.calculators), when, *file[9:]]
        yield f"{' '.join(file.calculators)}\t{blocks.json_of(values)}"


def _plain(limit: Limit) -> object:
    return list(limit) if isinstance(limit, tuple) else limit


@cache
def _row_at(place: int) -> Row:
    values = blocks.value(_kept()[place])
    values[7] = tuple(values[7])
    values[8] = tuple(
        [
            Condition(fact, rule, tuple(limit) if type(limit) is list else limit)
            for fact, rule, limit in values[8]
        ]
    )
    return Row._make(values)


@cache
def _kept() -> tuple[str, ...]:
    return tuple(blocks.group(blocks.CAUTIONS, (*_files(), AIR_LIMITS)).split("\n"))


@cache
def _spoken_to() -> dict[str, list[int]]:
    """The places of the lines that speak to each calculator by name, and to any."""
    found: dict[str, list[int]] = {}
    for place, line in enumerate(_kept()):
        for name in line[: line.index("\t")].split(" "):
            found.setdefault(name, []).append(place)
    return found


def of(calculator: str) -> tuple[Row, ...]:
    """The rows that speak to a calculator, in the order of the files. Raises FileProblem."""
    every = _spoken_to()
    return tuple(map(_row_at, sorted({*every.get(calculator, ()), *every.get(ANY, ())})))


@cache
def never_beside_stop() -> frozenset[str]:
    """The ids of the rows that say what still goes. Raises FileProblem."""
    last = ",true]"  # unless_stop is the last value of a row
    return frozenset(_row_at(at).id for at, line in enumerate(_kept()) if line.endswith(last))


@cache
def load() -> tuple[Row, ...]:
    """Every row, in the order of the files. Raises FileProblem."""
    return tuple(map(_row_at, range(len(_kept()))))


def forget() -> None:
    """Read the rows again: the data is other data now."""
    for one in (_row_at, _kept, _spoken_to, never_beside_stop, load):
        one.cache_clear()


# ---- rows judged against facts ----

_SALTY = 0.15  # of the whole: below it a drink is salted, and no brine (judgement)
RATINGS = ("rated_bar", "weakest_bar")
# shown with one decimal, shares below 1 % with two: never less than they are
BOUNDS = ("bound_bar", "co2_percent", "co2_at_once_percent", "n2o_percent", "oxygen_high_percent")
LEASTS = ("oxygen_percent", "oxygen_at_once_percent")  # with one decimal, never more than they are
VERDICTS = ("clear", "care", "stop")
Known = fact_names.Known


_NOTHING: frozenset[str] = frozenset()


def holds(condition: Condition, known: Known) -> bool:
    """Whether one condition holds; see `Condition.holds`."""
    return condition.holds(known)


def about(mixture: Mixture | None) -> Facts:
    """The facts that every mixture gives: allergens, tags, keeping classes, strength, acids."""
    return {} if mixture is None or not mixture.mass_kg else mixture.once(_about)


def _about(mixture: Mixture) -> Facts:
    return {
        "allergens": frozenset(name.partition(":")[0] for name in mixture.allergens),
        "allergen_list": ", ".join(sorted(name.replace(":", ": ") for name in mixture.allergens)),
        "tags": mixture.tags,
        "keeps": mixture.keeps,
        "abv_percent": 100 * mixture.abv,
        "ethanol_g": 1000 * mixture.ethanol_kg,
        "caffeine_mg": 1e6 * mixture.of("caffeine"),
        "fat_percent": 100 * mixture.fraction("fat", "milk_fat"),
        "essential_oil_percent": 100 * mixture.fraction("essential_oil"),
        "brine_percent": _brine_percent(mixture),
        **derived.of_acids(mixture),
        **derived.seen_at_once(mixture),
    }


def _brine_percent(mixture: Mixture) -> float:
    """Salt in salt and water, %; 0 where there is so little of it that it is no brine."""
    salt = mixture.of("salt")
    if salt <= _SALTY * mixture.mass_kg or mixture.fraction("water") < 0.01:  # dry salt
        return 0.0
    return 100 * salt / (salt + mixture.of("water"))


def page_line(page: str) -> str:
    """The sentence that stands on every page of a kind, whatever the case.

    >>> page_line("pantry")
    'The label of what was bought ranks before this list, allergens above all.'
    """
    row = blocks.table("page_lines.toml", page)
    if row is None:
        raise KeyError(page)
    return str(row["text"])


def rows() -> tuple[Row, ...]:
    """Every caution row, in the order of the files. Raises FileProblem."""
    return load()


@cache
def candidates(calculator: str) -> tuple[Row, ...]:
    """The rows that speak to a calculator. Raises FileProblem without its three standing lines."""
    found = of(calculator)
    stand = sorted(row.kind for row in found if row.standing)
    if stand != sorted(MUST_STAND):
        raise FileProblem(
            f"the cautions of {calculator} must have one standing line each on "
            f"{', '.join(MUST_STAND)}, and have {', '.join(stand) or 'none'}."
        )
    return found


_Watched = tuple[tuple[Row, frozenset[str]], ...]


@cache
def _watched(calculator: str) -> _Watched:
    """The rows that speak to a calculator, each with the facts without which it cannot hold."""
    return tuple(
        (row, frozenset([one.fact for one in row.when if one.rule != MISSING]))
        for row in candidates(calculator)
    )


@cache
def _stops(calculator: str) -> tuple[_Watched, frozenset[str]]:
    """The rows that can stop a calculator, as in `_watched`, and all facts that they are about."""
    rows = tuple(
        (row, needs) for row, needs in _watched(calculator) if row.severity == "stop" and row.when
    )
    return rows, frozenset().union(*(row.about for row, _ in rows))


def _undusted(fact: Fact) -> Fact:
    """A number to twelve digits: which side of a limit it is on is not for its last bit to say.

    >>> _undusted(49.99999999999999), _undusted("cream")
    (50.0, 'cream')
    """
    return float(f"{fact:.12g}") if isinstance(fact, float) else fact


def registered(known: Known, only: Collection[str] | None = None) -> Known:
    """The facts, numbers to twelve digits. Raises AssertionError on a name no row could be about.

    only: the facts to be judged by, where it is not all of them.

    A misspelt fact would trigger nothing, and the verdict would read clear. So would a figure that
    is not a number: BadInput.
    """
    if not known.keys() <= fact_names.NAMES:
        strange = known.keys() - fact_names.NAMES
        raise AssertionError(f"not in prepkit/facts.py: {', '.join(sorted(strange))}")
    found = {name: fact for name, fact in known.items() if only is None or name in only}
    for name, fact in found.items():
        if fact and isinstance(fact, float):  # what is nothing has no dust on it
            if math.isnan(fact):
                raise BadInput(
                    f"{name.replace('_', ' ')} cannot be worked out from these inputs, so nothing "
                    f"is judged and nothing is cleared. Check the numbers."
                )
            found[name] = _undusted(fact)
    return found


#: What a gas does to whoever breathes it, as a sentence of a line that always stands; "" where no
#: gas was told.
GAS_BREATH = {
    "n2o": "Breathed in, nitrous oxide numbs and harms nerves and blood",
    "co2": "Breathed in, carbon dioxide chokes, and it lies low",
    "n2": "Nitrogen takes the oxygen and gives no warning",
    "": "Nitrous oxide numbs and harms, carbon dioxide chokes, nitrogen takes the oxygen",
}


def told(inputs: object) -> Facts:
    """Facts of what the inputs of any calculator say, whether it was run or not."""
    gas = getattr(inputs, "gas", None)
    breath = GAS_BREATH.get(gas if isinstance(gas, str) else "", GAS_BREATH[""])
    return {"law_place": jurisdictions.told(inputs), "gas_breath": breath}


def _and(facts: Known, more: Known) -> Known:
    """The facts and some more, of the kind of mapping that they are."""
    found = copy(facts) if isinstance(facts, dict) else dict(facts)
    found.update(more)
    return found


def _with_law(facts: Known) -> Known:
    """The facts, with the rules of the place, and with what breathing does, where not entered."""
    law = jurisdictions.rules(facts.get("tags") or frozenset(), facts.get("law_place"))
    return _and(
        facts,
        {name: fact for name, fact in law.items() if name not in facts}
        | ({} if "gas_breath" in facts else {"gas_breath": GAS_BREATH[""]}),
    )


def _told(known: Known) -> set[str]:
    """The facts that are known; of what is not, or is an empty set, only "missing" can hold."""
    return {name for name, fact in known.items() if fact is not None and fact != _NOTHING}


def is_stop(calculator: str, facts: Known) -> bool:
    """Whether any caution says stop; the words of none are made."""
    rows, about = _stops(calculator)
    known = registered(facts, about)
    said = _told(known)
    return any(needs <= said and row.triggered(known) for row, needs in rows)


def worst(calculator: str, facts: Known) -> str:
    """The verdict of `judge`, without the words of its cautions: stop, care or clear."""
    known = registered(_with_law(facts))
    severity = "clear"
    for row in candidates(calculator):
        if row.severity in ("stop", "care") and row.triggered(known):
            if row.severity == "stop":
                return "stop"
            severity = "care"
    return severity


_caution = lru_cache(maxsize=4096)(Caution)  # the items of a menu are told the same again and again


def _decimals(bound: str, value: float) -> int:
    return 2 if bound.endswith("percent") and value < 1 else 1


def judge(
    calculator: str, facts: Known, besides: Collection[Caution] | None = None
) -> tuple[Caution, ...]:
    """The cautions that stand and those that the facts trigger, most serious first.

    Where the law of a place is cited, the fact `law_place` says which (see `told`).
    Cautions that are known already may be given; then only those that come to them are found, and
    only those as serious as their verdict.
    """
    rows = _watched(calculator)
    if besides is not None:
        serious = ("stop",) if verdict(besides) == "stop" else ("stop", "care")
        ids = {beside.id for beside in besides}
        rows = tuple(
            entry for entry in rows if entry[0].severity in serious and entry[0].id not in ids
        )
    facts = _with_law(facts)
    known = registered(facts)
    said = _told(known)
    # a text never shows more pressure than the plate allows
    strict = {rating: rounded_down(facts[rating]) for rating in RATINGS if facts.get(rating)}
    strict |= {bound: rounded_up(facts[bound], _decimals(bound, facts[bound]))
               for bound in BOUNDS if facts.get(bound)}  # fmt: skip
    strict |= {least: rounded_down(facts[least], 1) for least in LEASTS if facts.get(least)}
    shown = _and(facts, strict)
    found = ordered(
        _caution(
            row.id,
            row.kind,
            row.severity,
            row.text.format_map(shown),
            row.action.format_map(shown),
            str(known.get(row.source_from) or row.source),
            row.standing,
            row.more.format_map(shown),
        )
        for row, needs in rows
        if row.standing or (needs <= said and row.triggered(known))
    )
    return consistent(found)


def ordered(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Once each, most serious first, triggered before standing."""
    once = {(caution.id, caution.text): caution for caution in cautions}
    return tuple(
        sorted(
            once.values(),
            key=lambda c: (c.standing, SEVERITIES.index(c.severity), KINDS.index(c.kind)),
        )
    )


def consistent(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Without what says how it still goes, where the answer is no."""
    found = tuple(cautions)
    if verdict(found) != "stop":
        return found
    never = never_beside_stop()
    return tuple(caution for caution in found if caution.id not in never)


def verdict(cautions: Iterable[Caution]) -> str:
    """The worst of the cautions: stop, care or clear."""
    severities = {caution.severity for caution in cautions if not caution.standing}
    if "stop" in severities:
        return "stop"
    return "care" if "care" in severities else "clear"
