"""Everything that prepkit raises on purpose; patterns that are compiled when they are first
used.

PrepkitError                     code             exit
 |- BadInput (ValueError)        bad-input        2     what a person wrote cannot be used
 |   |- BadQuantity              bad-quantity     2     a number or unit that cannot be read
 |   |- UnknownIngredient        unknown-name     2     no such ingredient, item, gas, foamer
 |   |   `- NamedHazard          refused-name     3     a poison, a cryogen, a gas: known by name
 |   |- OutOfRange               out-of-range     2     outside where a relation or field holds
 |   `- BadRecipe                bad-recipe       2     a recipe or house file with a wrong entry
 |- FileProblem                  file-problem     4     a file that cannot be read or written
 `- Stopped                      stopped          2     the person stopped the command

A message is one sentence: what was wrong, the value, what would be right. Where it points at an
input it says `named("max_fill")`; each front end then names the input in its own way: the option on
the command line, the key in a file, the label on the page.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any, cast

# ---- patterns of words that are compiled when they are first used ----


class _Later:
    """Stands for a compiled pattern; what is asked of it once is at hand from then on."""

    def __init__(self, text: str, flags: int, within: tuple[str, ...] = ()) -> None:
        self._told, self._within = (text, flags), within

    def __getattr__(self, name: str) -> Any:  # Any: whatever a compiled pattern has
        if self._within and name in _NOT_FOUND:
            found = self._looked(_Later(*self._told), name)
        else:
            found = getattr(re.compile(*self._told), name)
        setattr(self, name, found)
        return found

    def _looked(self, pattern: _Later, name: str) -> Callable[..., Any]:  # Any: as above
        """A method of the pattern, which is asked of texts alone that it can find something in."""

        def looked(text: str, *places: int) -> Any:  # Any: as above
            folded = text.casefold()
            for word in self._within:
                if word in folded:
                    return getattr(pattern, name)(text, *places)
            return _NOT_FOUND[name]

        return looked


_NOT_FOUND = {"match": None, "fullmatch": None, "search": None, "findall": (), "finditer": ()}


def later(text: str, flags: int = 0, within: tuple[str, ...] = ()) -> re.Pattern[str]:
    """A pattern as of `re.compile`, compiled at its first use; wrong ones are told only then.

    within: words, in small letters, of which all that it finds has one; a text without any is not
    looked into.

    >>> later(r"[0-9]+").sub("n", "4 g of 12")
    'n g of n'
    >>> later(r"(a|the) lemon", within=("lemon",)).search("a lime") is None
    True
    """
    return cast("re.Pattern[str]", _Later(text, flags, within))


# ---- everything that prepkit raises on purpose ----

MOST_LETTERS = 1500  # of a sentence; the middle of a longer one is left out
# orders to a terminal, ends of lines, turns of direction, and what is no text at all
_NO_TEXT = r"\x00-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff"
_OPEN, _GIVEN, _CLOSE = "\ue000", "\ue001", "\ue002"  # of a name in a sentence; in no input
_UNSEEN = later(f"[{_NO_TEXT}{_OPEN}{_GIVEN}{_CLOSE}]")
_UNSHOWN = later(f"[{_NO_TEXT}]")
_NAME = later(f"{_OPEN}([^{_OPEN}{_CLOSE}]*?)(?:{_GIVEN}([^{_OPEN}{_CLOSE}]*))?{_CLOSE}")
Namer = Callable[[str, str | None], str]


def unseen(text: str) -> bool:
    """Whether there is a character in it that cannot be seen, or that no input may have.

    >>> unseen("half a lemon"), unseen("half\\ta lemon")
    (False, True)
    """
    return not text.isprintable() and _UNSEEN.search(text) is not None


def named(field: str, example: str | None = None) -> str:
    """The place of an input's name in a sentence, with words that could be given for it.

    >>> by_option(f"{named('max_fill')} is missing; write {named('max_fill', '0.5 l')}.")
    '--max-fill is missing; write --max-fill "0.5 l".'
    """
    given = "" if example is None else f"{_GIVEN}{example}"
    return f"{_OPEN}{field}{given}{_CLOSE}"


def say(sentence: str, namer: Namer) -> str:
    """A sentence with its inputs named by `namer(field, example or None)`."""
    if _OPEN not in sentence:
        return sentence
    return _NAME.sub(lambda found: namer(found[1], found[2]), sentence)


def by_option(sentence: str) -> str:
    """A sentence for the command line.

    >>> by_option("nothing is named here")
    'nothing is named here'
    """

    def option(field: str, example: str | None) -> str:
        shown = "--" + field.replace("_", "-")
        return shown if example is None else f'{shown} "{example}"'

    return say(sentence, option)


def by_key(sentence: str) -> str:
    """A sentence for a file: the key, and the line that could stand there.

    >>> by_key(f"write {named('max_fill', '0.5 l')}.")
    'write max_fill = "0.5 l".'
    """
    return say(sentence, lambda key, example: key if example is None else f'{key} = "{example}"')


def one_line(text: str) -> str:
    """`text` as one line to be read: what cannot be seen is spelled out, what is endless is cut.

    >>> print(one_line("five\\ngrams"))
    five\\ngrams
    """
    if not text.isprintable():
        text = _UNSHOWN.sub(lambda found: ascii(found[0])[1:-1], text)
    if len(text) > MOST_LETTERS:
        text = f"{text[:1000]} [...] {text[-400:]}"
    return text


def in_full(number: float) -> str:
    """A number of a range as a person writes it, without a power of ten.

    >>> in_full(1e6), in_full(0.5)
    ('1000000', '0.5')
    """
    return f"{number:.0f}" if 1e5 <= abs(number) < 1e12 else f"{number:g}"


def _key(field: str | None) -> str | None:
    """The name of an input as a key, also where it is known by its option."""
    return field[2:].replace("-", "_") if field and field.startswith("--") else field


class PrepkitError(Exception):
    """Base of the tree; `code` is one of a closed set, `exit_status` what the shell sees."""

    code = "error"
    exit_status = 2

    def __init__(self, wording: str) -> None:
        self.wording = one_line(wording)
        super().__init__(by_option(self.wording))

    @property
    def message(self) -> str:
        """The sentence as the command line says it."""
        return by_option(self.wording)

    def said(self, namer: Namer) -> str:
        """The sentence with its inputs named as a front end names them."""
        return say(self.wording, namer)

    def to_dict(self) -> dict[str, object]:
        """The JSON form: code of the closed set, sentence, input if known, exit status."""
        return {
            "error": {
                "code": self.code,
                "message": self.message,
                "field": _key(getattr(self, "field", None)),
                "exit_status": self.exit_status,
            }
        }


class BadInput(PrepkitError, ValueError):
    """What a person wrote cannot be used; `field` is the input's own name where it is known."""

    code = "bad-input"

    def __init__(self, wording: str, field: str | None = None) -> None:
        super().__init__(wording)
        self.field = None if field is None else one_line(say(field, lambda name, _: name))


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


class Stopped(PrepkitError):
    """The person stopped the command before it was done."""

    code = "stopped"


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
