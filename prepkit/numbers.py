"""What people type: numbers and times of day; the nearest known word."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable
from datetime import datetime, timedelta
from functools import lru_cache
from typing import NamedTuple

from prepkit.errors import BadInput, BadQuantity, later

# ---- how many letters two words are apart, and which known words a misspelt one may mean ----

_LONG = 8  # letters from which two may be wrong
_SHORT = 4  # letters below which none may


def plain_letters(text: str) -> str:
    """Lower case without accents, subscripts or anything that cannot be seen.

    >>> plain_letters("Crème LN₂")
    'creme ln2'
    """
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text)
    return "".join(
        word for word in apart if unicodedata.category(word) not in ("Mn", "Cf")
    ).casefold()


@lru_cache(maxsize=8192)
def joined(text: str) -> str:
    """The letters and figures of a text alone.

    >>> joined("Fox-glove s")
    'foxgloves'
    """
    return "".join(re.findall(r"[a-z0-9]+", plain_letters(text)))


@lru_cache(maxsize=8192)
def _mask(word: str) -> int:
    found = 0
    for letter in word:
        found |= 1 << (ord(letter) & 63)
    return found


def apart(one: str, other: str, most: int) -> int:
    """Letters put in, left out, changed or swapped with the next; most + 1 where it is more.

    >>> apart("foxglove", "foxglvoe", 2), apart("kava", "cava", 2), apart("so2", "o2", 0)
    (1, 1, 1)
    """
    if abs(len(one) - len(other)) > most or (_mask(one) ^ _mask(other)).bit_count() > 2 * most:
        return most + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for at, letter in enumerate(one, 1):
        new = [at]
        for to, there in enumerate(other, 1):
            least = min(row[to] + 1, new[to - 1] + 1, row[to - 1] + (letter != there))
            swapped = at > 1 and to > 1 and letter == other[to - 2] and one[at - 2] == there
            new.append(min(least, before[to - 2] + 1) if swapped else least)
        if min(new) > most:
            return most + 1
        before, row = row, new
    return min(row[-1], most + 1)


def allowed(letters: int) -> int:
    """How many letters of a word of that length may be wrong: none, one or two."""
    return 0 if letters < _SHORT else 1 if letters < _LONG else 2


def close(word: str, known: Iterable[str], most: int = 3) -> list[str]:
    """The known words that this one may be misspelt for, the nearest first; often none.

    >>> close("helum", ["helium", "neon"]), close("so2", ["o2", "co2"])
    (['helium'], [])
    """
    plain_word = joined(word)
    limit = allowed(len(plain_word))
    if not limit:
        return []
    found: dict[str, int] = {}
    for name in known:
        far = apart(plain_word, joined(name), limit)
        if far <= limit:
            found.setdefault(name, far)
    return sorted(found, key=lambda name: (found[name], name))[:most]


# ---- hints at the names that are near to one that is not known ----

NEAR = "the nearest is"


def close_names(name: str, known: Iterable[str], n: int = 3) -> list[str]:
    """At most `n` of the known names that this one may be misspelt for, nearest first.

    >>> close_names("so2", ["o2", "co2"]), close_names("jucie", ["juice", "ice"])
    ([], ['juice'])
    """
    return close(name, known, n)


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint at the names that are near, or at all of a few; empty where there are none."""
    names = list(known)
    near = close_names(name, names)
    if near:
        return f"{NEAR} {' or '.join(near)}"
    return (
        f"there is {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}" if names else ""
    )


# ---- text to a number ----

SPREAD = later(r"(?:±|\+/-|\+-)", within=("±", "+"))
# what the compatibility forms of Unicode leave alone, or would turn into something else
_PASTED = str.maketrans(
    {
        "\u2212": "-", "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-",
        "\u00ba": "°", "\u02da": "°",
        "\u2044": "/", "\u2215": "/",
        "\u200b": None, "\u2060": None, "\ufeff": None,
    }
)  # fmt: skip
_RAISED = later("(?<=[0-9])([\u00b9\u00b2\u00b3\u2070-\u207b]+)")
_VULGAR = later("([0-9]?)\\s*([\u00bc-\u00be\u2150-\u215e\u2189])")
_NUMBER = later(r"([+-]?(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?)(?![0-9_])")
_GROUPED = later(r"([+-]?[1-9][0-9]{0,2}(?: [0-9]{3})+)(?:([.,])([0-9]+))?(?![0-9_/*^.,])")
_FRACTION = later(
    r"(?P<sign>[+-]?)(?:(?P<whole>[0-9]{1,6})(?:\s+(?:and\s+)?|-))?"
    r"(?P<top>[0-9]{1,3})\s*/\s*(?P<under>[1-9][0-9]{0,2})(?![0-9/.,_*^])",
    re.IGNORECASE,
)
_SHARES = {"half": 0.5, "third": 1 / 3, "quarter": 0.25}
_WORD = later(
    r"(?:(?P<whole>[0-9]{1,6}|one|two|three)\s+and\s+(?=an?\s))?"
    r"(?:(?P<times>an?|one|two|three)\s+)?(?P<share>half|third|quarter)(?P<many>s?)(?![\w-])"
    r"(?!\s+and\s+half)(?:\s+(?:of\s+)?an?(?![\w-])|\s+of(?![\w-]))?",
    re.IGNORECASE,
    within=tuple(_SHARES),
)
_COUNT = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3}
_TO_TWELVE = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_COUNTED = later(rf"(?P<word>{'|'.join(_TO_TWELVE)})\s+(?=[^\W\d_])", re.IGNORECASE)
_COUNT_WORD = later(
    rf"\s*(an?(?=\s+\S)|(?:{'|'.join(list(_TO_TWELVE)[2:])})(?=\s|$))", re.IGNORECASE
)
_THOUSANDTHS = later(
    r"(?:gr?|grams?|grammes?|ml|cc|millilit(?:er|re)s?)\.?(?![\w/])", re.IGNORECASE
)
_VESSEL = later(
    r"\b(?:bags?|bars?|bottles?|boxe?s?|bulbs?|cans?|cartons?|cases?|chargers?|cups?|cylinders?|"
    r"flasks?|glass(?:es)?|jars?|jugs?|kegs?|packets?|packs?|portions?|pouche?s?|sachets?|serves?|"
    r"shots?|tins?|tubs?)\b",
    re.IGNORECASE,
)
_THREE = 3


def plain(text: str) -> str:
    """The same text in the characters that are read here.

    Full-width letters and digits, raised and lowered digits of a unit or formula, one-sign
    fractions, special spaces and minus signs become plain ones. A raised digit after a digit is a
    power and is kept as one, so that it is refused and not read as another digit.

    >>> plain("1½ oz"), plain("−5 ℃"), plain("２ m³ CO₂"), plain("1\\u202f500 ml"), plain("10² g")
    ('1 1/2 oz', '-5 °C', '2 m3 CO2', '1 500 ml', '10^2 g')
    """
    if text.isascii():
        return text
    text = _RAISED.sub(lambda found: "^" + unicodedata.normalize("NFKC", found[1]), text)
    text = _VULGAR.sub(
        lambda found: f"{found[1]} {unicodedata.normalize('NFKC', found[2])}".lstrip(), text
    )
    text = unicodedata.normalize("NFKC", text.translate(_PASTED))
    return text.translate(_PASTED)


def whole(said: str, least: int, most: int) -> int | None:
    """A whole number from `least` to `most`; None where the text is anything else.

    >>> whole(" 24 ", 1, 100), whole("0", 1, 100), whole("2.5", 1, 100), whole("-3", 0, 100)
    (24, None, None, None)
    >>> whole("0000000009999", 0, 365), whole("9" * 5000, 0, 365), whole("", 0, 365)
    (None, None, None)
    """
    tidy = said.strip()
    if not tidy.isascii() or not tidy.isdigit() or len(tidy) > len(str(most)):
        return None
    return int(tidy) if least <= int(tidy) <= most else None


def written(value: float, unit: str = "") -> str:
    """A number as text that reads back as this very number before its unit.

    Three decimals before g and ml could be thousands, so that a fourth is written.

    >>> written(1.125, "g"), written(0.125, "g"), written(1.125, "l")
    ('1.1250', '0.125', '1.125')
    """
    text = repr(float(value))
    if unit in ("g", "ml") and "e" not in text:
        whole, _, decimals = text.partition(".")
        if len(decimals) == _THREE and whole.lstrip("-0"):
            return f"{text}0"
    return text


def parse_number(text: str, field: str = "the value") -> tuple[float, str]:
    """The number at the start of `text` and what follows it; a decimal comma is understood.

    Also read: fractions (1/2, 1 1/2, ½), "half" and "a quarter", words from "one" to "twelve",
    and thousands set apart by spaces in groups of three. Raises BadQuantity for no number, for nan
    and infinity, and for what could mean thousands or decimals.

    >>> parse_number("1,5 l"), parse_number("1½ oz"), parse_number("half a lemon")
    ((1.5, 'l'), (1.5, 'oz'), (0.5, 'lemon'))
    >>> parse_number("five drops"), parse_number("1 500 ml")
    ((5.0, 'drops'), (1500.0, 'ml'))
    >>> parse_number("1,500 ml")
    Traceback (most recent call last):
    ...
    prepkit.errors.BadQuantity: the value "1,500 ml" could be 1.5 or 1500; write 1.5 or 1500.
    """
    shown = plain(text).strip()
    if not shown:
        raise BadQuantity(f"{field} is empty; a number with its unit is needed.", field)
    if shown[shown[0] in "+-" :][:3].lower() in ("nan", "inf"):
        raise BadQuantity(f'{field} "{shown}" is not a finite number.', field)
    found = _in_words(shown) or _fraction(shown, field)
    if found is not None:
        return found
    digits, end = _digits(shown, field)
    value = float(digits)
    if not math.isfinite(value):
        raise BadQuantity(f'{field} "{shown}" is too large to be a number.', field)
    return value, shown[end:].strip()


def in_figures(words: str) -> str:
    """Words with a count that starts them in figures: from "one" to "twelve".

    >>> in_figures("two n2o chargers"), in_figures("Twelve"), in_figures("tonic water")
    ('2 n2o chargers', '12', 'tonic water')
    """
    found = _COUNT_WORD.match(words)
    return words if found is None else f"{_TO_TWELVE[found[1].lower()]}{words[found.end() :]}"


def parse_spread(words: str, value: float, field: str) -> tuple[float, str]:
    """The ± of a bare number, of the words from its sign on, and what follows it.

    >>> parse_spread("± 0.1", 3.9, "pH"), parse_spread("± 5 %", 40.0, "the ratio")
    ((0.1, ''), (2.0, ''))
    """
    amount, rest = parse_number(SPREAD.sub("", words, count=1), field)
    if amount < 0:
        raise BadQuantity(f"{field}: the ± must not be negative, and it is {amount:g}.", field)
    if rest.startswith("%"):
        return abs(value) * amount / 100, rest[1:].strip()
    return amount, rest


def _in_words(shown: str) -> tuple[float, str] | None:
    """A number such as "half", "three quarters of a" or "1 and a half", and what follows."""
    found = _WORD.match(shown)
    if found is None:
        counted = _COUNTED.match(shown) if shown[0].isalpha() else None
        return counted and (float(_TO_TWELVE[counted["word"].lower()]), shown[counted.end() :])
    whole, times = (found["whole"] or "0").lower(), _COUNT[(found["times"] or "a").lower()]
    value = float(_COUNT.get(whole) or int(whole)) + times * _SHARES[found["share"].lower()]
    return value, shown[found.end() :].strip()


def _fraction(shown: str, field: str) -> tuple[float, str] | None:
    """A fraction, alone or after a whole number, and what follows."""
    if not shown.partition("/")[2].lstrip()[:1].isdigit():
        return None
    found = _FRACTION.match(shown)
    if found is None:
        return None
    top, under = int(found["top"]), int(found["under"])
    if found["whole"] and top >= under:
        raise BadQuantity(
            f'{field} "{shown}": a fraction after a whole number is less than 1, such as 1 1/2.',
            field,
        )
    value = int(found["whole"] or 0) + top / under
    return -value if found["sign"] == "-" else value, shown[found.end() :].strip()


def _digits(shown: str, field: str) -> tuple[str, int]:
    """The digits of a number with a decimal point, and where they end."""
    apart = shown.partition(" ")[2][:1].isdigit()
    grouped = _GROUPED.match(shown) if apart else None
    if grouped is not None:
        return _in_groups(grouped, shown, field)
    match = _NUMBER.match(shown)
    if not match or shown[match.end() : match.end() + 1] in ("_", "/", "*", "^"):
        raise BadQuantity(f'{field} "{shown}" does not start with a number such as 1.5.', field)
    digits = match[1]
    if digits.count(",") + digits.count(".") > 1:
        raise BadQuantity(
            f'{field} "{shown}" has more than one decimal mark; write it without thousands marks.',
            field,
        )
    mark = "," if "," in digits else "."
    whole, _, rest = digits.partition(mark)
    decimals, _, power = rest.lower().partition("e")
    if len(decimals) == _THREE and whole.lstrip("+-0"):
        small = _THOUSANDTHS.match(shown[match.end() :].strip())
        if mark == "," or (small and not power):
            raise _two_readings(whole, decimals, shown, field)
    return f"{whole}.{rest}" if rest else digits, match.end()


def _in_groups(found: re.Match[str], shown: str, field: str) -> tuple[str, int]:
    """A number whose thousands are set apart by spaces."""
    whole, rest = found[1].replace(" ", ""), shown[found.end() :]
    if re.match(r"\s*[0-9]", rest) or _VESSEL.search(rest):
        first, _, second = found[1].partition(" ")
        raise BadQuantity(
            f'{field} "{shown}" could be {whole}, or {first} of {second}; write all of it as one '
            f"number without spaces.",
            field,
        )
    decimals = found[3] or ""
    if len(decimals) == _THREE and (found[2] == "," or _THOUSANDTHS.match(rest.strip())):
        raise _two_readings(whole, decimals, shown, field)
    return f"{whole}.{decimals}" if decimals else whole, found.end()


def _two_readings(whole: str, decimals: str, shown: str, field: str) -> BadQuantity:
    """What could be decimals or thousands, with both written so that they are read."""
    short = decimals.rstrip("0")
    point = f"{whole}.{short or '0'}" if len(short) < _THREE else f"{whole}.{decimals}0"
    return BadQuantity(
        f'{field} "{shown}" could be {point} or {whole}{decimals}; '
        f"write {point} or {whole}{decimals}.",
        field,
    )


# ---- times of day as people write them, and minutes before service as such times ----

_TIME = later(r"(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{1,2})[:.](\d{2})")
_DAY = datetime(2000, 1, 2)  # of times without a date


class Moment(NamedTuple):
    """A time of day, on a date where one was given."""

    at: datetime
    dated: bool

    @classmethod
    def read(cls, words: str, field: str) -> Moment:
        """Read "18:00" or "2026-12-31 18:00"; BadInput otherwise.

        >>> Moment.read("18.30", "--service").words()
        '18:30'
        """
        match = _TIME.fullmatch(words.strip())
        right = 'write it as "18:00", or with its date as "2026-12-31 18:00"'
        if not match:
            raise BadInput(f'{field} "{words}" is not a time of day; {right}.', field)
        try:
            day = datetime.fromisoformat(match[1]) if match[1] else _DAY
            at = day.replace(hour=int(match[2]), minute=int(match[3]))
        except ValueError as error:
            raise BadInput(f'{field} "{words}" is not a time of day; {right}.', field) from error
        return cls(at, match[1] is not None)

    def words(self) -> str:
        """As it was written."""
        return self.at.isoformat(" ", "minutes") if self.dated else self.at.strftime("%H:%M")

    def before(self, minutes: float) -> str:
        """The time so many minutes before this one, to the minute, with the day if another.

        >>> Moment.read("18:00", "--service").before(1200)
        'the day before, 22:00'
        >>> Moment.read("0001-01-01 00:10", "--service").before(14400)
        '10 days before it'
        """
        try:
            at = self.at - timedelta(minutes=round(minutes))
        except OverflowError:  # before the first day that a calendar has, or after its last
            return f"{abs(minutes) / 1440:.0f} days {'before' if minutes > 0 else 'after'} it"
        if self.dated:
            return at.isoformat(" ", "minutes")
        days = (self.at.date() - at.date()).days
        day = {0: "", 1: "the day before, ", -1: "the day after, "}
        other = f"{abs(days)} days {'before' if days > 0 else 'after'}, "
        return f"{day.get(days, other)}{at.strftime('%H:%M')}"

    def minutes_since(self, other: Moment) -> float:
        """Minutes from the other moment to this one; a time without a date is on its day."""
        if self.dated == other.dated:
            return (self.at - other.at).total_seconds() / 60
        dated, bare = (self, other) if self.dated else (other, self)
        same_day = dated.at.replace(hour=bare.at.hour, minute=bare.at.minute)
        minutes = (dated.at - same_day).total_seconds() / 60
        return minutes if self.dated else -minutes


def length_words(minutes: float) -> str:
    """A length of time in words.

    >>> [length_words(one) for one in (0.5, 10, 150, 2000)]
    ['1 min', '10 min', '2 h 30 min', '1 d 9 h 20 min']
    """
    whole = max(round(minutes), 1 if minutes > 0 else 0)
    days, rest = divmod(whole, 1440)
    hours, mins = divmod(rest, 60)
    said = [f"{days} d"] if days else []
    said += [f"{hours} h"] if hours else []
    said += [f"{mins} min"] if mins or not said else []
    return " ".join(said)
