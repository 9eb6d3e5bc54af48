"""What the page was started with; everything that a view may know of its surroundings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from flask import current_app

LOOPBACK = ("127.0.0.1", "::1", "localhost")
PORT = 8642


@dataclass(frozen=True)
class Settings:
    """Folders, address and rights of one run of the page.

    `recipes` and `house` are the only folders that are read; None where none was named. `write`
    allows recipes to be saved. `pass_phrase` is asked of every browser that comes from elsewhere;
    None where only this machine can reach the page. `link` is the word of the one-time link that is
    printed at the start. `today` is a clock that tests can set.
    """

    recipes: Path | None = None
    house: Path | None = None
    write: bool = False
    host: str = "127.0.0.1"
    port: int = PORT
    pass_phrase: str | None = None
    link: str | None = None
    today: Callable[[], date] = date.today

    @property
    def local(self) -> bool:
        """Whether only this machine can reach the page."""
        return self.host in LOOPBACK


def settings() -> Settings:
    """The settings of the page that answers the present request."""
    found: Settings = current_app.config["PREPKIT"]
    return found
