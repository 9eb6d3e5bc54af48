"""Cautions: rows of data judged against the facts of a result.

A row (data/cautions/*.toml) either stands for named calculators, or is triggered when all of its
conditions hold. A condition names a fact, one of the small rules below, and its limit.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any, NamedTuple

from prepkit import acid_facts, blocks
from prepkit.mixture import Mixture
from prepkit.model import Caution

KINDS = (
    "pressure", "cryogen", "inhalation", "acid", "heat", "fire", "alcohol", "allergen", "keeping",
    "botanical", "equipment",
)  # fmt: skip
SEVERITIES = ("stop", "care", "note")
MUST_STAND = ("pressure", "cryogen", "inhalation")
VERDICTS = ("clear", "care", "stop")
ANY = "any"


def _is(fact: Any, limit: Any) -> bool:
    return fact in limit if isinstance(limit, list) else bool(fact == limit)


def _has(fact: Any, limit: Any) -> bool:
    wanted = limit if isinstance(limit, list) else [limit]
    return any(one in fact for one in wanted)


RULES: dict[str, Callable[[Any, Any], bool]] = {
    "above": lambda fact, limit: fact > limit,
    "at_least": lambda fact, limit: fact >= limit,
    "below": lambda fact, limit: fact < limit,
    "at_most": lambda fact, limit: fact <= limit,
    "is": _is,  # equal to the limit, or one of a list
    "has": _has,  # a set that holds the limit, or any of a list
}


def holds(condition: Mapping[str, Any], facts: Mapping[str, Any]) -> bool:
    """Whether one condition holds; a fact that is absent or unknown (None) triggers nothing.

    The rule "missing" is the exception: it holds where the fact is listed and unknown.

    >>> holds({"fact": "rated_bar", "rule": "missing"}, {"rated_bar": None})
    True
    >>> holds({"fact": "peak_bar", "rule": "above", "limit": 17}, {"peak_bar": 17.0})
    False
    """
    name, rule = condition["fact"], condition["rule"]
    fact = facts.get(name)
    if rule == "missing":
        return name in facts and fact is None
    return fact is not None and RULES[rule](fact, condition["limit"])


def about(mixture: Mixture | None) -> dict[str, Any]:
    """The facts that every mixture gives: allergens, tags, keeping classes, strength, acids."""
    if mixture is None or not mixture.mass_kg:
        return {}
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
        **acid_facts.of(mixture),
    }


def page_line(page: str) -> str:
    """The sentence that stands on every page of a kind, whatever the case.

    >>> page_line("pantry")
    'The label of what was bought ranks before this list, allergens above all.'
    """
    row = blocks.table("page_lines.toml", page)
    if row is None:
        raise KeyError(page)
    return str(row["text"])


def rows() -> tuple[dict[str, Any], ...]:
    """Every caution row."""
    return tuple(row for path in blocks.names("cautions") for row in blocks.blocks(path, "caution"))


_WHEN = re.compile(r"^when = \[.*?\]$", re.MULTILINE | re.DOTALL)
_FACT = re.compile(r'\bfact = "(\w+)"')


@cache
def _conditions(text: str) -> tuple[Mapping[str, Any], ...]:
    found = _WHEN.search(text)
    return tuple(blocks.parsed(found[0])["when"]) if found else ()


class Candidate(NamedTuple):
    """A row that may concern a calculator, by the facts that its conditions name (None: it stands).

    Nothing is parsed at once: a row about facts that are not there costs a look for their names.
    """

    about: frozenset[str] | None
    text: str

    @property
    def when(self) -> tuple[Mapping[str, Any], ...]:
        """Its conditions; none where it stands."""
        return _conditions(self.text)

    def triggered(self, facts: Mapping[str, Any]) -> bool:
        """Whether all its conditions hold."""
        return (
            self.about is not None
            and self.about <= facts.keys()
            and all(holds(one, facts) for one in self.when)
        )

    @property
    def row(self) -> dict[str, Any]:
        """The whole row."""
        return blocks.parsed(self.text)


@cache
def candidates(calculator: str) -> tuple[Candidate, ...]:
    """The rows that name a calculator, or any."""
    found: list[Candidate] = []
    for path in blocks.names("cautions"):
        for text in blocks.texts(path, "caution", (f'"{calculator}"', f'"{ANY}"')):
            when = _WHEN.search(text)
            found.append(Candidate(frozenset(_FACT.findall(when[0])) if when else None, text))
    return tuple(found)


def _undusted(fact: Any) -> Any:
    """A number to twelve digits: which side of a limit it is on is not for its last bit to say.

    >>> _undusted(49.99999999999999), _undusted("cream")
    (50.0, 'cream')
    """
    return float(f"{fact:.12g}") if isinstance(fact, float) else fact


def judge(calculator: str, facts: Mapping[str, Any]) -> tuple[Caution, ...]:
    """The cautions that stand and those that the facts trigger, most serious first."""
    found: list[Caution] = []
    known = {name: _undusted(fact) for name, fact in facts.items()}
    for candidate in candidates(calculator):
        standing = candidate.about is None
        if not standing and not candidate.triggered(known):
            continue
        row = candidate.row
        if not {calculator, ANY} & {*row.get("standing", ()), *row.get("calculators", ())}:
            continue
        found.append(
            Caution(
                row["id"],
                row["kind"],
                row["severity"],
                row["text"].format_map(facts),
                row["action"].format_map(facts),
                row["source"],
                standing,
            )
        )
    return ordered(found)


def ordered(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """Once each, most serious first, triggered before standing."""
    once = {(caution.id, caution.text): caution for caution in cautions}
    return tuple(
        sorted(
            once.values(),
            key=lambda c: (c.standing, SEVERITIES.index(c.severity), KINDS.index(c.kind)),
        )
    )


def verdict(cautions: Iterable[Caution]) -> str:
    """The worst of the cautions: stop, care or clear."""
    severities = {caution.severity for caution in cautions if not caution.standing}
    if "stop" in severities:
        return "stop"
    return "care" if "care" in severities else "clear"
