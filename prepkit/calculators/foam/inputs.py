"""Inputs of foam, and the foamers by their data.

The table is data; this module finds a row, compares a liquid with its windows and a dose with its
rules, and hands both on as plain facts and table rows.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from prepkit import blocks, jurisdictions, numbers
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.facts import Facts, checked
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, count, number, parts, quantity, words
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.units import Measured, split_amount

# ---- foamers by name ----

WAYS = ("air", "whip", "siphon")
CHECKED = {
    "strength": "% vol", "fat": "% w/w", "sugar": "% w/w", "ph": "", "temperature": "C",
}  # fmt: skip
RAW, PASTEURISED = "raw", "pasteurised"
_EGG_WORDS = {
    "raw": RAW, "unpasteurised": RAW, "unpasteurized": RAW,
    "pasteurised": PASTEURISED, "pasteurized": PASTEURISED,
}  # fmt: skip
_EGG = "egg"


class Dose(Record):
    """Usual dose, per cent of the liquid by mass, and how it was obtained."""

    low: float
    high: float
    obtained: str
    source: str
    start: float | None = None


class FoamMethod(Record):
    """One way of foaming: liquid in the drained foam, % by volume, and the bubble taken."""

    way: str
    low: float
    high: float
    bubble_mm: float
    obtained: str
    source: str
    stands: str = ""  # the published standing time that speaks of it


class Window(NamedTuple):
    """What one number of the liquid may be, and why."""

    of: str
    why: str
    obtained: str
    source: str
    low: float | None = None
    high: float | None = None

    def words(self) -> str:
        """The window as words.

        >>> Window("ph", "", "practice", "", 2.5, 9).words()
        '2.5 to 9'
        """
        unit = f" {CHECKED[self.of]}" if CHECKED[self.of] else ""
        if self.low is None:
            return f"at most {self.high:g}{unit}"
        if self.high is None:
            return f"at least {self.low:g}{unit}"
        return f"{self.low:g} to {self.high:g}{unit}"


class FoamRule(NamedTuple):
    """What one set of rules says: words, and the most in mg/kg where a number is known."""

    where: str
    text: str
    obtained: str
    source: str
    mg_kg: float | None = None


class Foamer(Record):
    """One row of the table."""

    name: str
    what: str
    role: str  # foamer, stabiliser, or liquid (the liquid foams by itself)
    hydration: str
    hydration_obtained: str
    hydration_source: str
    allergen: str
    ways: tuple[FoamMethod, ...]
    windows: tuple[Window, ...]
    law: tuple[FoamRule, ...]
    also: tuple[str, ...] = ()
    ingredient: str = ""
    raw_ingredient: str = ""
    dose: Dose | None = None
    too_little: str = ""
    too_much: str = ""
    saponins: bool = False
    enzymes: tuple[str, ...] = ()  # fruit whose raw juice destroys it

    def way(self, asked: str | None) -> FoamMethod | None:
        """The way asked for, or the first; None where no range is known for it."""
        if asked is None:
            return self.ways[0] if self.ways else None
        return next((way for way in self.ways if way.way == asked), None)

    @property
    def usual(self) -> str:
        """The usual dose in words."""
        if self.dose is None:
            return "as the label says"
        return f"{self.dose.low:g} to {self.dose.high:g} % w/w"


@cache
def table() -> dict[str, Foamer]:
    """Every foamer by name, in file order."""
    raw: dict[str, dict[str, Any]] = {}  # Any: rows of a TOML file of ours
    for row in blocks.blocks("foamers.toml", "foamer"):
        like = raw[row["same_as"]] if "same_as" in row else {}
        raw[row["name"]] = {**like, "also": [], **row}
    return {name: _made(row) for name, row in raw.items()}


def _made(row: Mapping[str, Any]) -> Foamer:  # Any: a row of the file
    plain = {name: value for name, value in row.items() if name != "same_as"}
    hydration = plain.pop("hydration")
    return Foamer(
        **{
            **plain,
            "also": tuple(plain.get("also", ())),
            "enzymes": tuple(plain.get("enzymes", ())),
            "hydration": hydration["text"],
            "hydration_obtained": hydration["obtained"],
            "hydration_source": hydration["source"],
            "dose": Dose(**plain["dose"]) if "dose" in plain else None,
            "ways": tuple(FoamMethod(**way) for way in plain["ways"]),
            "windows": tuple(Window(**window) for window in plain["windows"]),
            "law": tuple(_rule(one) for one in plain["law"]),
        }
    )


def _rule(row: Mapping[str, Any]) -> FoamRule:  # Any: a row of the file
    plain = dict(row)
    limit = plain.pop("limit", None)
    if limit is not None:
        plain["mg_kg"] = jurisdictions.find(limit).value
    return FoamRule(**plain)


def find(words: str, field: str) -> Foamer:
    """The foamer of a name; UnknownIngredient with the nearest names.

    >>> find("sucrose esters", named("foamer")).name
    'sucrose ester'
    """
    tidy = " ".join(words.lower().split())
    names = {spelling: row for row in table().values() for spelling in (row.name, *row.also)}
    if tidy in names:
        return names[tidy]
    meant = list(dict.fromkeys(names[text].name for text in numbers.close(tidy, names, 4)))
    inside = [row.name for row in table().values() if tidy and tidy in row.name]
    hint = ", ".join(meant or inside)
    hint = f"the nearest are {hint}" if hint else f"they are {', '.join(table())}"
    raise UnknownIngredient(f'{field}: no foamer "{words}"; {hint}.', field)


class FoamerWords(str):
    """The words of a foamer with its row, its statement on egg, and its pantry ingredients."""

    row: Foamer
    said: str | None
    kinds: dict[str, Ingredient]

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str) -> "FoamerWords":
        """Read "lecithin" or "pasteurised egg white"; UnknownIngredient otherwise."""
        first, _, rest = " ".join(words.lower().split()).partition(" ")
        said = _EGG_WORDS.get(first) if _EGG in rest else None
        self = cls(words)
        self.row = find(rest if said else words, field)
        self.said = said
        self.kinds = {
            kind: pantry.ingredient(name, field)
            for kind, name in (
                (PASTEURISED, self.row.ingredient), (RAW, self.row.raw_ingredient),
            )
            if name
        }  # fmt: skip
        return self

    def ingredient(self, egg: str | None) -> Ingredient | None:
        """What is weighed; None where the liquid foams by itself.

        Raises BadInput where fresh egg is asked for without saying pasteurised or raw.
        """
        if self.said and egg and self.said != egg:
            raise BadInput(
                f'{named("foamer")} says "{self}" and {named("egg")} says {egg}. Leave one of '
                "the two out.",
                "egg",
            )
        if RAW not in self.kinds:
            if (self.said or egg) == RAW and _EGG in self.row.name:
                raise BadInput(
                    f"{named('foamer')} {self.row.name} is taken as sold, pasteurised; for egg "
                    "from the "
                    f"shell write {named('foamer')} egg white {named('egg')} raw.",
                    "egg",
                )
            return self.kinds.get(PASTEURISED)
        kind = self.said or egg
        if kind is None:
            raise BadInput(
                f"{named('foamer', f'{self}')} may be raw or pasteurised. Write {named('egg')} "
                f"pasteurised or {named('egg')} raw.",
                "egg",
            )
        return self.kinds[kind]


# a liquid against the windows


class Measure(Record):
    """One number of the liquid; None where it is not known."""

    value: float | None
    plus_minus: float = 0.0


def window_facts(row: Foamer, liquid: Mapping[str, Measure]) -> Facts:
    """How far each number lies outside its window (above zero: outside), with the reason.

    A number whose +/- reaches into the window is only at its edge. Numbers that are not known come
    as None under `<name>_value`.
    """
    facts: dict[str, object] = {}
    for window in row.windows:
        measure = liquid.get(window.of)
        if measure is None:
            continue
        name, value = window.of, measure.value
        facts |= {f"{name}_value": value, f"{name}_window": window.words()}
        facts |= {f"{name}_why": window.why, f"{name}_obtained": window.obtained}
        if value is None:
            continue
        spread = measure.plus_minus
        facts[f"{name}_plus_minus"] = spread
        out = {
            "below": window.low - value if window.low is not None else None,
            "above": value - window.high if window.high is not None else None,
        }
        for side, by in out.items():
            if by is not None:
                facts[f"{name}_{side}_window"] = by - spread
        if any(by is not None and 0 < by <= spread for by in out.values()):
            facts[f"{name}_edge"] = 1.0
    return checked(facts)


def window_rows(
    row: Foamer, liquid: Mapping[str, Measure]
) -> tuple[tuple[str | float | None, ...], ...]:
    """The same as table rows: check, this liquid, what is wanted, how that is known, why."""
    return tuple(
        (
            {"ph": "pH", "sugar": "dissolved solids"}.get(window.of, window.of),
            "not known" if measure.value is None else f"{measure.value:.3g}",
            window.words(),
            window.obtained,
            window.why,
        )
        for window in row.windows
        if (measure := liquid.get(window.of)) is not None
    )


# a dose against the usual and the law


def dose_facts(
    row: Foamer, percent: float, prefix: str = "dose", liquid_g: float | None = None
) -> Facts:
    """A dose over the top of the usual range and under its bottom, as ratios, with the words.

    With the liquid's grams, the usual dose of it is told in grams too.
    """
    facts: dict[str, object] = {
        f"{prefix}_of": row.name,
        f"{prefix}_percent": percent,
        f"{prefix}_usual": row.usual,
        f"{prefix}_obtained": row.dose.obtained if row.dose else "",
        f"{prefix}_too_little": row.too_little,
        f"{prefix}_too_much": row.too_much,
        f"{prefix}_has_range": 1.0 if row.dose else 0.0,
    }
    if row.dose and percent > 0:
        facts[f"{prefix}_over_usual"] = percent / row.dose.high
        facts[f"{prefix}_under_usual"] = row.dose.low / percent
    if row.dose and liquid_g is not None:
        low, high = (0.01 * end * liquid_g for end in (row.dose.low, row.dose.high))
        facts[f"{prefix}_usual_g"] = f"{low:.2g} to {high:.2g} g"
    return checked(facts)


def law(row: Foamer, jurisdiction: str | None) -> tuple[FoamRule, ...]:
    """The rules of one jurisdiction, or all of them."""
    return tuple(rule for rule in row.law if jurisdiction in (None, rule.where))


def law_facts(
    row: Foamer, jurisdiction: str | None, foamer_mg_kg: float, saponins_mg_kg: float | None
) -> Facts:
    """The share of the strictest known limit that the foam holds, by how the limit is known."""
    facts: dict[str, Any] = {}  # Any: words and numbers, which are compared here
    counted = saponins_mg_kg if row.saponins else foamer_mg_kg
    for rule in law(row, jurisdiction):
        if rule.mg_kg is None or counted is None:
            continue
        share = counted / rule.mg_kg
        if share > facts.get(f"law_{rule.obtained}_share", 0.0):
            facts |= {
                f"law_{rule.obtained}_share": share,
                f"law_{rule.obtained}_where": WHERE[rule.where],
                f"law_{rule.obtained}_mg_kg": rule.mg_kg,
                f"law_{rule.obtained}_counted": counted,
                f"law_{rule.obtained}_text": rule.text,
            }
    return checked(facts)


WHERE = {"eu": "the EU", "us": "the US", "codex": "the Codex"}


# ---- what foam is told ----


class Inputs(BaseInputs):
    """What is foamed, with what, how, and for how many."""

    groups = (
        ("Most needed", "liquid foamer dose serves scoop temperature ph method"),
        ("Foamer", "stabiliser stabiliser_dose egg saponins"),
        ("Foam, measured", "expansion overrun cup_liquid cup_foam bubble height thickness"),
        ("Conditions", "jurisdiction"),
    )
    takes = (
        ("foamer", "name"),
        ("stabiliser", "name"),
    )

    liquid: tuple[Part, ...] = parts(
        "liquid",
        "The liquid, without the foamer. One entry for each part.",
        "400 ml lemon juice",
    )
    foamer: FoamerWords = words(
        "foamer",
        "Such as lecithin, egg white, gelatine or quillaja. Cream foams by itself.",
        "lecithin",
    )
    dose: Measured | None = quantity(
        ("% w/w", "g/l", "g"),
        "dose of the foamer",
        "% of the liquid by mass, g per litre of liquid at 20 °C, or grams in all.",
        "0.6 %",
        default=None,
        above=0,
        high=1000,
        because="a dose is at most all of it",
    )
    stabiliser: FoamerWords | None = words(
        "a stabiliser", "Xanthan beside the foamer, where there is one.", "xanthan", default=None
    )
    stabiliser_dose: Measured | None = quantity(
        ("% w/w", "g/l", "g"),
        "dose of the stabiliser",
        "On the same basis as the foamer's.",
        "0.1 %",
        default=None,
        above=0,
        high=1000,
        because="a dose is at most all of it",
    )
    egg: str | None = choice(
        (PASTEURISED, RAW),
        "egg",
        "Whether fresh egg white is pasteurised or raw from the shell.",
        default=None,
    )
    saponins: float | None = quantity(
        "% w/w",
        "saponins in the quillaja product",
        "From its label or data sheet. Legal limits count saponins.",
        "20 %",
        default=None,
        above=0,
        high=100,
        because="it is a share of the product",
    )
    method: str | None = choice(
        WAYS,
        "way of foaming",
        "Air is frothed at the surface and scooped. Whip is whisked or shaken. Siphon is "
        "charged. Without it, the usual way of the foamer.",
        default=None,
    )
    temperature: float | None = quantity(
        "C",
        "temperature while foaming",
        "Volumes are always shown at 20 °C.",
        "8 C",
        default=None,
        low=-5,
        high=100,
        because="water freezes and boils outside",
    )
    ph: float | None = number(
        "pH that was measured",
        "Of the liquid, by a calibrated meter; worked out where it is not given.",
        "2.6",
        default=None,
        low=0,
        high=14,
    )
    expansion: float | None = number(
        "expansion that was measured",
        "Litres of foam from one litre of liquid.",
        "30",
        default=None,
        low=1,
        high=1000,
    )
    overrun: float | None = quantity(
        "%",
        "overrun that was measured",
        "Gas taken in, per cent of the volume of the liquid (not of the foam).",
        "300 %",
        default=None,
        low=0,
        high=99900,
        because="a foam is no smaller than its liquid; per cent of the liquid's volume",
    )
    cup_liquid: float | None = quantity(
        "g", "a cup of the liquid", "Level, less the cup; for the overrun.", "238 g",
        default=None, above=0, high=1e5, because="a cup",
    )  # fmt: skip
    cup_foam: float | None = quantity(
        "g", "the same cup of foam", "Level, less the cup; for the overrun.", "120 g",
        default=None, above=0, high=1e5, because="a cup",
    )  # fmt: skip
    bubble: float | None = quantity(
        "mm",
        "bubbles across",
        "For the drainage. Without it, 1 mm for an air and 0.3 mm for whipped foam.",
        "1 mm",
        default=None,
        low=0.01,
        high=50,
        because="the drainage relation is for bubbles of that size",
    )
    height: float = quantity(
        "mm",
        "height of the foam",
        "For the drainage.",
        "20 mm",
        default=20.0,
        low=1,
        high=1000,
        because="the drainage relation is for foams of that height",
    )
    thickness: float | None = number(
        "viscosity against water",
        "Against water at 20 °C, timed through one funnel. Without it, from the dissolved "
        "solids, no gum counted.",
        "2",
        default=None,
        low=0.3,
        high=1e5,
    )
    serves: int | None = count(
        "serves", "How many the batch is for.", "40", default=None, low=1, high=100000,
        extensive=True,
    )  # fmt: skip
    scoop: Measured | None = quantity(
        ("ml", "g"),
        "one scoop of foam",
        "Foam on one serve, by volume or by mass.",
        "60 ml",
        default=None,
        above=0,
        high=10000,
        because="volume of the drink",
    )
    jurisdiction: str | None = choice(
        tuple(WHERE), "whose food law", "Without it, all three are shown.", default=None
    )

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: a foamer with its amount ("2 g lecithin") is foamer and dose."""
        found = dict(said)
        for name, dose in (("foamer", "dose"), ("stabiliser", "stabiliser_dose")):
            words = found.get(name)
            if not isinstance(words, str) or not words.strip()[:1].isdigit():
                continue
            amount, rest = split_amount(words, named(name), pantry.measures)
            if amount.unit != "g" or not rest:
                raise BadInput(
                    f'{named(name, words)}: write its weight and its name, such as "2 g lecithin", '
                    f"or its name alone and the dose beside it.",
                    name,
                )
            if found.get(dose) is not None:
                raise BadInput(
                    f"{named(name, words)} says an amount, and so does {named(dose)}; "
                    f"leave one of the two out.",
                    dose,
                )
            found |= {name: rest.removeprefix("of "), dose: amount}
        return found

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: foamers and stabilisers by their words."""
        if value is None or name not in ("foamer", "stabiliser"):
            return value
        chosen = FoamerWords.read(value, pantry, named(name))
        if name == "stabiliser" and chosen.row.role != "stabiliser":
            raise BadInput(
                f"{named('stabiliser')} is {value}, which is a foamer; write {named('foamer')} "
                f"{chosen.row.name}, "
                f"and xanthan as the stabiliser.",
                "stabiliser",
            )
        return chosen
