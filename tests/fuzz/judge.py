"""What must hold of every case, whatever was said: an answer, or one clear sentence, in time."""

from __future__ import annotations

import json
import math
import re
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from render.page_reader import read as read_page

from fuzz.words import MARKUP
from prepkit import render as as_json
from prepkit.cautions import VERDICTS
from prepkit.errors import PrepkitError
from prepkit.inputs import Inputs
from prepkit.model import Answer
from prepkit.plan import Plan, labels, load_recipe, make_plan
from prepkit.plan.check import Problem, check
from prepkit.plan.files import MOST_PROBLEMS
from prepkit.registry import answer, validate
from prepkit.render.batch import batch_text
from prepkit.render.html import PAPERS, Look, answer_card
from prepkit.render.label import label_sheet, label_text
from prepkit.render.plan_csv import plan_csv
from prepkit.render.plan_first import first_text
from prepkit.render.plan_html import plan_card
from prepkit.render.plan_text import plan_text
from prepkit.render.short import short_text
from prepkit.render.text import answer_text
from prepkit.workflows.plan_command import PlanOptions
from prepkit.workflows.plan_command import answer as asking

SECONDS = 2.0  # of the processor, for one case
STANDING = {"pressure", "cryogen", "inhalation"}
MOST_LETTERS = 2500  # of a sentence: it may spell out all the choices there are
DAY = date(2026, 11, 25)
# what a terminal takes as an order, what turns text round, and what is no text at all
UNSEEN = re.compile(
    r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
)
NO_NUMBER = re.compile(r"(?<![\w-])[-+]?(?:nan|inf|infinity)(?![\w-])", re.IGNORECASE)
LOOK = Look(DAY, PAPERS["a5"], working=True, title=MARKUP)


@contextmanager
def in_time() -> Iterator[None]:
    """The case within the time that one may take."""
    begun = time.process_time()
    yield
    took = time.process_time() - begun
    assert took < SECONDS, f"it took {took:.1f} s"


def sentence(message: str) -> None:
    """One clear sentence: a line of plain text that begins and ends as one."""
    assert message, "the sentence is empty"
    assert message == message.strip(), f"blanks around it: {message!r}"
    assert not UNSEEN.search(message), f"what cannot be seen: {message!r}"
    assert "\n" not in message, f"more than a line: {message!r}"
    assert len(message) <= MOST_LETTERS, f"{len(message)} letters: {message[:200]!r}"
    assert message[-1] in '.?"', f"it does not end: {message[-80:]!r}"
    odd = re.search(r"Traceback|<class|object at 0x|NoneType|pydantic|\[type=", message)
    assert not odd, f"of the inside: {message!r}"
    assert message[0].isalnum() or message[0] in "-\"'/.([{<", f"its beginning: {message!r}"


def refusal(error: PrepkitError) -> None:
    """An expected error: its sentence, its code, its exit status."""
    sentence(error.message)
    assert error.exit_status in (2, 4)
    assert str(error) == error.message


def finite(thing: Any, place: str = "") -> None:
    """No number in it is nan or infinite, and it holds nothing but plain data."""
    if isinstance(thing, Mapping):
        for key, one in thing.items():
            assert isinstance(key, str), f"{place}: a key is {key!r}"
            finite(one, f"{place}.{key}")
    elif isinstance(thing, list | tuple):
        for one in thing:
            finite(one, f"{place}[]")
    elif isinstance(thing, float):
        assert math.isfinite(thing), f"{place} is {thing}"
    else:
        assert thing is None or isinstance(thing, str | int | bool), f"{place} is {thing!r}"


def visible(text: str) -> None:
    """Text for a terminal or a file: can be written, and gives no orders."""
    text.encode("utf-8")
    found = UNSEEN.search(text)
    assert not found, (
        f"what cannot be seen: {text[max(found.start() - 40, 0) : found.end() + 20]!r}"
    )


def seen(text: str) -> None:
    """Text of an answer: visible, and without nan."""
    visible(text)
    odd = NO_NUMBER.search(text)
    assert not odd, f"no number: {text[max(odd.start() - 80, 0) : odd.end() + 20]!r}"


def page(html: str) -> None:
    """A document whose tags are in order, with none that somebody typed into a field."""
    html.encode("utf-8")
    assert "<zq" not in html, html[max(html.find("<zq") - 80, 0) :][:160]
    assert not UNSEEN.search(html.replace("\t", " "))
    read_page(html)


def judged(made: Answer) -> None:
    """What every answer has."""
    assert made.verdict in VERDICTS
    standing = {one.kind for one in made.cautions if one.standing}
    assert standing >= STANDING, f"standing: {standing}"
    if made.verdict == "stop":
        assert any(one.severity == "stop" and one.action for one in made.cautions)
    for caution in made.cautions:
        assert caution.text, caution.id
        assert "{" not in caution.text + caution.action, f"not filled in: {caution.text}"
        assert not NO_NUMBER.search(caution.text + caution.action), caution.text
    for name, value in made.values.items():
        assert value.plus_minus is None or value.plus_minus >= 0, f"{name} ± {value.plus_minus}"


def rendered(made: Answer, inputs: Inputs) -> None:
    """Every way in which an answer is seen."""
    said = made.to_dict()
    finite(said)
    assert json.loads(as_json.as_json(made)) == json.loads(json.dumps(said))
    for system in ("metric", "us"):
        seen(answer_text(made, True, system))
        seen(short_text(made, system))
    page(answer_card(made, LOOK))
    label = labels.of_answer(MARKUP, inputs, made, DAY, None, "eu")
    seen(label_text(label, "traced"))
    page(label_sheet([label], LOOK, 1))


def said(name: str, words: Mapping[str, Any]) -> Answer | None:
    """One calculation: the answer, judged; None where it was refused in one sentence."""
    with in_time():
        try:
            inputs = validate(name, words)
            made = answer(name, inputs)
        except PrepkitError as error:
            refusal(error)
            return None
    judged(made)
    with in_time():
        try:
            rendered(made, inputs)
        except PrepkitError as error:  # what has no label says why
            refusal(error)
    return made


def attempt(work: Callable[[], Any]) -> Any:
    """What `work` gives, or None where it refuses in one sentence, in time."""
    with in_time():
        try:
            return work()
        except PrepkitError as error:
            refusal(error)
            return None


# recipes


def planned(path: Path, how: Mapping[str, Any]) -> Plan | None:
    """A recipe file checked, planned and seen in every way; None where it was refused."""
    with in_time():
        found = attempt(lambda: check(path, house=how.get("house")))
    told: list[Problem] = [] if found is None else list(found.problems)
    for one in told:
        sentence(one.text)
        assert one.line is None or one.line > 0
    if found is not None:
        finite(found.to_dict())
        visible(found.words())
    failed: PrepkitError | None = None
    with in_time():
        try:
            plan = make_plan(load_recipe(path, house=how.get("house")))
            whole = plan.to_dict()
        except PrepkitError as error:
            failed = error
    if failed is not None:
        refusal(failed)
        assert found is None or _tells(told, failed), f"--check does not tell: {failed}"
        return None
    assert not [one for one in told if one.variant is None], f"--check alone tells: {told}"
    finite(whole)
    json.dumps(whole, allow_nan=False)
    assert plan.verdict in VERDICTS
    for made in plan.made:
        judged(made.answer)
    seen_everywhere(plan, whole)
    with in_time():
        asked = attempt(lambda: asking(PlanOptions(str(path), **how)))
    if asked is not None:
        _show(path.read_text(encoding="utf-8"))(asked[0].replace("\r\n", "\n"))
        assert asked[1] in (0, 2, 3)
        if how.get("as_json"):
            finite(json.loads(asked[0]))
    return plan


def _tells(told: Sequence[Problem], error: PrepkitError) -> bool:
    """Whether an error is among the problems of a check, or the check had enough before it."""
    if len(told) >= MOST_PROBLEMS:
        return True
    said = getattr(error, "sentence", error.message)
    return any(said == one.text or error.message.endswith(one.text) for one in told)


def _show(*written: str) -> Callable[[str], None]:
    """How a sheet is looked at: nan may be in it only as words that somebody wrote."""
    return visible if any(map(NO_NUMBER.search, written)) else seen


def seen_everywhere(plan: Plan, whole: dict[str, Any]) -> None:
    """A plan as sheet, batch sheet, table of a spreadsheet, card and labels."""
    show = _show(plan.recipe.title, plan.recipe.note, *(one.name for one in plan.recipe.serve))
    with in_time():
        show(plan_text(whole, True, "us"))
        show(first_text(whole, "us"))
        show(batch_text(whole, "metric"))
        show(plan_csv(whole).replace("\r\n", "\n"))
    with in_time():
        page(plan_card(plan, LOOK))
        made = attempt(lambda: labels.of_items(plan, (), DAY, None, "eu"))
        for one in made or ():
            seen(label_text(one, "traced"))
        sheet = attempt(lambda: label_sheet(made, LOOK, 8)) if made else None
        if sheet:  # what does not fit its cell is refused
            page(sheet)
