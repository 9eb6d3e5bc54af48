"""prepkit ladder: a series of small glasses to find the acidity, sugar, strength by tasting."""

from __future__ import annotations

import click

from prepkit.console import Command, house_option
from prepkit.workflows.documents import OUT


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
def command(
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
    from prepkit import house_place
    from prepkit.errors import BadInput, named
    from prepkit.numbers import whole
    from prepkit.stdout import put_text
    from prepkit.tasting import file, ladder_show
    from prepkit.tasting.ladder import Step, counts_of, ladder, number, read_with, tasting_of
    from prepkit.workflows.out import put

    for said, key, sample in (
        (parts, "part", "1 l water"), (steps, "step", "acidity: 0.4 % to 0.8 %"),
        (glasses, "glasses", "5"), (volume, "volume", "40 ml"),
    ):  # fmt: skip
        if not said:
            raise BadInput(f"give {named(key, sample)}.", key)
    assert glasses is not None
    assert volume is not None
    added = read_with(with_)
    read = [Step.read(words, added) for words in steps]
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
        pantry=house_place.pantry(house),
    )
    if out is not None:
        count = whole(tasters, 1, 1000)
        if count is None:
            raise BadInput(f'{named("tasters")} is "{tasters}"; give a whole number.', "tasters")
        put(file.written(tasting_of(found, count)), out, force, exact=True)
    if as_json:
        import json

        said_json = json.dumps(ladder_show.ladder_dict(found), indent=2, ensure_ascii=False)
        put(said_json + "\n", None, False, exact=True)
    else:
        put_text(ladder_show.ladder_text(found))


command.params += [house_option("Folder of the house file, whose own ingredients are known."), *OUT]
