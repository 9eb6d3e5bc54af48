"""Any calculator the other way round: the input to find, the output and the value it shall have.

The words of the calculation stand in the address as they do for its answer; each solution leads to
the answer that it gives. A solution that is a STOP is shown as one and leads nowhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from flask import Blueprint, render_template, request

from prepkit import solving
from prepkit.errors import PrepkitError
from prepkit.first_screen import degrees
from prepkit.page import carry, forms, house, wording
from prepkit.page.asked import Asked, asked, known
from prepkit.render.html import verdict

blueprint = Blueprint("solved", __name__)
FIND, LOW, HIGH, OUTPUT, VALUE = ".find", ".from", ".to", ".output", ".value"
ASKED = ".solve"  # says that a solution is asked for, not only the form
OWN = (FIND, LOW, HIGH, OUTPUT, VALUE)
NOT_SOLVED = 422


@dataclass(frozen=True)
class Found:
    """One solution as it is shown; `query` leads to its answer, "" where it is a STOP."""

    verdict: str
    word: str
    sentence: str
    query: str


@blueprint.get("/make/<name>/solve")
def solve(name: str) -> tuple[str, int]:
    """The form, and what was found."""
    got = asked(known(name), compute=False)
    system = house.system(request.args)
    said = {key: request.args.get(key, "").strip() for key in OWN}
    found: tuple[Found, ...] = ()
    problem = ""
    if got.wrong:
        problem = _told(name, next(iter(got.wrong.values())))
    elif ASKED in request.args:
        found, problem = _solutions(got, said, system)
    inputs, outputs = solving.choices(name, got.words)
    return render_template(
        "solve.html",
        name=name,
        title=name.replace("-", " ").capitalize(),
        said=said,
        own=dict(
            zip(("find", "low", "high", "output", "value", "asked"), (*OWN, ASKED), strict=True)
        ),
        pairs=got.query,
        given=_given(got),
        inputs=inputs,
        outputs=[(key, label, degrees(unit)) for key, label, unit in outputs],
        found=found,
        problem=problem,
        back=urlencode([*got.query, (forms.EDIT, "1")]),
    ), NOT_SOLVED if problem else 200


def _given(got: Asked) -> list[tuple[str, str]]:
    """What stands in the address, by the labels of its fields."""
    specs = forms.inputs(got.name)
    return [
        (specs[key].label, ", ".join(value) if isinstance(value, list) else str(value))
        for key, value in got.words.items() if key in specs
    ]  # fmt: skip


def _solutions(got: Asked, said: dict[str, str], system: str) -> tuple[tuple[Found, ...], str]:
    """What was found, or why nothing was."""
    name, find = got.name, said[FIND]
    if not said[VALUE]:
        return (), "Write the value that it shall have."
    if bool(said[LOW]) != bool(said[HIGH]):
        return (), "Fill in both ends of where to look, or none."
    if said[LOW]:
        find = f"{find} {said[LOW]} to {said[HIGH]}"
    try:
        carried, pantry = carry.read(request.args.getlist(forms.MADE), house.pantry())
        words = f"{find}: {said[OUTPUT]} = {said[VALUE]}"
        solved = solving.solve(name, words, got.words, pantry)
    except PrepkitError as error:
        return (), _told(name, error)
    return tuple(
        Found(
            one.answer.verdict,
            verdict(one.answer.verdict).word,
            f"{sentence[:1].upper()}{sentence[1:]}",
            _query(one, carried),
        )
        for one, sentence in zip(solved.solutions, solved.sentences(system), strict=True)
    ), ""


def _query(one: solving.Solution, carried: tuple[carry.Carried, ...]) -> str:
    """The address of the answer with a solution in it; "" where that is a STOP."""
    if one.answer.verdict == "stop":
        return ""
    return urlencode(forms.query(one.said, carry.lines(carry.needed(carried, one.said))))


def _told(name: str, error: PrepkitError) -> str:
    said = wording.sentence(error.wording, forms.inputs(name))
    return f"{said[:1].upper()}{said[1:]}"
