"""Blind tastings: which test, how many tasters, codes and orders, sheets, and the result."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Annotated, Any, NamedTuple

from prepkit import blocks, files
from prepkit.draws import below, generator, shuffled
from prepkit.errors import BadInput, BadRecipe, FileProblem, PrepkitError, by_key, named, require
from prepkit.file_models import WORDS, FileModel, Flag, Form, Kind, NestedTable, Note, Quantity
from prepkit.files import shown, text
from prepkit.inputs import Inputs, choice, count, flag, quantity, words
from prepkit.pantry import Pantry
from prepkit.plan.files import Reader, quoted, read_text, tables_of
from prepkit.science import ethanol, tasting
from prepkit.science.tasting import MOST_SAMPLES, MOST_TASTERS, williams_square
from prepkit.units import Measured

MOST_GLASSES = MOST_SAMPLES
LARGEST_SEED = 999_999_999
ALPHA = 0.05
POWER = 0.80
LIKED = "liked"  # the taste of a preference
#: How far apart two drinks taste, in their own scatter, and what it is called.
DISTANCES = (("small", 1.0), ("medium", 1.5), ("large", 2.0))


class Test(NamedTuple):
    """One kind of test: glasses for each taster, chance of a right guess, what is asked."""

    name: str
    glasses: int
    chance: float
    asked: str


TESTS = {
    "pair": Test("paired test", 2, tasting.PAIR, "Which glass is more {taste}?"),
    "preference": Test("preference test", 2, tasting.PAIR, "Which glass do you like better?"),
    "three": Test("test of three", 3, tasting.TRIANGLE, "One glass is more {taste}. Which?"),
    "triangle": Test("triangle test", 3, tasting.TRIANGLE, "One glass is different. Which?"),
    "duo-trio": Test(
        "duo-trio test", 3, tasting.PAIR, "Taste the reference. Which glass is the same?"
    ),
    "ranking": Test("ranking", 0, 0.0, "Put the glasses in order, the least {taste} first."),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Tasting:
    """What a tasting file says. Codes and orders follow from it and its seed."""

    title: str
    test: str
    glasses: tuple[str, ...]
    taste: str | None = None  # what is expected to differ, such as sour
    expected: str | None = None  # the glass that is expected to have more of it
    in_order: bool = False  # the glasses are named in the order that is expected
    tasters: int = 12
    seed: int = 1
    glass_ml: float
    abv_percent: float
    allergens: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no tasting, or more than a person may taste."""
        _held(self)

    @property
    def kind(self) -> Test:
        """The test."""
        return TESTS[self.test]

    @property
    def glasses_each(self) -> int:
        """Glasses that one taster tastes."""
        return self.kind.glasses or len(self.glasses)

    @property
    def two_sided(self) -> bool:
        """Whether either answer would be a finding."""
        return self.test == "preference" or (self.test == "pair" and self.expected is None)

    @property
    def question(self) -> str:
        """What every taster is asked."""
        if self.test == "ranking" and self.taste == LIKED:
            return "Put the glasses in order, the one you like least first."
        return self.kind.asked.format(taste=self.taste)

    @property
    def alcohol_g(self) -> float:
        """Ethanol in all glasses of one taster if nothing is spat, in g: an upper bound."""
        ml = self.glasses_each * self.glass_ml
        return ml * self.abv_percent / 100 * ethanol.PURE_KG_M3 / 1000

    @property
    def volume_ml(self) -> dict[str, float]:
        """What must be poured of each glass for all tasters, in ml, by its name."""
        poured = [pour.glass for sheet in sheets(self) for pour in sheet.pours]
        return {glass: poured.count(at) * self.glass_ml for at, glass in enumerate(self.glasses)}


class Pour(NamedTuple):
    """A glass before a taster: its code, and which of the tasting's glasses it is."""

    code: str
    glass: int


class TasterSheet(NamedTuple):
    """One taster's glasses from left to right; `right` is the code that answers the question."""

    taster: int
    pours: tuple[Pour, ...]
    right: str | None

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes that can be answered."""
        return tuple(pour.code for pour in self.pours if pour.code != REFERENCE)


REFERENCE = "reference"


@cache
def sheets(one: Tasting) -> tuple[TasterSheet, ...]:
    """Every taster's glasses, balanced over the tasters; the same file gives the same sheets.

    Each order comes equally often, as far as the number of tasters goes.
    """
    rng = generator("tasting", one.seed, one.test, one.glasses, one.tasters)
    served: list[tuple[int, ...]] = []
    while len(served) < one.tasters:
        served += shuffled(rng, orders(one))
    out = []
    for taster, order in enumerate(served[: one.tasters], 1):
        codes: list[str] = []
        while len(codes) < len(order):
            code = str(100 + below(rng, 900))
            if code not in codes:
                codes.append(code)
        reference = one.test == "duo-trio"
        pours = tuple(
            Pour(REFERENCE if reference and place == 0 else code, glass)
            for place, (code, glass) in enumerate(zip(codes, order, strict=True))
        )
        out.append(TasterSheet(taster, pours, _right(one, pours)))
    return tuple(out)


def imbalance(one: Tasting) -> int:
    """By how many tasters the commonest order is ahead of the rarest."""
    given = [tuple(pour.glass for pour in sheet.pours) for sheet in sheets(one)]
    counts = [given.count(order) for order in orders(one)]
    return max(counts) - min(counts)


def orders(one: Tasting) -> list[tuple[int, ...]]:
    """The orders in which the glasses can stand, each once. Source: [TASTING-ORDERS] (memory)."""
    if one.test == "triangle":
        return [(0, 1, 1), (1, 0, 0), (0, 0, 1), (1, 1, 0), (0, 1, 0), (1, 0, 1)]
    if one.test == "duo-trio":
        return [(0, 0, 1), (0, 1, 0), (1, 0, 1), (1, 1, 0)]
    if one.test == "three":
        more = one.glasses.index(one.expected) if one.expected else 1
        less = 1 - more
        return [(more, less, less), (less, more, less), (less, less, more)]
    if one.test == "ranking":
        return [tuple(glass - 1 for glass in row) for row in williams_square(len(one.glasses))]
    return [(0, 1), (1, 0)]


def _right(one: Tasting, pours: Sequence[Pour]) -> str | None:
    """The code of the right answer, where there is one."""
    glasses = [pour.glass for pour in pours]
    if one.test in ("triangle", "three"):
        return next(pour.code for pour in pours if glasses.count(pour.glass) == 1)
    if one.test == "duo-trio":
        return next(pour.code for pour in pours[1:] if pour.glass == glasses[0])
    if one.test == "pair" and one.expected is not None:
        more = one.glasses.index(one.expected)
        return next(pour.code for pour in pours if pour.glass == more)
    return None


def proposed(glasses: int, taste: str | None, expected: bool) -> str:
    """The test that needs fewest tasters for what is known.

    >>> proposed(2, "sour", True), proposed(2, "sour", False), proposed(2, None, False)
    ('three', 'pair', 'triangle')
    """
    if glasses > 2:
        return "ranking"
    if taste == LIKED:
        return "preference"
    if taste is None:
        return "triangle"
    return "three" if expected else "pair"


def needed(test: str, d_prime: float, two_sided: bool = False) -> tasting.PanelSize | None:
    """Tasters who find a difference of `d_prime` 8 times in 10, by mere chance at most 1 in 20."""
    method = "pair" if test == "preference" else test
    alpha = 0.5 * ALPHA if two_sided else ALPHA
    share = tasting.right_share(method, d_prime)
    return tasting.panel_size(POWER, share, TESTS[test].chance, alpha)


class StandingLine(NamedTuple):
    """A sentence that stands on every tasting, with its source."""

    text: str
    source: str


@cache
def _data() -> dict[str, list[dict[str, str | float]]]:
    return blocks.document("tasting.toml")


def lines() -> Iterator[StandingLine]:
    """The cautions of every tasting, in order."""
    for row in _data()["line"]:
        yield StandingLine(str(row["text"]), str(row["source"]))


def most_glasses(abv_percent: float) -> int:
    """Most glasses for one person in one tasting, by strength: our judgement.

    >>> most_glasses(12.0), most_glasses(40.0)
    (12, 6)
    """
    rows = _data()["most"]
    return next(int(row["glasses"]) for row in rows if abv_percent <= float(row["abv_percent"]))


def _held(one: Tasting) -> None:
    count = len(one.glasses)
    if one.test not in TESTS:
        known = ", ".join(TESTS)
        raise BadInput(f'"{one.test}" is no test; take one of {known}.', "test")
    if len(set(one.glasses)) < count:
        raise BadInput("two glasses have one name; name each differently.", "glass")
    if not 2 <= count <= MOST_GLASSES:
        raise BadInput(
            f"there are {count} glasses; a tasting compares 2 to {MOST_GLASSES}.", "glass"
        )
    if (one.test == "ranking") != (count > 2):
        takes = "3 or more glasses" if one.test == "ranking" else "2 glasses"
        raise BadInput(f"a {one.kind.name} takes {takes}; there are {count}.", "glass")
    if one.expected is not None and one.expected not in one.glasses:
        raise BadInput(
            f'"{one.expected}" is none of the glasses; name one of {", ".join(one.glasses)}.',
            "expected",
        )
    if one.test in ("pair", "three", "ranking") and one.taste is None:
        raise BadInput(
            f"a {one.kind.name} asks for a taste; give {named('taste', 'sour')}.", "taste"
        )
    if one.test == "three" and one.expected is None:
        raise BadInput(
            "a test of three needs the glass that is expected to have more of it; give "
            f"{named('expected')}.",
            "expected",
        )
    if not 1 <= one.tasters <= MOST_TASTERS:
        raise BadInput(f"there are {one.tasters} tasters; give 1 to {MOST_TASTERS}.", "tasters")
    if not 0 <= one.seed <= LARGEST_SEED:
        raise BadInput(f"the seed is {one.seed}; give 0 to {LARGEST_SEED}.", "seed")
    if not 1.0 <= one.glass_ml <= 200.0:
        raise BadInput(f"a glass has {one.glass_ml:g} ml; give 1 to 200 ml.", "glass_volume")
    if not 0.0 <= one.abv_percent <= 100.0:
        raise BadInput(f"the strength is {one.abv_percent:g} %; give 0 to 100 % vol.", "abv")
    if len(one.allergens) > 1 and "none" in [name.lower() for name in one.allergens]:
        raise BadInput(
            f"the allergens are {', '.join(one.allergens)}; name them, or say none alone.",
            "allergens",
        )
    most = most_glasses(one.abv_percent)
    if one.glasses_each > most:
        raise BadInput(
            f"{one.glasses_each} glasses of {one.abv_percent:g} % vol are more than the {most} "
            "that one person should taste at a time (our judgement). Take fewer glasses, or "
            "weaker ones.",
            "glass",
        )


EXAMPLE = (
    'prepkit tasting --taste sour --glass "cordial 0.55 %" --glass "cordial 0.62 %" '
    '--expected "cordial 0.62 %" --tasters 16 --glass-volume "15 ml" --abv "0 %" --allergens none'
)


class TastingPlan(Inputs):
    """What the form of a tasting asks: first of all what should differ."""

    taste: str | None = words(
        "taste that should differ",
        "One word, such as sour, sweet, bitter; or liked, to ask which is liked better. Left "
        "blank: it is not known what differs, and far more tasters are needed.",
        "sour", default=None,
    )  # fmt: skip
    glass: tuple[str, ...] = words(
        "drinks to compare",
        "One row for each, by a name that only you read. In rising order where it is known.",
        "cordial 0.55 %", many=True,
    )  # fmt: skip
    expected: str | None = words(
        "drink that should have more of it",
        "The name of one of the drinks. It makes the smallest test.",
        "cordial 0.62 %", default=None,
    )  # fmt: skip
    in_order: bool = flag(
        "the drinks stand in the order that is expected", "For three drinks or more: least first."
    )
    tasters: int = count(
        "tasters", "How many people taste.", "12", default=12, low=1, high=MOST_TASTERS
    )
    glass_volume: Measured = quantity(
        "ml", "volume in each glass", "It decides who may taste how much.", "15 ml",
        low=1, high=200, because="what one person tastes",
    )  # fmt: skip
    abv: Measured = quantity(
        "% vol", "strength of the strongest glass", "0 for none.", "0 % vol", low=0, high=100,
        because="a share of the volume",
    )  # fmt: skip
    allergens: str = words(
        "allergens of all glasses", "Such as milk, egg, nuts; or none. Every taster reads them "
        "before the first glass.", "none",
    )  # fmt: skip
    test: str | None = choice(
        tuple(TESTS), "test", "The one that needs fewest tasters, if you choose none.",
        default=None,
    )  # fmt: skip
    title: str = words("title", "It stands on every sheet.", "Sour trial", default="Blind tasting")

    def tasting(self, seed: int) -> Tasting:
        """The tasting of these words, with its codes and orders by chance."""
        taste = None if self.taste is None else self.taste.lower()
        return Tasting(
            title=self.title, glasses=self.glass, taste=taste, expected=self.expected,
            test=self.test or proposed(len(self.glass), taste, self.expected is not None),
            in_order=self.in_order, tasters=self.tasters, seed=seed,
            glass_ml=float(self.glass_volume), abv_percent=float(self.abv),
            allergens=read_allergens(self.allergens),
        )  # fmt: skip

    def after_reading(self, pantry: Pantry) -> None:
        """Hook of the base: whatever makes no tasting is refused here already."""
        if len(self.glass) < 2:
            raise BadInput(
                f"name the drinks to compare with {named('glass')}, once for each.", "glass"
            )
        self.tasting(1)


def read_allergens(said: str) -> tuple[str, ...]:
    """Words apart by commas; none for none. BadInput where nothing is said."""
    found = tuple(" ".join(word.split()) for word in said.split(",") if word.strip())
    if not found:
        raise BadInput(f"name the allergens, or say {named('allergens', 'none')}.", "allergens")
    return () if [word.lower() for word in found] == ["none"] else found


# ---- the file of a tasting with its answers, and its result ----

# ---- the file of a tasting ----

Figures = dict[str, Any]  # Any: numbers and lists of numbers, for JSON
BETWEEN, TIED = " ", "="
ANSWERS = "[answers]"
_HEADING = re.compile(r"\s*\[\s*answers\s*\]\s*(#.*)?")


class Names(Kind):
    """A list of words."""

    def read(self, value: object) -> tuple[str, ...]:
        """Each of them, tidy."""
        if not isinstance(value, list):
            raise BadRecipe(f'it is {shown(value)}; write a list, such as ["one", "two"].')
        return tuple(text(one) for one in value)

    def form(self) -> Form:
        """A list of words."""
        return {"type": "array", "items": WORDS}


class Whole(Kind):
    """A whole number."""

    def read(self, value: object) -> int:
        """The number itself."""
        if isinstance(value, bool) or not isinstance(value, int):
            raise BadRecipe(f"it is {shown(value)}; write a whole number.")
        return value

    def form(self) -> Form:
        """A whole number."""
        return {"type": "integer", "minimum": 0}


class TastingTable(FileModel, called="tasting"):
    """What is compared, by whom, and how."""

    title: Annotated[str, Note("The name of the tasting.")]
    test: Annotated[str, Note("pair, preference, three, triangle, duo-trio or ranking.")]
    glasses: Annotated[tuple[str, ...], Names("The drinks that are compared, by name.")]
    taste: Annotated[str | None, Note("The taste that is expected to differ.")] = None
    expected: Annotated[str | None, Note("The glass that should have more of it.")] = None
    in_order: Annotated[bool, Flag("The glasses stand in the order that is expected.")] = False
    tasters: Annotated[int, Whole("How many people taste.")]
    seed: Annotated[int, Whole("Which codes and orders.")] = 1
    glass_volume: Annotated[Measured, Quantity("In each glass. [ml]", ("ml",), 1.0, 200.0)]
    abv: Annotated[Measured, Quantity("Of the strongest glass. [% vol]", ("% vol",), 0.0, 100.0)]
    allergens: Annotated[tuple[str, ...], Names("Of all glasses together; [] for none.")]


class _Tasting(NestedTable):
    """The table [tasting], without which there is none."""

    missing = "it is missing; write a table, [tasting]."


class TasterAnswers(Kind):
    """The answers by taster, which the tasting then reads."""

    def read(self, value: object) -> Mapping[str, object]:
        """The table as it is written."""
        if not isinstance(value, Mapping):
            raise BadRecipe(f"it is {shown(value)}; write a table.")
        return value

    def form(self) -> Form:
        """Words by taster."""
        return {"type": "object", "additionalProperties": WORDS}


class TastingFile(FileModel, called="tasting_file"):
    """A tasting, and the answers as they come in."""

    tasting: Annotated[TastingTable, _Tasting("", TastingTable)]
    answers: Annotated[Mapping[str, object], TasterAnswers("The answer of each taster.")] = {}


def load(path: str | Path) -> tuple[Tasting, dict[int, str]]:
    """The tasting of a file and the answers so far, by taster.

    Raises FileProblem, and BadRecipe in one sentence with the line.
    """
    file, said = str(path), read_text(path, "tasting")
    tables = tables_of(said, file, "tasting")

    reader = Reader(file, said)
    file_said = reader.model(TastingFile, tables)
    read = file_said.tasting
    try:
        tasting = Tasting(
            title=read.title,
            test=read.test,
            glasses=read.glasses,
            taste=read.taste,
            expected=read.expected,
            in_order=read.in_order,
            tasters=read.tasters,
            seed=read.seed,
            glass_ml=float(read.glass_volume),
            abv_percent=float(read.abv),
            allergens=read.allergens,
        )
    except BadInput as error:
        raise reader.wrong(("tasting",), by_key(error.wording)) from error
    answers: dict[int, str] = {}
    for taster, given in file_said.answers.items():
        try:
            number, answer = read_answer(tasting, f"{taster}: {given}")
        except BadInput as error:
            raise reader.wrong(("answers", taster), by_key(error.wording)) from error
        if number in answers:
            raise reader.wrong(("answers", taster), "this taster has two answers; leave one.")
        answers[number] = answer
    return tasting, answers


def read_answer(tasting: Tasting, words: str) -> tuple[int, str]:
    """A taster's answer from words: "3: 417", or "3: 417 238=911" for a ranking.

    Raises BadInput with the codes that can be answered.
    """
    who, _, said = (" ".join(words.split())).partition(":")
    who = who.lower().removeprefix("taster").strip()
    if not who.isdecimal() or not 1 <= int(who) <= tasting.tasters:
        raise BadInput(
            f'"{words[:60]}" names no taster from 1 to {tasting.tasters}; write it as "3: 417".',
            "answer",
        )
    sheet = sheets(tasting)[int(who) - 1]
    if tasting.test != "ranking":
        return int(who), _code(sheet, said.strip())
    groups = [
        TIED.join(_code(sheet, code) for code in group.split(TIED))
        for group in said.replace(" = ", TIED).replace(",", BETWEEN).split()
    ]
    answer = BETWEEN.join(groups)
    if sorted(answer.replace(TIED, BETWEEN).split()) != sorted(sheet.codes):
        raise BadInput(
            f"taster {who} ranked {answer or 'nothing'}; write each of {', '.join(sheet.codes)} "
            "once, equal ones joined by =.",
            "answer",
        )
    return int(who), answer


def _code(sheet: TasterSheet, said: str) -> str:
    if said in sheet.codes:
        return said
    raise BadInput(
        f'taster {sheet.taster} has no glass "{said[:60]}"; the codes are '
        f"{', '.join(sheet.codes)}. A guess counts, no answer does not.",
        "answer",
    )


def ranks(sheet: TasterSheet, answer: str) -> tuple[float, ...]:
    """The ranks of the tasting's glasses in their own order; equal glasses share their mean."""
    found, place = {}, 1
    for group in answer.split(BETWEEN):
        codes = group.split(TIED)
        for code in codes:
            found[code] = place + 0.5 * (len(codes) - 1)
        place += len(codes)
    by_glass = {pour.glass: found[pour.code] for pour in sheet.pours if pour.code != REFERENCE}
    return tuple(by_glass[at] for at in range(len(by_glass)))


def written(tasting: Tasting, answers: Mapping[int, str] | None = None) -> str:
    """The file as TOML."""
    out = ["[tasting]", f"title = {quoted(tasting.title)}", f'test = "{tasting.test}"']
    out.append(f"glasses = [{', '.join(map(quoted, tasting.glasses))}]")
    if tasting.taste is not None:
        out.append(f"taste = {quoted(tasting.taste)}")
    if tasting.expected is not None:
        out.append(f"expected = {quoted(tasting.expected)}")
    if tasting.in_order:
        out.append("in_order = true")
    out += [
        f"tasters = {tasting.tasters}",
        f"seed = {tasting.seed}",
        f'glass_volume = "{tasting.glass_ml:g} ml"',
        f'abv = "{tasting.abv_percent:g} % vol"',
        f"allergens = [{', '.join(map(quoted, tasting.allergens))}]",
    ]
    return "\n".join(out) + "\n" + _answers(answers or {})


def _answers(answers: Mapping[int, str]) -> str:
    rows = "".join(f'{answer} = "{answers[answer]}"\n' for answer in sorted(answers))
    return f"\n{ANSWERS}\n{rows}" if rows else ""


def save(path: Path, answers: Mapping[int, str]) -> None:
    """Write the answers into their file, whole; all else in it stays as it was written.

    Raises FileProblem where that cannot be done.
    """
    kept, among = [], False
    said = read_text(path, "tasting")
    for line in said.splitlines():
        if line.lstrip().startswith("["):
            among = _HEADING.fullmatch(line) is not None
        if not among:
            kept.append(line)
    text = "\n".join(kept).rstrip() + "\n" + _answers(answers)
    if not _adds(said, text, answers):
        raise FileProblem(
            f"{str(path)!r} was changed by hand and its answers cannot be added to; write them "
            f'as a table {ANSWERS} with lines such as 3 = "417".'
        )
    try:
        files.write(path, text, over=True)
    except OSError as error:
        raise FileProblem(f"{str(path)!r} cannot be written: {error.strerror}.") from error


def _adds(before: str, after: str, answers: Mapping[int, str]) -> bool:
    """Whether the text still says the same, with these answers."""
    try:
        old, new = (dict(tables_of(word, "", "tasting")) for word in (before, after))
    except PrepkitError:
        return False
    said = {str(taster): answer for taster, answer in answers.items()}
    return {"answers": {}, **new} == {**old, "answers": said}


# ---- the result of a tasting ----

BY_CHANCE = "chance alone gives that at most 1 time in 20"  # ALPHA in words
_SHARE_OF_INTEREST = 0.30  # who can tell, where the user names no share for likeness


@dataclass(frozen=True, kw_only=True)
class TastingFindings:
    """What the answers say: sentences with the answer first, and the figures in them."""

    found: bool  # a difference; chance alone gives it at most 1 time in 20
    sentences: tuple[str, ...]
    figures: Mapping[str, Any]  # Any: as of Figures


def judge(
    one: Tasting, answers: Mapping[int, str], alike_below: float | None = None
) -> TastingFindings:
    """What the answers say; `alike_below` asks for likeness: fewer than this share can tell.

    Raises BadInput where nobody has answered, or likeness is asked of a test that cannot show it.
    """
    if not answers:
        raise BadInput("nobody has answered yet.", "answers")
    if one.test == "ranking":
        if alike_below is not None:
            raise BadInput("a ranking cannot prove likeness; use a triangle test.", "alike_below")
        found = _ranked(one, answers)
    else:
        found = _picked(one, answers, alike_below)
    missing = one.tasters - len(answers)
    if not missing:
        return found
    open_ = f"{missing} of {one.tasters} tasters have not answered; they are left out."
    return TastingFindings(
        found=found.found, sentences=(*found.sentences, open_),
        figures={**found.figures, "not_answered": missing},
    )  # fmt: skip


def _picked(one: Tasting, answers: Mapping[int, str], alike_below: float | None) -> TastingFindings:
    """A test with one code as its answer."""
    by_taster = {sheet.taster: sheet for sheet in sheets(one)}
    count, chance = len(answers), one.kind.chance
    if one.two_sided:
        if alike_below is not None:
            raise BadInput(
                "likeness needs a test with a right answer, such as a triangle test.", "alike_below"
            )
        return _two_sided(one, answers)
    correct = sum(by_taster[taster].right == code for taster, code in answers.items())
    p = tasting.chance_p_value(correct, count, chance)
    who = tasting.discriminators(correct, count, chance)
    figures: Figures = {
        "right": correct, "answers": count, "chance": chance, "p_value": p,
        "share_who_can_tell": who.share, "share_low": who.low, "share_high": who.high,
        "right_needed": tasting.least_correct(count, chance, ALPHA),
    }  # fmt: skip
    found = p <= ALPHA
    sure = f"they differ; {BY_CHANCE}" if found else "not enough to be sure"
    told = "picked the expected glass" if one.test in ("pair", "three") else "told them apart"
    out = [f"{correct} of {count} {told}, p = {_p(p)}: {sure}."]
    out.append(
        f"Between {_share(who.low)} and {_share(who.high)} of people may be able to tell "
        "(95 % interval)."
    )
    if not found:
        out += _power(one, count, who.share, figures)
        if alike_below is None:
            out.append('Not sure is not "the same": this is no test of likeness.')
    if alike_below is not None:
        out.append(_likeness(correct, count, chance, alike_below, figures))
    return TastingFindings(found=found, sentences=tuple(out), figures=figures)


def _power(one: Tasting, count: int, share: float, figures: Figures) -> list[str]:
    """What this panel could have found, and the panel that would decide."""
    chance = one.kind.chance
    seen = share if share > 0.0 else _SHARE_OF_INTEREST
    power = tasting.power(count, seen, chance, ALPHA)
    panel = tasting.panel_size(POWER, chance + seen * (1.0 - chance), chance, ALPHA)
    of = "as seen here" if share > 0.0 else "for example"
    out = [
        f"If {_share(seen)} can tell, {of}, {count} tasters find it {100 * power:.0f} times in 100."
    ]
    figures |= {"power": power, "power_at_share": seen}
    if panel is not None:
        figures |= {"tasters_first": panel.first, "tasters_stable": panel.stable}
        out.append(
            f"{panel.stable} tasters would find it 80 times in 100 (at least {panel.first})."
        )
    return out


def _likeness(correct: int, count: int, chance: float, share: float, figures: Figures) -> str:
    """Whether fewer than `share` of people can tell, at p of at most 5 %."""
    require("alike_below", share, 0.01, 0.99, "", "likeness")
    most = tasting.most_correct_for_similarity(count, chance, share, ALPHA)
    p = tasting.similarity_p_value(correct, count, chance, share)
    figures |= {"alike_below": share, "alike_p_value": p, "alike_most_right": most}
    if most is None:
        return f"{count} tasters are too few to show that fewer than {_share(share)} can tell."
    if correct < count * chance:
        return f"Fewer were right than by guessing: likeness below {_share(share)} stays open."
    if correct <= most:
        return (
            f"Alike: fewer than {_share(share)} of people can tell, p = {_p(p)}. If more could, so "
            "few would be right at most 1 time in 20."
        )
    return (
        f"Likeness below {_share(share)} is not shown: at most {most} right answers would show it."
    )


def _two_sided(one: Tasting, answers: Mapping[int, str]) -> TastingFindings:
    """A pair without a right answer: how uneven the choice is."""
    first_glass = sum(
        pour.glass == 0
        for sheet in sheets(one) if sheet.taster in answers
        for pour in sheet.pours if pour.code == answers[sheet.taster]
    )  # fmt: skip
    count = len(answers)
    p = tasting.two_sided_p_value(first_glass, count)
    ahead, behind = one.glasses if 2 * first_glass >= count else one.glasses[::-1]
    most = max(first_glass, count - first_glass)
    found = p <= ALPHA
    chose = "like better" if one.test == "preference" else f"find more {one.taste}"
    sure = BY_CHANCE if found else "not enough to be sure"
    out = [f"{most} of {count} {chose} {ahead} than {behind}, p = {_p(p)}: {sure}."]
    if not found:
        out.append('Not sure is not "the same": this is no test of likeness.')
    figures = {"for_first_glass": first_glass, "answers": count, "p_value": p}
    return TastingFindings(found=found, sentences=tuple(out), figures=figures)


def _ranked(one: Tasting, answers: Mapping[int, str]) -> TastingFindings:
    """A ranking: Page's test where the order was known, else Friedman's and the pairs apart."""
    by_taster = {sheet.taster: sheet for sheet in sheets(one)}
    rows = [ranks(by_taster[taster], said) for taster, said in sorted(answers.items())]
    count, samples = len(rows), len(one.glasses)
    sums = [math.fsum(row[at] for row in rows) for at in range(samples)]
    figures: Figures = {
        "answers": count,
        "rank_sums": dict(zip(one.glasses, sums, strict=True)),
    }
    if one.in_order:
        page = tasting.page(rows)
        found = page.p_value <= ALPHA
        figures |= {"page_l": page.statistic, "p_value": page.p_value, "exact": True}
        sure = f"they follow the order; {BY_CHANCE}" if found else "not enough to be sure"
        out = [f"{count} rankings against the expected order, p = {_p(page.p_value)}: {sure}."]
    else:
        test = tasting.ranked(rows)
        found = test.p_value <= ALPHA
        figures |= {"friedman": test.statistic, "p_value": test.p_value, "exact": test.exact}
        sure = f"they differ; {BY_CHANCE}" if found else "not enough to be sure"
        about = "" if test.exact else "about "
        out = [f"{count} rankings of {samples} glasses, p = {about}{_p(test.p_value)}: {sure}."]
    order = sorted(range(samples), key=lambda at: sums[at])
    said = ", ".join(f"{one.glasses[at]} {sums[at]:g}" for at in order)
    out.append(f"Rank sums, least first: {said}.")
    if found:
        apart = tasting.all_pairs_difference(count, samples)
        pairs = [
            f"{one.glasses[a]} and {one.glasses[b]}"
            for a, b in combinations(order, 2) if sums[b] - sums[a] >= apart
        ]  # fmt: skip
        figures |= {"apart_from": apart, "pairs_apart": pairs}
        said = "; ".join(pairs) or "no single pair"
        out.append(f"Apart by {apart} or more in rank sum, all pairs at once: {said}.")
    else:
        out.append('Not sure is not "the same": this is no test of likeness.')
    return TastingFindings(found=found, sentences=tuple(out), figures=figures)


def _p(p: float) -> str:
    return f"{p:.3f}" if p >= 0.001 else "less than 0.001"


def _share(share: float) -> str:
    return "none" if share < 0.005 else f"{100 * share:.0f} %"
