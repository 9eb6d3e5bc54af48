"""Any answer or plan as JSON text: finite numbers only."""

from __future__ import annotations

import json
from typing import Protocol


class HasDict(Protocol):
    """Anything with a JSON form."""

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""


def text(thing: HasDict) -> str:
    """Indented JSON; raises ValueError on nan or infinity, which would be a defect of ours."""
    return json.dumps(thing.to_dict(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"
