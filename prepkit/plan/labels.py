"""What stands on a bottle: name, days, contents, allergens, readings, storage, hazards."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from prepkit import blocks, cautions, derived
from prepkit.errors import BadInput, named
from prepkit.ingredient import Ingredient
from prepkit.inputs import Inputs
from prepkit.label import JURISDICTIONS, Content, Label, NoLabel
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution
from prepkit.numbers import length_words, nearest
from prepkit.pantry import Pantry
from prepkit.plan import items, sheet
from prepkit.plan.filling import Made, Planned
from prepkit.plan.items import FOAMS
from prepkit.plan.sheet import one_value, readings_of
from prepkit.science.gases import GAS_NAMES
from prepkit.shared import keeping

if TYPE_CHECKING:
    from prepkit.sheet import ValueSheet

READINGS = ("abv", "refractometer", "acidity", "settled")
_STRAINED = "strained off"
_DUST = 1e-6
DAY_MIN = 1440


# allergens


def declared(allergen: str, jurisdiction: str) -> str | None:
    """The word to declare an allergen by, or None where the jurisdiction's list has it not.

    >>> declared("nuts:almond", "eu"), declared("nuts:almond", "us"), declared("celery", "us")
    ('almond', 'tree nuts (almond)', None)
    >>> declared("gluten:barley", "eu"), declared("gluten:barley", "us")
    ('barley', None)
    >>> declared("nuts:pine", "eu"), declared("nuts:pine", "anz"), declared("lupin", "canada")
    (None, 'tree nuts (pine)', None)
    """
    name, _, detail = allergen.partition(":")
    row = next(row for row in blocks.blocks("allergens.toml", "allergen") if row["id"] == name)
    its_name, narrowed = row.get(f"{jurisdiction}_name"), row.get(f"{jurisdiction}_details")
    if its_name is None or (detail and narrowed is not None and detail not in narrowed):
        return None
    if jurisdiction == "eu":
        return detail or str(its_name).partition(" (")[0]
    return f"{its_name} ({detail})" if detail and detail != its_name else str(its_name)


def _elsewhere(allergens: Iterable[str], jurisdiction: str) -> tuple[str, ...]:
    """Those that only another list has, in the words of the first that has them."""
    found = []
    for allergen in sorted(allergens):
        if declared(allergen, jurisdiction) is None:
            others = (declared(allergen, law) for law in JURISDICTIONS if law != jurisdiction)
            found.append(next((word for word in others if word is not None), None))
    return tuple(dict.fromkeys(word for word in found if word is not None))


def _words(allergens: Iterable[str], jurisdiction: str) -> tuple[str, ...]:
    found = (declared(allergen, jurisdiction) for allergen in sorted(allergens))
    return tuple(dict.fromkeys(word for word in found if word is not None))


# contents


@dataclass(frozen=True)
class _Line:
    """An ingredient that was weighed, with what the pantry knows of it."""

    name: str
    g: float
    ingredient: Ingredient | None
    strained: bool

    @property
    def allergens(self) -> frozenset[str]:
        return self.ingredient.mixture.allergens if self.ingredient else frozenset()

    def scaled(self, factor: float) -> _Line:
        return _Line(self.name, self.g * factor, self.ingredient, self.strained)


def _summed(lines: Iterable[_Line]) -> tuple[_Line, ...]:
    """Each ingredient once, the heaviest first, as it was weighed."""
    found: dict[tuple[str, bool], _Line] = {}
    for line in lines:
        key = (line.name, line.strained)
        before = found.get(key)
        g = line.g + (before.g if before is not None else 0.0)
        found[key] = _Line(line.name, g, line.ingredient, line.strained)
    return tuple(sorted(found.values(), key=lambda one: (-one.g, one.name)))


def _of_plan(plan: Planned) -> dict[str, tuple[_Line, ...]]:
    """The ingredients of the pantry in each item that is made, through all items that it uses."""
    found: dict[str, tuple[_Line, ...]] = {}
    made_kg: dict[str, float] = {}
    for made in plan.made:  # each comes after those that it uses
        if made.product is None:
            continue
        lines: list[_Line] = []
        for weigh in made.weigh:
            strained = _STRAINED in weigh.how
            if weigh.name in found:
                share = weigh.mass_g / 1000 / made_kg[weigh.name]
                lines += [line.scaled(share) for line in found[weigh.name]]
            else:
                lines.append(
                    _Line(weigh.name, weigh.mass_g, _ingredient(plan, weigh.name), strained)
                )
        found[made.item.id] = _summed(lines)
        made_kg[made.item.id] = made.product.mass_kg
    return found


def _ingredient(plan: Planned, name: str) -> Ingredient | None:
    known = plan.prepared.pantry.get(name)
    return known if known is not None else _look_up(plan.recipe.house.pantry, name)


def _look_up(pantry: Pantry, name: str) -> Ingredient | None:
    try:
        return pantry.ingredient(name)
    except BadInput:  # a name of the calculator's own, such as "your own juice"
        return None


def _of_answer(inputs: Inputs, answer: Answer, product: Mixture) -> tuple[_Line, ...]:
    pantry = Pantry()
    known = {part.name: part.ingredient for part in items.parts(inputs)}
    weighed = items.weigh_outs(inputs, answer)
    lines = [
        _Line(weigh.name, weigh.mass_g, known.get(weigh.name) or _look_up(pantry, weigh.name),
              _STRAINED in weigh.how)
        for weigh in weighed
    ]  # fmt: skip
    short = 1000 * product.mass_kg - math.fsum(line.g for line in lines)
    if short > _DUST * 1000 * product.mass_kg:  # taken without being listed
        water = 1000 * product.of("water") - math.fsum(
            line.g * line.ingredient.mixture.fraction("water") for line in lines if line.ingredient
        )
        name = "water" if abs(water - short) <= 0.01 * short else "what the calculation adds"
        lines.append(_Line(name, short, _look_up(pantry, name), strained=False))
    return _summed(lines)


# hazards


def _hazards(answer: Answer, found: Sequence[Caution]) -> tuple[tuple[str, str], ...]:
    """What belongs on the bottle: the calculator's own label lines, then the rows of the list."""
    by_id = {caution.id: caution for caution in found}
    lines = [
        (by_id[row["caution"]].kind, _line(by_id[row["caution"]], row["do"]))
        for row in _lines_of(by_id)
    ]
    said = {words for _, words in lines}
    own = [
        (kind, words)
        for kind, words in _own_lines(answer)
        if kind in cautions.KINDS and not any(words in text for text in said)
    ]
    return (*own, *lines)


def _line(caution: Caution, also_do: bool) -> str:
    return f"{caution.text} {caution.advice}" if also_do else caution.text


def _short(found: Sequence[Caution], hazards: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """The hazards in the words of a printed label: what has no short words stands in full."""
    by_id = {caution.id: caution for caution in found}
    rows = _lines_of(by_id)
    told = {_line(by_id[row["caution"]], row["do"]) for row in rows}
    rest = [words for _, words in hazards if not any(words in text for text in told)]
    return tuple(dict.fromkeys([*(str(row["short"]) for row in rows), *rest]))


def _sign(found: Iterable[Caution]) -> str:
    rows = _lines_of({caution.id for caution in found})
    return next((str(row["sign"]) for row in rows if row.get("sign")), "")


def _lines_of(ids: Container[str]) -> list[dict[str, Any]]:  # Any: values of a TOML file
    """The rows of the file for cautions that were found, in its order."""
    return [row for row in blocks.blocks("label_lines.toml", "line") if row["caution"] in ids]


def _own_lines(answer: Answer) -> list[tuple[str, str]]:
    """The rows of a table for the bottle, where the calculator makes one."""
    return [
        (str(row[0]), str(row[1]))
        for table in answer.tables
        if table.name == "label"
        for row in table.rows
        if row[1]
    ]


# labels


@dataclass(frozen=True)
class _Bottled:
    """What a label is made from, whichever way it came."""

    answer: Answer
    product: Mixture
    holds: Mixture  # of which one bottle or vessel holds so much
    found: Sequence[Caution]
    lines: Sequence[_Line]
    charged: str
    readings: Sequence[ValueSheet]


def of_items(
    plan: Planned,
    ids: Sequence[str],
    made: date,
    oldest: date | None,
    jurisdiction: str,
    opened_days: int | None = None,
) -> list[Label | NoLabel]:
    """The labels of items of a plan, all that make something where none is named.

    Raises BadInput for an item that has no label.
    """
    by_id = {item.item.id: item for item in plan.made}
    for id_ in ids:
        _has_label(plan, by_id, id_)
    lines = _of_plan(plan)
    said = {item["id"]: item for item in sheet.said(plan)["items"]}
    found: list[Label | NoLabel] = []
    for id_ in ids or [item.item.id for item in plan.made if item.product is not None]:
        one = by_id[id_]
        if not one.go or one.product is None:
            held = [f"It is held: not before {', '.join(one.held_by)} is no longer a stop."]
            reasons = _reasons(one.found) or (tuple(held) if one.held_by else ())
            found.append(NoLabel(one.item.called, one.item.calculator, made, reasons,
                                 one.answer.inputs, item=id_))  # fmt: skip
            continue
        filling = one.filling
        charged = _charged(filling.gas, filling.chargers_each) if filling is not None else ""
        holds = filling.each if filling is not None else one.product
        readings = [*said[id_]["readings"], *_settled(said[id_]["values"])]
        bottled = _Bottled(one.answer, one.product, holds, one.found, lines[id_], charged, readings)
        label = _label(bottled, one.item.called, made, oldest, jurisdiction)
        sooner = _sooner(label.use_by, one, made)
        found.append(replace(label, use_by=sooner, item=id_, opened_days=opened_days))
    return found


def last_day(item: Made, made: date, oldest: date | None = None) -> keeping.UseBy:
    """The last day of an item by the rules, or sooner by its recipe; None in it where none knows.

    `oldest` is the day of its oldest part. Raises BadInput for a check, which makes nothing.
    """
    if item.product is None:
        raise BadInput(f"{item.item.id} is a check and makes nothing that could keep.", "item")
    return _sooner(keeping.use_by(item.product, made, oldest), item, made)


def _sooner(rule: keeping.UseBy, item: Made, made: date) -> keeping.UseBy:
    """The last day, or that of the recipe where it wants the item used sooner after its last step.

    Under a day it is the day of making.
    """
    within = item.item.steps[-1].within if item.item.steps else None
    if within is None:
        return rule
    days = max(1, math.floor(within / DAY_MIN))
    last = made + timedelta(days=days - 1)
    if rule.last is not None and rule.last < last:
        return rule
    why = f"the recipe: use it within {length_words(within)} of making"
    return rule.replaced(
        last=last, days=days, first=made, first_by="the day of making", rule="recipe", why=why,
        source="DEFINITION", exempt=False,
    )  # fmt: skip


def of_answer(
    name: str,
    inputs: Inputs,
    answer: Answer,
    made: date,
    oldest: date | None,
    jurisdiction: str,
    opened_days: int | None = None,
) -> Label | NoLabel:
    """The label of what one calculation makes; BadInput where it makes nothing."""
    if answer.verdict == "stop":
        reasons = _reasons(answer.cautions)
        return NoLabel(name, answer.calculator, made, reasons, answer.inputs)
    product = answer.product
    if product is None or not product.mass_kg > 0:
        raise BadInput(
            f"{answer.calculator} makes nothing here that could be labelled; label what is bottled."
        )
    charged = ""
    if answer.calculator == "siphon":
        charged = _charged(answer.inputs.get("gas"), answer.inputs.get("chargers"))
    lines = _of_answer(inputs, answer, product)
    readings, _ = readings_of(answer, product)
    if "settled" in answer.values:
        of = answer.values["settled"]
        readings.append(one_value("settled", of.label, of.unit, of.digits, of.value, of.plus_minus,
                                  of.non_linear))  # fmt: skip
    bottled = _Bottled(answer, product, product, answer.cautions, lines, charged, readings)
    return replace(_label(bottled, name, made, oldest, jurisdiction), opened_days=opened_days)


def _settled(values: Sequence[ValueSheet]) -> list[ValueSheet]:
    return [value for value in values if value["name"] == "settled"]


def _has_label(plan: Planned, by_id: Mapping[str, Made], id_: str) -> None:
    if id_ not in plan.recipe.items:
        hint = nearest(id_, plan.recipe.items)
        raise BadInput(f'{named("item")} is "{id_}"; the recipe has no such item: {hint}.', "item")
    if id_ not in by_id:
        raise BadInput(
            f"{named('item')} {id_} is not made, because nothing uses it; label another item.",
            "item",
        )
    if by_id[id_].product is None and by_id[id_].verdict != "stop":
        raise BadInput(f"{named('item')} {id_} is a check and makes nothing to label.", "item")


def _reasons(found: Sequence[Caution]) -> tuple[str, ...]:
    return tuple(
        f"{caution.text} Do this: {caution.advice}"
        for caution in found
        if caution.severity == "stop" and not caution.standing
    )


def _charged(gas: object, chargers: object) -> str:
    how_many = f"{chargers} charger{'s' if chargers != 1 else ''}" if chargers else "charged"
    return f"{how_many} of {GAS_NAMES.get(str(gas), gas)}" if gas else how_many


def _label(one: _Bottled, name: str, made: date, oldest: date | None, jurisdiction: str) -> Label:
    held = one.product.allergens.union(*(line.allergens for line in one.lines))
    contents = tuple(
        Content(line.name, line.g, _words(line.allergens, jurisdiction), line.strained)
        for line in one.lines
    )
    at_contents = {word for content in contents for word in content.allergens}
    contains = _words(held, jurisdiction)
    own = dict(_own_lines(one.answer))
    calculator = one.answer.calculator
    hazards = _hazards(one.answer, one.found)
    return Label(
        name,
        calculator,
        made,
        keeping.use_by(one.product, made, oldest),
        1000 * one.holds.mass_kg,
        None if calculator in FOAMS else derived.volume_ml(one.holds),
        contents,
        contains,
        tuple(word for word in contains if word not in at_contents),
        _elsewhere(held, jurisdiction),
        jurisdiction,
        _readings(one),
        one.charged,
        own.get("contents", ""),
        hazards,
        cautions.verdict(one.found),
        one.answer.inputs,
        shorts=_short(one.found, hazards),
        sign=_sign(one.found),
    )


def _readings(one: _Bottled) -> tuple[ValueSheet, ...]:
    """Strength, Brix reading and acidity, and of a charged vessel the settled pressure."""
    by_name = {reading["name"]: reading for reading in one.readings}
    if not one.charged:
        by_name.pop("settled", None)
    return tuple(by_name[name] for name in READINGS if name in by_name)
