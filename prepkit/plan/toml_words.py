"""Plain values as TOML: keys, texts, numbers, lists of texts."""

from __future__ import annotations

import re
from datetime import datetime

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_SHORT = 90  # characters of a list that stands in one line


def key_words(name: str) -> str:
    """A key, in quotes where it needs them.

    >>> key_words("my-base"), key_words("a b")
    ('my-base', '"a b"')
    """
    return name if _BARE.fullmatch(name) else quoted(name)


def value_words(value: object) -> str:
    """A value; a long list has a line for each of its texts.

    >>> value_words(["1 g salt", "2 g sugar"]), value_words(True), value_words("x")
    ('["1 g salt", "2 g sugar"]', 'true', '"x"')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, list | tuple):
        said = [value_words(one) for one in value]
        line = f"[{', '.join(said)}]"
        return (
            line if len(line) <= _SHORT else "\n".join(["[", *(f"  {one}," for one in said), "]"])
        )
    return quoted(str(value))


def quoted(text: str) -> str:
    """A text as a TOML string.

    >>> import tomllib
    >>> tomllib.loads('x = ' + quoted('a "b" \\\\ \\x7f é'))["x"] == 'a "b" \\\\ \\x7f é'
    True
    """
    said = "".join(
        f"\\{one}" if one in '"\\' else one if one.isprintable() else f"\\U{ord(one):08X}"
        for one in text
    )
    return f'"{said}"'
