"""How the keep calculator shows its decision, dates, limits of growth and working."""

from __future__ import annotations

from typing import NamedTuple

from prepkit import jurisdictions
from prepkit.calculators.keep.inputs import Inputs
from prepkit.model import Column, Step, Table
from prepkit.science import keeping
from prepkit.shared import keeping_rules
from prepkit.shared.keeping_rules import Days, Judged


class Figures(NamedTuple):
    """What is known of the food; computed values apart from measured ones."""

    ph: float | None
    ph_error: float
    water_activity: float | None
    water_activity_error: float
    abv: float | None
    sugar_g_l: float | None
    sucrose: bool


_LETTERS = {
    "N": "N: on the numbers measured it asks for nothing more",
    "PA": "PA: product assessment needed",
    None: "not decided",
    "exempt": "not asked: no food that the tables are about",
}


def _places(inputs: Inputs) -> tuple[str, ...]:
    """The place that was asked for and what it lies in; all where none was."""
    key = jurisdictions.of_choice(inputs.jurisdiction)
    return ("US", "EU") if key is None else jurisdictions.chain(key)


def _american(inputs: Inputs) -> bool:
    return "US" in _places(inputs)


def _european(inputs: Inputs) -> bool:
    return not {"EU", "UK"}.isdisjoint(_places(inputs))


def decision(inputs: Inputs, judged: Judged, figures: Figures) -> Table:
    """The result in words, with its reasons and what other rules say."""
    packaged = inputs.treatment == keeping_rules.PACKAGED
    rows: list[tuple[str, str]] = [
        ("result", judged.result),
        ("because", "; ".join(judged.reasons)),
        ("table", "A: heated, then packaged" if packaged else "B: not heated, or not packaged"),
        (
            "the table on measured numbers",
            _LETTERS["exempt" if judged.result == keeping_rules.EXEMPT else judged.table],
        ),
    ]
    ph = keeping_rules.for_tables(inputs.ph, figures.abv)
    aw = inputs.water_activity
    if _american(inputs) and ph is not None:
        name = keeping.acidified_food_class(ph, 1.0 if aw is None else aw, inputs.acidified)
        rows.append(("if packed to stand unrefrigerated, United States", f"{name} food"))
    if _european(inputs) and ph is not None:
        listeria = keeping_rules.listeria_words(ph, 1.0 if aw is None else aw)
        rows.append(("listeria by the European criteria (memory)", listeria))
    if figures.abv is not None:
        rows.append(("alcohol", keeping_rules.alcohol_words(figures.abv)))
    return Table(
        "result", "verdict of the food codes", (Column("what"), Column("answer")), tuple(rows)
    )


def dates(inputs: Inputs, days: Days, judged: Judged) -> Table:
    """Day 1 and the last day, and how binding it is."""
    rule = "the US rule"
    if judged.result == keeping_rules.COLD:
        rule = "no rule applies; a cautious date"
    elif not _american(inputs):
        rule = "the US rule; here the maker sets and proves the days"
    rows = (
        ("day 1", days.first.isoformat(), days.first_by),
        ("last day", days.last.isoformat(), f"{days.last_by} ({rule})"),
    )
    columns = (Column("what"), Column("date"), Column("set by"))
    return Table("dates", "dates, at 5 °C or colder", columns, rows)


def growth(figures: Figures) -> Table:
    """Where growth stops, beside this food's own water activity."""
    own = figures.water_activity
    rows = tuple(
        (limit.organism, limit.water_activity[0], limit.water_activity[1], own, limit.note)
        for limit in keeping.GROWTH_LIMITS
    )
    columns = (Column("growth of"), Column("from", "", 2),
               Column("to", "", 2), Column("this food", "", 3), Column("note"))  # fmt: skip
    return Table("growth", "information only: the water activity where growth stops", columns, rows)


def working(
    inputs: Inputs, judged: Judged, figures: Figures, days: Days | None, delle: float | None
) -> list[Step]:
    """The steps with their sources."""

    def said(value: float | None, unknown: str) -> str:
        return unknown if value is None else f"{value:g} measured"

    steps = [
        Step(
            "table",
            f"pH {said(inputs.ph, 'not measured: taken at its worst')}, water activity "
            f"{said(inputs.water_activity, 'not measured: taken as 1')}: "
            f"{judged.table or 'not decided'}",
            source="FOOD-CODE-TCS",
        )
    ]
    for name, measured, value, error in (
        ("pH", inputs.ph, figures.ph, figures.ph_error),
        ("water activity", inputs.water_activity, figures.water_activity,
         figures.water_activity_error),
    ):  # fmt: skip
        if measured is None and value is not None:
            source = "PREPKIT-ACID" if name == "pH" else "CHIRIFE-1980"
            how = f"computed from the parts, +/- {error:.2g}; clears nothing"
            steps.append(Step(name, how, value, "", source))
    if days is not None:
        oil = "GARLIC-OIL-ADVICE"
        source = oil if days.allowed == keeping_rules.OIL_DAYS else "FOOD-CODE-TIME"
        said_days = f"day 1 is {days.first} ({days.first_by}), the last day {days.last} "
        steps.append(Step("days", f"{said_days}({days.last_by})", source=source))
    if delle is not None:
        steps.append(
            Step("Delle units", f"{figures.sugar_g_l:.0f} / 10 + 4.5 x {figures.abv:.1f}", delle,
                 "", "KUNKEE-AMERINE-1968")
        )  # fmt: skip
    if figures.sucrose and figures.ph is not None:
        steps.append(Step("splitting of sucrose", "first order in acid, shown from once to twice "
                          "the rate", source="GUGGENHEIM-WISEMAN-1950"))  # fmt: skip
    return steps
