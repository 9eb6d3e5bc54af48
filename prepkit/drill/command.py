"""prepkit drill: papers with an answer key from the calculators, and filled-in papers marked."""

from __future__ import annotations

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
    help="Questions with realistic numbers from the calculators, with a mark sheet. The key is on "
    "a page of its own. It gives the full working, the trap behind each wrong answer, the caution "
    "it teaches and who decides. The same topic, level and seed give the same paper."
    "\n\n\b\nExamples:\n"
    "  prepkit drill --topic siphon --count 5 --seed 7\n"
    "  prepkit drill --topic siphon --count 5 --seed 7 --format html --key --out drill.html\n"
    "  prepkit drill --check answers.json\n\n"
    "--format json prints an empty answers file. Filled in, it is "
    '{"topic": "siphon", "seed": 7, "count": 5, "level": null, "answers": '
    '{"1": "13.1 bar", "2": "B"}}.',
    short_help="Questions with an answer key, made from the calculators; marks papers.",
)
@click.option("--topic", type=click.Choice(TOPICS), help="Subject of the questions.")
@click.option("--count", type=click.IntRange(1, 100), help="How many questions [10].")
@click.option("--seed", type=click.IntRange(0, 999_999_999), help="Which paper [1].")
@click.option("--level", type=click.IntRange(1, 3), help="One level only [all three].")
@click.option("--key", is_flag=True, help="Add the key, on a page of its own.")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["text", "json", "html"]),
    default="text",
    show_default=True,
    help="How it is printed.",
)
@click.option("--check", metavar="FILE", type=FileName(), help="Mark the filled-in answers file.")
@click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
def command(
    topic: str | None,
    count: int | None,
    seed: int | None,
    level: int | None,
    key: bool,
    shape: str,
    check: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Make a paper or mark one."""
    from prepkit.errors import BadInput
    from prepkit.workflows.out import put

    if check is not None:
        if key or any(one is not None for one in (topic, count, seed, level)):
            raise BadInput(
                "--check goes alone: topic, count, seed and level are in the answers file.", "check"
            )
        put(_marked(check, shape), out, force, exact=shape != "text")
        return
    if topic is None:
        raise BadInput(
            f"drill needs --topic, one of {', '.join(TOPICS)}, or --check with an answers file.",
            "topic",
        )
    from prepkit.drill.paper import make_paper

    paper = make_paper(topic, 10 if count is None else count, 1 if seed is None else seed, level)
    put(printed(paper, shape, key), out, force, exact=shape != "text")


def printed(paper: Paper, shape: str, key: bool) -> str:
    """A paper as text, json or html, with its key where it is asked for."""
    if shape == "json":
        return _json(paper.to_dict(key))
    if shape == "html":
        from prepkit.drill.page import paper_html

        return paper_html(paper, key)
    from prepkit.drill.sheet import paper_text

    return paper_text(paper, key)


def _marked(file: str, shape: str) -> str:
    from prepkit.drill.marking import mark_paper, read_sheet
    from prepkit.drill.sheet import marked_text
    from prepkit.errors import BadInput

    if shape == "html":
        raise BadInput("a marked paper is printed with --format text or json.", "format")
    marked = mark_paper(read_sheet(Path(file)))
    return _json(marked.to_dict()) if shape == "json" else marked_text(marked)


def _json(said: object) -> str:
    import json

    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
