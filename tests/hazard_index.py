"""Writes data/hazard_names/index.txt from the tables of names: python tests/hazard_index.py."""

from __future__ import annotations

from pathlib import Path

from prepkit import blocks, hazard_names

PATH = Path(blocks.DATA) / hazard_names.INDEX
HEAD = "# Made by tests/hazard_index.py: what a name is found by, and its row. Not to be edited."


def text() -> str:
    """The index as it should be; of two rows with one key the first speaks, refused.toml first."""
    rows = [
        (hazard_names.REFUSED + row["name"], row)
        for row in blocks.blocks("refused.toml", "refused")
    ]
    rows += [
        (row["id"], row)
        for path in blocks.names(hazard_names.FOLDER)
        for row in blocks.blocks(path, "hazard")
    ]
    found: dict[str, str] = {}
    for id_, row in rows:
        for name in (row["name"], *row["also"]):
            many = f"{name}es" if name.endswith("s") else f"{name}s"
            for key in (*hazard_names.keys(name), *hazard_names.keys(many)):
                found.setdefault(key, id_)
    lines = [f"{key}\t{id_}" for key, id_ in sorted(found.items())]
    return "\n".join([HEAD, *lines]) + "\n"


if __name__ == "__main__":
    PATH.write_text(text(), encoding="utf-8")
