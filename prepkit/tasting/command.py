"""prepkit tasting and ladder: planned, printed, judged."""

from __future__ import annotations

import math
import os
import textwrap
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from prepkit import render
from prepkit.cli import Command, FileName, Group, house_option
from prepkit.model import Caution
from prepkit.render.text import caution_text, grid
from prepkit.science import tasting as statistics
from prepkit.stdout import columns
from prepkit.tasting import (
    ALPHA,
    BY_CHANCE,
    DISTANCES,
    REFERENCE,
    TESTS,
    Tasting,
    TastingFindings,
    imbalance,
    lines,
    most_glasses,
    needed,
    orders,
    proposed,
    sheets,
)
from prepkit.tasting.ladder import Ladder, LadderStep, properties
from prepkit.units import rounded_up
from prepkit.workflows import OUT

# ---- a tasting as text and as pages to print ----

PAGE = "\f"
NO_GOING_BACK = "A guess counts. Do not go back to an earlier glass once you have answered."
NEVER = "For who pours. Keep it from the tasters until all have answered."


def plan_text(one: Tasting) -> str:
    """The test, how many tasters it takes, the alcohol, what to pour."""
    out = [f"{one.kind.name.capitalize()}: {one.title}", one.question, ""]
    out.append("Before the first glass")
    out.append(_fill(f"Allergens: {', '.join(one.allergens) or 'none'}.", "  ", "    "))
    out.append(_fill(alcohol(one), "  ", "    "))
    out.append(_fill(glasses(one), "  ", "    "))
    out += [_fill(line.text, "  ", "    ") for line in lines()]
    out += ["", *(_fill(sentence) for sentence in sizes(one))]
    out += ["", grid(_size_rows(one), ("difference", *_methods(one)), "lrrrr"), ""]
    out += ["Pour in all", grid(
        [(name, f"{ml:g}") for name, ml in one.volume_ml.items()], ("glass", "ml"), "lr", "  "
    )]  # fmt: skip
    return "\n".join(out) + "\n"


def sizes(one: Tasting) -> list[str]:
    """What this panel can find, in words."""
    out = []
    known = one.expected is not None
    best = proposed(len(one.glasses), one.taste, known)
    if one.test == "ranking":
        words = "Page's test, since the order is known" if one.in_order else "Friedman's test"
        out.append(f"{one.tasters} tasters rank {len(one.glasses)} glasses; judged by {words}.")
    else:
        alpha = 0.5 * ALPHA if one.two_sided else ALPHA
        least = statistics.least_correct(one.tasters, one.kind.chance, alpha)
        alike = "choices for one glass" if one.two_sided else "right answers"
        if least is None:
            out.append(f"{one.tasters} tasters are too few: even all of one mind prove nothing.")
        else:
            out.append(f"{least} of {one.tasters} {alike} are enough: {BY_CHANCE}.")
        if best != one.test and best in ("three", "pair"):
            out.append(f"A {TESTS[best].name} would need fewer tasters here.")
    if one.taste is None:
        out.append("Name the taste that should differ, and far fewer tasters are enough.")
    if imbalance(one):
        out.append(
            f"A number of tasters that divides by {len(orders(one))} has every order equally often."
        )
    out.append("Tasters who find it 8 times in 10, by how far apart the drinks taste:")
    return out


def _methods(one: Tasting) -> tuple[str, ...]:
    return (
        ("triangle",)
        if one.test == "ranking"
        else tuple(dict.fromkeys((one.test, "three", "pair", "triangle", "duo-trio")))[:4]
    )


def _size_rows(one: Tasting) -> list[tuple[str, ...]]:
    """Tasters for 8 finds in 10, by how far apart the drinks are."""
    rows = []
    for word, distance in DISTANCES:
        found = (
            needed(test, distance, one.two_sided and test == one.test) for test in _methods(one)
        )
        rows.append((word, *(str(size.stable) if size else "over 1000" for size in found)))
    return rows


def alcohol(one: Tasting) -> str:
    """The alcohol of one taster, in words."""
    if not one.abv_percent:
        return "No alcohol in these glasses."
    return (
        f"Alcohol: at most {rounded_up(one.alcohol_g, 1):.1f} g for each person who swallows all "
        f"{one.glasses_each} glasses."
    )


def glasses(one: Tasting) -> str:
    """How many glasses each person tastes, and how many one may, in words."""
    most = most_glasses(one.abv_percent)
    return f"Glasses: {one.glasses_each} for each person. At most {most} at a time (our judgement)."


def pour_text(one: Tasting) -> str:
    """Which drink goes into which code, taster by taster."""
    out = [f"Pouring list: {one.title}", _fill(NEVER)]
    out += [_fill(f"Allergens: {', '.join(one.allergens) or 'none'}."), ""]
    rows = [
        (str(sheet.taster), *(f"{pour.code}: {one.glasses[pour.glass]}" for pour in sheet.pours))
        for sheet in sheets(one)
    ]
    places = [f"glass {at}" for at in range(1, one.glasses_each + 1)]
    out.append(grid(rows, ("taster", *places), "r" + "l" * one.glasses_each))
    return "\n".join(out) + "\n"


def sheets_text(one: Tasting) -> str:
    """One page for each taster: codes from left to right, no key."""
    return PAGE.join(_sheet_text(one, sheet.taster) for sheet in sheets(one))


def _sheet_text(one: Tasting, taster: int) -> str:
    sheet = sheets(one)[taster - 1]
    out = [f"{one.title}   taster {taster}   Name ____________________", ""]
    out += [_fill(f"Allergens: {', '.join(one.allergens) or 'none'}."), _fill(alcohol(one)), ""]
    out += [_fill(one.question), "", "   ".join(pour.code for pour in sheet.pours), ""]
    out += [f"Answer: {answer_blanks(one)}", "", _fill(NO_GOING_BACK)]
    return "\n".join(out) + "\n"


def answer_blanks(one: Tasting) -> str:
    """Where the answer is written."""
    return "  ".join(["______"] * (len(one.glasses) if one.test == "ranking" else 1))


def sheets_html(one: Tasting) -> str:
    """The tasters' sheets as one document to print; no script in it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return made.get_template("tasting.html").render(
        one=one, sheets=sheets(one), alcohol=alcohol(one), lines=list(lines()), last=NO_GOING_BACK,
        ranked=one.test == "ranking", reference=REFERENCE,
    )  # fmt: skip


def judged_text(one: Tasting, judged: TastingFindings) -> str:
    """The result, answer first."""
    return "\n".join([f"{one.kind.name.capitalize()}: {one.title}",
                      *(_fill(sentence) for sentence in judged.sentences)]) + "\n"  # fmt: skip


def plan_dict(one: Tasting) -> dict[str, Any]:  # Any: JSON
    """The plan as JSON has it."""
    size_rows = {row[0]: dict(zip(_methods(one), row[1:], strict=True)) for row in _size_rows(one)}
    return {
        "title": one.title, "test": one.test, "question": one.question,
        "glasses": list(one.glasses), "tasters": one.tasters, "seed": one.seed,
        "glasses_each": one.glasses_each, "alcohol_g_each": rounded_up(one.alcohol_g),
        "allergens": list(one.allergens),
        "most_glasses_each": most_glasses(one.abv_percent), "pour_ml": one.volume_ml,
        "sentences": sizes(one),
        "tasters_needed": size_rows,
        "cautions": [{"text": line.text, "source": line.source} for line in lines()],
    }  # fmt: skip


def judged_dict(one: Tasting, judged: TastingFindings) -> Mapping[str, Any]:  # Any: JSON
    """The result as JSON has it."""
    return {"title": one.title, "test": one.test, "found": judged.found,
            "sentences": list(judged.sentences), "figures": dict(judged.figures)}  # fmt: skip


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


# ---- prepkit tasting ----

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
def plan(shape: str, out: str | None, force: bool, **said: Any) -> None:  # Any: as click has them
    """The plan, and the file where it is asked for."""
    from prepkit import tasting
    from prepkit.stdout import put_text
    from prepkit.workflows import put

    one = _read(said)
    if out is not None:
        put(tasting.written(one), out, force, exact=True)
    if shape == "json":
        put(_json(plan_dict(one)), None, force, exact=True)
    elif shape == "toml":
        put(tasting.written(one), None, force, exact=True)
    else:
        put_text(plan_text(one))


plan.params += list(OUT)


@command.command(cls=Command, name="pour", help="The list for who pours: which drink under which "
                 "code. Keep it from the tasters.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def pour(file: str, as_json: bool) -> None:
    """The key, for who pours."""
    from prepkit.stdout import put_text
    from prepkit.tasting import load
    from prepkit.workflows import put

    one, _ = load(file)
    if as_json:
        said = [
            {"taster": sheet.taster, "pours": {p.code: one.glasses[p.glass] for p in sheet.pours}}
            for sheet in sheets(one)
        ]
        put(_json({"pour": said}), None, False, exact=True)
    else:
        put_text(pour_text(one))


@command.command(cls=Command, name="sheets", help="A sheet for each taster, without the key.")
@click.option("--format", "shape", type=click.Choice(["text", "html"]), default="text",
              show_default=True, help="How it is printed.")  # fmt: skip
def sheets_(file: str, shape: str, out: str | None, force: bool) -> None:
    """The tasters' sheets."""
    from prepkit.tasting import load
    from prepkit.workflows import put

    one, _ = load(file)
    said = sheets_html(one) if shape == "html" else sheets_text(one)
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
    from prepkit.tasting import load, read_answer, save

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
    from prepkit.tasting import judge, load
    from prepkit.units import parse_quantity
    from prepkit.workflows import put

    one, given = load(file)
    share = None
    if alike_below is not None:
        share = float(parse_quantity(alike_below, ("%",), "alike_below")) / 100
    judged = judge(one, given, share)
    if as_json:
        put(_json(judged_dict(one, judged)), None, False, exact=True)
    else:
        put_text(judged_text(one, judged))


for _one in (pour, sheets_, answer, result):
    _one.params.insert(0, _FILE)


def _read(said: dict[str, Any]) -> Any:  # Any: words as click hands them; a Tasting, made late
    """The tasting that the options say; what must be known of safety is asked for."""
    from prepkit.errors import BadInput, named
    from prepkit.numbers import whole
    from prepkit.tasting import read_allergens
    from prepkit.units import parse_quantity
    from prepkit.workflows import words

    glasses = tuple(words(glass, "glass") for glass in said["glasses"])
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


# ---- a ladder as text ----


def ladder_text(one: Ladder) -> str:
    """The bench sheet."""
    out = [f"Ladder of {len(one.glasses)} glasses of {one.volume_ml:g} ml", ""]
    out += [_fill(line) for line in stock_lines(one)]
    heads, rows = weigh_rows(one)
    out += ["Weigh into each glass, in g", grid(rows, heads, "l" + "r" * (len(heads) - 1)), ""]
    heads, rows = property_rows(one)
    out += ["Each glass", grid(rows, heads, "lrrrrr"), ""]
    out += ["In all", grid(totals(one), ("what", "g"), "lr", "  "), ""]
    out += [_fill(sentence) for sentence in notes(one)]
    out += ["", *(_fill(line.text, "  ", "    ") for line in lines())]
    out += ["", *(caution_text(caution) for caution in cautions(one))]
    return "\n".join(out).rstrip() + "\n"


def ladder_html(one: Ladder) -> str:
    """The bench sheet as one A4 to print; no script in it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return made.get_template("ladder.html").render(
        one=one, stocks=stock_lines(one), weigh=weigh_rows(one), properties=property_rows(one),
        totals=totals(one), notes=notes(one), lines=list(lines()), cautions=cautions(one),
    )  # fmt: skip


def stock_lines(one: Ladder) -> list[str]:
    """What to make first, where the scale cannot weigh an addition by itself."""
    return [
        f"First a stock: {grams:.2f} g {step.added} in {grams * (1.0 - share) / share:.0f} g of "
        "the base."
        for step, share, grams in zip(one.steps, one.stocks, one.added_g, strict=True)
        if share is not None
    ]


def weigh_rows(one: Ladder) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """What goes into each glass, in g: the heads and the rows of a table."""
    digits = len(f"{one.scale_g:.10g}".partition(".")[2])
    rows = [
        (
            glass.name,
            f"{w.base_g:.{digits}f}",
            *(f"{g:.{digits}f}" if g else "-" for g in w.added_g),
        )
        for glass, w in zip(one.glasses, one.weigh, strict=True)
    ]
    return ("glass", "base", *map(_added, one.steps, one.stocks)), rows


def property_rows(one: Ladder) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """What each glass is like: the heads and the rows of a table."""
    rows = [
        (str(row["glass"]), *(_number(row[key], digits) for key, digits, _ in _SHOWN))
        for row in properties(one)
    ]
    return ("glass", *(label for _, _, label in _SHOWN)), rows


_SHOWN = (("acidity", 2, "acidity %"), ("sugar", 1, "sugars %"), ("abv", 1, "% vol"),
          ("ph", 2, "pH"), ("refractometer", 1, "reads Bx"))  # fmt: skip


def _added(step: LadderStep, share: float | None) -> str:
    return step.added or step.kind if share is None else f"stock of {step.added}"


def _number(value: object, digits: int) -> str:
    return f"{value:.{digits}f}" if isinstance(value, float) else "-"


def totals(one: Ladder) -> list[tuple[str, str]]:
    """All that is weighed, in g."""
    whole_kg = math.fsum(part.mass_kg for part in one.base)
    rows = [(part.name, f"{one.base_g * part.mass_kg / whole_kg:.1f}") for part in one.base]
    return rows + [
        (step.added, f"{grams:.2f}")
        for step, grams in zip(one.steps, one.added_g, strict=True) if step.added
    ]  # fmt: skip


def notes(one: Ladder) -> list[str]:
    """What must be known of this ladder, in words."""
    out = [f"Allergens: {', '.join(one.allergens) or 'none known of these parts'}."]
    for kind in one.too_close:
        out.append(f"The {kind} steps are closer than most people can tell; take fewer glasses.")
    if any(step.kind == "temperature" for step in one.steps):
        out.append("The colder, the sourer it tastes; by how much, nobody has published.")
    return out


def cautions(one: Ladder) -> list[Caution]:
    """The cautions of all glasses, once each, without those that only stand."""
    found: dict[str, Caution] = {}
    for glass in one.glasses:
        for caution in glass.answer.cautions:
            if caution.severity != "note":
                found.setdefault(caution.id, caution)
    return list(found.values())


def ladder_dict(one: Ladder) -> dict[str, Any]:  # Any: JSON
    """The ladder as JSON has it."""
    return {
        "glasses": [
            {**row, "base_g": weigh.base_g, "added_g": list(weigh.added_g)}
            for row, weigh in zip(properties(one), one.weigh, strict=True)
        ],
        "added": [
            {"what": step.added or step.kind, "stock_share": share, "total_g": grams}
            for step, share, grams in zip(one.steps, one.stocks, one.added_g, strict=True)
        ],
        "base_g": one.base_g, "volume_ml": one.volume_ml, "scale_g": one.scale_g,
        "allergens": list(one.allergens), "notes": notes(one),
        "cautions": [
            {"id": c.id, "severity": c.severity, "text": c.text, "action": c.action}
            for c in cautions(one)
        ],
    }  # fmt: skip


# ---- prepkit ladder ----


@click.command(
    cls=Command,
    name="ladder",
    help="A series of small glasses that steps one thing or two: acidity, sugar, strength, "
    "dilution or temperature. It says what to weigh into each, in steps of the scale, "
    "and what each glass is like.\n\n\b\nExamples:\n"
    '  prepkit ladder --part "1 l water" --part "150 g white sugar" \\\n'
    '    --step "acidity: 0.4 % to 0.8 %" --glasses 5 --volume "40 ml"\n'
    '  prepkit ladder --part "500 ml spirit 43 %" --part "500 ml lemon juice" \\\n'
    '    --step "sugar: 6 % to 12 %" --step "dilution: 10 % to 40 %" --glasses "3 x 2" \\\n'
    '    --volume "30 ml"',
    short_help="Small glasses that step acidity, sugar, strength: what to weigh.",
)
@click.option("--part", "parts", multiple=True, metavar="WORDS", help="A part of the drink; once "
              "for each.")  # fmt: skip
@click.option("--step", "steps", multiple=True, metavar="WORDS", help="The steps, such as "
              '"acidity: 0.4 % to 0.8 %"; sugar, strength, dilution, temperature.')  # fmt: skip
@click.option("--with", "with_", multiple=True, metavar="WORDS", help="The addition, such as "
              '"acidity: malic acid" [citric acid, white sugar, water].')  # fmt: skip
@click.option("--glasses", metavar="COUNT", help='How many: 5, or "3 x 3" for two steps.')
@click.option("--even", type=click.Choice(["ratio", "difference"]), default="ratio",
              show_default=True, help="Even in ratio or in difference.")  # fmt: skip
@click.option("--volume", metavar="WORDS", help="Of each glass, such as 40 ml.")
@click.option("--scale", metavar="WORDS", default="0.1 g", show_default=True,
              help="The step of the scale.")  # fmt: skip
@click.option("--tasters", metavar="COUNT", default="12", show_default=True,
              help="Of the tasting that --out writes.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def ladder_command(
    parts: tuple[str, ...],
    steps: tuple[str, ...],
    with_: tuple[str, ...],
    glasses: str | None,
    even: str,
    volume: str | None,
    scale: str,
    tasters: str,
    as_json: bool,
    house: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Work out the ladder, print it; write the tasting that judges it where that is asked for."""
    from prepkit import registry, tasting
    from prepkit.errors import BadInput, named
    from prepkit.numbers import whole
    from prepkit.stdout import put_text
    from prepkit.tasting.ladder import counts_of, ladder, number, read_with, tasting_of
    from prepkit.workflows import put

    for said, key, sample in (
        (parts, "part", "1 l water"), (steps, "step", "acidity: 0.4 % to 0.8 %"),
        (glasses, "glasses", "5"), (volume, "volume", "40 ml"),
    ):  # fmt: skip
        if not said:
            raise BadInput(f"give {named(key, sample)}.", key)
    assert glasses is not None
    assert volume is not None
    added = read_with(with_)
    read = [LadderStep.read(words, added) for words in steps]
    unused = added.keys() - {step.kind for step in read}
    if unused:
        raise BadInput(f"no step is of the {sorted(unused)[0]}; leave its addition out.", "with")
    found = ladder(
        parts,
        read,
        counts_of(glasses, len(read)),
        even=even,
        volume_ml=number(volume, "ml", "volume", 5.0, 500.0),
        scale_g=number(scale, "g", "scale", 0.0001, 10.0),
        pantry=registry.house_pantry(house),
    )
    if out is not None:
        count = whole(tasters, 1, 1000)
        if count is None:
            raise BadInput(f'{named("tasters")} is "{tasters}"; give a whole number.', "tasters")
        put(tasting.written(tasting_of(found, count)), out, force, exact=True)
    if as_json:
        import json

        said_json = json.dumps(ladder_dict(found), indent=2, ensure_ascii=False)
        put(said_json + "\n", None, False, exact=True)
    else:
        put_text(ladder_text(found))


ladder_command.params += [
    house_option("Folder of the house file, whose own ingredients are known."),
    *OUT,
]
