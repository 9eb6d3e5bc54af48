"""prepkit tasting: plan a blind tasting, print its sheets, take the answers, judge them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from prepkit.console import Command, FileName, Group
from prepkit.workflows.documents import OUT

_FILE = click.Argument(["file"], type=FileName(), metavar="FILE")


@click.group(
    cls=Group,
    name="tasting",
    help="Blind tastings: the test that needs fewest tasters, codes and orders. A sheet for each "
    "taster, and what the answers prove.\n\n\b\nExamples:\n"
    '  prepkit tasting plan --glass "cordial 0.55 %" --glass "cordial 0.62 %" --taste sour \\\n'
    '    --expected "cordial 0.62 %" --tasters 16 --glass-volume "15 ml" --abv "0 %" \\\n'
    "    --allergens none --out sour.toml\n"
    "  prepkit tasting pour sour.toml\n"
    "  prepkit tasting sheets sour.toml --format html --out sheets.html\n"
    '  prepkit tasting answer sour.toml "1: 417" "2: 238"\n'
    "  prepkit tasting result sour.toml",
    short_help="Blind tastings: which test, how many tasters, sheets, and the result.",
)
def command() -> None:
    """The steps of a tasting."""


@command.command(
    cls=Command,
    name="plan",
    help="Plan a tasting: the test, the tasters it needs, the alcohol for each person.",
    short_help="The test, the tasters it needs, the alcohol for each person.",
)
@click.option("--glass", "glasses", multiple=True, metavar="NAME", help="A drink to compare; "
              "once for each. In rising order where the order is known.")  # fmt: skip
@click.option(
    "--taste", metavar="WORD", help="The taste that should differ, such as sour; or liked."
)
@click.option("--expected", metavar="NAME", help="The glass that should have more of it.")
@click.option("--in-order", is_flag=True, help="The glasses are named in the expected order.")
@click.option("--test", metavar="WORD", help="pair, preference, three, triangle, duo-trio or "
              "ranking [the one that needs fewest tasters].")  # fmt: skip
@click.option("--tasters", metavar="COUNT", help="How many people taste [12].")
@click.option("--glass-volume", metavar="WORDS", help="In each glass, such as 15 ml.")
@click.option("--abv", metavar="WORDS", help="Of the strongest glass, such as 12 %; 0 % for none.")
@click.option("--allergens", metavar="WORDS", help="Of all glasses, such as milk, egg; or none.")
@click.option("--title", metavar="WORDS", help="On every sheet [Blind tasting].")
@click.option("--seed", metavar="NUMBER", help="Which codes and orders [1].")
@click.option("--format", "shape", type=click.Choice(["text", "json", "toml"]), default="text",
              show_default=True, help="The plan, or the file for the other steps.")  # fmt: skip
def plan(shape: str, out: str | None, force: bool, **said: Any) -> None:  # as click hands them
    """The plan, and the file where it is asked for."""
    from prepkit.stdout import put_text
    from prepkit.tasting import file, show
    from prepkit.workflows.out import put

    one = _read(said)
    if out is not None:
        put(file.written(one), out, force, exact=True)
    if shape == "json":
        put(_json(show.plan_dict(one)), None, force, exact=True)
    elif shape == "toml":
        put(file.written(one), None, force, exact=True)
    else:
        put_text(show.plan_text(one))


plan.params += list(OUT)


@command.command(cls=Command, name="pour", help="The list for who pours: which drink under which "
                 "code. Keep it from the tasters.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def pour(file: str, as_json: bool) -> None:
    """The key, for who pours."""
    from prepkit.stdout import put_text
    from prepkit.tasting import show
    from prepkit.tasting.design import sheets
    from prepkit.tasting.file import load
    from prepkit.workflows.out import put

    one, _ = load(file)
    if as_json:
        said = [
            {"taster": sheet.taster, "pours": {p.code: one.glasses[p.glass] for p in sheet.pours}}
            for sheet in sheets(one)
        ]
        put(_json({"pour": said}), None, False, exact=True)
    else:
        put_text(show.pour_text(one))


@command.command(cls=Command, name="sheets", help="A sheet for each taster, without the key.")
@click.option("--format", "shape", type=click.Choice(["text", "html"]), default="text",
              show_default=True, help="How it is printed.")  # fmt: skip
def sheets_(file: str, shape: str, out: str | None, force: bool) -> None:
    """The tasters' sheets."""
    from prepkit.tasting import show
    from prepkit.tasting.file import load
    from prepkit.workflows.out import put

    one, _ = load(file)
    said = show.sheets_html(one) if shape == "html" else show.sheets_text(one)
    put(said, out, force, exact=shape == "html")


sheets_.params += list(OUT)


@command.command(
    cls=Command,
    name="answer",
    help='Write answers into the file: taster and code, such as "3: 417". For a ranking all codes, '
    "least first.",
    short_help="Write the answers of tasters into the file.",
)
@click.argument("answers", nargs=-1, required=True, metavar="ANSWER...")
@click.option("--force", is_flag=True, help="Take another answer from a taster who has answered.")
def answer(file: str, answers: tuple[str, ...], force: bool) -> None:
    """Add answers; nothing is written unless all can be read."""
    from prepkit.errors import BadInput
    from prepkit.stdout import put_text
    from prepkit.tasting.file import load, read_answer, save

    one, given = load(file)
    for words in answers:
        taster, said = read_answer(one, words)
        if given.get(taster, said) != said and not force:
            raise BadInput(
                f"taster {taster} has answered {given[taster]} already; add --force to change it.",
                "answer",
            )
        given[taster] = said
    save(Path(file), given)
    put_text(f"{len(given)} of {one.tasters} tasters have answered.\n")


@command.command(
    cls=Command, name="result", help="The proof in the answers, with the exact chance."
)
@click.option("--alike-below", metavar="SHARE", help="Ask for likeness: fewer than this share of "
              "people can tell, such as 30 %.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def result(file: str, alike_below: str | None, as_json: bool) -> None:
    """Judge the answers."""
    from prepkit.stdout import put_text
    from prepkit.tasting import show
    from prepkit.tasting.file import load
    from prepkit.tasting.judge import judge
    from prepkit.units import parse_quantity
    from prepkit.workflows.out import put

    one, given = load(file)
    share = None
    if alike_below is not None:
        share = float(parse_quantity(alike_below, ("%",), "alike_below")) / 100
    judged = judge(one, given, share)
    if as_json:
        put(_json(show.judged_dict(one, judged)), None, False, exact=True)
    else:
        put_text(show.judged_text(one, judged))


for _one in (pour, sheets_, answer, result):
    _one.params.insert(0, _FILE)


def _read(said: dict[str, Any]) -> Any:  # Any: words as click hands them; a Tasting, made late
    """The tasting that the options say; what must be known of safety is asked for."""
    from prepkit.errors import BadInput, named
    from prepkit.numbers import whole
    from prepkit.tasting.design import Tasting, proposed, read_allergens
    from prepkit.units import parse_quantity
    from prepkit.workflows.documents import words

    glasses = tuple(words(one, "glass") for one in said["glasses"])
    if len(glasses) < 2:
        raise BadInput(f"name the drinks to compare with {named('glass')}, once for each.", "glass")
    for key, sample in (("glass_volume", "15 ml"), ("abv", "12 %"), ("allergens", "none")):
        if said[key] is None:
            raise BadInput(f"give {named(key, sample)}: it decides who may taste how much.", key)
    numbers: dict[str, int] = {}
    for key, otherwise, most in (("tasters", "12", 1000), ("seed", "1", 999_999_999)):
        number = whole(said[key] or otherwise, 0, most)
        if number is None:
            raise BadInput(f'{named(key)} is "{said[key]}"; give a whole number up to {most}.', key)
        numbers[key] = number
    taste = said["taste"] and words(said["taste"], "taste").lower()
    expected = said["expected"] and words(said["expected"], "expected")
    return Tasting(
        title=words(said["title"], "title") or "Blind tasting",
        test=said["test"] or proposed(len(glasses), taste, expected is not None),
        glasses=glasses, taste=taste, expected=expected, in_order=said["in_order"],
        glass_ml=float(parse_quantity(said["glass_volume"], ("ml",), "glass_volume")),
        abv_percent=float(parse_quantity(said["abv"], ("% vol",), "abv")),
        allergens=read_allergens(said["allergens"]), **numbers,
    )  # fmt: skip


def _json(said: object) -> str:
    import json

    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
