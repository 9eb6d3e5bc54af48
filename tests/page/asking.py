"""What the tests of the page share: a browser without a window, addresses, pages as trees."""

from __future__ import annotations

import shlex
from functools import cache
from typing import Any
from urllib.parse import urlencode

from flask import Flask
from flask.testing import FlaskClient
from render.page_reader import Node, read

from prepkit.page import create_app
from prepkit.page.guard import Settings
from prepkit.registry import load


def browser(settings: Settings | None = None) -> FlaskClient:
    """A browser of its own, of one page for all tests with the same settings."""
    return _app(settings or Settings()).test_client()


@cache
def _app(settings: Settings) -> Flask:
    return create_app(settings)


def words_of(command: str) -> tuple[str, list[tuple[str, str]]]:
    """The calculator and the inputs of a command line, as pairs."""
    _, name, *rest = shlex.split(command)
    pairs: list[tuple[str, str]] = []
    specs = load(name).inputs.specs()
    while rest:
        key = rest.pop(0).removeprefix("--").replace("-", "_")
        if key not in specs:  # how the answer is printed
            continue
        pairs.append((key, "yes" if specs[key].kind == "flag" else rest.pop(0)))
    return name, pairs


def address(name: str, pairs: list[tuple[str, str]] | dict[str, Any], of: str = "") -> str:
    """The address of a calculation; `of` is .json, /card or /label."""
    return f"/make/{name}{of}?{urlencode(pairs, doseq=True)}"


def tree(answer: Any) -> Node:
    """A page as a tree; AssertionError where its tags are not in order."""
    return read(str(answer.get_data(as_text=True)))


def by_id(root: Node, id_: str) -> Node:
    """The one element with an id."""
    found = list(root.all(id=id_))
    assert len(found) == 1, (id_, len(found))
    return found[0]
