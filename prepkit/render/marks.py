"""The shapes beside the words of a card that no safety sign has: the verdict's, and a plain ring.

Each is told by the words beside it and hidden from what reads a page aloud.
"""

from __future__ import annotations

from prepkit.render.signs import RED

_OPEN = '<svg viewBox="0 0 64 64" aria-hidden="true" focusable="false" fill="none"'
_PEN = 'stroke="currentColor" stroke-width="5" stroke-linecap="round" stroke-linejoin="round"'
VERDICTS = {
    "care": '<path d="M32 6L60 56H4z"/><path d="M32 24v15" stroke-width="6"/>'
    '<circle cx="32" cy="47.5" r="1.5" fill="currentColor"/>',
    "stop": '<path d="M21 5h22l16 16v22L43 59H21L5 43V21z"/><path d="M18 32h28" stroke-width="8"/>',
}


def of_verdict(name: str) -> str:
    """The shape of a verdict; a clear one has none, since it does not mean safe."""
    shape = VERDICTS.get(name)
    return f"{_OPEN} {_PEN}>{shape}</svg>" if shape else ""


def prohibition() -> str:
    """What must not be done: ring 0.1 and bar 0.08 of the diameter, from upper left."""
    return (
        f'{_OPEN}><circle cx="32" cy="32" r="27.9" fill="#fff" stroke="{RED}" stroke-width="6.2"/>'
        f'<path d="M12.3 12.3l39.4 39.4" stroke="{RED}" stroke-width="5"/></svg>'
    )
