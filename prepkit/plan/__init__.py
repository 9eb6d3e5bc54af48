"""From a recipe file to the amounts of one service: load_recipe, then make_plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prepkit.plan.plan import Plan as Plan
    from prepkit.plan.plan import load_recipe as load_recipe
    from prepkit.plan.plan import make_plan as make_plan
    from prepkit.plan.recipe_types import Recipe as Recipe

_PUBLIC = {
    "Plan": "prepkit.plan.plan",
    "make_plan": "prepkit.plan.plan",
    "Recipe": "prepkit.plan.plan",
    "load_recipe": "prepkit.plan.plan",
}
__all__ = ["Plan", "Recipe", "load_recipe", "make_plan"]


def __getattr__(name: str) -> object:
    """Public names are imported when they are asked for: help needs none of them."""
    if name in _PUBLIC:
        import importlib

        return getattr(importlib.import_module(_PUBLIC[name]), name)
    raise AttributeError(f"module 'prepkit.plan' has no attribute {name!r}")
