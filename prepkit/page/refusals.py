"""What is said to a program, as JSON that is said to be JSON: no browser takes it for a page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response, current_app


def as_json(said: str) -> Response:
    """What was wrong: one sentence as {"error": ...}."""
    return to_script({"error": said})


def to_script(said: Mapping[str, Any], status: int = 200) -> Response:  # Any: text, rows of text
    """What the page's own script asked for."""
    text = current_app.json.dumps(said) + "\n"
    return Response(text, status, mimetype="application/json")
