"""A lesson put together: its parts with their minutes, and its sheets in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from markupsafe import Markup

from prepkit.lesson.model import Facts, Sheet, table
from prepkit.render.html import macro

TRAINEES = 12  # lines of an attendance sheet

# sheets by name: title, and for whom they are printed
SHEETS = {
    "index": ("What is in this lesson", "trainer"),
    "plan": ("Lesson plan", "trainer"),
    "things": ("What to have on the table", "trainer"),
    "attendance": ("Attendance and results", "one for all"),
}
WHO = {"trainer": "The trainer", "all": "All together", "pairs": "In pairs", "each": "Each alone"}
FOR_WHOM = {"bar": "for the bar", "kitchen": "for the kitchen", "mixed": "for bar and kitchen"}


class Part(NamedTuple):
    """One part of the plan: from which minute, how many."""

    name: str
    title: str
    starts_min: int
    minutes: int
    who: str
    see: tuple[str, ...]
    do: tuple[str, ...]
    say: tuple[str, ...]
    show: tuple[str, ...]

    @property
    def clock(self) -> str:
        """From when to when, hours and minutes from the start."""
        return f"{_clock(self.starts_min)} to {_clock(self.starts_min + self.minutes)}"


def _clock(minutes: int) -> str:
    """Minutes as a clock shows them.

    >>> _clock(65)
    '1:05'
    """
    return f"{minutes // 60}:{minutes % 60:02}"


def parts(facts: Facts) -> tuple[Part, ...]:
    """The parts of the lesson, one after the other; their minutes add up to its length."""
    found: list[Part] = []
    starts = 0
    for row in table("plan")["part"]:
        minutes = row["minutes"].get(str(facts.minutes))
        if minutes is None or not _concerns(facts, row):
            continue
        said = (tuple(texts(facts, row[kind])) for kind in ("do", "say", "show"))
        found.append(
            Part(row["name"], row["title"], starts, minutes, row["who"], tuple(row["see"]), *said)
        )
        starts += minutes
    return tuple(found)


def _concerns(facts: Facts, row: Mapping[str, Any]) -> bool:  # Any: values of a TOML file
    return facts.audience in row.get("audiences", (facts.audience,))


def texts(facts: Facts, rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:  # Any: as above
    """The sentences of the rows that concern the audience, in its language."""
    return (facts.say(row["text"]) for row in rows if _concerns(facts, row))


# ---- the sheets ----


def sheets(facts: Facts) -> tuple[Sheet, ...]:
    """Every sheet of the lesson, in the order of the folder."""
    made = {
        "plan": plan_sheet(facts),
        "things": things_sheet(facts),
        "attendance": attendance_sheet(facts),
    }
    found = [
        Sheet(name, facts.say(SHEETS[name][0]), facts.say(SHEETS[name][1]), body)
        for name, body in made.items()
    ]
    index = Sheet("index", facts.say(SHEETS["index"][0]), "", index_sheet(facts, found))
    return (index, *found)


def title(facts: Facts) -> str:
    """What stands at the head of the lesson."""
    return facts.say(
        "Lesson {audience}, {minutes} minutes",
        audience=facts.say(FOR_WHOM[facts.audience]),
        minutes=facts.minutes,
    )


def _sheet(facts: Facts, name: str, **said: object) -> Markup:
    title_ = f"{facts.say(SHEETS[name][0])}: {title(facts)}"
    return macro("lesson_sheets.html", name, {"title": title_, **said})


def index_sheet(facts: Facts, found: Iterable[Sheet]) -> Markup:
    """What is in the folder, and for whom it is printed."""
    return _sheet(
        facts,
        "index",
        about=list(texts(facts, table("sheets")["index"])),
        caption=facts.say("Sheets"),
        headers=[facts.say(one) for one in ("sheet", "copies", "part of the plan")],
        rows=[
            {
                "title": one.title,
                "copies": one.copies,
                "told": ", ".join(p.title for p in parts(facts) if one.name in p.see),
                "file": f"{one.name}.html",
            }
            for one in found
        ],
    )


def plan_sheet(facts: Facts) -> Markup:
    """What is done, said and shown, by whom, in which minute."""
    listed = parts(facts)
    return _sheet(
        facts,
        "plan",
        caption=facts.say("{minutes} minutes in all", minutes=sum(one.minutes for one in listed)),
        headers=[facts.say(one) for one in ("time", "part", "do", "say", "show")],
        parts=[
            {
                **one._asdict(),
                "clock": one.clock,
                "minutes": facts.say("{minutes} min", minutes=one.minutes),
                "title": facts.say(one.title),
                "who": facts.say(WHO[one.who]),
                "see": ", ".join(facts.say(SHEETS[n][0]) for n in one.see if n in SHEETS),
            }
            for one in listed
        ],
    )


def things_sheet(facts: Facts) -> Markup:
    """What lies on the table, and what never does."""
    said = table("sheets")
    planned = {one.name: facts.say(one.title) for one in parts(facts)}
    return _sheet(
        facts,
        "things",
        caption=facts.say("Tick it off before the lesson"),
        headers=["", facts.say("what"), facts.say("for")],
        things=[
            {"text": facts.say(row["text"]), "part": planned[row["needs"]]}
            for row in said["thing"]
            if row["needs"] in planned and _concerns(facts, row)
        ],
        never=facts.say("Never on the table"),
        absent=list(texts(facts, said["absent"])),
    )


def attendance_sheet(facts: Facts) -> Markup:
    """Who was there and what came of the test; it claims no authority."""
    on = facts.on.isoformat() if facts.on else ""
    labels = ("Place", "Trainer", "Seed of the test", "Pass mark, set by the trainer")
    told = {"Seed of the test": str(facts.seed)}
    heads = ("no.", "name", "signature", "right", "passed", "teach again")
    return _sheet(
        facts,
        "attendance",
        blanks=[
            (facts.say("Date"), on),
            *((facts.say(one), told.get(one, "")) for one in labels),
        ],
        caption=facts.say("Everybody who was there"),
        headers=[facts.say(one) for one in heads],
        rows=TRAINEES,
        signed=list(texts(facts, table("sheets")["signed"])),
        signs=[facts.say(one) for one in ("Trainer, signature", "Day of the refresher")],
    )
