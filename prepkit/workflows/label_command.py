"""prepkit label: what stands on a bottle, of a calculation, a recipe, or each bottle and site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from prepkit.cli import (
    EXIT_STOP,
    JURISDICTION,
    Chosen,
    Command,
    FileName,
    OneOf,
    units_option,
)
from prepkit.errors import BadInput, named
from prepkit.jurisdictions import CHOICES
from prepkit.label import Label, NoLabel
from prepkit.plan.house_file import HouseStock, container_of, divide
from prepkit.render.plan_lists import sends
from prepkit.workflows import (
    OUT,
    RECIPE,
    SURE,
    PerCalculator,
    day,
    of_calculator,
    paper_option,
    put,
    words,
)

if TYPE_CHECKING:
    from prepkit.inputs import Json
    from prepkit.label import LabelSheet
    from prepkit.plan.plan import Plan
    from prepkit.sheet import PlanSheet


# ---- a label for each bottle that a batch is filled into, with its number ----


def of_each(
    labels: Sequence[Label | NoLabel],
    into: str,
    house: HouseStock,
    first: int,
    *,
    frozen: bool = False,
    charged: bool = False,
) -> list[Label | NoLabel]:
    """The labels of each batch divided over containers; what must not be made keeps its one.

    Raises BadInput for a container that the house has not named, for one whose headspace must be
    known and is not, and for a batch that has no volume.
    """
    kinds = [container_of(name, house.containers) for name in into.split(",") if name.strip()]
    found: list[Label | NoLabel] = []
    for label in labels:
        if isinstance(label, NoLabel):
            found.append(label)
            continue
        if label.ml is None:
            raise BadInput(f"{label.name} has no volume, so it cannot be divided.", "into")
        gas = label.charged or ("filled under gas" if charged else "")
        fills = divide(label.ml, kinds, frozen=frozen, charged=bool(gas)).fills
        last = first + len(fills) - 1
        for number, fill in enumerate(fills, first):
            share = fill.ml / label.ml
            of = f"{number} of {last}" if first == 1 else f"{number}"
            found.append(
                replace(
                    label,
                    charged=gas,
                    name=f"{label.name}, {fill.container.name} {of}",
                    g=label.g * share,
                    ml=fill.ml,
                    contents=tuple(part._replace(g=part.g * share) for part in label.contents),
                    bottle=f"{fill.container.name} {of}",
                )
            )
    return found


def of_sites(labels: Sequence[Label | NoLabel], sheet: PlanSheet) -> list[Label | NoLabel]:
    """The labels of a production kitchen: of each item one for each site that it is sent to.

    What stays in the kitchen, and what must not be made, keeps its one.
    """
    found: list[Label | NoLabel] = []
    wanted = sends(sheet)
    for label in labels:
        to = wanted.get(label.item, {})
        if isinstance(label, NoLabel) or not to:
            found.append(label)
            continue
        for site, g in to.items():
            share = g / label.g
            found.append(
                replace(
                    label,
                    name=f"{label.name}, {site}",
                    g=g,
                    ml=None if label.ml is None else label.ml * share,
                    contents=tuple(part._replace(g=part.g * share) for part in label.contents),
                )
            )
    return found


# ---- prepkit label ----

MOST_LABELS = 2000
_LABEL = "The text on a bottle: days, contents, allergens, strength, storage, hazards."


def _worded(name: str, metavar: str, text: str) -> click.Option:
    return click.Option([name], metavar=metavar, help=text)


_LABEL_MORE: tuple[click.Parameter, ...] = (
    _worded("--made", "DATE", "Day of making, such as 2026-11-25 [today]."),
    _worded(
        "--oldest",
        "DATE",
        "Day on which its oldest part was itself made or opened, if earlier; it is day 1.",
    ),
    click.Option(
        ["--jurisdiction"],
        metavar="WORD",
        type=OneOf(CHOICES),
        envvar=JURISDICTION,
        show_envvar=True,
        help="Whose list of allergens, such as UK or California [the recipe's house, else eu].",
    ),
    _worded("--once-opened", "DAYS", "Days it keeps once opened; it is your own rule."),
    _worded(
        "--per-sheet",
        "N",
        "Labels on one sheet of a common size [24 on a4 and letter, 8 on a5].",
    ),
    _worded(
        "--cells",
        "WORDS",
        'Your own sheet: "3 x 8 of 64.6 x 33.8 mm, margin 5.6 x 13.2 mm, gap 2.5 x 0 mm".',
    ),
    click.Option(
        ["--without"],
        type=click.Choice(["contents"]),
        multiple=True,
        help="Leave the contents off a printed label; allergens always stay.",
    ),
    _worded("--copies", "N", "How many of each label [of a single one a full sheet, else one]."),
    click.Option(
        ["--format", "form"],
        type=click.Choice(["text", "html"]),
        default="text",
        show_default=True,
        help="For the terminal, or to print.",
    ),
    _worded(
        "--into", "NAMES", "Containers of the house it is filled into: a label for each, numbered."
    ),
    click.Option(["--frozen"], is_flag=True, help="It is frozen in them: room is left for ice."),
    click.Option(["--charged"], is_flag=True, help="It is carbonated or under gas in them."),
    _worded("--first", "N", "Number of the first of them [1]."),
    click.Option(["--json", "as_json"], is_flag=True, help="Print the labels as JSON."),
    paper_option(),
    units_option("Units of the printed values [the house's, else metric]."),
    *OUT,
)


def _put(labels: Sequence[Label | NoLabel], said: Json, title: str) -> None:

    exact = said["as_json"] or said["form"] == "html"
    put(made_out(labels, said, title), said["out"], said["force"], exact)
    if any(label.verdict == "stop" for label in labels):
        raise SystemExit(EXIT_STOP)


def made_out(labels: Sequence[Label | NoLabel], said: Mapping[str, Chosen], title: str) -> str:
    """The labels as text or as sheets to print; `said` are the words of the options."""
    from prepkit import __version__
    from prepkit.render.html import PAPERS, Look, fingerprint
    from prepkit.render.label import label_sheet, label_text

    if said.get("as_json"):
        from prepkit.render.label import labels_json

        _alone(said)
        return labels_json(labels)
    cells = _cells(said)
    copies = 1
    if said["copies"] is not None:
        copies = _count(said["copies"], "copies", 1000)
    elif len(labels) == 1 and labels[0].verdict != "stop":
        copies = cells.count if said["form"] == "html" else 1
    if copies * len(labels) > MOST_LABELS:
        raise BadInput(
            f"{named('copies')} is {copies}, and of {len(labels)} labels that is "
            f"{copies * len(labels)}; at "
            f"most {MOST_LABELS} are made out at once.",
            "copies",
        )
    system = said["units"] or "metric"
    if said["form"] == "html":
        look = Look(labels[0].made, PAPERS[said["paper"]], system, title=title)
        every = [label for label in labels for _ in range(copies)]
        return label_sheet(every, look, cells, said.get("without") or ())
    traced = [f"prepkit {__version__}, {fingerprint(label.inputs)}" for label in labels]
    shown = [label_text(label, by, system) for label, by in zip(labels, traced, strict=True)]
    return "\n\n".join(shown) + "\n"


def _cells(said: Mapping[str, Chosen]) -> LabelSheet:
    """The sheet that was asked for, by its count or in words; BadInput for both."""
    from prepkit import label

    most = label.MOST_CELLS
    per_sheet, cells = said.get("per_sheet"), said.get("cells")
    if per_sheet is None and cells is None:
        return label.on(said["paper"])
    if cells is None:
        return label.on(said["paper"], _count(str(per_sheet), "per_sheet", most))
    if per_sheet is not None:
        raise BadInput(
            f"{named('per_sheet')} and {named('cells')} say the same; give one.", "cells"
        )
    return label.own(cells, said["paper"])


def _days(said: Mapping[str, Chosen]) -> tuple[date, date | None]:
    """The day of making, and that of its oldest part where it is said."""
    oldest = day(said["oldest"], named("oldest")) if said["oldest"] else None
    return day(said["made"], named("made")), oldest


def _opened(said: Mapping[str, object]) -> int | None:
    """The days once opened, a whole number from 0 to 365, or None."""
    from prepkit.label import MOST_OPENED_DAYS

    given = said.get("once_opened")
    return None if given is None else _count(str(given), "once_opened", MOST_OPENED_DAYS, 0)


def _alone(said: Mapping[str, object]) -> None:
    """Refuse what is about paper where the labels are printed as JSON."""
    for option, given in (
        ("--format", said["form"] == "html"),
        ("--per-sheet", said.get("per_sheet") is not None),
        ("--cells", said.get("cells") is not None),
        ("--without", bool(said.get("without"))),
        ("--copies", said["copies"] is not None),
    ):
        if given:
            raise BadInput(f"--json does not go with {option}; give one of them.")


def _count(said: str, field: str, most: int, least: int = 1) -> int:
    from prepkit.numbers import whole

    found = whole(said, least, most)
    if found is None:
        tidy = said.strip()[:40]
        raise BadInput(
            f'{named(field)} is "{tidy}"; write a whole number from {least} to {most}.', field
        )
    return found


def _law(said: str | None, other: str) -> str:
    from prepkit.jurisdictions import FOOD, allergen_list
    from prepkit.label import JURISDICTIONS

    if said is None:
        return allergen_list(other) or JURISDICTIONS[0]
    found = allergen_list(said.strip())
    if found is None:
        raise BadInput(
            f'{named("jurisdiction")} is "{said}"; no list of allergens is held for it; write '
            f"one of {', '.join(FOOD)}.",
            "jurisdiction",
        )
    return found


def _of_recipe(
    files: tuple[str, ...],
    item: tuple[str, ...],
    serves: str | None,
    measured: str | None,
    **said: Chosen,
) -> None:
    from prepkit.workflows.plan_command import PlanOptions, worked

    asked = PlanOptions(
        files[0], serves, said["house"], said["variant"], measured=measured, sure=said["sure"],
        more=files[1:],
    )  # fmt: skip
    found = worked(asked, files[0])
    _put(*of_plan(found.plan, item, said, found.said))


def of_plan(
    plan: Plan, items: Sequence[str], said: Mapping[str, Chosen], sheet: PlanSheet | None = None
) -> tuple[Sequence[Label | NoLabel], Json, str]:
    """The labels of a plan's items by the words of the options, those words, and their title."""
    from prepkit.plan.labels import of_items

    recipe = plan.recipe
    made, oldest = _days(said)
    law = _law(said["jurisdiction"], str(recipe.house.facts.get("jurisdiction", "")).lower())
    labels = of_items(plan, tuple(items), made, oldest, law, _opened(said))
    if not labels:
        raise BadInput(f"{recipe.file} makes nothing as it is planned, so there is no label.")
    if sheet is not None and "sites" in sheet:
        labels = of_sites(labels, sheet)
    found = _divided(labels, said, recipe.house.stock)
    units = said["units"] or recipe.house.units
    return found, {**said, "units": units}, f"Labels: {recipe.title}"


def _divided(
    labels: Sequence[Label | NoLabel], said: Mapping[str, Chosen], house: HouseStock
) -> Sequence[Label | NoLabel]:
    """A label for each container that is filled, where containers are named."""
    if not said.get("into"):
        if said.get("frozen") or said.get("charged") or said.get("first"):
            raise BadInput(
                f"{named('frozen')}, {named('charged')} and {named('first')} go with "
                f"{named('into')}."
            )
        return labels

    first = _count(said["first"], "first", 100_000) if said.get("first") else 1
    how = {key: bool(said.get(key)) for key in ("frozen", "charged")}
    return of_each(labels, said["into"], house, first, **how)


def _of_calculator(name: str, said: Json) -> None:
    from prepkit import registry
    from prepkit.plan.labels import of_answer
    from prepkit.registry import answer, validate

    made, oldest = _days(said)
    law = _law(said["jurisdiction"], "") if said["jurisdiction"] != "strictest" else "eu"
    title = words(said["name"], named("name")) or name
    inputs = validate(name, of_calculator(name, said), registry.house_pantry(said.get("house")))
    label = of_answer(title, inputs, answer(name, inputs), made, oldest, law, _opened(said))
    labels: Sequence[Label | NoLabel] = [label]
    if any(said.get(key) for key in ("into", "frozen", "charged", "first")):
        from prepkit.plan.house import house_in

        labels = _divided(labels, said, house_in(registry.folder(said.get("house"))).stock)
    _put(labels, said, f"Label: {title}")


_RECIPE = Command(
    "recipe",
    callback=_of_recipe,
    params=[
        click.Argument(["files"], metavar="FILE...", nargs=-1, required=True, type=FileName()),
        click.Option(
            ["--item"],
            metavar="ID",
            multiple=True,
            help="An item of the recipe; once for each [all that make something].",
        ),
        click.Option(
            ["--serves"],
            metavar="N",
            help="How many of each serve [the recipe's own]. By drink: Ledger=60, Soda=35.",
        ),
        click.Option(
            ["--measured"],
            metavar="FILE",
            type=FileName(),
            help="Readings of what was made: the label then says what was measured.",
        ),
        *RECIPE,
        SURE,
        *_LABEL_MORE,
    ],
    help=f"{_LABEL} From a recipe file; the word recipe itself may be left out.\n\n\b\nExample:\n"
    "  prepkit label recipes/FILE.toml --item flower-cordial --made 2026-11-25",
    short_help="From a recipe file: prepkit label FILE --item ID.",
)

label_command = PerCalculator(
    "label",
    _of_calculator,
    (
        click.Option(["--name"], metavar="WORDS", help="Name on the label [the calculator]."),
        *_LABEL_MORE,
    ),
    {"recipe": _RECIPE},
    "recipe",
    help=f"{_LABEL}\n\nThe last day is the latest that the rules allow, counted with the day of "
    "making as day 1; where they know none it says ask. A label that does not "
    "fit its cell is refused with what to shorten. Exit "
    "status 3 where something must not be made: that has no label.\n\n\b\nExamples:\n"
    "  prepkit label recipes/FILE.toml --item flower-cordial --made 2026-11-25 --jurisdiction us\n"
    '  prepkit label acid-solution --acid "citric acid" --strength "6 % w/w" --make "500 ml" \\\n'
    '    --name "acid drops" --per-sheet 8 --format html --out labels.html',
    short_help=_LABEL,
)
