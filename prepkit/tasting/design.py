"""A blind tasting: what is compared, by which test, in which order, under which codes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from prepkit import blocks
from prepkit.draws import below, generator, shuffled
from prepkit.errors import BadInput, named
from prepkit.inputs import Inputs, choice, count, flag, quantity, words
from prepkit.pantry import Pantry
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
        return {one: poured.count(at) * self.glass_ml for at, one in enumerate(self.glasses)}


class Pour(NamedTuple):
    """A glass before a taster: its code, and which of the tasting's glasses it is."""

    code: str
    glass: int


class Sheet(NamedTuple):
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
def sheets(one: Tasting) -> tuple[Sheet, ...]:
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
        out.append(Sheet(taster, pours, _right(one, pours)))
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


class Line(NamedTuple):
    """A sentence that stands on every tasting, with its source."""

    text: str
    source: str


@cache
def _data() -> dict[str, list[dict[str, str | float]]]:
    return blocks.document("tasting.toml")


def lines() -> Iterator[Line]:
    """The cautions of every tasting, in order."""
    for row in _data()["line"]:
        yield Line(str(row["text"]), str(row["source"]))


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


class Plan(Inputs):
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
    found = tuple(" ".join(one.split()) for one in said.split(",") if one.strip())
    if not found:
        raise BadInput(f"name the allergens, or say {named('allergens', 'none')}.", "allergens")
    return () if [one.lower() for one in found] == ["none"] else found
