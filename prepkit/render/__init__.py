"""Views of answers and plans; here the simplest: as JSON text, of finite numbers only."""

from __future__ import annotations

from typing import TYPE_CHECKING


def as_json(thing: HasDict) -> str:
    """Indented JSON; raises ValueError on nan or infinity, which would be a defect of ours."""
    import json

    return json.dumps(thing.to_dict(), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


if TYPE_CHECKING:
    from typing import Protocol

    class HasDict(Protocol):
        """Anything with a JSON form."""

        def to_dict(self) -> dict[str, object]:
            """The JSON form."""
