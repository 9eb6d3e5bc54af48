"""The shapes beside the words of a card: the verdict's, and those of what to do and not to do.

Each is told by the words beside it and hidden from what reads a page aloud. Blue disc and red ring
with a bar in the colours and proportions of safety signs (SAF-300, SAF-302, SAF-304).
"""

from __future__ import annotations

_BLUE, _RED = "#005387", "#9b2423"
_OPEN = '<svg viewBox="0 0 64 64" aria-hidden="true" focusable="false" fill="none"'
_PEN = 'stroke="currentColor" stroke-width="5" stroke-linecap="round" stroke-linejoin="round"'
_VERDICTS = {
    "care": '<path d="M32 6L60 56H4z"/><path d="M32 24v15" stroke-width="6"/>'
    '<circle cx="32" cy="47.5" r="1.5" fill="currentColor"/>',
    "stop": '<path d="M21 5h22l16 16v22L43 59H21L5 43V21z"/><path d="M18 32h28" stroke-width="8"/>',
}


def of_verdict(name: str) -> str:
    """The shape of a verdict; a clear one has none, since it does not mean safe."""
    shape = _VERDICTS.get(name)
    return f"{_OPEN} {_PEN}>{shape}</svg>" if shape else ""


def mandatory() -> str:
    """What must be done: a white mark on a blue disc."""
    return (
        f'{_OPEN}><circle cx="32" cy="32" r="31" fill="{_BLUE}"/><path d="M32 15v21" stroke="#fff" '
        'stroke-width="7" stroke-linecap="round"/><circle cx="32" cy="48" r="4" fill="#fff"/></svg>'
    )


def prohibition() -> str:
    """What must not be done: ring 0.1 and bar 0.08 of the diameter, from upper left."""
    return (
        f'{_OPEN}><circle cx="32" cy="32" r="27.9" fill="#fff" stroke="{_RED}" stroke-width="6.2"/>'
        f'<path d="M12.3 12.3l39.4 39.4" stroke="{_RED}" stroke-width="5"/></svg>'
    )
