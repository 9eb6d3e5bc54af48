"""prepkit drill: papers with an answer key from the calculators, and filled-in papers marked."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepkit.console import Command, FileName

if TYPE_CHECKING:
    from prepkit.drill.paper import Paper

TOPICS = ("siphon", "room", "cryogen", "acid", "syrup", "strength", "keg", "process")


@click.command(
    cls=Command,
    name="drill",
    help="Questions with realistic numbers from the calculators, with a mark sheet. The key is one "
    "page of letters and values. The long key has the working, each wrong answer's trap, the "
    "caution it teaches and who decides. The same topic, level and seed give the same "
    "paper. In a class everyone gets the same questions with different numbers."
    "\n\n\b\nExamples:\n"
    "  prepkit drill --topic siphon --count 5 --seed 7\n"
    "  prepkit drill --topic siphon --count 5 --seed 7 --format html --key --out drill.html\n"
    '  prepkit drill --topic room --names "Asha, Bo" --key\n'
    "  prepkit drill --check answers.json\n"
    '  prepkit drill --check asha.json --check bo.json --pass-mark "70 %"\n\n'
    "--format json prints an empty answers file. Filled in, it is "
    '{"topic": "siphon", "seed": 7, "count": 5, "level": null, "answers": '
    '{"1": "13.1 bar", "2": "B"}}.',
    short_help="Questions with an answer key, made from the calculators; marks papers.",
)
@click.option("--topic", type=click.Choice(TOPICS), help="Subject of the questions.")
@click.option("--count", type=click.IntRange(1, 100), help="How many questions [10].")
@click.option("--seed", type=click.IntRange(0, 999_999_999), help="Which paper [1].")
@click.option("--level", type=click.IntRange(1, 3), help="One level only [all three].")
@click.option("--names", metavar="NAMES", help="A paper for each name, or for so many people.")
@click.option("--key", is_flag=True, help="Add the key, on one page of its own.")
@click.option("--long-key", is_flag=True, help="Add the key with all working, on its own pages.")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["text", "json", "html"]),
    default="text",
    show_default=True,
    help="How it is printed.",
)
@click.option(
    "--check",
    metavar="FILE",
    type=FileName(),
    multiple=True,
    help="Mark a filled-in answers file; several are a class.",
)
@click.option("--pass-mark", metavar="MARK", help='Marks to pass: "70 %", or how many questions.')
@click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
def command(
    topic: str | None,
    count: int | None,
    seed: int | None,
    level: int | None,
    names: str | None,
    key: bool,
    long_key: bool,
    shape: str,
    check: tuple[str, ...],
    pass_mark: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Make a paper or those of a class, or mark them."""
    from prepkit.errors import BadInput
    from prepkit.workflows.out import put

    if check:
        if key or long_key or any(one is not None for one in (topic, count, seed, level, names)):
            raise BadInput(
                "--check goes alone: topic, count, seed, level and name are in the answers file.",
                "check",
            )
        put(_marked(check, shape, pass_mark), out, force, exact=shape != "text")
        return
    if pass_mark is not None:
        raise BadInput("--pass-mark goes with --check, which marks papers.", "pass_mark")
    if topic is None:
        raise BadInput(
            f"drill needs --topic, one of {', '.join(TOPICS)}, or --check with an answers file.",
            "topic",
        )
    from prepkit.drill.paper import make_paper

    count, seed = 10 if count is None else count, 1 if seed is None else seed
    if names is None:
        said = printed(make_paper(topic, count, seed, level), shape, key, long_key)
    else:
        from prepkit.drill.whole_class import make_class, people

        papers = make_class(people(names), topic, count, seed, level)
        said = printed_class(papers, shape, key, long_key)
    put(said, out, force, exact=shape != "text")


def printed(paper: Paper, shape: str, key: bool, long_key: bool = False) -> str:
    """A paper as text, json or html, with its keys where they are asked for."""
    if shape == "json":
        return _json(paper.to_dict(key or long_key))
    if shape == "html":
        from prepkit.drill.page import paper_html

        return paper_html([paper], key, long_key)
    from prepkit.drill.sheet import paper_text

    return paper_text(paper, key, long_key)


def printed_class(papers: Sequence[Paper], shape: str, key: bool, long_key: bool) -> str:
    """The papers of a class as text, json or html."""
    if shape == "json":
        return _json({"papers": [paper.to_dict(key or long_key) for paper in papers]})
    if shape == "html":
        from prepkit.drill.page import paper_html

        return paper_html(papers, key, long_key)
    from prepkit.drill.sheet import class_text

    return class_text(papers, key, long_key)


def _marked(files: Sequence[str], shape: str, pass_mark: str | None) -> str:
    from prepkit.drill.marking import mark_paper, read_sheet
    from prepkit.drill.sheet import marked_text, results_text
    from prepkit.errors import BadInput

    if shape == "html":
        raise BadInput("a marked paper is printed with --format text or json.", "format")
    marked = [mark_paper(read_sheet(Path(file))) for file in files]
    if len(marked) == 1 and pass_mark is None:
        return _json(marked[0].to_dict()) if shape == "json" else marked_text(marked[0])
    from prepkit.drill.whole_class import results

    found = results(marked, pass_mark)
    return _json(found.to_dict()) if shape == "json" else results_text(found)


def _json(said: object) -> str:
    import json

    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
