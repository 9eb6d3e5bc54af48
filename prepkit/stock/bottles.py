"""A batch divided into bottles, kegs, bags and jars, and what one of them serves.

What freezes needs room for ice, and what is charged needs headspace: where the house has not said
the headspace of a container, nothing is filled into it and the headspace is asked for.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby

from prepkit.errors import BadInput, named
from prepkit.numbers import nearest
from prepkit.record import Record
from prepkit.science import heat

MOST_BOTTLES = 1000
_DUST_ML = 1e-6


class Container(Record):
    """A bottle, keg, bag or jar: `volume_ml` is all it holds, `headspace_ml` what stays empty.

    None is what the house did not say; `rated_bar` is the gauge pressure that its maker allows.
    """

    name: str
    volume_ml: float
    headspace_ml: float | None = None
    rated_bar: float | None = None
    case: int | None = None
    note: str = ""


class Fill(Record):
    """One container and how much goes into it."""

    container: Container
    ml: float


class Division(Record):
    """All containers of a batch in their order, the full ones first."""

    fills: tuple[Fill, ...]

    @property
    def words(self) -> str:
        """Such as "4 x 750 ml + 776 ml"."""
        told = groupby(f"{one.ml:.0f} ml" for one in self.fills)
        counted = [(words, len(list(many))) for words, many in told]
        return " + ".join(f"{n} x {words}" if n > 1 else words for words, n in counted)


def container_of(name: str, known: Mapping[str, Container]) -> Container:
    """A container by its name in the house file; BadInput with the nearest names."""
    tidy = name.strip()
    if tidy in known:
        return known[tidy]
    if not known:
        raise BadInput(
            f'"{tidy}" is no container of the house; write [containers.bottle] with its '
            f"volume in the house file.",
            "into",
        )
    raise BadInput(f'"{tidy}" is no container of the house; {nearest(tidy, known)}.', "into")


def most_ml(one: Container, *, frozen: bool = False, charged: bool = False) -> float:
    """The most that is filled into a container, ml.

    frozen: it must hold the ice too, taken as if all of it were water, which grows most. charged:
    its headspace and the pressure that its maker allows must be known. Raises BadInput where the
    house has not said what is needed. Source: [ICE-DENSITY] (read).
    """
    lacking = []
    if (frozen or charged) and one.headspace_ml is None:
        lacking.append("headspace")
    if charged and one.rated_bar is None:
        lacking.append("rated")
    if lacking:
        what = "under pressure" if charged else "frozen"
        means = {"headspace": "how much stays empty", "rated": "the pressure its maker allows"}
        asked = ", and ".join(f"{key}, {means[key]}" for key in lacking)
        raise BadInput(
            f"nothing {what} is filled into {one.name}: write {asked}, under "
            f"[containers.{one.name}] in the house file.",
            "into",
        )
    most = one.volume_ml - (one.headspace_ml or 0.0)
    return min(most, one.volume_ml / (1.0 + heat.GROWTH)) if frozen else most


def divide(
    volume_ml: float,
    containers: Sequence[Container],
    *,
    frozen: bool = False,
    charged: bool = False,
) -> Division:
    """A volume over containers, the first of them as often as it goes, in the fewest in all.

    What is left goes into the smallest that holds it. It may be more than one of the first holds
    where another kind takes it: 3776 ml are four bottles of 750 ml and a jar with 776 ml.

    >>> bottle, jar = Container("bottle", 750.0), Container("jar", 1000.0)
    >>> divide(3776.0, [bottle, jar]).words, divide(3776.0, [bottle]).words
    ('4 x 750 ml + 776 ml', '5 x 750 ml + 26 ml')
    """
    if not containers:
        raise BadInput("no container was named; name one of the house.", "into")
    if not volume_ml > 0:
        raise BadInput(f"there is {volume_ml:g} ml to fill; it must be more than 0.", "amount")
    most = [most_ml(one, frozen=frozen, charged=charged) for one in containers]
    first = most[0]
    whole = math.floor((volume_ml + _DUST_ML) / first)
    if whole > MOST_BOTTLES:
        raise BadInput(
            f"{volume_ml:.0f} ml would be {whole} of {containers[0].name}; at most {MOST_BOTTLES} "
            f"are filled at once. Name a larger container.",
            "into",
        )
    rest = volume_ml - whole * first
    if rest <= _DUST_ML:
        return Division((Fill(containers[0], first),) * whole)
    sizes = sorted(zip(most, containers, strict=True), key=lambda pair: pair[0])

    def last(ml: float) -> Container | None:
        return next((one for size, one in sizes if ml <= size + _DUST_ML), None)

    more = last(first + rest) if whole else None
    if more is not None:
        return Division((*(Fill(containers[0], first),) * (whole - 1), Fill(more, first + rest)))
    into = last(rest)
    assert into is not None  # it is less than one of the first holds
    return Division((*(Fill(containers[0], first),) * whole, Fill(into, rest)))


def pours(fill_ml: float, pour_ml: float) -> int:
    """How many whole pours, jiggers or serves are in a fill.

    >>> pours(750.0, 60.0), pours(750.0, 750.0), pours(20.0, 60.0)
    (12, 1, 0)
    """
    if not pour_ml > 0:
        raise BadInput(f"a pour of {pour_ml:g} ml; it must be more than 0.", named("pour"))
    return math.floor(fill_ml / pour_ml + 1e-9)


def total_ml(fills: Iterable[Fill]) -> float:
    """All that is filled, ml."""
    return math.fsum(one.ml for one in fills)
