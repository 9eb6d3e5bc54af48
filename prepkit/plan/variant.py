"""Variants of a recipe: the same file with some items, serves or words of it replaced.

    [variant.alcohol-free.items.my-base]
    part = ["500 ml brewed black tea", "500 g cold brew coffee"]

A key that a variant gives an item replaces that key; a variant that names another calculator
replaces the whole item. Its [[variant.NAME.serve]] replace all serves.
"""

from __future__ import annotations

from collections.abc import Mapping

from prepkit.file_values import shown
from prepkit.near import nearest
from prepkit.plan.fields import NO_TABLES, Reader, Table

KEYS = ("title", "serves", "note", "items", "serve")
MOST_VARIANTS = 20
_WHOLE = ("title", "serves", "note", "serve")


def variants(reader: Reader, said: Table) -> Mapping[str, Table]:
    """The variants of a file by name, each with keys that a variant may have."""
    if "variant" not in said:
        return {}
    found = reader.take(NO_TABLES, reader.tables, "variant", said["variant"])
    if len(found) > MOST_VARIANTS:
        return reader.take(NO_TABLES, _too_many, reader, len(found))
    for name, table in found.items():
        reader.only(f"variant.{name}", table, KEYS)
    return found


def _too_many(reader: Reader, count: int) -> Mapping[str, Table]:
    raise reader.wrong("variant", f"there are {count}; at most {MOST_VARIANTS} are taken.")


def applied(reader: Reader, said: Table, name: str | None) -> dict[str, object]:
    """The tables of a file as one variant has them (None: as they stand)."""
    rest = {key: value for key, value in said.items() if key != "variant"}
    found = variants(reader, said)
    if name is None:
        return rest
    if name not in found:
        hint = nearest(name, found) or "this recipe has none"
        raise reader.wrong("variant", f'there is no variant "{name}"; {hint}.')
    table = found[name]
    whole = rest | {key: table[key] for key in _WHOLE if key in table}
    if "title" not in table and isinstance(rest.get("title"), str):
        whole["title"] = f"{rest['title']} ({name})"
    if "items" in table:
        whole["items"] = reader.take(rest.get("items"), _items, reader, name, rest, table["items"])
    return whole


def _items(reader: Reader, name: str, said: Table, changes: object) -> object:
    where = f"variant.{name}.items"
    items = said.get("items")
    if not isinstance(changes, dict) or not isinstance(items, dict):
        raise reader.wrong(where, f"it is {shown(changes)}; write [{where}.my-base].")
    merged: dict[str, object] = dict(items)
    for id_, table in changes.items():
        if not isinstance(table, dict):
            raise reader.wrong(f"{where}.{id_}", f"it is {shown(table)}; it must be a table.")
        old = items.get(id_, {})
        new = not isinstance(old, dict) or "calculator" in table
        merged[id_] = table if new else {**old, **table}
    return merged
