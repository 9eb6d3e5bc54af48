"""Everything that prepkit raises on purpose.

PrepkitError                     code             exit
 |- BadInput (ValueError)        bad-input        2     what a person wrote cannot be used
 |   |- BadQuantity              bad-quantity     2     a number or unit that cannot be read
 |   |- UnknownIngredient        unknown-name     2     no such ingredient, item, gas, foamer
 |   |   `- NamedHazard          refused-name     3     a poison, a cryogen, a gas: known by name
 |   |- OutOfRange               out-of-range     2     outside where a relation or field holds
 |   `- BadRecipe                bad-recipe       2     a recipe or house file with a wrong entry
 `- FileProblem                  file-problem     4     a file that cannot be read or written

A message is one sentence: what was wrong, the value, what would be right.
"""

from __future__ import annotations

import math
import re

MOST_LETTERS = 1500  # of a sentence; the middle of a longer one is left out
# orders to a terminal, ends of lines, turns of direction, and what is no text at all
UNSEEN = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


def one_line(text: str) -> str:
    """`text` as one line to be read: what cannot be seen is spelled out, what is endless is cut.

    >>> print(one_line("five\\ngrams"))
    five\\ngrams
    """
    if UNSEEN.search(text):
        text = UNSEEN.sub(lambda found: ascii(found[0])[1:-1], text)
    if len(text) > MOST_LETTERS:
        text = f"{text[:1000]} [...] {text[-400:]}"
    return text


def in_full(number: float) -> str:
    """A number of a range as a person writes it, without a power of ten.

    >>> in_full(1e6), in_full(0.5)
    ('1000000', '0.5')
    """
    return f"{number:.0f}" if 1e5 <= abs(number) < 1e12 else f"{number:g}"


class PrepkitError(Exception):
    """Base of the tree; `code` is one of a closed set, `exit_status` what the shell sees."""

    code = "error"
    exit_status = 2

    def __init__(self, message: str) -> None:
        message = one_line(message)
        super().__init__(message)
        self.message = message


class BadInput(PrepkitError, ValueError):
    """What a person wrote cannot be used; `field` names the input where it is known."""

    code = "bad-input"

    def __init__(self, message: str, field: str | None = None) -> None:
        super().__init__(message)
        self.field = None if field is None else one_line(field)


class BadQuantity(BadInput):
    """A number or a unit that cannot be read."""

    code = "bad-quantity"


class UnknownIngredient(BadInput):
    """A name that the pantry, the recipe or a table does not have."""

    code = "unknown-name"


class NamedHazard(UnknownIngredient):
    """A name of what goes into no drink; `hazard` is its row, of `refused_plants.Refused`."""

    code = "refused-name"
    exit_status = 3

    def __init__(self, message: str, field: str | None, hazard: object, words: str) -> None:
        super().__init__(message, field)
        self.hazard, self.words = hazard, words


class BadRecipe(BadInput):
    """A recipe, house or vessel file with an entry that cannot be used."""

    code = "bad-recipe"


class OutOfRange(BadInput):
    """A value outside the range where a relation or a field holds."""

    code = "out-of-range"

    def __init__(
        self,
        argument: str,
        value: float,
        low: float | None,
        high: float | None,
        unit: str = "",
        source: str = "",
    ) -> None:
        self.argument, self.value, self.low, self.high = argument, value, low, high
        self.unit, self.source = unit, source
        of_unit = f" {unit}" if unit else ""
        if low is not None and high is not None:
            right = f"between {in_full(low)} and {in_full(high)}{of_unit}"
        elif low is not None:
            right = f"at least {in_full(low)}{of_unit}"
        else:
            most = f"at most {in_full(high)}" if high is not None else "a finite number"
            right = f"{most}{of_unit}"
        held_by = f" ({source})" if source else ""
        super().__init__(
            f"{argument} is {in_full(value)}{of_unit}; it must be {right}{held_by}.", argument
        )


class FileProblem(PrepkitError):
    """A file that cannot be read or written."""

    code = "file-problem"
    exit_status = 4


def require(
    argument: str,
    value: float,
    low: float | None,
    high: float | None,
    unit: str = "",
    source: str = "",
) -> None:
    """Raise OutOfRange unless `value` is finite and low <= value <= high (None: no limit).

    >>> require("temperature_c", 20.0, 0.0, 80.0, "C", "SPS-4")
    >>> require("temperature_c", 90.0, 0.0, 80.0, "C", "SPS-4")
    Traceback (most recent call last):
    ...
    prepkit.errors.OutOfRange: temperature_c is 90 C; it must be between 0 and 80 C (SPS-4).
    """
    if (
        not math.isfinite(value)
        or (low is not None and value < low)
        or (high is not None and value > high)
    ):
        raise OutOfRange(argument, value, low, high, unit, source)
