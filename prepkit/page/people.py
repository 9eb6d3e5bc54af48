"""Who opens the page, what each is about to do, and the calculator behind the words."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Task:
    """Something that a person is about to do; `given` is filled in already."""

    words: str
    calculator: str
    given: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Person:
    """One of those whom the page is for."""

    id: str
    words: str
    tasks: tuple[Task, ...]
    recipes: str = ""
    drills: str = ""
    sheets: str = ""


PEOPLE = (
    Person(
        "formulating",
        "I write the prep",
        (
            Task("A cordial or syrup to a sugar and an acidity", "cordial"),
            Task("Peel and sugar, or oil in a syrup", "oleo"),
            Task("Plants in a spirit", "infuse"),
            Task("A stock of acid, by its strength", "acid-solution"),
            Task("A juice brought to an acidity", "acid-adjust"),
            Task("The base: parts put together", "blend"),
            Task("Down to a strength", "dilute"),
            Task("Stirred, shaken, or cold from a bottle", "chill"),
            Task("Readings of the instruments", "reading"),
            Task("A batch that came out wrong", "correct"),
            Task("One glass: units, sugar, allergens, cost", "serve"),
        ),
        recipes="A whole service, back from the serves",
    ),
    Person(
        "checking",
        "I answer for the load",
        (
            Task("One siphon, before it is charged", "siphon"),
            Task("Vessels and chargers for the evening", "siphon", {"mode": "plan"}),
            Task("The pressure through the service", "siphon", {"mode": "dispense"}),
            Task("A foam that is blended, not charged", "foam"),
            Task("Whether cream stays on top", "layer"),
            Task("Hot drinks: how hot, how long", "warm"),
            Task("How long it keeps, by the codes", "keep"),
            Task("Gas of the chargers in this room", "room"),
        ),
        recipes="Tonight's batch sheet: tick off, measure, correct",
    ),
    Person(
        "teaching",
        "I teach gas and cold",
        (
            Task("Gas set free in a room", "room"),
            Task("Liquid nitrogen and dry ice", "cryogen"),
            Task("A load step by step, for the board", "siphon"),
            Task("Can a bubble or foam rise in air", "float"),
        ),
        drills="Papers with a key, marked on screen",
        sheets="Cautions for the wall, by kind of danger",
    ),
)
