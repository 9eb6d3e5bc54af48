"""The local page: the same answers as the command line, in a browser; prepkit page serves it.

It answers on this machine alone unless an address is named.
"""

from __future__ import annotations

import sys
from pathlib import Path
from socket import gethostname
from typing import TYPE_CHECKING

import click

from prepkit.cli import Command, FolderName, WholeNumber, house_option
from prepkit.stdout import put_exact, put_text

if TYPE_CHECKING:
    from prepkit.page.app import create_app as create_app
    from prepkit.page.guard import Settings

__all__ = ["create_app"]


def __getattr__(name: str) -> object:
    """Flask is imported when the page is made, not when its package is named."""
    if name == "create_app":
        from prepkit.page.app import create_app

        return create_app
    raise AttributeError(f"module 'prepkit.page' has no attribute {name!r}")


_SHORT = "The same answers in a browser, on this machine or a phone at the pass."
_PORT = 8642
_MISSING = (
    "the page needs flask and waitress, and {name} is not installed. Install them with: "
    "pip install 'prepkit[page]'"
)


@click.command(
    cls=Command,
    name="page",
    help=f"{_SHORT}\n\nIt answers on this machine alone. With --host others on the network can "
    "reach it; then a phone gets in once by the code that is shown here, or by the words. What is "
    "sent is not encrypted.\n\n\b\nExamples:\n  prepkit page\n"
    "  prepkit page --recipes recipes --house recipes/house\n"
    "  prepkit page --recipes recipes --write --host 192.0.2.10",
    short_help=_SHORT,
)
@click.option(
    "--recipes",
    metavar="DIR",
    type=FolderName(),
    help="Folder of recipes to show; nothing else is read.",
)
@click.option(
    "--write",
    is_flag=True,
    help="Allow recipes and counts of stock to be saved; else they are only read.",
)
@click.option(
    "--host",
    default="127.0.0.1",
    metavar="ADDRESS",
    show_default=True,
    help="Address to answer on; another than this machine's own asks for a pass phrase.",
)
@click.option("--port", type=WholeNumber(1, 65535), default=_PORT, show_default=True, help="Port.")
def command(recipes: str | None, house: str | None, write: bool, host: str, port: int) -> None:
    """Start the page and serve it until it is stopped."""
    from prepkit import registry
    from prepkit.errors import BadInput

    try:
        from prepkit.page import app, guard
        from prepkit.page.guard import LOOPBACK, Settings
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("prepkit"):
            raise
        raise BadInput(_MISSING.format(name=error.name), "page") from error

    if write and recipes is None and not _keeps_stock(house):
        raise BadInput(
            "--write saves recipes and counts of stock; name a folder with --recipes, or with "
            "--house a house whose file names a ledger.",
            "write",
        )
    chosen = Settings(
        _folder(recipes, "--recipes"),
        _folder(registry.folder(house), "--house"),
        write,
        host.strip(),
        port,
        None if host.strip() in LOOPBACK else app.pass_phrase(),
        None if host.strip() in LOOPBACK else guard.new_word(),
    )
    server = app.listening(chosen)
    put_text(_told(chosen) + "\n")
    if chosen.link is not None:
        _put_link(f"{guard.reached(chosen)}/in/{chosen.link}")
    app.serve(server)


command.params.insert(
    1, house_option("Folder of the house file: vessels, own ingredients, prices.")
)


def _keeps_stock(house: str | None) -> bool:
    """Whether the house that is named keeps a ledger; its errors are sentences of their own."""
    from prepkit import registry
    from prepkit.plan.house import house_in

    return bool(house_in(registry.folder(house)).stock.ledger)


def _folder(said: str | Path | None, option: str) -> Path | None:
    from prepkit.errors import FileProblem

    if said is None:
        return None
    try:
        folder = Path(said).resolve()
        if folder.is_dir():
            return folder
    except (OSError, ValueError, RuntimeError):  # a null in the name, a circle of links
        pass
    raise FileProblem(f"{option} is {str(said)!r}, which is no folder that can be read; name one.")


def _told(chosen: Settings) -> str:
    """What is printed at the start."""
    name = f"[{chosen.host}]" if ":" in chosen.host else chosen.host
    if chosen.host in ("0.0.0.0", "::"):  # every address of the machine: its name stands for them
        name = gethostname()
    lines = [f"prepkit: open http://{name}:{chosen.port}/ in a browser. Stop with Ctrl-C."]
    if chosen.pass_phrase is not None:
        lines += [
            "Warning: others on this network can reach the page, and what is sent is not "
            "encrypted. Use it on a network that you trust.",
            f"Pass words, asked of each browser until the page is stopped: {chosen.pass_phrase}",
        ]
    if chosen.write and chosen.recipes is None:
        lines.append("The stock of the house can be counted and changed.")
    elif chosen.write:
        lines.append(f"Recipes in {chosen.recipes} can be changed; earlier versions are kept.")
    return "\n".join(lines)


def _put_link(address: str) -> None:
    """Print the link that lets one browser in, and on a screen its code."""
    from prepkit.page.guard import blocks

    put_text(f"One phone gets in, once, by this code or link: {address}\n", fit=False)
    drawn = blocks(address)
    if drawn and sys.stdout.isatty() and (sys.stdout.encoding or "").lower().startswith("utf"):
        put_exact(drawn)
