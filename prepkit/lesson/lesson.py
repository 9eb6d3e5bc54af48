"""A lesson put together: parts with their minutes, sheets, papers, pages of pictures, documents.

A page of pictures has the words of signs (data/signs.toml), cautions and first-aid cases; a sign
stands beside each, so that a person who reads little follows. The papers are the test and the
refresher, from the drills of the audience.
"""

from __future__ import annotations

import json
import textwrap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import cache
from typing import Any, NamedTuple

from markupsafe import Markup

from prepkit import __version__, blocks, cautions
from prepkit.drill.choices import VERDICTS
from prepkit.drill.paper import Paper, Question, make_paper
from prepkit.drill.sheet import asked_html, keyed_html, questions_said, why
from prepkit.errors import FileProblem
from prepkit.language import ENGLISH, dated, in_figures, said, spoken, turned
from prepkit.lesson import (
    Example,
    LessonFacts,
    LessonSheet,
    WorkedExample,
    about,
    example,
    kilogram_share,
    table,
    told,
)
from prepkit.model import value_names
from prepkit.registry import load
from prepkit.render import signs, wall
from prepkit.render.html import Look, answer_parts, document, macro, shown
from prepkit.stdout import columns

TRAINEES = 12  # lines of an attendance sheet

# what a wall sheet leaves blank, by its words, and the key of the house that tells it
ON_WALLS = {
    "Emergency number": "emergency_number",
    "Nearest gas shut-off": "gas_shut_off",
    "Competent person": "competent_person",
    "Gas supplier": "gas_supplier",
    "Poison centre": "poison_centre",
    "Read the alarm at": "alarm_point",
}


class LessonPart(NamedTuple):
    """One part of the plan: from which minute, how many."""

    name: str
    title: str
    starts_min: int
    minutes: int
    who: str
    see: tuple[str, ...]
    demonstrations: tuple[str, ...]
    do: tuple[str, ...]
    say: tuple[str, ...]
    show: tuple[str, ...]

    @property
    def clock(self) -> str:
        """From when to when, hours and minutes from the start."""
        return f"{_clock(self.starts_min)}–{_clock(self.starts_min + self.minutes)}"


def _clock(minutes: int) -> str:
    """Minutes as a clock shows them.

    >>> _clock(65)
    '1:05'
    """
    return f"{minutes // 60}:{minutes % 60:02}"


def parts(facts: LessonFacts) -> tuple[LessonPart, ...]:
    """The parts of the lesson, one after the other; their minutes add up to its length."""
    found: list[LessonPart] = []
    starts = 0
    for row in table("plan")["part"]:
        minutes = row["minutes"].get(str(facts.minutes))
        if minutes is None or not _concerns(facts, row):
            continue
        said = (tuple(texts(facts, row[kind])) for kind in ("do", "say", "show"))
        chosen = _chosen(row.get("demonstrations", {}).get(facts.audience, ()), minutes)
        found.append(
            LessonPart(
                row["name"], row["title"], starts, minutes, row["who"], tuple(row["see"]), chosen,
                *said,
            )
        )  # fmt: skip
        starts += minutes
    return tuple(found)


def _chosen(wanted: Sequence[str], minutes: int) -> tuple[str, ...]:
    """The demonstrations that fit into the minutes, in the order in which they are wanted."""
    lengths = {row["id"]: int(row["minutes"]) for row in offered()}
    found: list[str] = []
    for text in wanted:
        if sum(lengths[name] for name in (*found, text)) <= minutes:
            found.append(text)
    return tuple(found)


def shows(facts: LessonFacts, part: LessonPart) -> tuple[str, ...]:
    """What a part shows: its sentences, then its demonstrations with their minutes."""
    rows = {row["id"]: row for row in offered()}
    made = (
        facts.say("{minutes} min", minutes=rows[demonstration]["minutes"])
        for demonstration in part.demonstrations
    )
    titles = (facts.say(rows[demonstration]["title"]) for demonstration in part.demonstrations)
    return (*part.show, *(f"{title_} ({long})" for title_, long in zip(titles, made, strict=True)))


def _concerns(facts: LessonFacts, row: Mapping[str, Any]) -> bool:  # Any: values of a TOML file
    return facts.audience in row.get("audiences", (facts.audience,))


def texts(facts: LessonFacts, rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:  # Any: as above
    """The sentences of the rows that concern the audience, in its language."""
    return (facts.say(row["text"]) for row in rows if _concerns(facts, row))


# ---- the sheets ----


def listed() -> Mapping[str, Mapping[str, str]]:
    """The sheets by name, in the order of the folder: title, and for whom each is printed."""
    return {row["name"]: row for row in table("sheets")["sheet"]}


def spare(facts: LessonFacts) -> frozenset[str]:
    """The sheets that a longer plan shows and this one does not."""
    shown = {name for part in parts(facts) for name in part.see}
    return frozenset(name for row in table("plan")["part"] for name in row["see"]) - shown


def sheets(facts: LessonFacts, linked: str = "{}.html") -> tuple[LessonSheet, ...]:
    """Every sheet of the lesson, in the order of the folder; `linked` leads to one by its name."""
    worked = example(facts)
    made = {
        "plan": plan_sheet(facts),
        "things": things_sheet(facts),
        "house": house_sheet(facts),
        "attendance": attendance_sheet(facts),
        "example": example_sheet(facts, worked),
        "exercise": exercise_sheet(facts),
        "exercise-key": exercise_key_sheet(facts),
        "wall": wall_sheet(facts),
        "hazards": hazards_sheet(facts.language),
        "demonstrations": demonstrations(facts.language),
        "forbidden": forbidden(facts.language),
        "handout": hand_out(facts.language, facts.house.safety),
        "questions": twelve(facts.language),
        **paper_sheets(facts, _sheet),
    }
    left = spare(facts)
    found = [
        LessonSheet(
            name,
            facts.say(row["title"]),
            facts.say("not needed") if name in left else facts.say(row["copies"]),
            made[name],
        )
        for name, row in listed().items()
        if name in made
    ]
    head = facts.say(listed()["index"]["title"])
    return (LessonSheet("index", head, "", index_sheet(facts, found, linked)), *found)


def title(facts: LessonFacts) -> str:
    """What stands at the head of the lesson."""
    whom = {
        "bar": facts.say("for the bar"),
        "kitchen": facts.say("for the kitchen"),
        "mixed": facts.say("for bar and kitchen"),
    }[facts.audience]
    return facts.say("Lesson {whom}, {minutes} minutes", whom=whom, minutes=facts.minutes)


def _sheet(facts: LessonFacts, name: str, /, macro_: str = "", **said: object) -> Markup:
    """A sheet by its macro, which has its name where no other is given."""
    head = {"title": facts.say(listed()[name]["title"]), "of": title(facts)}
    return macro("lesson_sheets.html", macro_ or name.replace("-", "_"), {**head, **said})


def _said(facts: LessonFacts, kind: str) -> list[str]:
    """The sentences of a kind in data/lessons/sheets.toml, for the audience."""
    return list(texts(facts, table("sheets")[kind]))


def index_sheet(facts: LessonFacts, found: Iterable[LessonSheet], linked: str) -> Markup:
    """What is in the folder, and for whom it is printed."""
    planned = parts(facts)
    return _sheet(
        facts,
        "index",
        about=_said(facts, "index"),
        caption=facts.say("Sheets"),
        headers=[facts.say("sheet"), facts.say("copies"), facts.say("part of the plan")],
        rows=[
            {
                "title": lesson.title,
                "copies": lesson.copies,
                "told": ", ".join(facts.say(p.title) for p in planned if lesson.name in p.see),
                "file": linked.format(lesson.name),
            }
            for lesson in found
        ],
    )


def plan_sheet(facts: LessonFacts) -> Markup:
    """What is done, said and shown, by whom, in which minute."""
    planned, known = parts(facts), listed()
    return _sheet(
        facts,
        "plan",
        caption=facts.say("{minutes} minutes in all", minutes=sum(p.minutes for p in planned)),
        headers=[
            facts.say("time"), facts.say("part"), facts.say("do"), facts.say("say"),
            facts.say("show"),
        ],
        parts=[
            {
                **part._asdict(),
                "clock": part.clock,
                "minutes": facts.say("{minutes} min", minutes=part.minutes),
                "title": facts.say(part.title),
                "who": facts.say(part.who),
                "show": shows(facts, part),
                "see": ", ".join(facts.say(known[name]["title"]) for name in part.see),
            }
            for part in planned
        ],
    )  # fmt: skip


def things_sheet(facts: LessonFacts) -> Markup:
    """What lies on the table, and what never does."""
    planned = {part.name: facts.say(part.title) for part in parts(facts)}
    return _sheet(
        facts,
        "things",
        caption=facts.say("Tick it off before the lesson"),
        headers=["", facts.say("what"), facts.say("for")],
        things=[
            {"text": facts.say(row["text"]), "part": planned[row["needs"]]}
            for row in table("sheets")["thing"]
            if row["needs"] in planned and _concerns(facts, row)
        ]
        + _brought(facts),
        never=facts.say("Never on the table"),
        absent=_said(facts, "absent"),
    )


def _brought(facts: LessonFacts) -> list[dict[str, str]]:
    """What the demonstrations of the plan need."""
    chosen = {name for part in parts(facts) for name in part.demonstrations}
    return [
        {"text": facts.say(thing["label"]), "part": facts.say(row["title"])}
        for row in offered()
        if row["id"] in chosen
        for thing in row["bring"]
    ]


def attendance_sheet(facts: LessonFacts) -> Markup:
    """Who was there and what came of the test; it claims no authority."""
    return _sheet(
        facts,
        "attendance",
        blanks=[
            (facts.say("Date"), dated(facts.on, facts.language) if facts.on else ""),
            (facts.say("Place"), ""),
            (facts.say("Trainer"), ""),
            (facts.say("Seed of the test"), str(facts.seed)),
            (facts.say("Pass mark, set by the trainer"), ""),
        ],
        caption=facts.say("Everybody who was there"),
        headers=[
            facts.say("no."), facts.say("name"), facts.say("signature"), facts.say("right"),
            facts.say("passed"), facts.say("teach again"),
        ],
        rows=TRAINEES,
        signed=_said(facts, "signed"),
        signs=[facts.say("Trainer, signature"), facts.say("Day of the refresher")],
    )  # fmt: skip


def wall_sheet(facts: LessonFacts) -> Markup:
    """The wall sheets, a page each, with what the house has told in their lines."""
    safety = facts.house.safety
    told_ = {label: safety.get(key, "") for label, key in ON_WALLS.items()}
    said = wall.parts(wall.sheets(), facts.language, told_)
    on = dated(facts.on, facts.language) if facts.on else ""
    return _sheet(facts, "wall", macro_="walls", version=f"prepkit {__version__}", on=on, **said)


# ---- the house, its example and the exercise ----


def house_groups(facts: LessonFacts) -> list[tuple[str, object]]:
    """What the house has told, by groups; what it has not is a line to write on."""
    house = facts.house
    vessels = [(vessel.id, vessel.facts) for vessel in house.vessels.values()]
    stores = [(gas.id, vars(gas)) for gas in house.gases]
    return [
        (facts.say("Find it at once"), told("safety", facts, house.safety)),
        (facts.say("The house"), told("place", facts, house.facts)),
        *(
            (facts.say("Vessel {id}", id=id_) if id_ else facts.say("Vessel"), rows)
            for id_, rows in _each(facts, "vessel", vessels)
        ),
        *(
            (facts.say("Gas store {id}", id=id_) if id_ else facts.say("Gas store"), rows)
            for id_, rows in _each(facts, "store", stores)
        ),
    ]


def _each(
    facts: LessonFacts, kind: str, known: Sequence[tuple[str, Mapping[str, object]]]
) -> Iterator[tuple[str, Sequence[tuple[str, str]]]]:
    """Each that is known with its lines; one without a name and blank where none is."""
    for id_, rows in known or [("", {})]:
        yield id_, told(kind, facts, rows)


def house_sheet(facts: LessonFacts) -> Markup:
    """Facts of this house."""
    return _sheet(facts, "house", about=about(facts, "ask"), groups=house_groups(facts))


def example_sheet(facts: LessonFacts, found: Example) -> Markup:
    """The worked example: the vessel, a load for it, the same too full, the gas in the room."""
    vessel = {} if found.vessel is None else found.vessel.facts
    labels = {
        row["name"]: row["label"] for kind in ("vessel", "place") for row in table("sheets")[kind]
    }
    id_ = found.vessel.id if found.vessel else ""
    worked = [
        (found.load, facts.say("A load for it"), "load", True),
        (found.too_full, facts.say("The same vessel, too full"), "stop", False),
        (found.room, facts.say("The gas of this load in our room"), "room", True),
        *(
            (worked_example, facts.say("Gas store {id}", id=store.id), "leak", False)
            for store, worked_example in found.stores
        ),
    ]
    blanks = []
    if found.room is None:
        blanks.append((facts.say("The house"), told("place", facts, facts.house.facts)))
    blanks += [
        (facts.say("Gas store {id}", id=store.id), told("store", facts, vars(store)))
        for store, worked_example in found.stores
        if worked_example is None
    ]
    if not found.stores:
        blanks.append((facts.say("Gas store"), told("store", facts, {})))
    return _sheet(
        facts,
        "example",
        vessel_title=facts.say("Vessel {id}", id=id_) if id_ else facts.say("Vessel"),
        vessel=told("vessel", facts, vessel),
        undated=about(facts, "undated") if not facts.on and "inspection_due" in vessel else "",
        missing=[facts.say(labels[key]) for key in found.missing],
        untold=about(facts, "untold"),
        ask=about(facts, "ask"),
        worked=[
            _worked(facts, worked_example, title_, name, whole, place)
            for place, (worked_example, title_, name, whole) in enumerate(worked)
            if worked_example is not None
        ],
        blanks=blanks,
        given=facts.say("given"),
        figures=facts.say("Figures"),
        working=facts.say("Working"),
        mind=facts.say("Mind"),
        english="" if facts.language == ENGLISH else about(facts, "english"),
        decides=facts.say(cautions.page_line("card")),
    )


def _worked(
    facts: LessonFacts,
    worked_example: WorkedExample,
    title_: str,
    name: str,
    whole: bool,
    place: int,
) -> Mapping[str, object]:
    """What was run as the sheet shows it; a stop or a refusal says so and shows nothing to do."""
    if worked_example.answer is None:
        nothing = dict.fromkeys(("given", "verdict", "stops", "figures", "steps", "cautions"), ())
        return {
            **nothing, "key": "", "title": title_, "about": [about(facts, "unjudged")],
            "refused": worked_example.refused,
        }  # fmt: skip
    parts_ = answer_parts(worked_example.answer, Look(facts.on or date.min))

    def turn(text: str) -> str:
        return turned(text, facts.language)

    primary = value_names(worked_example.answer.result.screen.primary)
    stop = worked_example.answer.verdict == "stop"
    said = "stop" if stop and name in ("load", "room") else name
    return {
        "title": title_,
        "refused": "",
        "about": [] if said == "room" else [about(facts, said)],
        "given": [] if said == "stop" and not whole else _given(worked_example),
        "verdict": _verdict(facts, worked_example.answer.verdict, parts_["verdict"]),
        "do": facts.say("Do this:"),
        "key": f"verdict-{place}",
        "stops": [
            ("", turn(c.text), turn(c.action))
            for c in worked_example.answer.cautions
            if c.severity == "stop"
        ],
        "figures": []
        if stop
        else [
            (value.label, shown(value, "metric"))
            for key, value in worked_example.answer.values.items()
            if key in primary
        ],
        "steps": parts_["steps"] if whole and not stop else [],
        "cautions": [
            {
                "severity": facts.say("note") if c.severity == "note" else facts.say(c.severity),
                "text": turn(c.text),
                "action": turn(c.action),
            }
            for c in worked_example.answer.cautions
            if c.severity == "care" or (whole and not stop and not c.standing)
        ],
    }


def _verdict(facts: LessonFacts, name: str, shown_: object) -> object:
    """The verdict as the calculators say it; in another language its word and what that means."""
    if facts.language == ENGLISH:
        return shown_
    word, _colon, words = facts.say(VERDICTS[name]).partition(": ")
    return {"name": name, "word": word, "words": words}


def _given(worked_example: WorkedExample) -> list[tuple[str, str]]:
    """What was said, by the labels of the calculator, without what the vessel's plate says."""
    specs = load(worked_example.calculator).inputs.specs()
    plate = {row["name"] for row in table("sheets")["vessel"]}
    return [
        (specs[name].label, ", ".join(value) if isinstance(value, list) else str(value))
        for name, value in worked_example.said.items()
        if name not in plate
    ]


def exercise_sheet(facts: LessonFacts) -> Markup:
    """A plate read, a room measured, and whom to ask; filled in by each pair."""
    return _sheet(
        facts,
        "exercise",
        names=facts.say("Names"),
        on=facts.say("Date"),
        plate=about(facts, "plate", "exercise"),
        room=about(facts, "room", "exercise"),
        ask=about(facts, "ask", "exercise"),
        vessel=told("vessel", facts, {}),
        measures=[
            facts.say("Length, m"), facts.say("Width, m"), facts.say("Height, m"),
            facts.say("Volume, m3"), facts.say("Fresh air comes from"),
        ],
        sum=about(facts, "sum", "exercise"),
        given=[about(facts, "sum-given", "exercise"), about(facts, "sum-rule", "exercise")],
        share=facts.say("Share of the air, %"),
        mean=about(facts, "sum-mean", "exercise"),
    )  # fmt: skip


def exercise_key_sheet(facts: LessonFacts) -> Markup:
    """What the house file says of its vessels and its room."""
    share = kilogram_share(facts)
    return _sheet(
        facts,
        "exercise-key",
        about=_said(facts, "exercise_key"),
        groups=house_groups(facts)[1:],
        sum=about(facts, "sum", "exercise"),
        share=facts.say("Share of the air, %"),
        limits=[*_said(facts, "exercise_limit"), about(facts, "sum-mean", "exercise")],
        told="" if share is None else in_figures(f"{share:.2f}", facts.language),
    )


# ---- the papers: a test and a refresher ----


# questions of the test, and its level; None is all of them. Two minutes each, less at level 1
TEST: dict[int, tuple[int, int | None]] = {30: (6, 1), 60: (6, None), 120: (10, None)}
REFRESHER = 10

Head = Callable[..., Markup]


def test_paper(facts: LessonFacts) -> Paper:
    """The test at the end of the lesson."""
    count, level = TEST[facts.minutes]
    return make_paper(facts.audience, count, facts.seed, level, language=facts.language)


def refresher_paper(facts: LessonFacts) -> Paper:
    """Ten questions for the month after, other ones than those of the test."""
    count, level = TEST[facts.minutes]
    return make_paper(
        facts.audience, REFRESHER, facts.seed, level, language=facts.language, after=count
    )


def answers_file(paper: Paper) -> str:
    """A paper with nothing filled in, for `prepkit drill --check`."""
    return json.dumps(paper.blank_answers, indent=2, ensure_ascii=False) + "\n"


def paper_sheets(facts: LessonFacts, sheet: Head) -> dict[str, Markup]:
    """The sheets of both papers by name; `sheet` makes one of its name and what it says."""
    with spoken(facts.language):
        return _paper_sheets(facts, sheet)


def _paper_sheets(facts: LessonFacts, sheet: Head) -> dict[str, Markup]:
    test, later = test_paper(facts), refresher_paper(facts)
    made: dict[str, Markup] = {}
    for name, paper in (("test", test), ("refresher", later)):
        made[name] = sheet(facts, name, macro_="paper", **_asked(facts, paper, name))
        made[f"{name}-key"] = sheet(facts, f"{name}-key", macro_="key", **_key(facts, paper))
    made["test-data"] = sheet(facts, "test-data", macro_="data", **_data(facts, test))
    made["test-long-key"] = sheet(
        facts,
        "test-long-key",
        macro_="long_key",
        seed=_seed(facts, test),
        answered=[
            {"head": _right(question), "body": Markup(keyed_html(question, 3))}
            for question in test.questions
        ],
    )
    return made


def _seed(facts: LessonFacts, paper: Paper) -> str:
    """What makes the paper again."""
    with spoken(facts.language):
        count = questions_said(paper.count)
    return f"{facts.say('seed {seed}', seed=str(paper.seed))}, {count}, {paper.levels}"


def _asked(facts: LessonFacts, paper: Paper, name: str) -> Mapping[str, object]:
    return {
        "seed": _seed(facts, paper),
        "name": facts.say("Name"),
        "on": facts.say("Date"),
        "answer": facts.say("Answer"),
        "right": facts.say("Right"),
        "about": [
            facts.say(row["text"]) for row in table("sheets")["paper"] if row["name"] == name
        ],
        "questions": [
            {
                "body": Markup(asked_html(question, 2)),
                "choices": question.choices,
                "unit": question.unit,
            }
            for question in paper.questions
        ],
    }


def _right(question: Question) -> str:
    shown = question.shown if question.kind == "number" else str(question.shown).partition(":")[0]
    return f"{question.number}. {question.letter}: {shown}"


def _key(facts: LessonFacts, paper: Paper) -> Mapping[str, object]:
    """Letter, answer, what counts as right and the likeliest mistake: a line each."""
    return {
        "seed": _seed(facts, paper),
        "headers": [
            facts.say("no."), facts.say("letter"), facts.say("answer"), facts.say("accepted"),
            facts.say("the usual mistake"),
        ],
        "rows": [
            (
                str(question.number),
                question.letter,
                question.shown,
                question.accepted if question.kind == "number" else "",
                _mistake(question),
            )
            for question in paper.questions
        ],
    }  # fmt: skip


def _mistake(question: Question) -> str:
    """A mistake in words; where STOP was wrong, why, so that no careful answer is left alone."""
    wrong = [choice for choice in question.choices if not choice.right and why(choice)]
    wrong.sort(key=lambda choice: choice.value != "stop")
    found = wrong[0] if wrong else None
    return "" if found is None else f"{found.letter}: {why(found)}"


def _data(facts: LessonFacts, paper: Paper) -> Mapping[str, object]:
    """Every constant that a paper of the audience can need."""
    return {
        "about": [facts.say(row["text"]) for row in table("sheets")["data"]],
        "headers": [facts.say("constant"), facts.say("value"), facts.say("unit")],
        "rows": [
            (
                facts.say(constant.words),
                in_figures(_plain(constant.value), facts.language),
                constant.unit,
            )
            for constant in paper.sheet
        ],
    }


def _plain(value: float) -> str:
    """A number as people write it.

    >>> _plain(543.7), _plain(1.118e-5)
    ('543.7', '1.118 × 10^-5')
    """
    number, power, exponent = f"{value:g}".partition("e")
    return f"{number} × 10^{int(exponent)}" if power else number


# ---- pages of a trainee: hazards in pictures, hand-out, demonstrations, questions ----


Row = Mapping[str, Any]  # Any: values of a TOML file
THINGS, AID_LINES, QUESTIONS = 10, 6, 12
A_PAGE = 3  # demonstrations
_TEMPLATE, _DOMAIN = "lesson_pictures.html", "lesson"


class DrawnSign(NamedTuple):
    """A sign, drawn, and what it means."""

    sign: Markup
    means: str


def hazards_sheet(language: str = "en") -> Markup:
    """Dangers on one page, each with what to do; the words are those of the signs."""
    say = _sayer(language)
    pairs = [
        {
            kind: [_shown(name, language) for name in row["signs"] if _kind(name) == kind]
            for kind in signs.KINDS
        }
        for row in table("hazards")["pair"]
    ]
    shapes = [
        {"sign": _shown(row["signs"][0], language).sign, "text": say(row["shows"]["text"])}
        for row in table("hazards")["shape"]
    ]
    return macro(
        _TEMPLATE,
        "hazards",
        {"title": say("Hazards in pictures"), "pairs": pairs, "shapes": shapes},
    )


def hand_out(language: str = "en", numbers: Mapping[str, str] | None = None) -> Markup:
    """The page to take home: ten things, the house's numbers, first aid in six lines.

    numbers: by their name in data/lessons/sheets.toml; one that is not told is a line to write on.
    """
    say, told = _sayer(language), numbers or {}
    read = table("hand_out")
    things = [
        {
            "title": say(row["title"]),
            "signs": [_shown(name, language).sign for name in row["signs"]],
            "texts": [say(row[key]["text"]) for key in ("says", "more") if key in row],
        }
        for row in read["thing"]
    ]
    lines = [
        {"label": say(row["label"]), "told": told.get(row["name"], "")}
        for row in table("sheets")["safety"]
    ]
    return macro(
        _TEMPLATE,
        "hand_out",
        {
            "title": say("Ten things to remember"),
            "things": things,
            "numbers_title": say("Numbers and places of this house"),
            "numbers": lines,
            "aid_title": say("First aid in six lines"),
            "aid": [_aid(row["first_aid"], language, say) for row in read["aid"]],
        },
    )


def demonstrations(language: str = "en") -> Markup:
    """The demonstrations with water and air only, three to a page."""
    say = _sayer(language)
    heads = {
        "bring": say("You need"), "do": say("Do this"), "seen": say("You see"),
        "shows": say("It shows"), "wrong": say("It can go wrong"),
    }  # fmt: skip
    made = [
        {
            "title": say(row["title"]),
            "minutes": say("{minutes} min", minutes=row["minutes"]),
            "sign": _shown(row["signs"][0], language).sign,
            "bring": [say(one["label"]) for one in row["bring"]],
            **{key: [say(one["text"]) for one in row[key]] for key in _SAID},
        }
        for row in offered()
    ]
    pages = [made[at : at + A_PAGE] for at in range(0, len(made), A_PAGE)]
    title = say("Demonstrations with water and air")
    return macro(_TEMPLATE, "demonstrations", {"title": title, "heads": heads, "pages": pages})


def forbidden(language: str = "en") -> Markup:
    """What must not be shown, why, and what is shown in its place: one page."""
    say = _sayer(language)
    titles = {row["id"]: say(row["title"]) for row in offered()}
    return macro(
        _TEMPLATE,
        "forbidden",
        {
            "title": say("Never show these"),
            "why": say("Why"),
            "instead": say("Instead"),
            "rows": [
                {
                    "title": say(row["title"]),
                    "sign": _shown(row["signs"][0], language).sign,
                    "why": [say(one["text"]) for one in row["why"]],
                    "instead": say(row["instead"]["text"]),
                    "see": titles[row["see"]],
                }
                for row in refused()
            ],
        },
    )


def twelve(language: str = "en") -> Markup:
    """Twelve questions that people really ask, each with its answer: one page."""
    say = _sayer(language)
    rows = [
        {
            "title": say(row["title"]),
            "sign": _shown(row["signs"][0], language).sign,
            "text": " ".join(say(one["text"]) for one in row["says"]),
        }
        for row in table("questions")["question"]
    ]
    return macro(_TEMPLATE, "twelve", {"title": say("Twelve questions people ask"), "rows": rows})


# ---- what the files hold ----

_SAID = ("do", "seen", "shows", "wrong")


def offered() -> list[Row]:
    """The demonstrations that may be shown."""
    return list(table("demonstrations")["demonstration"])


@cache
def refused() -> tuple[Row, ...]:
    """Those that must not be; FileProblem where one names no demonstration in its place."""
    there = {row["id"] for row in offered()}
    rows = tuple(table("demonstrations")["forbidden"])
    for row in rows:
        if row.get("see") not in there or not row.get("instead"):
            raise FileProblem(f'"{row["title"]}" names no demonstration that stands in its place.')
    return rows


def _sayer(language: str) -> Callable[..., str]:
    def say(text: str, **figures: object) -> str:
        return said(text, language, _DOMAIN, **figures)

    return say


def _shown(name: str, language: str) -> DrawnSign:
    """A sign with its title; FileProblem where the closed list has none of that name."""
    means = said(signs.picture(name).meaning, language, "signs")
    return DrawnSign(Markup(signs.drawn(name, means)), means)


def _kind(name: str) -> str:
    return signs.picture(name).kind


def _aid(name: str, language: str, say: Callable[..., str]) -> dict[str, object]:
    row = _case(blocks.blocks("first_aid.toml", "case"), name)
    sign = _shown(row["sign"], language).sign
    return {"sign": sign, "when": say(row["when"]), "text": say(row["minute"])}


def _case(rows: Iterable[Row], name: str) -> Row:
    for row in rows:
        if row["name"] == name and "minute" in row:
            return row
    raise FileProblem(f'first aid has no first act for "{name}".')


# ---- a lesson as a folder of documents, as one to print, its plan as text ----


def files(facts: LessonFacts) -> Mapping[str, str]:
    """The files of the folder by name: each sheet, and the answers files of its papers."""
    test, later = test_paper(facts), refresher_paper(facts)
    return {
        **{f"{sheet.name}.html": _page(facts, [sheet], sheet.title) for sheet in sheets(facts)},
        "test-answers.json": answers_file(test),
        "refresher-answers.json": answers_file(later),
    }


def one_file(facts: LessonFacts) -> str:
    """All of it as one document, each sheet on a page of its own."""
    return _page(facts, sheets(facts, "#{}"), title(facts))


def _page(facts: LessonFacts, shown: Iterable[LessonSheet], named: str) -> str:
    return document(
        "lesson.html",
        language=facts.language,
        title=named,
        foot=f"{title(facts)}, {facts.say('seed {seed}', seed=str(facts.seed))}",
        **{key: value for key, value in wall.parts(()).items() if key in ("type", "beside")},
        sheets=list(shown),
    )


def plan_text(facts: LessonFacts) -> str:
    """The plan as text, and what else there is."""
    out, known = [title(facts), ""], listed()
    for part in parts(facts):
        minutes = facts.say("{minutes} min", minutes=part.minutes)
        out.append(f"{part.clock}  {facts.say(part.title)} ({minutes}, {facts.say(part.who)})")
        kinds = (
            (facts.say("do"), part.do),
            (facts.say("say"), part.say),
            (facts.say("show"), shows(facts, part)),
        )
        for kind, lines in kinds:
            out += [_fill(text, f"  {kind:<8}", " " * 10) for text in lines]
        see = ", ".join(facts.say(known[name]["title"]) for name in part.see)
        out += [_fill(see, f"  {facts.say('sheets'):<8}", " " * 10)] if see else []
    return "\n".join(out) + "\n"


def _fill(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
