"""What a browser may keep for the time when the laptop does not answer: sheets, cards, cautions.

The service worker asks the page first, always; what it kept it shows only where nothing answers,
with the time it was kept. Each answer says whose it is, so that what one person kept is gone once
another uses the browser. Keys, papers, classes and forms carry no leave to be kept.
"""

from __future__ import annotations

import hmac

from flask import Blueprint, Response, current_app, has_request_context, request, session

blueprint = Blueprint("offline", __name__)
BATCH = "recipes.batch.view"
KEPT = frozenset(
    {
        "recipes.view", "recipes.whole", "recipes.card", BATCH, "prints.card",
        "words.walls", "words.sheet",
    }
)  # fmt: skip
NOBODY = "nobody"


@blueprint.get("/keep.js")
def worker() -> Response:
    """The service worker; it stands at the top because it may only keep what lies below it."""
    return current_app.send_static_file("keep.js")


def marks(status: int) -> dict[str, str]:
    """Whose an answer is, and whether it may be kept, for the service worker."""
    from prepkit.page.guard import admitted

    if not has_request_context() or not admitted():
        return {"Prepkit-Who": NOBODY}
    said = {"Prepkit-Who": who()}
    # a sheet with a reading that cannot be used takes the place of the milder one before
    if may_keep() and (status == 200 or (status == 422 and request.endpoint == BATCH)):
        said["Prepkit-Keep"] = "1"
    return said


def may_keep() -> bool:
    """Whether a browser may keep what is asked for."""
    return request.endpoint in KEPT and request.method == "GET"


def who() -> str:
    """This run of the page and this browser, without saying anything of either."""
    secret = current_app.secret_key
    key = secret if isinstance(secret, bytes) else str(secret).encode()
    return hmac.new(key, str(session.get("who", "")).encode(), "sha256").hexdigest()[:16]
