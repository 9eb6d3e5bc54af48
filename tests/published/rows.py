"""Rows of tests/published/<topic>.csv: what the world outside the project says.

Columns: id, quantity, conditions, value, unit, tolerance, source, obtained
(obtained: read, memory, practice, computed). A topic's test module maps each id to a call; a row
without a call needs its reason in EXCLUDED, and a test proves that nothing is left over.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
NOT_USED = "not_used"
OBTAINED = ("read", "memory", "practice", "computed")


@dataclass(frozen=True)
class Row:
    id: str
    quantity: str
    conditions: str
    value: float
    unit: str
    tolerance: float
    source: str
    obtained: str


def topics() -> list[str]:
    """The topics, in order of name."""
    return sorted(path.stem for path in HERE.glob("*.csv") if path.stem != NOT_USED)


def not_used() -> list[dict[str, str]]:
    """What was read and is checked by no row, each with its reason."""
    with (HERE / f"{NOT_USED}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def load(topic: str) -> list[Row]:
    with (HERE / f"{topic}.csv").open(newline="", encoding="utf-8") as file:
        return [
            Row(
                id=row["id"],
                quantity=row["quantity"],
                conditions=row["conditions"],
                value=float(row["value"]),
                unit=row["unit"],
                tolerance=float(row["tolerance"]),
                source=row["source"],
                obtained=row["obtained"],
            )
            for row in csv.DictReader(file)
        ]
