"""One word of a list, or one sentence with the nearest."""

from __future__ import annotations

from collections.abc import Iterable

from prepkit import spelling
from prepkit.errors import BadInput


def known(said: str, words: Iterable[str], option: str, what: str) -> str:
    """The word of the list that was meant, whatever its case; BadInput with the nearest ones.

    >>> from prepkit.errors import named
    >>> known("Pressure", ("pressure", "acid"), named("kind"), "kind")
    'pressure'
    """
    choices = list(words)
    by_fold = {word.casefold(): word for word in choices}
    tidy = " ".join(said.split()).casefold()
    if tidy in by_fold:
        return by_fold[tidy]
    near = spelling.close(tidy, by_fold, 3)
    if near:
        hint = f"the nearest are {', '.join(by_fold[one] for one in near)}"
    elif len(choices) <= 40:
        hint = f"they are {', '.join(choices)}"
    else:
        hint = "without it all are listed"
    raise BadInput(f'{option} is "{said}", which is no {what}; {hint}.', option)
