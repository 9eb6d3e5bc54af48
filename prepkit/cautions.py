"""Cautions: rows of data judged against the facts of a result.

A row (data/cautions/*.toml, `caution_rows`) either stands for named calculators, or is triggered
when all of its conditions hold. A condition names a fact (`facts`), a small rule, and its limit.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from copy import copy
from functools import cache

from prepkit import blocks, caution_rows, derived, jurisdictions
from prepkit import facts as fact_names
from prepkit.caution_rows import Condition, Row
from prepkit.errors import BadInput, FileProblem
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Caution
from prepkit.units import rounded_down, rounded_up

KINDS = caution_rows.KINDS
SEVERITIES = caution_rows.SEVERITIES
MUST_STAND = caution_rows.MUST_STAND
RULES = caution_rows.RULES
ANY = caution_rows.ANY
_SALTY = 0.15  # of the whole: below it a drink is salted, and no brine (judgement)
RATINGS = ("rated_bar", "weakest_bar")
BOUNDS = ("bound_bar",)  # shown with one decimal, never less than they are
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
    return caution_rows.load()


@cache
def candidates(calculator: str) -> tuple[Row, ...]:
    """The rows that speak to a calculator. Raises FileProblem without its three standing lines."""
    found = caution_rows.of(calculator)
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
        (row, frozenset([one.fact for one in row.when if one.rule != caution_rows.MISSING]))
        for row in candidates(calculator)
    )


@cache
def _stops(calculator: str) -> tuple[_Watched, frozenset[str]]:
    """The rows that can stop a calculator, as in `_watched`, and all facts that they are about."""
    rows = tuple(
        (row, needs) for row, needs in _watched(calculator) if row.severity == "stop" and row.when
    )
    return rows, frozenset().union(*(row.about for row, _ in rows))


def _undusted(fact: caution_rows.Fact) -> caution_rows.Fact:
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


def judge(
    calculator: str, facts: Known, besides: Collection[Caution] | None = None
) -> tuple[Caution, ...]:
    """The cautions that stand and those that the facts trigger, most serious first.

    Where the law of a place is cited, the fact `law_place` says which (see `told`).
    besides: what is known already; then only what comes to it and is as serious as its verdict.
    """
    rows = _watched(calculator)
    if besides is not None:
        serious = ("stop",) if verdict(besides) == "stop" else ("stop", "care")
        ids = {one.id for one in besides}
        rows = tuple(one for one in rows if one[0].severity in serious and one[0].id not in ids)
    facts = _with_law(facts)
    known = registered(facts)
    said = _told(known)
    # a text never shows more pressure than the plate allows
    strict = {one: rounded_down(facts[one]) for one in RATINGS if facts.get(one)}
    strict |= {one: rounded_up(facts[one], 1) for one in BOUNDS if facts.get(one)}
    shown = _and(facts, strict)
    found = ordered(
        Caution(
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
    never = caution_rows.never_beside_stop()
    return tuple(one for one in found if one.id not in never)


def verdict(cautions: Iterable[Caution]) -> str:
    """The worst of the cautions: stop, care or clear."""
    severities = {caution.severity for caution in cautions if not caution.standing}
    if "stop" in severities:
        return "stop"
    return "care" if "care" in severities else "clear"
