"""A lesson as a folder of documents, as one document to print, its plan as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping

from prepkit.lesson import papers
from prepkit.lesson.lesson import listed, parts, sheets, shows, title
from prepkit.lesson.model import Facts, Sheet
from prepkit.render import wall
from prepkit.render.html import document
from prepkit.stdout import columns


def files(facts: Facts) -> Mapping[str, str]:
    """The files of the folder by name: each sheet, and the answers files of its papers."""
    test, later = papers.test_paper(facts), papers.refresher_paper(facts)
    return {
        **{f"{one.name}.html": _page(facts, [one], one.title) for one in sheets(facts)},
        "test-answers.json": papers.answers_file(test),
        "refresher-answers.json": papers.answers_file(later),
    }


def one_file(facts: Facts) -> str:
    """All of it as one document, each sheet on a page of its own."""
    return _page(facts, sheets(facts, "#{}"), title(facts))


def _page(facts: Facts, shown: Iterable[Sheet], named: str) -> str:
    return document(
        "lesson.html",
        language=facts.language,
        title=named,
        foot=f"{title(facts)}, {facts.say('seed {seed}', seed=str(facts.seed))}",
        **{key: value for key, value in wall.parts(()).items() if key in ("type", "beside")},
        sheets=list(shown),
    )


def plan_text(facts: Facts) -> str:
    """The plan as text, and what else there is."""
    out, known = [title(facts), ""], listed()
    for one in parts(facts):
        minutes = facts.say("{minutes} min", minutes=one.minutes)
        out.append(f"{one.clock}  {facts.say(one.title)} ({minutes}, {facts.say(one.who)})")
        kinds = (
            (facts.say("do"), one.do),
            (facts.say("say"), one.say),
            (facts.say("show"), shows(facts, one)),
        )
        for kind, told in kinds:
            out += [_fill(text, f"  {kind:<8}", " " * 10) for text in told]
        see = ", ".join(facts.say(known[name]["title"]) for name in one.see)
        out += [_fill(see, f"  {facts.say('sheets'):<8}", " " * 10)] if see else []
    return "\n".join(out) + "\n"


def _fill(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
