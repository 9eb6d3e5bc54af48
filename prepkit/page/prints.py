"""The card and the label of a calculation: documents to print, as the command line makes them."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from flask import Blueprint, abort, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit import label_sheets
from prepkit.errors import BadInput
from prepkit.label import JURISDICTIONS, MOST_OPENED_DAYS
from prepkit.label_sheets import MOST_CELLS
from prepkit.numbers import whole
from prepkit.page import guard, house
from prepkit.page.asked import Asked, asked, known
from prepkit.page.settings import settings
from prepkit.plan.labels import of_answer
from prepkit.render.html import PAPERS, Look, Paper, answer_card
from prepkit.render.label_html import label_sheet
from prepkit.shared.keeping_rules import read_date

blueprint = Blueprint("prints", __name__)
MOST_TITLE = 200


@blueprint.get("/make/<name>/card")
def card(name: str) -> AnyResponse:
    """The card of an answer."""
    got = asked(known(name))
    if got.answer is None:
        return _back(got)
    return guard.document(answer_card(got.answer, _look(), _address(got)))


@blueprint.get("/make/<name>/label")
def label(name: str) -> AnyResponse:
    """The labels of what an answer makes, as many as the sheet takes."""
    got = asked(known(name))
    if got.answer is None:
        return _back(got)
    made = _day(".day", "The day of making") or settings().today()
    oldest = _day(".oldest", "The day of its oldest part")
    law = request.args.get(".law", JURISDICTIONS[0])
    if law not in JURISDICTIONS:
        raise BadInput(
            f"The list of allergens is “{law[:40]}”; it is one of {', '.join(JURISDICTIONS)}."
        )
    paper = _paper()
    said = request.args.get(".sheet", "").strip()
    cells = label_sheets.on(paper.name, _count("Labels on a sheet", said) if said else None)
    opened = request.args.get(".opened", "").strip()
    days = _count("Days once opened", opened, MOST_OPENED_DAYS, 0) if opened else None
    title = _title() or name
    found = of_answer(title, got.inputs, got.answer, made, oldest, law, days)
    copies = cells.count if found.verdict != "stop" else 1
    look = Look(made, paper, house.system(request.args), title=f"Label: {title}")
    return guard.document(label_sheet([found] * copies, look, cells))


def _back(got: Asked) -> AnyResponse:
    """To the form, which says what is wrong."""
    if not got.words:
        abort(404, "There are no words of a calculation in this address.")
    return redirect(f"{url_for('work.calculation', name=got.name)}?{urlencode(got.query)}")


def _look() -> Look:
    return Look(
        settings().today(),
        _paper(),
        house.system(request.args),
        ".working" in request.args,
        _title(),
        ".details" in request.args or ".working" in request.args,
    )


def _address(got: Asked) -> str:
    """Where others find this calculation; "" where only this machine reaches the page."""
    return guard.outside(f"{url_for('work.calculation', name=got.name)}?{urlencode(got.query)}")


def _paper() -> Paper:
    name = request.args.get(".paper", "a4")
    if name not in PAPERS:
        raise BadInput(f"The paper is “{name[:40]}”; it is one of {', '.join(PAPERS)}.")
    return PAPERS[name]


def _title() -> str:
    tidy = " ".join(request.args.get(".title", "").split())
    if len(tidy) > MOST_TITLE:
        raise BadInput(f"The headline has {len(tidy)} characters; at most {MOST_TITLE} are taken.")
    return tidy


def _day(key: str, what: str) -> date | None:
    said = request.args.get(key, "").strip()
    return read_date(said, what) if said else None


def _count(what: str, said: str, most: int = MOST_CELLS, least: int = 1) -> int:
    found = whole(said, least, most)
    if found is None:
        raise BadInput(f"{what} is “{said[:40]}”; it is a whole number from {least} to {most}.")
    return found
