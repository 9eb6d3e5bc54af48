"""The batch sheet of a recipe: shown, as a page and as JSON."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput
from prepkit.page.batch_keep import keep
from prepkit.page.batch_made import Made
from prepkit.page.batch_page import page
from prepkit.page.batch_readings import READ, field_of
from prepkit.page.desk import desk
from prepkit.workflows.plan_work import printed

blueprint = Blueprint("batch", __name__)
blueprint.post("/<name>/batch")(keep)


@blueprint.get("/<name>/batch")
def view(name: str) -> AnyResponse | tuple[str, int]:
    """The batch sheet with what is kept of it."""
    if not desk().book.write and any(key.startswith("value.") for key in request.args):
        return _one_more_reading(name)
    made = Made(name)
    made.look_up()
    return page(made)


def _one_more_reading(name: str) -> AnyResponse:
    """A reading from the field of an item, put into the address that holds the others."""
    held = [
        (key, value)
        for key, value in request.args.items(multi=True)
        if not key.startswith(("what.", "value.", "temperature.", "atc."))
    ]
    last = ""
    for key in request.args:
        item = key.removeprefix("value.")
        typed = field_of(request.args, item)
        if not key.startswith("value.") or not typed.get("value") or "what" not in typed:
            continue
        last = item
        own = {f"{READ}.{item}.{part}" for part in (typed["what"], "temperature", "atc")}
        held = [pair for pair in held if pair[0] not in own]
        held.append((f"{READ}.{item}.{typed['what']}", typed["value"]))
        held += [
            (f"{READ}.{item}.{part}", typed[part]) for part in ("temperature", "atc")
            if part in typed
        ]  # fmt: skip
    anchor = f"#read-{last}" if last else ""
    return redirect(f"{url_for('recipes.batch.view', name=name)}?{urlencode(held)}{anchor}", 303)


@blueprint.get("/<name>/batch.json")
def as_json(name: str) -> AnyResponse:
    """The plan with its readings, letter by letter as `plan --measured --json` prints it."""
    made = Made(name)
    made.look_up()
    sheet = made.sheet()
    if made.state.problems or made.why:
        raise BadInput(made.why or next(iter(made.state.problems.values())))
    text = printed(sheet.asked._replace(as_json=True), sheet.worked)
    return Response(text, mimetype="application/json")
