"""Published rows and sources counted by how they were obtained: the table of DEVELOPERS.md."""

from __future__ import annotations

from collections import Counter

from prepkit import model
from prepkit.render import wall
from published.rows import OBTAINED, load, not_used, topics


def rows() -> list[tuple[str, ...]]:
    """One row for each topic, then all together, then the sources themselves."""
    found = {topic: Counter(row.obtained for row in load(topic)) for topic in topics()}
    together: Counter[str] = sum(found.values(), Counter())
    labels = Counter(source.obtained.split(",")[0] for source in model.cited(model.source_keys()))
    counted = {**found, "all published values": together, "sources": labels}
    return [
        (name, *(str(kinds[one]) for one in OBTAINED), str(kinds.total()))
        for name, kinds in counted.items()
    ]


def table() -> str:
    """The table as markdown, and what stands aside."""
    shown = wall.table(("topic", *(f"`{one}`" for one in OBTAINED), "together"), rows())
    return (
        f"{shown}\n\nAlso, {len(not_used())} values that were read are used by no check, each "
        "with its reason in `tests/published/not_used.csv`."
    )
