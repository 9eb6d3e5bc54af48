"""A paper as one HTML document to print, the key on a page of its own; no script in it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from prepkit import render, sources
from prepkit.drill.paper import REMINDER, Paper
from prepkit.drill.questions import Question
from prepkit.drill.sheet import HOW
from prepkit.drill.traps import TRAPS
from prepkit.render.plate_svg import plate_svg
from prepkit.render.text import step_text

if TYPE_CHECKING:
    from jinja2 import Environment


def paper_html(papers: Sequence[Paper], key: bool = False, long_key: bool = False) -> str:
    """Each paper's questions and mark sheet; one key and the long keys where they are asked for."""
    made = _templates().get_template("drill.html")
    return made.render(
        papers=papers, key=key, long_key=long_key, how=HOW, reminder=REMINDER, traps=TRAPS
    )


def asked_html(question: Question, level: int = 2) -> str:
    """One question without its choices, to stand within a page; `level` is that of its heading."""
    return str(_parts().asked(question, level))


def keyed_html(question: Question, level: int = 3) -> str:
    """The key of one question, to stand within a page; `level` is that of its headings."""
    return str(_parts().keyed(question, TRAPS, level))


def _parts() -> Any:  # Any: the macros of a template, whose names jinja2 does not know
    return _templates().get_template("drill_parts.html").module


def _steps(question: Question) -> list[str]:
    obtained = {source.key: source.obtained for source in question.answer.sources}
    return [
        " ".join(step_text(s, obtained.get(s.source, "")).split()) for s in question.answer.working
    ]


def _sources(question: Question) -> list[str]:
    found = ((key, sources.find(key)) for key in question.sources)
    return [f"{key} ({s.obtained}) {s.title}" if s is not None else key for key, s in found]


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.filters["plate"] = lambda one: Markup(plate_svg(one.plate, one.number))
    made.filters["steps"] = _steps
    made.filters["sources"] = _sources
    return made
