"""The local page: the same answers as the command line, in a browser."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from prepkit.page.app import create_app as create_app

__all__ = ["create_app"]


def __getattr__(name: str) -> object:
    """Flask is imported when the page is made, not when its package is named."""
    if name == "create_app":
        from prepkit.page.app import create_app

        return create_app
    raise AttributeError(f"module 'prepkit.page' has no attribute {name!r}")
