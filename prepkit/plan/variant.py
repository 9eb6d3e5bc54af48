"""Variants of a recipe: the same file with some items, serves or words of it replaced.

    [variant.alcohol-free.items.my-base]
    part = ["500 ml brewed black tea", "500 g cold brew coffee"]

A key that a variant gives an item replaces that key; a variant that names another calculator
replaces the whole item. Its [[variant.NAME.serve]] replace all serves.
"""

from __future__ import annotations

from prepkit.file_values import shown
from prepkit.near import nearest
from prepkit.plan.fields import Reader, Table

_WHOLE = ("title", "serves", "note", "serve")


def applied(reader: Reader, said: Table, name: str | None) -> Table:
    """The tables of a file as one variant has them (None: as they stand)."""
    if name is None:
        return said
    found = said.get("variant")
    if not isinstance(found, dict) or name not in found:
        hint = nearest(name, found) if isinstance(found, dict) else ""
        raise reader.wrong(
            ("variant",),
            f'there is no variant "{name}"; {hint or "this recipe has none"}.',
        )
    table = found[name]
    if not isinstance(table, dict):  # the model of the file says so
        return said
    whole = {**said, **{key: table[key] for key in _WHOLE if key in table}}
    if "title" not in table and isinstance(said.get("title"), str):
        whole["title"] = f"{said['title']} ({name})"
    if "items" in table:
        whole["items"] = reader.take(said.get("items"), _items, reader, name, said, table["items"])
    return whole


def _items(reader: Reader, name: str, said: Table, changes: object) -> object:
    where = ("variant", name, "items")
    items = said.get("items")
    if not isinstance(changes, dict) or not isinstance(items, dict):
        raise reader.wrong(where, f"it is {shown(changes)}; write [variant.{name}.items.my-base].")
    merged: dict[str, object] = dict(items)
    for id_, table in changes.items():
        if not isinstance(table, dict):
            raise reader.wrong((*where, id_), f"it is {shown(table)}; it must be a table.")
        old = items.get(id_, {})
        new = not isinstance(old, dict) or "calculator" in table
        merged[id_] = table if new else {**old, **table}
    return merged
