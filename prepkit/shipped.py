"""What travels with the program: SAFETY.md and the demo recipes.

There is one copy of each, at the root of the project. A build puts them into the installed
package (`.build/backend.py`); run from a checkout they are read where they are.
"""

from __future__ import annotations

from pathlib import Path

from prepkit.blocks import DATA
from prepkit.errors import FileProblem

_PACKAGE = Path(DATA).parent


def _place(name: str) -> Path:
    """A file or folder inside the installed package, or at the root of a checkout."""
    for path in (_PACKAGE / "data" / "shipped" / name, _PACKAGE.parent / name):
        if path.exists() and (path.parent != _PACKAGE.parent or _checkout()):
            return path
    raise FileProblem(f"{name} is missing from this installation; install prepkit again.")


def _checkout() -> bool:
    return (_PACKAGE.parent / "pyproject.toml").is_file()


def safety() -> str:
    """The text of SAFETY.md."""
    path = _place("SAFETY.md")
    try:
        return path.read_text(encoding="utf-8")
    except OSError as error:
        raise FileProblem(f"{path} cannot be read: {error.strerror}.") from error


def recipe(name: str) -> Path:
    """The file of a demo recipe, its house folder beside it."""
    return _place("recipes") / f"{name}.toml"
