"""prepkit plan and routine: a recipe file and a number of serves to a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import click

from prepkit.cli import EXIT_STOP, Chosen, Command, FileName, OneOf, common_options, house_option
from prepkit.errors import BadInput, named
from prepkit.numbers import Moment
from prepkit.plan.files import STDIN, STDIN_NAME, read_stdin, whole_serves
from prepkit.plan.plan import Plan, load_menu, load_recipe, plan_of, read_recipe
from prepkit.plan.prepare import Prepared, chance_said, prepare
from prepkit.plan.recipe_types import Recipe, counts_said, in_proportion
from prepkit.plan.timetable import refuse_late, timetable
from prepkit.record import Record
from prepkit.workflows import OUT, RECIPE

if TYPE_CHECKING:
    from prepkit.plan.measured import Unread
    from prepkit.plan.recipe_file import Readings
    from prepkit.plan.sites import Ready
    from prepkit.sheet import AccountSheet, AllowedSheet, PlanSheet, RoutineSheet


# ---- what the command line asks of a plan, and the text and exit status that answer it ----

CLEAR, BAD, STOP = 0, 2, 3
MOST_SCALES = 4


class PlanOptions(Record):
    """The words of one command line; None and False where they were not given."""

    file: str | None = None
    serves: str | None = None
    house: str | None = None
    variant: str | None = None
    service: str | None = None
    now: str | None = None
    have: tuple[str, ...] = ()
    compare: str | None = None
    csv: bool = False
    batch: bool = False
    measured: str | None = None
    check: bool = False
    schema: str | None = None
    new: str | None = None
    as_json: bool = False
    working: bool = False
    units: str = "metric"
    units_chosen: bool = True  # by the command line, not by default
    quiet: bool = False
    full: bool = False
    sure: str | None = None
    more: tuple[str, ...] = ()  # recipe files beside the first, which make a menu with it
    stock: str | None = None  # a ledger; "" is that of the house file
    take_stock: bool = False
    fill: tuple[str, ...] = ()  # containers or amounts of items that are made


def answer(asked: PlanOptions) -> tuple[str, int]:
    """The text and the exit status."""
    if asked.schema is not None:
        from prepkit.plan.check import SCHEMAS

        return _json(SCHEMAS[asked.schema]()), CLEAR
    if asked.new is not None:
        if asked.file is not None:
            raise BadInput(
                f"{named('new')} writes a recipe file and reads none; leave the other file out."
            )
        from prepkit.plan.check import new_recipe

        return new_recipe(asked.new), CLEAR
    if asked.file is None:
        raise BadInput("plan needs a recipe file, such as prepkit plan recipes/FILE.toml.", "file")
    if asked.check:
        return _check_all(asked, (asked.file, *asked.more))
    return _plan(asked, asked.file)


def _json(thing: object) -> str:
    import json  # not needed for a printed sheet

    return json.dumps(thing, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _check_all(asked: PlanOptions, files: tuple[str, ...]) -> tuple[str, int]:
    """Each file checked on its own; several as JSON are a list."""
    if len(files) == 1:
        return _check(asked, files[0])
    if asked.as_json:
        raise BadInput(f"{named('json')} with {named('check')} takes one file; check each alone.")
    found = [_check(asked, file) for file in files]
    return "".join(text for text, _ in found), max(status for _, status in found)


def _check(asked: PlanOptions, file: str) -> tuple[str, int]:
    from prepkit.plan.check import check, check_text

    if file == STDIN:
        found = check_text(read_stdin(), STDIN_NAME, house=asked.house)
    else:
        found = check(file, house=asked.house)
    text = _json(found.to_dict()) if asked.as_json else found.words()
    return text, BAD if found.problems else CLEAR


def _service(asked: PlanOptions, plan: Plan) -> Moment | None:
    """The time of service, which must be within reach of now where that is said."""
    if asked.service is None:
        if asked.now is not None:
            raise BadInput(
                f"{named('now')} needs {named('service')}, the time it must be ready.",
                "service",
            )
        return None
    service = Moment.read(asked.service, named("service"))
    if asked.now is not None:
        table = timetable(plan, service)
        if table is None:
            raise BadInput(
                f"{plan.recipe.file} has no steps with times, so nothing can be late; write "
                f"[[items.my-base.step]] with text and takes.",
                "now",
            )
        refuse_late(table, service, Moment.read(asked.now, named("now")))
    return service


def _for_sure(asked: PlanOptions, prepared: Prepared) -> Prepared:
    """The same for the chance that was asked for, else that of the house."""
    return prepared.for_sure(chance_said(asked.sure, house=prepared.recipe.house.sure))


class Worked(Record):
    """What the words of one command line come to, before it is printed."""

    plan: Plan  # where there are readings, planned again from them
    first: Plan  # as it was before them
    said: PlanSheet
    account: AccountSheet | None  # of the readings
    verdict: str
    units: str
    ready: Ready | None = None  # of a production kitchen: each site and what it is sent


def worked(asked: PlanOptions, file: str) -> Worked:
    """Read a recipe, and readings where a file of them is named, and plan it as asked."""
    _one_way(asked)
    prepared, units = _prepared(asked, file)
    prepared = _for_sure(asked, prepared)
    if prepared.recipe.sites:
        return _for_sites(asked, prepared, units)
    counts = counts_said(asked.serves, prepared.recipe)
    limits: list[AllowedSheet] | None = None
    if asked.have:
        from prepkit.plan.plan import serves_from

        most, allowed = serves_from(prepared, asked.have)
        counts = in_proportion(prepared.recipe.counts(), most)
        limits = [one.to_dict() for one in allowed]
    shelf = None
    if asked.fill:
        from prepkit.plan.plan import to_fill

        prepared, _ = to_fill(prepared, asked.fill)
        if asked.serves is None:
            counts = dict.fromkeys(counts, 0)
    if asked.stock is not None:
        from prepkit.plan.sites import shelf_of

        shelf = shelf_of(asked, prepared)
        prepared = shelf.prepared
    plan = plan_of(prepared, counts)
    if asked.measured is not None:
        asked, read = _readings(asked, prepared.recipe)
        return _from_readings(asked, plan, limits, units, read)
    said = _sheet(asked, plan, limits)
    if asked.fill:
        said["fill"] = list(asked.fill)
    if shelf is not None:
        said["stock"] = shelf.account(plan, take=asked.take_stock)
    return Worked(plan, plan, said, None, plan.verdict, units)


def _readings(asked: PlanOptions, recipe: Recipe) -> tuple[PlanOptions, dict[str, Readings]]:
    """The readings of the file that was named, and its name as errors say it."""
    from prepkit.plan.recipe_file import load_readings, read_readings

    if asked.measured is not None and asked.measured != STDIN:
        return asked, load_readings(asked.measured, recipe.items)
    read = read_readings(read_stdin("readings"), recipe.items, STDIN_NAME)
    return asked.replaced(measured=STDIN_NAME), read


def _for_sites(asked: PlanOptions, prepared: Prepared, units: str) -> Worked:
    """The plan of a production kitchen, from the menus of its sites."""
    from prepkit.plan.sites import kitchen

    found = kitchen(asked, prepared)
    if asked.measured is not None:
        asked, read = _readings(asked, prepared.recipe)
        return _from_readings(asked, found.plan, None, units, read, ready=found.ready)
    said = found.sheet(_sheet(asked, found.plan, None), take=asked.take_stock)
    return Worked(found.plan, found.plan, said, None, said["verdict"], units, found.ready)


def _sheet(asked: PlanOptions, plan: Plan, limits: list[AllowedSheet] | None) -> PlanSheet:
    """The sheet with its times of day, and what there is where the serves follow from that."""
    said = plan.to_dict(_service(asked, plan))
    if limits is not None:
        said["from"] = limits
    return said


def measured_again(
    asked: PlanOptions,
    before: Worked,
    read: Mapping[str, Readings],
    unread: Iterable[Unread] = (),
) -> Worked:
    """What was worked out without readings, planned again from them; `asked` names their file.

    `unread` are readings that were typed and cannot be used.
    """
    limits = before.said.get("from")
    return _from_readings(
        asked, before.first, limits, before.units, read, unread, ready=before.ready
    )


def _from_readings(
    asked: PlanOptions,
    first: Plan,
    limits: list[AllowedSheet] | None,
    units: str,
    read: Mapping[str, Readings],
    unread: Iterable[Unread] = (),
    *,
    ready: Ready | None = None,
) -> Worked:
    from prepkit.plan.measured import measured

    found = measured(first, read, asked.measured or "", unread)
    said = _sheet(asked, found.plan, limits)
    said["measured"] = found.account
    said["verdict"] = found.verdict
    if ready is not None:
        from prepkit.plan.sites import add_sites

        add_sites(said, ready, found.plan)
    return Worked(found.plan, first, said, found.account, said["verdict"], units, ready)


def _prepared(asked: PlanOptions, file: str) -> tuple[Prepared, str]:
    """The recipe, and the units that it is shown in."""
    if file == STDIN:
        text = read_stdin()
        recipe = read_recipe(text, STDIN_NAME, house=asked.house, variant=asked.variant)
    elif asked.more:
        recipe = load_menu((file, *asked.more), house=asked.house)
    else:
        recipe = load_recipe(file, house=asked.house, variant=asked.variant)
    return _taught(recipe), asked.units if asked.units_chosen else recipe.house.units or asked.units


def _taught(recipe: Recipe) -> Prepared:
    """The recipe prepared, with what the ledger of its house tells of losses where there is one."""
    if not recipe.house.stock.ledger:
        return prepare(recipe)
    from prepkit.learn.using import prepared

    return prepared(recipe)


def _plan(asked: PlanOptions, file: str) -> tuple[str, int]:
    """One sheet, or several scales side by side."""
    if asked.compare is not None:
        _one_way(asked)
        scales = _scales(asked.compare)
        prepared, units = _prepared(asked, file)
        if prepared.recipe.sites:
            return printed(asked, _for_sites(asked, prepared, units)), CLEAR  # which refuses it
        prepared = _for_sure(asked, prepared)
        return _compare(
            asked, [plan_of(prepared, prepared.recipe.counts(scale)) for scale in scales], units
        )
    found = worked(asked, file)
    return printed(asked, found), STOP if found.verdict == "stop" else CLEAR


def printed(asked: PlanOptions, found: Worked) -> str:
    """What was worked out as it was asked to be printed."""
    before = "" if found.account is None else _account(asked, found.account, found.units)
    return before + _shown(asked, found.said, found.units)


def _account(asked: PlanOptions, account: AccountSheet, units: str) -> str:
    """The account of the readings, before a printed sheet."""
    if asked.as_json or asked.csv or asked.quiet:
        return ""
    from prepkit.render.batch import measured_text

    return measured_text(account, units)


def _shown(asked: PlanOptions, said: PlanSheet, units: str) -> str:
    if asked.quiet:
        from prepkit.render.text import verdict_line

        return f"{verdict_line(said['verdict'])}\n"
    if asked.as_json:
        return _json(said)
    if asked.csv:
        from prepkit.render.plan_csv import plan_csv

        return plan_csv(said, units)
    if asked.batch:
        from prepkit.render.batch import batch_text

        return batch_text(said, units)
    if asked.full or asked.working:  # the sums stand at their items
        from prepkit.render.plan_text import plan_text

        return plan_text(said, asked.working, units)
    from prepkit.render.plan_first import first_text

    return first_text(said, units)


def _one_way(asked: PlanOptions) -> None:
    """Refuse what does not go together."""
    if asked.more and STDIN in (asked.file, *asked.more):
        raise BadInput("- stands for one recipe, and several are named; name a file for each.")
    if asked.more and asked.variant is not None:
        raise BadInput(
            f"{named('variant')} does not go with several recipes; name it in a menu file.",
            "variant",
        )
    if asked.take_stock and asked.stock is None:
        raise BadInput(
            f"{named('take_stock')} goes with {named('stock', 'house.db')}.", "take_stock"
        )
    if asked.file == asked.measured == STDIN:
        raise BadInput(
            f"the recipe and {named('measured')} are both -; name a file for one of them."
        )
    for first, second in (
        (("serves", asked.serves), ("from", asked.have)),
        (("fill", asked.fill), ("from", asked.have)),
        (("fill", asked.fill), ("compare", asked.compare)),
        (("fill", asked.fill), ("measured", asked.measured)),
        (("stock", asked.stock is not None), ("from", asked.have)),
        (("stock", asked.stock is not None), ("compare", asked.compare)),
        (("stock", asked.stock is not None), ("measured", asked.measured)),
        (("compare", asked.compare), ("serves", asked.serves)),
        (("compare", asked.compare), ("from", asked.have)),
        (("compare", asked.compare), ("service", asked.service)),
        (("compare", asked.compare), ("csv", asked.csv)),
        (("compare", asked.compare), ("measured", asked.measured)),
        (("csv", asked.csv), ("measured", asked.measured)),
        (("compare", asked.compare), ("batch", asked.batch)),
        (("quiet", asked.quiet), ("compare", asked.compare)),
        (("quiet", asked.quiet), ("json", asked.as_json)),
        (("quiet", asked.quiet), ("csv", asked.csv)),
        (("quiet", asked.quiet), ("batch", asked.batch)),
        (("full", asked.full), ("compare", asked.compare)),
        (("full", asked.full), ("quiet", asked.quiet)),
        (("full", asked.full), ("csv", asked.csv)),
        (("full", asked.full), ("batch", asked.batch)),
        (("json", asked.as_json), ("csv", asked.csv)),
        (("json", asked.as_json), ("batch", asked.batch)),
        (("csv", asked.csv), ("batch", asked.batch)),
    ):
        if first[1] and second[1]:
            raise BadInput(
                f"{named(first[0])} does not go with {named(second[0])}; give one of them."
            )


def _scales(words: str) -> list[int]:
    said = [word.strip() for word in words.split(",")]
    if not 2 <= len(said) <= MOST_SCALES:
        raise BadInput(
            f'{named("compare")} is "{words}"; write 2 to {MOST_SCALES} numbers of '
            "serves, such as 20,40.",
            "compare",
        )
    scales = [whole_serves(text, named("compare")) for text in said]
    if len(set(scales)) < len(scales):
        raise BadInput(
            f'{named("compare")} is "{words}"; give each number of serves once.', "compare"
        )
    return scales


def _compare(asked: PlanOptions, plans: list[Plan], units: str) -> tuple[str, int]:
    status = STOP if "stop" in {plan.verdict for plan in plans} else CLEAR
    said = [plan.to_dict() for plan in plans]
    if asked.as_json:
        return _json({"compare": [plan.serves for plan in plans], "plans": said}), status
    from prepkit.render.plan_csv import compare_text

    return compare_text(said, units), status


# ---- prepkit plan ----

DEMOS = ("cold-semaphore", "free-otter", "menu", "warm-brasswick")
DEMO = DEMOS[0]


@click.command(
    cls=Command,
    name="plan",
    help="From a recipe file one page to work from, for any number of serves. It gives verdicts, "
    "what to weigh and when to start, vessels and chargers, what to buy.\n\n\b\nExamples:\n"
    "  prepkit plan recipes/FILE.toml --serves 40\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --full\n"
    "  prepkit plan A.toml B.toml --serves 'Ledger=60, Soda=35'\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --service 18:00\n"
    "  prepkit plan recipes/FILE.toml --from '3.2 kg grapefruit juice'\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --stock house.db\n"
    "  prepkit plan recipes/FILE.toml --check\n"
    "  prepkit plan - < recipes/FILE.toml\n"
    "  prepkit plan --demo --serves 40\n"
    "  prepkit plan --new my-recipe.toml\n"
    "  prepkit plan --schema > recipe.schema.json\n"
    "  prepkit plan --schema house > house.schema.json",
    short_help="From a recipe file: weigh-outs, yields, vessels, chargers, cautions.",
)
@click.argument("files", metavar="[FILE]...", nargs=-1, type=FileName())
@click.option(
    "--serves",
    metavar="N",
    help="How many of each serve [the recipe's own number]. By drink: Ledger=60, Soda=35.",
)
@click.option(
    "--sure",
    metavar="PERCENT",
    help="Chance that nothing runs short, for which more is made [the house's, else 95]. 50 adds "
    "nothing.",
)
@click.option("--variant", metavar="NAME", help="A variant that the recipe has.")
@click.option(
    "--from",
    "have",
    metavar="WORDS",
    multiple=True,
    help="Stock of an ingredient or item, such as 3.2 kg grapefruit juice. Makes as many serves "
    "as it allows.",
)
@click.option(
    "--stock",
    metavar="[LEDGER]",
    is_flag=False,
    flag_value="",
    type=FileName(),
    help="Use what stands in stock first, the oldest first, and make up to the pars. A ledger, or "
    "that of the house file.",
)
@click.option(
    "--fill",
    metavar="WORDS",
    multiple=True,
    help="A batch by container or amount: 1 tub my-base, 1 case of bottles my-base, "
    "4 l my-base. For no serves, unless --serves is given.",
)
@click.option("--take-stock", is_flag=True, help="Take from the ledger what the plan uses of it.")
@click.option(
    "--compare", metavar="N,N", help="Numbers of serves to show side by side, such as 20,40."
)
@click.option(
    "--measured",
    metavar="FILE",
    type=FileName(),
    help="Readings of what was made: what drifted, what to add, and the rest planned again.",
)
@click.option(
    "--batch", is_flag=True, help="Print the batch sheet: boxes to tick, room for what is measured."
)
@click.option("--csv", is_flag=True, help="Print the plan as CSV for a spreadsheet.")
@click.option(
    "--service", metavar="TIME", help="When it is served, such as 18:00: a timetable back from it."
)
@click.option(
    "--now", metavar="TIME", help="The time now. A step that had to start earlier is refused."
)
@click.option(
    "--check", is_flag=True, help="List everything that is wrong with the file, by line, and stop."
)
@click.option(
    "--schema",
    type=click.Choice(["recipe", "house", "menu", "pantry", "readings"]),
    is_flag=False,
    flag_value="recipe",
    help="Print a JSON Schema for an editor, and stop. It is that of recipe files unless house, "
    "menu, pantry or readings is said.",
)
@click.option(
    "--new",
    metavar="FILE",
    type=FileName(),
    help="Ask a few questions and write a first recipe file, and stop.",
)
@click.option(
    "--demo",
    metavar="[NAME]",
    is_flag=False,
    flag_value=DEMO,
    type=OneOf(DEMOS),
    help=f"Plan a demo recipe that comes with prepkit: {', '.join(DEMOS)} [the first].",
)
@click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@click.pass_context
def command(
    ctx: click.Context, /, out: str | None, force: bool, demo: str | None, **said: Chosen
) -> None:
    """Read, plan, print; exit status 3 where a verdict is stop."""

    chosen = ctx.get_parameter_source("units") is not click.core.ParameterSource.DEFAULT
    from prepkit.workflows import put

    files = said.pop("files")
    if demo is not None:
        files = (_demo(demo, files, said["new"]),)
    said["file"], said["more"] = (files or (None,))[0], files[1:]
    text, status = answer(PlanOptions(**said, units_chosen=chosen))
    exact = said["as_json"] or said["csv"] or said["schema"] is not None
    put(text, out, force, exact, fit=not said["check"])  # an editor reads file:line: words
    if status:
        raise SystemExit(status)


def _demo(name: str, files: tuple[str, ...], new: str | None) -> str:
    """The file of a demo recipe."""
    from prepkit.workflows import known, reference

    taken = "a recipe file" if files else "--new" if new else None
    if taken:
        raise BadInput(f"--demo does not go with {taken}; give one of them.", "demo")
    return str(reference.recipe(known(name, DEMOS, named("demo"), "demo recipe")))


command.params.insert(
    2,
    house_option(
        "Folder of the house file: bench, room, vessels, prices, own ingredients [the folder of "
        "the recipe]."
    ),
)
common_options(command, full="Print every item, step and caution, not one page.")


# ---- prepkit routine ----


@click.command(
    cls=Command,
    name="routine",
    help="The timed steps of a competition routine or of a pass. They are a [[routine]] in a "
    "recipe or menu file. It says whether the clock is met, which steps decide, and who does what. "
    "It says whether each drink is drunk inside its window.\n\n\b\nExamples:\n"
    "  prepkit routine recipes/menu.toml\n"
    "  prepkit routine recipes/menu.toml --serves 6 --hands 2\n"
    "  prepkit routine recipes/menu.toml --format html --out routine.html",
    short_help="Steps in seconds: in time or over, each drink in its window.",
)
@click.argument("file", type=FileName(), metavar="FILE")
@click.option("--name", metavar="NAME", help="One routine of the file [all of them].")
@click.option("--serves", metavar="N", help="How many of each drink [the routine's own]. By "
              "drink: Ledger=2, Soda=3.")  # fmt: skip
@click.option("--hands", metavar="COUNT", help="Pairs of hands [the routine's own].")
@click.option("--format", "shape", type=click.Choice(["text", "svg", "html", "json"]),
              default="text", show_default=True, help="How it is printed.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def routine_command(
    file: str, name: str | None, serves: str | None, hands: str | None, shape: str,
    as_json: bool, house: str | None, variant: str | None, out: str | None, force: bool,
) -> None:  # fmt: skip
    """Read, time, print; exit status 3 where a drink must not be served."""
    import json

    from prepkit.render.plan_text import routine_html, routine_text
    from prepkit.workflows import put

    said = _said(load_recipe(file, house=house, variant=variant), name, serves, hands)
    if as_json or shape == "json":
        text = json.dumps({"routines": said}, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    elif shape == "svg":
        text = _svg(said)
    elif shape == "html":
        text = routine_html(said)
    else:
        text = "\n".join(map(routine_text, said))
    put(text, out, force, exact=as_json or shape != "text")
    if any(routine["verdict"] == "stop" for routine in said):
        raise SystemExit(EXIT_STOP)


routine_command.params += [*RECIPE, *OUT]


def _said(
    recipe: Recipe, name: str | None, serves: str | None, hands: str | None
) -> list[RoutineSheet]:
    """Each routine that is asked for, on a plan of its own drinks alone."""
    from prepkit.numbers import whole
    from prepkit.plan.routine import MOST_HANDS, changed
    from prepkit.plan.timetable import routines
    from prepkit.workflows import known

    if not recipe.routines:
        raise recipe.wrong("", "it has no routine; write [[routine]] with its drinks and steps.")
    chosen = {routine.name: routine for routine in recipe.routines}
    if name is not None:
        name = known(name, chosen, named("name"), "routine of this file")
        chosen = {name: chosen[name]}
    many = None
    if hands is not None:
        many = whole(hands, 1, MOST_HANDS)
        if many is None:
            raise BadInput(
                f'{named("hands")} is "{hands}"; give a whole number from 1 to {MOST_HANDS}.',
                "hands",
            )
    out: list[RoutineSheet] = []
    for routine in chosen.values():
        drinks = {drink.name for drink in routine.drinks}
        own = tuple(serve for serve in recipe.serve if serve.name in drinks)
        asked = None if serves is None else counts_said(serves, recipe._replace(serve=own))
        other = changed(routine, asked, many)
        prepared = prepare(recipe._replace(routines=(other,)))
        counts = {drink.name: drink.serves for drink in other.drinks}
        plan = plan_of(prepared, {**dict.fromkeys(recipe.counts(), 0), **counts})
        out += routines(plan)
    return out


def _svg(said: list[RoutineSheet]) -> str:
    """The picture of one routine; BadInput where there are several, exit status 3 of a stop."""
    from prepkit.render.plan_text import head, routine_svg
    from prepkit.stdout import put_error

    if len(said) > 1:
        names = ", ".join(routine["name"] for routine in said)
        raise BadInput(
            f"a picture is of one routine; give {named('name')}, one of {names}.", "name"
        )
    drawn = routine_svg(said[0])
    if drawn is None:
        put_error(f"{head(said[0])}\n")
        raise SystemExit(EXIT_STOP)
    return drawn + "\n"
