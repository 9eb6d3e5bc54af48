"""What can be written: amounts, units, the ingredients that are known; and the caution sheets."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from prepkit import cautions
from prepkit.errors import BadInput
from prepkit.page import guard, house
from prepkit.page.settings import settings
from prepkit.render import wall, wall_html
from prepkit.render.html import source_words
from prepkit.workflows.pantry_command import VALUE_WORDS, looked_up, strength_words

blueprint = Blueprint("words", __name__)
_MOST = 100


@blueprint.get("/words")
def index() -> str:
    """The names of ingredients that hold the words asked for, or one ingredient in full."""
    asked = " ".join(request.args.get("q", "").split())[:_MOST]
    pantry = house.pantry()
    found: dict[str, Any] = looked_up(asked, pantry)  # Any: what the pantry's JSON holds
    return render_template(
        "words.html",
        asked=asked,
        found=found,
        own=pantry.own_names(),
        value_words=VALUE_WORDS,
        strength=strength_words(found["strength"]) if found.get("strength") else "",
        line=cautions.page_line("pantry"),
    )


@blueprint.get("/cautions")
def walls() -> str:
    """The kinds of danger, each with a sheet for the wall."""
    kinds = [(kind, len(wall.selected(kind))) for kind in cautions.KINDS]
    return render_template(
        "cautions.html", kinds=kinds, kind="", rows=[], legend="", line="", prints=True
    )


@blueprint.get("/cautions/<kind>")
def sheet(kind: str) -> str:
    """The sheet of one kind."""
    if kind not in cautions.KINDS:
        abort(404, f"No sheet is about “{kind[:60]}”; they are {', '.join(cautions.KINDS)}.")
    rows = [
        {
            **wall.row_dict(row),
            "obtained": source_words(row.source),
        }
        for row in wall.selected(kind)
    ]
    return render_template(
        "cautions.html",
        kinds=[],
        kind=kind,
        rows=rows,
        legend=wall.LEGEND,
        line=cautions.page_line("wall"),
        prints=any(kind in one.kinds for one in wall_html.sheets()),
    )


@blueprint.get("/wall-sheets")
def to_print() -> AnyResponse:
    """Wall sheets to print, of one kind or all."""
    paper = request.args.get("paper", "a4")
    if paper not in wall_html.SIZES:
        raise BadInput(f"The paper is “{paper[:40]}”; it is one of {', '.join(wall_html.SIZES)}.")
    found = wall_html.chosen(request.args.get("kind") or None)
    return guard.document(wall_html.wall_sheets(found, settings().today(), paper))
