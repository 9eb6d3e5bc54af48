"""prepkit: drinks prep worked out like a laboratory.

>>> import prepkit
>>> answer = prepkit.run("blend", {"part": ["1 kg white sugar", "1 kg water"]})
>>> round(answer.values["dissolved_solids"].value, 1)
50.0
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prepkit.mixture import Mixture as Mixture
    from prepkit.plan import load_recipe as load_recipe
    from prepkit.registry import run as run

__version__ = "2.4.0"

_PUBLIC = {
    "run": "prepkit.registry",
    "Mixture": "prepkit.mixture",
    "load_recipe": "prepkit.plan",
}
__all__ = ["Mixture", "__version__", "load_recipe", "run"]


if not TYPE_CHECKING:  # a type checker must see that any other name is not there

    def __getattr__(name: str) -> object:
        """Public names are imported when they are asked for: the command line starts fast."""
        if name in _PUBLIC:
            import importlib

            return getattr(importlib.import_module(_PUBLIC[name]), name)
        raise AttributeError(f"module 'prepkit' has no attribute {name!r}")
