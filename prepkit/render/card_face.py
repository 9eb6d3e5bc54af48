"""What the first page of a card says, of an answer and of a plan."""

from __future__ import annotations

import re
from collections.abc import Mapping

from prepkit import always
from prepkit.cautions import page_line
from prepkit.first_screen import degrees
from prepkit.model import Answer, Caution
from prepkit.registry import load
from prepkit.render import gauge_svg, qr
from prepkit.render.advice import Point
from prepkit.render.amounts import UNITS, amount, made_for, weighing
from prepkit.render.brief import Brief, brief, marked
from prepkit.render.fitting import shorter
from prepkit.render.front import Face, Fact
from prepkit.render.html import Look, Stamp, given, plain
from prepkit.render.plan_text import SHORT_VERDICT, must_not, shown_value
from prepkit.render.prose import answer_in, exact_of, in_units
from prepkit.render.text import VERDICT_WORDS, value_words
from prepkit.sheet import PlanSheet

_ASIDE = re.compile(r" \([^()]*\)")
_MOST_BESIDE_STOP = 3
_GOES_IN = {"part", "parts", "ingredient", "many words"}  # kinds of input that are weighed
_ON_THE_GAUGE = {"peak", "bound", "margin"}
_MOST_PARTS = 4
_WITH_GAS = {"siphon", "cryogen", "room", "foam"}  # what stands for these comes first on a plan


def closing(traced: Stamp) -> tuple[str, ...]:
    """Who ranks before the card, and what traces it back to its inputs."""
    return page_line("card"), f"prepkit {traced.version}, {traced.on}, {traced.inputs}"


def verdict_words(name: str) -> tuple[str, str]:
    """The signal word of a verdict, and its sentence."""
    word, _, rest = VERDICT_WORDS[name].partition(" ")
    sentence = rest.strip()
    return word, f"{sentence[0].upper()}{sentence[1:]}."


def headlines(name: str, deciding: str) -> tuple[str, ...]:
    """What decides, the fullest wording first; the words of the verdict where nothing does."""
    if not deciding:
        return (verdict_words(name)[1],)
    bare = _ASIDE.sub("", deciding)
    return tuple(dict.fromkeys((deciding, *shorter(bare))))


def of_answer(answer: Answer, look: Look, traced: Stamp, address: str = "") -> Face:
    """The card of one calculation."""
    shown = brief(answer, look.system)
    answer = marked(answer_in(answer, look.system))
    word, words = verdict_words(answer.verdict)
    compared = answer.result.compared
    gauge = gauge_svg.of(answer, look.system) or gauge_svg.against(
        compared, answer.verdict, look.system
    )
    return Face(
        title=str(plain(look.title or answer.calculator)),
        about=traced.on,
        verdict=answer.verdict,
        word=word,
        words=words,
        headline=tuple(str(plain(one)) for one in headlines(answer.verdict, shown.deciding)),
        gauge=gauge,
        facts=_facts(shown, answer, look.system),
        points=[_point(one) for one in answer.cautions],
        always=shown.always._asdict(),
        fewer="",
        ways=[(way.label, way.verdict.upper(), way.figure) for way in shown.ways],
        closing=closing(traced),
        qr=qr.rows(address),
    )


def _point(one: Caution) -> Point:
    return Point(one.id, one.kind, one.severity, str(plain(one.text)), str(plain(one.action)),
                 one.standing)  # fmt: skip


def _facts(shown: Brief, answer: Answer, system: str) -> list[Fact]:
    """What to weigh and to do, then the figures that decide, then what to check by."""
    found = [
        Fact(str(plain(one)), "")
        for one in (
            *shown.do_this,
            *(one.line for one in shown.weigh[:_MOST_PARTS]),
        )
    ]
    if len(shown.weigh) > _MOST_PARTS:
        found.append(
            Fact(f"and {len(shown.weigh) - _MOST_PARTS} more to weigh: see the details", "")
        )
    if not found and answer.verdict != "stop":
        specs = load(answer.calculator).inputs.specs()
        for name, value in answer.inputs.items():
            if specs[name].kind in _GOES_IN:
                words = given(value)
                more = [f"and {len(words) - _MOST_PARTS} more"] if len(words) > _MOST_PARTS else []
                found.append(_fact(specs[name].label, ", ".join([*words[:_MOST_PARTS], *more])))
    drawn = [_worded(answer, name, system) for name in _ON_THE_GAUGE]
    on_gauge = drawn if answer.calculator == "siphon" else []
    figures = [_fact(one.label, one.value) for one in shown.figures if one.value not in on_gauge]
    check = [_fact(f"check: {one.label}", one.value) for one in shown.check]
    if answer.verdict == "stop":
        return figures[:_MOST_BESIDE_STOP]
    return [*found, *figures, *check]


def of_plan(
    said: PlanSheet,
    answers: Mapping[str, Answer],
    look: Look,
    traced: Stamp,
    item: str | None = None,
    address: str = "",
) -> Face:
    """The card of a plan, or of the one item that `said` was narrowed to."""
    system = look.system
    word, words = verdict_words(said["verdict"])
    about = f"{made_for(said)}, {traced.on}"
    title = look.title or (f"{item}: {said['title']}" if item else said["title"])
    charged = [
        (gauge, id_, answer)
        for id_, answer in answers.items()
        if (gauge := gauge_svg.of(answer, system)) is not None
        and any(one["id"] == id_ and "weigh" in one for one in said["items"])
    ]
    worst = max(charged, key=lambda one: one[0].bound / one[0].limit, default=None)
    gauge, told = None, _plan_headlines(said, system)
    if worst is not None and said["verdict"] != "stop":
        gauge, id_, answer = worst
        deciding = in_units(answer.result.deciding, system, exact_of(answer))
        told = headlines(said["verdict"], deciding)
        if item is None:
            told = (f"{id_}: {deciding}", *told)
    return Face(
        title=str(plain(title)),
        about=about,
        verdict=said["verdict"],
        word=word,
        words=words,
        headline=tuple(str(plain(one)) for one in told),
        gauge=gauge,
        wanted=8,
        least=_least(said, item),
        always=_always(said),
        facts=_to_make(said, system) if item is None else _of_item(said, answers, system),
        points=_plan_points(said, system, item),
        closing=closing(traced),
        qr=qr.rows(address),
    )


def _least(said: PlanSheet, item: str | None) -> int:
    """How many rows of a plan stand before any sentence: all to make, or all to weigh, up to 8."""
    rows = said["items"] if item is None else said["items"][0].get("weigh", ())
    return min(len(rows), 8)


def _always(said: PlanSheet) -> dict[str, str]:
    """The short lines of the work with gas in a plan, else of its first item."""
    calculators = [one["calculator"] for one in said["items"]]
    usual = said["always"]["of"] if "sites" in said or not calculators else calculators[0]
    first = next((one for one in calculators if one in _WITH_GAS), usual)
    return dict(always.lines(first)._asdict())


def _plan_headlines(said: PlanSheet, system: str) -> tuple[str, ...]:
    """What must not be made, and why; the words of the verdict where all may be."""
    if not said["stops"]:
        return (verdict_words(said["verdict"])[1],)
    first = said["stops"][0]
    head = f"{must_not(first)}."
    return f"{head} {in_units(first['text'], system)}", head


def _to_make(said: PlanSheet, system: str) -> list[Fact]:
    """What to make, in order."""
    found = []
    for one in said["items"]:
        brief = ""
        if one["verdict"] == "stop":
            words = "STOP" if one["check"] else "STOP: not to be made"
        elif one["held_by"]:
            words = f"held by {', '.join(one['held_by'])}"
        elif one["makes"]:
            words = _amounts(one.get("made_g"), one.get("made_ml"), system)
            brief = _amounts(one.get("made_g"), None, system)
        else:
            words = SHORT_VERDICT[one["verdict"]]
        found.append(Fact(one["id"], str(plain(words)), brief or str(plain(words))))
    return found


def _of_item(said: PlanSheet, answers: Mapping[str, Answer], system: str) -> list[Fact]:
    """What to weigh for an item, how it is filled, and what to check it by; what a check found."""
    (one,) = said["items"]
    if one["verdict"] == "stop":
        return []
    if one["held_by"]:
        return [Fact("Held by", ", ".join(one["held_by"]))]
    units = UNITS[system]
    found = [
        _fact(line["name"], f"{weighing(line, system)} {units[0]}") for line in one.get("weigh", ())
    ]
    filling = one.get("filling")
    if filling:
        found.append(Fact("Vessels to fill", str(filling["fills"])))
        found.append(Fact("Each with", _amounts(filling["each_g"], filling["each_ml"], system)))
        if filling["chargers"]:
            each = f"{filling['chargers_each']} of {filling['gas'] or ''}".rstrip(" of")
            found.append(Fact("Chargers in each", each))
    elif one["makes"]:
        found.append(Fact("Yield", _amounts(one.get("made_g"), one.get("made_ml"), system)))
    if not one["makes"] and one["id"] in answers:
        shown = brief(answers[one["id"]], system)
        found += [_fact(figure.label, figure.value) for figure in shown.figures]
    for reading in one.get("readings", ()):
        found.append(_fact(f"Check: {reading['label']}", " ".join(shown_value(reading, system))))
    return found


def _amounts(g: float | None, ml: float | None, system: str) -> str:
    """A weight and a volume."""
    units = UNITS[system]
    told = [f"{amount(one, name, system)} {unit}" for one, name, unit in
            ((g, "g", units[0]), (ml, "ml", units[1])) if one is not None]  # fmt: skip
    return ", ".join(told)


def _plan_points(said: PlanSheet, system: str, item: str | None) -> list[Point]:
    """The cautions of a plan: of which item each is; what stands for work with gas first."""
    calculators = {one["id"]: one["calculator"] for one in said["items"]}
    standing = sorted(
        said["standing"],
        key=lambda one: not any(calculators.get(of) in _WITH_GAS for of in one["of"]),
    )
    found = []
    for one in (*said["cautions"], *standing):
        for told in one["said"]:
            of = "" if item or one["standing"] else ", ".join(told["of"])
            words = (str(plain(in_units(told[key], system))) for key in ("text", "action"))
            text, action = words
            found.append(
                Point(one["id"], one["kind"], one["severity"], text, action, one["standing"], of)
            )
    return found


def _worded(answer: Answer, name: str, system: str) -> str:
    """A value of an answer as the first screen has it; "" where there is none."""
    if name not in answer.values:
        return ""
    words, unit = value_words(answer.values[name], system)
    return f"{words} {degrees(unit)}".rstrip()


def _fact(label: str, value: str) -> Fact:
    head = label if label[1:2].isupper() else f"{label[:1].upper()}{label[1:]}"
    return Fact(head, str(plain(value)))
