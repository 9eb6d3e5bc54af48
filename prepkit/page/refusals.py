"""What was wrong, for a program: JSON, said to be JSON, so that no browser takes it for a page."""

from __future__ import annotations

from flask import Response, current_app


def as_json(said: str) -> Response:
    """One sentence as {"error": ...}."""
    text = current_app.json.dumps({"error": said}) + "\n"
    return Response(text, mimetype="application/json")
