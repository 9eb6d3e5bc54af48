"""An answer by the parts that the page shows of it, and what a browser keeps of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from urllib.parse import urlencode

from flask import current_app, url_for

from prepkit.model import Answer
from prepkit.page import answers, carry, forms, held, recipe_form, wording
from prepkit.page.asked import Asked, asked, asked_in, held_pair
from prepkit.page.settings import settings
from prepkit.render import html
from prepkit.render.brief import as_printed

# where tables or a picture are what was asked for: the words over them, the tables that stand open
ASKED_FOR = {
    "compose": ("Targets, and other ways", ("targets", "others", "rounded", "rounding")),
    "window": ("From pour to last sip", ("bands",)),
}


def answered(got: Asked, answer: Answer, system: str) -> dict[str, Any]:  # Any: what templates take
    """All that is shown of an answer to what an address asks, in metric or US units."""
    made = carry.of(answer, got.words, got.carried)
    look = html.Look(settings().today(), system=system)
    said: dict[str, Any] = html.answer_parts(answer, look)  # Any: what templates take
    for key in ("first", "notes", "standing"):
        said[key] = [_in_page_words(got.name, one) for one in said[key]]
    top = answers.top(answer, got.words, got.carried, system, asked_in())
    words, names = ASKED_FOR.get(got.name, ("", ()))
    open_ = {one.title for one in answer.tables if one.name in names}
    seen = [one for one in said["notes"] if one.key in top.shown]
    said |= {
        "inputs": [
            (label, [forms.GASES.get(one, one) for one in words]) for label, words in said["inputs"]
        ],
        "name": got.name,
        "title": got.name.replace("-", " ").capitalize(),
        "top": top,
        "stops": [one for one in said["first"] if one.severity == "stop"],
        "minds": [*(one for one in said["first"] if one.severity != "stop"), *seen],
        "more_notes": [one for one in said["notes"] if one.key not in top.shown],
        "held": _held(got, answer, system),
        "hold": urlencode([*got.query, (forms.HELD, held.text_of(got.query))]),
        "recent": _recent(got, top),
        "answer": answer,
        "asked_for": words,
        "open_tables": [one for one in said["tables"] if one.title in open_],
        "tables": [one for one in said["tables"] if one.title not in open_],
        "query": urlencode(got.query),
        "pairs": got.query,
        "made": made,
        "keep": _keep(got),
        "onward": carry.onward(made) if made is not None else [],
        "papers": tuple(html.PAPERS),
        "today": settings().today().isoformat(),
        "trace": html.stamp(look, {"calculator": got.name, "inputs": answer.inputs}),
    }
    return said


def _keep(got: Asked) -> str:
    """The address that saves a calculation into a recipe; "" where none can be saved."""
    if settings().recipes is None or not settings().write:
        return ""
    used = carry.needed(got.carried, got.words)
    return urlencode(recipe_form.query(got.name, got.words, used))


def _held(got: Asked, answer: Answer, system: str) -> held.Held | None:
    """What differs from the answer to compare with; None where there is none."""
    pair = held_pair()
    if not pair:
        return None
    text = pair[0][1]
    was = asked(got.name, args=held.args_of(text))
    return held.differing(got.name, was.answer, answer, text, system)


def _recent(got: Asked, top: answers.Top) -> str:
    """What the list of recent work keeps of an answer: no day that will be over."""
    again = [pair for pair in got.query if pair[0] not in forms.TODAY]
    first = next((value for key, value in got.query if not key.startswith(".")), "")
    return current_app.json.dumps(
        {
            "to": f"{url_for('work.calculation', name=got.name)}?{urlencode(again)}",
            "name": f"{got.name.replace('-', ' ').capitalize()}, {first}",
            "word": top.name,
            "say": top.say.striptags(),
        }
    )


def _in_page_words(name: str, one: html.Warned) -> html.Warned:
    """A caution that points at a field by the label which it has on the page."""
    specs = forms.inputs(name)

    def printed(words: str) -> str:
        return as_printed(wording.sentence(words, specs))

    said = [(of, printed(text), printed(action)) for of, text, action in one.said]
    return replace(one, said=said)
