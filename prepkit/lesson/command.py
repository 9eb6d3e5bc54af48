"""prepkit lesson: a lesson as a folder, or as one file to print."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import click

from prepkit.cli import Command, FileName, WholeNumber, house_option
from prepkit.errors import BadInput, FileProblem, named, one_line
from prepkit.language import checked
from prepkit.lesson.model import AUDIENCES, LENGTHS_MIN, Facts
from prepkit.plan.house import house_in
from prepkit.stdout import put_error, put_text

LARGEST_SEED = 999_999_999
SUFFIXES = (".html", ".htm")


@click.command(
    cls=Command,
    name="lesson",
    help="A lesson on gas, pressure, cold, acid and heat, to print: plan, sheets, test and keys. "
    "It is made for an audience and a length, with the vessels and the room of the house. "
    "Whatever the house file does not say is left blank to fill in. The same seed gives the same "
    "lesson. Without --out the plan is printed, or with --format html all of it.\n\n\b\nExamples:\n"
    "  prepkit lesson --audience bar --minutes 60 --seed 7\n"
    "  prepkit lesson --audience mixed --minutes 120 --seed 7 --house recipes/house --out lesson\n"
    "  prepkit lesson --audience kitchen --minutes 30 --seed 7 --out lesson.html",
    short_help="A lesson to print: plan, sheets, test, keys, for your own vessel and room.",
)
@click.option("--audience", type=click.Choice(AUDIENCES), help="Who is taught.")
@click.option(
    "--minutes",
    type=click.Choice([str(one) for one in LENGTHS_MIN]),
    help="How long it takes.",
)
@click.option("--seed", type=WholeNumber(0, LARGEST_SEED), default=1, help="Which test [1].")
@click.option("--language", default="en", help="Language of the sheets [en].")
@click.option("--date", "on", metavar="DATE", help="Day of the lesson [a line to write it on].")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["text", "html"]),
    help="Without --out: the plan as text, or all of it as one file to print [text].",
)
@click.option(
    "--out", metavar="PATH", type=FileName(), help="A new folder, or one file that ends in .html."
)
@click.option("--force", is_flag=True, help="Write over what is there already.")
def command(
    audience: str | None,
    minutes: str | None,
    seed: int,
    language: str,
    on: str | None,
    house: str | None,
    shape: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Make a lesson."""
    if audience is None:
        raise BadInput(f"a lesson needs --audience, one of {', '.join(AUDIENCES)}.", "audience")
    if minutes is None:
        lengths = ", ".join(map(str, LENGTHS_MIN))
        raise BadInput(f"a lesson needs --minutes, one of {lengths}.", "minutes")
    own = house_in(Path(house) if house is not None else None)
    facts = Facts(audience, int(minutes), seed, checked(language), _day(on), own)
    from prepkit.lesson.lesson import files, one_file, plan_text
    from prepkit.workflows import put

    if out is not None and shape == "text":
        raise BadInput("--format text prints the plan; leave out --out, which is for HTML.", "out")
    if out is None and shape != "html":
        put_text(plan_text(facts))
    elif out is None or out.lower().endswith(SUFFIXES):
        put(one_file(facts), out, force, exact=True)
    else:
        write_folder(Path(out), files(facts), force)
        put_error(f"prepkit: {one_line(out)} written.\n")


command.params.insert(4, house_option("Folder of the house file [none: blanks to fill in]."))


def _day(said: str | None) -> date | None:
    if said is None:
        return None
    try:
        return date.fromisoformat(said.strip())
    except ValueError as error:
        raise BadInput(
            f'{named("date")} is "{said}"; write year, month and day, such as 2026-11-30.', "date"
        ) from error


def write_folder(path: Path, texts: Mapping[str, str], force: bool) -> None:
    """Write a folder of files, all of them or none.

    In a folder with something in it, only with force and only its files of these names.
    Raises: FileProblem; `path` then holds what it held.
    """
    from prepkit import files

    path = path.absolute()
    if path.exists() and not path.is_dir():
        raise FileProblem(f"{path} is no folder; name a new one.")
    try:
        files.write_folder(path, texts, over=force)
    except FileExistsError as error:
        raise FileProblem(f"{path} has files in it; name a new folder, or add --force.") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise FileProblem(f"{str(path)!r} cannot be written: {why}.") from error
