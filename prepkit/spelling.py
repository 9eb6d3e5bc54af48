"""How many letters two words are apart, and which known words a misspelt one may mean."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

_LONG = 8  # letters from which two may be wrong
_SHORT = 4  # letters below which none may


def plain(text: str) -> str:
    """Lower case without accents, subscripts or anything that cannot be seen.

    >>> plain("Crème LN₂")
    'creme ln2'
    """
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text)
    return "".join(one for one in apart if unicodedata.category(one) not in ("Mn", "Cf")).casefold()


@lru_cache(maxsize=8192)
def joined(text: str) -> str:
    """The letters and figures of a text alone.

    >>> joined("Fox-glove s")
    'foxgloves'
    """
    return "".join(re.findall(r"[a-z0-9]+", plain(text)))


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
