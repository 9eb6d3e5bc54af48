"""A lesson put together: its parts with their minutes, and its sheets in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from markupsafe import Markup

from prepkit import __version__, cautions
from prepkit.drill.choices import VERDICTS
from prepkit.language import ENGLISH, dated, in_figures, turned
from prepkit.lesson import papers, pictures
from prepkit.lesson.example import Example, Worked, about, example, kilogram_share, told
from prepkit.lesson.model import Facts, Sheet, table
from prepkit.model import value_names
from prepkit.registry import load
from prepkit.render import wall
from prepkit.render.html import Look, answer_parts, macro, shown

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


class Part(NamedTuple):
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


def parts(facts: Facts) -> tuple[Part, ...]:
    """The parts of the lesson, one after the other; their minutes add up to its length."""
    found: list[Part] = []
    starts = 0
    for row in table("plan")["part"]:
        minutes = row["minutes"].get(str(facts.minutes))
        if minutes is None or not _concerns(facts, row):
            continue
        said = (tuple(texts(facts, row[kind])) for kind in ("do", "say", "show"))
        chosen = _chosen(row.get("demonstrations", {}).get(facts.audience, ()), minutes)
        found.append(
            Part(
                row["name"], row["title"], starts, minutes, row["who"], tuple(row["see"]), chosen,
                *said,
            )
        )  # fmt: skip
        starts += minutes
    return tuple(found)


def _chosen(wanted: Sequence[str], minutes: int) -> tuple[str, ...]:
    """The demonstrations that fit into the minutes, in the order in which they are wanted."""
    lengths = {row["id"]: int(row["minutes"]) for row in pictures.offered()}
    found: list[str] = []
    for one in wanted:
        if sum(lengths[name] for name in (*found, one)) <= minutes:
            found.append(one)
    return tuple(found)


def shows(facts: Facts, part: Part) -> tuple[str, ...]:
    """What a part shows: its sentences, then its demonstrations with their minutes."""
    rows = {row["id"]: row for row in pictures.offered()}
    made = (facts.say("{minutes} min", minutes=rows[one]["minutes"]) for one in part.demonstrations)
    titles = (facts.say(rows[one]["title"]) for one in part.demonstrations)
    return (*part.show, *(f"{title_} ({long})" for title_, long in zip(titles, made, strict=True)))


def _concerns(facts: Facts, row: Mapping[str, Any]) -> bool:  # Any: values of a TOML file
    return facts.audience in row.get("audiences", (facts.audience,))


def texts(facts: Facts, rows: Iterable[Mapping[str, Any]]) -> Iterator[str]:  # Any: as above
    """The sentences of the rows that concern the audience, in its language."""
    return (facts.say(row["text"]) for row in rows if _concerns(facts, row))


# ---- the sheets ----


def listed() -> Mapping[str, Mapping[str, str]]:
    """The sheets by name, in the order of the folder: title, and for whom each is printed."""
    return {row["name"]: row for row in table("sheets")["sheet"]}


def spare(facts: Facts) -> frozenset[str]:
    """The sheets that a longer plan shows and this one does not."""
    shown = {name for one in parts(facts) for name in one.see}
    return frozenset(name for row in table("plan")["part"] for name in row["see"]) - shown


def sheets(facts: Facts, linked: str = "{}.html") -> tuple[Sheet, ...]:
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
        "hazards": pictures.hazards_sheet(facts.language),
        "demonstrations": pictures.demonstrations(facts.language),
        "forbidden": pictures.forbidden(facts.language),
        "handout": pictures.hand_out(facts.language, facts.house.safety),
        "questions": pictures.twelve(facts.language),
        **papers.sheets(facts, _sheet),
    }
    left = spare(facts)
    found = [
        Sheet(
            name,
            facts.say(row["title"]),
            facts.say("not needed") if name in left else facts.say(row["copies"]),
            made[name],
        )
        for name, row in listed().items()
        if name in made
    ]
    head = facts.say(listed()["index"]["title"])
    return (Sheet("index", head, "", index_sheet(facts, found, linked)), *found)


def title(facts: Facts) -> str:
    """What stands at the head of the lesson."""
    whom = {
        "bar": facts.say("for the bar"),
        "kitchen": facts.say("for the kitchen"),
        "mixed": facts.say("for bar and kitchen"),
    }[facts.audience]
    return facts.say("Lesson {whom}, {minutes} minutes", whom=whom, minutes=facts.minutes)


def _sheet(facts: Facts, name: str, /, macro_: str = "", **said: object) -> Markup:
    """A sheet by its macro, which has its name where no other is given."""
    head = {"title": facts.say(listed()[name]["title"]), "of": title(facts)}
    return macro("lesson_sheets.html", macro_ or name.replace("-", "_"), {**head, **said})


def _said(facts: Facts, kind: str) -> list[str]:
    """The sentences of a kind in data/lessons/sheets.toml, for the audience."""
    return list(texts(facts, table("sheets")[kind]))


def index_sheet(facts: Facts, found: Iterable[Sheet], linked: str) -> Markup:
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
                "title": one.title,
                "copies": one.copies,
                "told": ", ".join(facts.say(p.title) for p in planned if one.name in p.see),
                "file": linked.format(one.name),
            }
            for one in found
        ],
    )


def plan_sheet(facts: Facts) -> Markup:
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
                **one._asdict(),
                "clock": one.clock,
                "minutes": facts.say("{minutes} min", minutes=one.minutes),
                "title": facts.say(one.title),
                "who": facts.say(one.who),
                "show": shows(facts, one),
                "see": ", ".join(facts.say(known[name]["title"]) for name in one.see),
            }
            for one in planned
        ],
    )  # fmt: skip


def things_sheet(facts: Facts) -> Markup:
    """What lies on the table, and what never does."""
    planned = {one.name: facts.say(one.title) for one in parts(facts)}
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


def _brought(facts: Facts) -> list[dict[str, str]]:
    """What the demonstrations of the plan need."""
    chosen = {name for one in parts(facts) for name in one.demonstrations}
    return [
        {"text": facts.say(thing["label"]), "part": facts.say(row["title"])}
        for row in pictures.offered()
        if row["id"] in chosen
        for thing in row["bring"]
    ]


def attendance_sheet(facts: Facts) -> Markup:
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


def wall_sheet(facts: Facts) -> Markup:
    """The wall sheets, a page each, with what the house has told in their lines."""
    safety = facts.house.safety
    told_ = {label: safety.get(key, "") for label, key in ON_WALLS.items()}
    said = wall.parts(wall.sheets(), facts.language, told_)
    on = dated(facts.on, facts.language) if facts.on else ""
    return _sheet(facts, "wall", macro_="walls", version=f"prepkit {__version__}", on=on, **said)


# ---- the house, its example and the exercise ----


def house_groups(facts: Facts) -> list[tuple[str, object]]:
    """What the house has told, by groups; what it has not is a line to write on."""
    house = facts.house
    vessels = [(one.id, one.facts) for one in house.vessels.values()]
    stores = [(one.id, vars(one)) for one in house.gases]
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
    facts: Facts, kind: str, known: Sequence[tuple[str, Mapping[str, object]]]
) -> Iterator[tuple[str, Sequence[tuple[str, str]]]]:
    """Each that is known with its lines; one without a name and blank where none is."""
    for id_, rows in known or [("", {})]:
        yield id_, told(kind, facts, rows)


def house_sheet(facts: Facts) -> Markup:
    """Facts of this house."""
    return _sheet(facts, "house", about=about(facts, "ask"), groups=house_groups(facts))


def example_sheet(facts: Facts, found: Example) -> Markup:
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
            (one, facts.say("Gas store {id}", id=store.id), "leak", False)
            for store, one in found.stores
        ),
    ]
    blanks = []
    if found.room is None:
        blanks.append((facts.say("The house"), told("place", facts, facts.house.facts)))
    blanks += [
        (facts.say("Gas store {id}", id=store.id), told("store", facts, vars(store)))
        for store, one in found.stores
        if one is None
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
            _worked(facts, one, title_, name, whole, place)
            for place, (one, title_, name, whole) in enumerate(worked)
            if one is not None
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
    facts: Facts, one: Worked, title_: str, name: str, whole: bool, place: int
) -> Mapping[str, object]:
    """What was run as the sheet shows it; a stop or a refusal says so and shows nothing to do."""
    if one.answer is None:
        nothing = dict.fromkeys(("given", "verdict", "stops", "figures", "steps", "cautions"), ())
        return {
            **nothing, "key": "", "title": title_, "about": [about(facts, "unjudged")],
            "refused": one.refused,
        }  # fmt: skip
    parts_ = answer_parts(one.answer, Look(facts.on or date.min))

    def turn(text: str) -> str:
        return turned(text, facts.language, "cautions")

    primary = value_names(one.answer.result.screen.primary)
    stop = one.answer.verdict == "stop"
    said = "stop" if stop and name in ("load", "room") else name
    return {
        "title": title_,
        "refused": "",
        "about": [] if said == "room" else [about(facts, said)],
        "given": [] if said == "stop" and not whole else _given(one),
        "verdict": _verdict(facts, one.answer.verdict, parts_["verdict"]),
        "do": facts.say("Do this:"),
        "key": f"verdict-{place}",
        "stops": [
            ("", turn(c.text), turn(c.action)) for c in one.answer.cautions if c.severity == "stop"
        ],
        "figures": []
        if stop
        else [
            (value.label, shown(value, "metric"))
            for key, value in one.answer.values.items()
            if key in primary
        ],
        "steps": parts_["steps"] if whole and not stop else [],
        "cautions": [
            {
                "severity": facts.say("note") if c.severity == "note" else facts.say(c.severity),
                "text": turn(c.text),
                "action": turn(c.action),
            }
            for c in one.answer.cautions
            if c.severity == "care" or (whole and not stop and not c.standing)
        ],
    }


def _verdict(facts: Facts, name: str, shown_: object) -> object:
    """The verdict as the calculators say it; in another language its word and what that means."""
    if facts.language == ENGLISH:
        return shown_
    word, _colon, words = facts.say(VERDICTS[name]).partition(": ")
    return {"name": name, "word": word, "words": words}


def _given(one: Worked) -> list[tuple[str, str]]:
    """What was said, by the labels of the calculator, without what the vessel's plate says."""
    specs = load(one.calculator).inputs.specs()
    plate = {row["name"] for row in table("sheets")["vessel"]}
    return [
        (specs[name].label, ", ".join(value) if isinstance(value, list) else str(value))
        for name, value in one.said.items()
        if name not in plate
    ]


def exercise_sheet(facts: Facts) -> Markup:
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


def exercise_key_sheet(facts: Facts) -> Markup:
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
