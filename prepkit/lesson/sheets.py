"""A lesson as a folder of documents, as one document to print, its plan as text."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping

from prepkit.lesson.lesson import SHEETS, WHO, parts, sheets, title
from prepkit.lesson.model import Facts, Sheet
from prepkit.render.html import document
from prepkit.stdout import columns


def files(facts: Facts) -> Mapping[str, str]:
    """The files of the folder by name."""
    return {f"{one.name}.html": _page(facts, [one], one.title) for one in sheets(facts)}


def one_file(facts: Facts) -> str:
    """All of it as one document, each sheet on a page of its own."""
    return _page(facts, sheets(facts), title(facts))


def _page(facts: Facts, shown: Iterable[Sheet], named: str) -> str:
    return document(
        "lesson.html",
        language=facts.language,
        title=named,
        foot=f"{title(facts)}, {facts.say('seed {seed}', seed=facts.seed)}",
        style="",
        sheets=list(shown),
    )


def plan_text(facts: Facts) -> str:
    """The plan as text, and what else there is."""
    out = [title(facts), ""]
    for one in parts(facts):
        minutes = facts.say("{minutes} min", minutes=one.minutes)
        out.append(f"{one.clock}  {facts.say(one.title)} ({minutes}, {facts.say(WHO[one.who])})")
        for kind in ("do", "say", "show"):
            for text in getattr(one, kind):
                out.append(_fill(text, f"  {facts.say(kind):<5}", " " * 7))
        see = ", ".join(facts.say(SHEETS[name][0]) for name in one.see if name in SHEETS)
        out += [_fill(see, f"  {facts.say('see'):<5}", " " * 7)] if see else []
    return "\n".join(out) + "\n"


def _fill(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
