"""The home page and each calculator's form and answer."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, current_app, render_template, url_for

from prepkit.index import CALCULATORS, FAMILIES

blueprint = Blueprint("work", __name__)


@dataclass(frozen=True)
class Section:
    """A place that the bar at the top leads to."""

    name: str
    address: str


def sections() -> list[Section]:
    """The places of the page, in the order of a day."""
    found = [Section("Home", url_for("work.home"))]
    for name, endpoint in (("Recipes", "recipes.index"), ("Drills", "drills.index")):
        if endpoint in current_app.view_functions:
            found.append(Section(name, url_for(endpoint)))
    return found


@blueprint.get("/")
def home() -> str:
    """Where to begin, by who asks and by family."""
    families = [
        (title, [(name, text) for name, (_, of, text) in CALCULATORS.items() if of == family])
        for family, title in FAMILIES.items()
    ]
    return render_template("home.html", families=families)
