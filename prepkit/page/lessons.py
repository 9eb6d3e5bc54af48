"""A lesson made on the page: a form, and the document to print or to keep."""

from __future__ import annotations

import secrets
from collections.abc import Mapping

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.drill.paper import LARGEST_SEED
from prepkit.errors import BadInput
from prepkit.language import ENGLISH, checked, names
from prepkit.lesson.lesson import one_file
from prepkit.lesson.model import AUDIENCES, LENGTHS_MIN, Facts
from prepkit.numbers import whole
from prepkit.page import guard
from prepkit.plan.house import house_in

blueprint = Blueprint("lessons", __name__, url_prefix="/lessons")
NOT_MADE = 422
FIRST_SEED = 1000


@blueprint.get("/")
def index() -> AnyResponse | tuple[str, int]:
    """The form that asks for a lesson; without a number a new one is drawn."""
    problem: BadInput | None = None
    if request.args:
        try:
            made = _facts(request.args)
        except BadInput as error:
            problem = error
        else:
            to = url_for(
                "lessons.document",
                audience=made.audience,
                minutes=made.minutes,
                seed=made.seed,
                language=made.language,
            )
            return redirect(to, 303)
    return render_template(
        "lessons.html",
        audiences=AUDIENCES,
        lengths=LENGTHS_MIN,
        languages=names(),
        args=request.args,
        problem=problem,
        house=guard.settings().house is not None,
    ), 200 if problem is None else NOT_MADE


@blueprint.get("/lesson")
def document() -> AnyResponse:
    """The lesson as one document; its address makes it again."""
    return guard.document(one_file(_facts(request.args)))


def _facts(args: Mapping[str, str]) -> Facts:
    """What an address asks for; BadInput with the field where it cannot be made."""
    audience = args.get("audience", "").strip()
    if audience not in AUDIENCES:
        raise BadInput(
            f"For whom is “{audience[:40]}”; it is one of {', '.join(AUDIENCES)}.", "audience"
        )
    minutes = whole(args.get("minutes", ""), LENGTHS_MIN[0], LENGTHS_MIN[-1])
    if minutes not in LENGTHS_MIN:
        lengths = ", ".join(map(str, LENGTHS_MIN))
        raise BadInput(
            f"Minutes are “{args.get('minutes', '')[:40]}”; they are one of {lengths}.", "minutes"
        )
    said = args.get("seed", "").strip()
    seed = whole(said, 0, LARGEST_SEED) if said else FIRST_SEED + secrets.randbelow(9 * FIRST_SEED)
    if seed is None:
        raise BadInput(
            f"Number of the lesson is “{said[:40]}”; it is a whole number from 0 to "
            f"{LARGEST_SEED}.",
            "seed",
        )
    language = checked(args.get("language", "").strip() or ENGLISH)
    return Facts(audience, minutes, seed, language, house=house_in(guard.settings().house))
