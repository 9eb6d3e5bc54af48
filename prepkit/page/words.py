"""What can be written: amounts, units, the ingredients that are known; and the caution sheets."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, render_template, request

from prepkit import cautions
from prepkit.page import house
from prepkit.render import wall
from prepkit.render.html import source_words
from prepkit.workflows.pantry_command import VALUE_WORDS, looked_up, strength_words

blueprint = Blueprint("words", __name__)
_MOST = 100


@blueprint.get("/words")
def index() -> str:
    """The names of ingredients that hold the words asked for, or one ingredient in full."""
    asked = " ".join(request.args.get("q", "").split())[:_MOST]
    pantry = house.pantry()
    found: dict[str, Any] = looked_up(asked, pantry)
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
    return render_template("cautions.html", kinds=kinds, kind="", rows=[], legend="", line="")


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
    )
