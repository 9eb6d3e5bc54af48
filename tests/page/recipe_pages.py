"""What the tests of recipes, batch sheets and drills share."""

from __future__ import annotations

import itertools
import shlex
import shutil
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from page.asking import tree
from render.page_reader import Node

from prepkit.cli import main
from prepkit.page import create_app
from prepkit.page.guard import Settings

DEMO = Path(__file__).parents[2] / "recipes"
NAMES = ("cold-semaphore", "free-otter", "warm-brasswick")
TODAY = date(2026, 11, 26)


def copied(tmp_path: Path) -> Path:
    """The demo recipes in a folder that may be written."""
    folder = tmp_path / "recipes"
    shutil.copytree(DEMO, folder)
    return folder


def client(folder: Path = DEMO, *, write: bool = False, house: Path | None = None) -> FlaskClient:
    """A browser of a page with its own folder; those who only read the demo share one page."""
    if (folder, write, house) == (DEMO, False, None):
        return _demo().test_client()
    return create_app(Settings(folder, house, write, today=lambda: TODAY)).test_client()


@cache
def _demo() -> Flask:
    return create_app(Settings(DEMO, today=lambda: TODAY))


def token_of(browser: FlaskClient, path: str) -> str:
    """The token of the first form of a page; where it has none, one that the browser holds."""
    for one in tree(browser.get(path)).all("input", name="token"):
        return one.attributes["value"]
    with browser.session_transaction() as session:
        session["token"] = "a token of this browser"
    return "a token of this browser"


def send(browser: FlaskClient, path: str, **fields: Any) -> Any:
    """A form sent with the token of the page that shows it."""
    return browser.post(path, data={"token": token_of(browser, path), **fields})


def printed(words: str, capsys: pytest.CaptureFixture[str]) -> str:
    """What the command line prints."""
    with pytest.raises(SystemExit):
        main(shlex.split(words))
    return capsys.readouterr().out


def reads_well(answer: Any) -> Node:
    """A page as a tree, with what a screen reader needs: headings, labels, ids that are there."""
    root = tree(answer)
    levels = [int(one.tag[1]) for one in root.all() if one.tag in ("h1", "h2", "h3", "h4", "h5")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels)), levels
    ids = [one.attributes["id"] for one in root.all() if "id" in one.attributes]
    assert len(ids) == len(set(ids)), sorted(one for one in set(ids) if ids.count(one) > 1)
    for one in root.all():
        for name in ("aria-labelledby", "aria-describedby"):
            assert set(one.attributes.get(name, "").split()) <= set(ids)
        target = one.attributes.get("href", "")
        if one.tag == "a" and target.startswith("#"):
            assert target[1:] in ids, target
        assert "style" not in one.attributes
        assert not any(name.startswith("on") for name in one.attributes)
    labelled = {one.attributes["for"] for one in root.all("label") if "for" in one.attributes}
    inside = {id(one) for label in root.all("label") for one in label.all()}
    for tag in ("input", "select", "textarea"):
        for one in root.all(tag):
            if one.attributes.get("type") != "hidden":
                named = id(one) in inside or one.attributes.get("id") in labelled
                assert named or one.attributes.get("aria-label"), one.attributes
    for form in root.all("form"):
        if form.attributes["method"] == "post":
            assert len(list(form.all("input", name="token"))) == 1
    return root
