"""prepkit safety: SAFETY.md as it was when this version was made."""

from __future__ import annotations

import click

from prepkit.console import Command
from prepkit.stdout import put_text

_SHORT = "SAFETY.md: every caution that can be printed, its limit, its source."


@click.command(
    cls=Command,
    name="safety",
    help=f"{_SHORT}\n\n\b\nExample:\n  prepkit safety > SAFETY.md",
    short_help=_SHORT,
)
def command() -> None:
    """Print the page."""
    from prepkit import shipped

    put_text(shipped.safety(), fit=False)
