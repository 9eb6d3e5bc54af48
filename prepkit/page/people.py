"""Who opens the page, what each is about to do, and the calculator behind the words."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Task:
    """Something that a person is about to do; `given` is filled in already.

    `place` is another page of ours than a calculator, by the name of its view. A task with an icon
    stands on the home page; the others open below it.
    """

    words: str
    calculator: str = ""
    icon: str = ""
    given: dict[str, str] = field(default_factory=dict)
    place: str = ""


@dataclass(frozen=True)
class Person:
    """One of those whom the page is for."""

    id: str
    words: str
    tasks: tuple[Task, ...]

    @property
    def first(self) -> list[Task]:
        """What is seen at once."""
        return [task for task in self.tasks if task.icon]

    @property
    def others(self) -> list[Task]:
        """What opens below it."""
        return [task for task in self.tasks if not task.icon]


PEOPLE = (
    Person(
        "formulating",
        "I write the prep",
        (
            Task("Cordial or syrup to a Brix", "cordial", "glass"),
            Task("Acid stock by strength", "acid-solution", "acid"),
            Task("Oleo from peel and sugar", "oleo", "plant"),
            Task("Correct a batch", "correct", "tick"),
            Task("Recipes, planned for a service", icon="list", place="recipes.index"),
            Task("From the drink that is wanted to amounts", "compose"),
            Task("From pour to last sip", "window"),
            Task("Ladder of small glasses", place="ladders.index"),
            Task("Blind tasting, on phones", place="tastings.index"),
            Task("Plants in a spirit", "infuse"),
            Task("Spirit washed with fat", "fat-wash"),
            Task("Coffee and tea as ingredients", "coffee"),
            Task("Milk punch, and other ways to clear a drink", "clarify"),
            Task("Juice brought to an acidity", "acid-adjust"),
            Task("Saline and umami stocks, by the drop", "salt"),
            Task("Base: parts put together", "blend"),
            Task("Down to a strength", "dilute"),
            Task("Stirred, shaken, or cold from a bottle", "chill"),
            Task("Freezer bottles, slush, frozen tubs", "freeze"),
            Task("Readings of the instruments", "reading"),
            Task("One glass: units, sugar, allergens, cost", "serve"),
        ),
    ),
    Person(
        "checking",
        "I check the load",
        (
            Task("Siphon, before it is charged", "siphon", "gauge"),
            Task("Keg or bottle with carbon dioxide", "carbonate"),
            Task("Gas in a room", "room", "air"),
            Task("Liquid nitrogen and dry ice", "cryogen", "cold"),
            Task("Tonight's batch sheet", icon="clock", place="recipes.index"),
            Task("Wall sheets and cautions", icon="care", place="words.walls"),
            Task("Vessels and chargers for the evening", "siphon", given={"mode": "plan"}),
            Task("Pressure through the service", "siphon", given={"mode": "dispense"}),
            Task("Foam that is blended, not charged", "foam"),
            Task("Smoke, mist, fog: who breathes what", "cloud"),
            Task("Cream that stays on top", "layer"),
            Task("Hot drinks: how hot, how long", "warm"),
            Task("How long it keeps, by the codes", "keep"),
        ),
    ),
    Person(
        "teaching",
        "I teach",
        (
            Task("Open a class", icon="trained", place="classes.index"),
            Task("Drill: papers with a key", icon="alarm", place="drills.index"),
            Task("Gas set free in a room", "room", "air"),
            Task("One load, step by step", "siphon"),
            Task("Cold: liquid nitrogen, dry ice", "cryogen"),
            Task("Bubble or foam that rises in air", "float"),
        ),
    ),
)
