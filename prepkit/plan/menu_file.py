"""What a menu file may hold: the models of its tables. Only `menu` reads them.

title = "Thursday"
house = "house/house.toml"

[[recipe]]
file = "cold-semaphore.toml"
serves = 40

[[serve]]
name = "Otter"
serves = 60
"""

from typing import Annotated

from prepkit.file_kinds import Listing, Text
from prepkit.file_models import FileModel, Rows, Table
from prepkit.plan.house_file import FILE, HouseTable
from prepkit.plan.recipe_file import (
    MOST_SERVE_KINDS,
    NOTE,
    ROUTINES,
    TITLE,
    RoutineTable,
    Serves,
    SoldAt,
)

MOST_RECIPES, MOST_SITES = 100, 200


class MenuRecipe(FileModel, called="menu_recipe"):
    """One recipe of the menu."""

    file: Annotated[str, Text("The recipe file, beside the menu or below it.", "my-recipe.toml")]
    variant: Annotated[str | None, Text("A variant that the recipe has.", "alcohol-free")] = None
    serves: Annotated[int | None, Serves("How many of each of its drinks.")] = None
    own: Annotated[
        tuple[str, ...],
        Listing("Items made for this recipe alone, though another has one of the same id."),
    ] = ()


class MenuServe(FileModel, called="menu_serve"):
    """One drink of the menu, where more is said of it than its recipe says."""

    name: Annotated[str, Text("The drink, by the name that its recipe gives it.", "Night Tide")]
    serves: Annotated[int | None, Serves("How many of it.")] = None
    price: Annotated[float | None, SoldAt("Price of one, in the currency of the house.")] = None


class MenuSite(FileModel, called="menu_site"):
    """One bar that the kitchen of this file makes for."""

    name: Annotated[str, Text("The site, by its name in the ledger.", "north bar")]
    menu: Annotated[str, Text("Its menu or recipe file, beside this one or below.", "north.toml")]
    house: Annotated[
        str | None, Text("The folder of its house, where its menu names none.", "north")
    ] = None
    serves: Annotated[int | None, Serves("How many of each drink of its menu.")] = None
    makes: Annotated[tuple[str, ...], Listing("Items that it makes itself; none is sent.")] = ()


class MenuFile(FileModel, called="menu"):
    """The recipes of one evening in one house, or the sites that a kitchen makes for."""

    title: Annotated[str, TITLE] = "Tonight"
    note: Annotated[str, NOTE] = ""
    house: Annotated[
        HouseTable | None,
        Table("Facts of the house, or the name of its file.", HouseTable, "file", FILE),
    ] = None
    serves: Annotated[int | None, Serves("How many of each drink without a number here.")] = None
    recipe: Annotated[
        tuple[MenuRecipe, ...],
        Rows(
            "The recipes.", MenuRecipe, MOST_RECIPES,
            'there is none; write [[recipe]] with file = "my-recipe.toml".',
        ),
    ] = ()  # fmt: skip
    site: Annotated[
        tuple[MenuSite, ...],
        Rows(
            "The sites that a kitchen makes for, instead of recipes.", MenuSite, MOST_SITES,
            'there is none; write [[site]] with name = "north bar" and menu = "north.toml".',
        ),
    ] = ()  # fmt: skip
    serve: Annotated[
        tuple[MenuServe, ...], Rows("Drinks by name.", MenuServe, MOST_SERVE_KINDS)
    ] = ()
    routine: Annotated[tuple[RoutineTable, ...], ROUTINES] = ()
