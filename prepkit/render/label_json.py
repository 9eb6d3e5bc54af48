"""A label as JSON: the same facts that the printed one has."""

from __future__ import annotations

import json
from collections.abc import Sequence

from prepkit.first_screen import number
from prepkit.label import Label, NoLabel
from prepkit.render.label_text import COLD_C


def labels_json(labels: Sequence[Label | NoLabel]) -> str:
    """All labels as JSON text: finite numbers only."""
    said = {"labels": [label_dict(one) for one in labels]}
    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def label_dict(label: Label | NoLabel) -> dict[str, object]:
    """The JSON form of one label; of what must not be made only the reasons."""
    said: dict[str, object] = {
        "name": label.name,
        "item": label.item or None,
        "calculator": label.calculator,
        "verdict": label.verdict,
        "made": label.made.isoformat(),
        "inputs": dict(label.inputs),
    }
    if isinstance(label, NoLabel):
        return {**said, "reasons": list(label.reasons)}
    days = label.use_by
    return {
        **said,
        "use_by": {
            "last": None if days.last is None else days.last.isoformat(),
            "days": days.days,
            "day_1": days.first.isoformat(),
            "day_1_by": days.first_by,
            "rule": days.rule,
            "why": days.why,
            "source": days.source,
            "opened_days": label.opened_days,
        },
        "storage": days.storage.format(cold=f"{number(COLD_C, 0)} °C"),
        "g": label.g,
        "ml": label.ml,
        "bottle": label.bottle or None,
        "contents": [
            {"name": one.name, "g": one.g, "allergens": list(one.allergens),
             "strained_off": one.strained}
            for one in label.contents
        ],
        "allergens": {
            "jurisdiction": label.jurisdiction,
            "contains": list(label.contains),
            "also": list(label.also),
        },
        "charged": label.charged or None,
        "stock": label.strength or None,
        "readings": [dict(one) for one in label.readings],
        "hazards": [{"kind": kind, "text": words} for kind, words in label.hazards],
    }  # fmt: skip
