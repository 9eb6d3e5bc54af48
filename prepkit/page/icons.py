"""The drawings of the page: our own, one pen, in the colour of the words beside them.

Each stands beside words that say the same and is hidden from what reads a page aloud.
"""

from __future__ import annotations

from functools import cache

from markupsafe import Markup

from prepkit.render import marks
from prepkit.render.signs import SYMBOLS

# in a square of 64 with a pen of 4.5, as the symbols of signs; small parts are filled
OWN = {
    "alarm": '<path d="M6 26v12h10l16 14V12L16 26z"/>'
    '<path d="M40 24a13 13 0 0 1 0 16M47 16a24 24 0 0 1 0 32"/>',
    "arrow": '<path d="M12 32h38M36 17l15 15-15 15"/>',
    "clock": '<circle cx="32" cy="32" r="25"/><path d="M32 16v17l11 8"/>',
    "cylinder": '<path d="M21 60V28c0-7 5-8 7-11h8c2 3 7 4 7 11v32z"/>'
    '<path d="M28 17V9h8v8M23 8h18"/><path d="M21 36h22"/>',
    "glass": '<path d="M16 12h32l-5 40a5 5 0 0 1-5 4H26a5 5 0 0 1-5-4z"/><path d="M19 28h26"/>'
    '<path d="M26 40c3-4 5 4 9 0M29 19c3-4 5 4 9 0" stroke-width="4"/>',
    "list": '<path d="M24 14h32M24 32h32M24 50h32"/><path d="M8 14h4M8 32h4M8 50h4"/>',
    "plant": '<path d="M32 60V20"/><path d="M32 52c-9 0-12-5-12-11 7 0 12 4 12 11zM32 52c9 0 12-5'
    " 12-11-7 0-12 4-12 11zM32 36c-9 0-12-5-12-11 7 0 12 4 12 11zM32 36c9 0 12-5 12-11-7 0-12 4"
    '-12 11zM32 20c-6-5-6-10 0-15 6 5 6 10 0 15z" stroke-width="4"/>',
    "tick": '<path d="M10 34l14 14 30-34"/>',
    "trained": '<circle cx="26" cy="18" r="9"/><path d="M8 56c0-14 8-21 18-21s18 7 18 21z"/>'
    '<path d="M44 24l5 5 9-11"/>',
    **marks.VERDICTS,
}


@cache
def icon(name: str) -> Markup:
    """A drawing by its name, those of the safety signs among them; KeyError where there is none."""
    shape = OWN[name] if name in OWN else SYMBOLS[name]
    return Markup(
        f'<svg class="icon" viewBox="0 0 64 64" aria-hidden="true" focusable="false">{shape}</svg>'
    )
