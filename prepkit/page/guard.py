"""Who may ask, how much, and how answers are sealed: hosts, sizes, tokens, headers.

Every request passes `check` before it is looked at; every answer passes `seal`. Nothing here knows
a calculator or a recipe.
"""

from __future__ import annotations

import ipaddress
import secrets
import socket
from hmac import compare_digest
from urllib.parse import urlsplit

from flask import (
    Flask,
    Response,
    redirect,
    request,
    session,
    url_for,
)
from werkzeug.exceptions import (
    BadRequest,
    Forbidden,
    RequestEntityTooLarge,
    RequestURITooLarge,
)
from werkzeug.wrappers import Response as AnyResponse

from prepkit.page import offline
from prepkit.page.settings import LOOPBACK, Settings, settings

MOST_BYTES = 1 << 18  # of a request's body
MOST_QUERY = 1 << 14  # characters of an address after its question mark
MOST_FIELDS = 1000
MOST_LETTERS = 4000  # in one field
LONG = {("recipes.save_text", "text"): 120_000}  # the field of a view that may hold more
# files that hold nothing of anybody's work
FILES = frozenset({"static", "offline.worker"})
# what a browser that is not in may ask for: the ways in, and a place in a class
OPEN = frozenset({"entry.ask", "entry.answer", "entry.link", "entry.use"})
SEAT = "seat"  # what a browser in a class has in its session
OPEN_TO_CLASSES = "join"  # the blueprint of those who sit in one

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'self'",
        "script-src 'self'",
        "img-src 'self' data:",
        "connect-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # other sites learn nothing; "no-referrer" would hide the Origin of the page's own forms too
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
# a card or label is one file with its style inside it, and no script at all
DOCUMENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "style-src 'unsafe-inline'",
        "img-src data:",
        "frame-ancestors 'none'",
        "base-uri 'none'",
        "form-action 'none'",
    )
)


def protect(app: Flask, chosen: Settings) -> None:
    """Set the app's limits, and put `check` before and `seal` after every view."""
    app.secret_key = secrets.token_bytes(32)  # cookies end with the run that gave them
    app.config.update(
        MAX_CONTENT_LENGTH=MOST_BYTES,
        MAX_FORM_MEMORY_SIZE=MOST_BYTES,
        MAX_FORM_PARTS=MOST_FIELDS,
        SESSION_COOKIE_NAME=f"prepkit-{chosen.port}",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict",
    )
    app.before_request(check)
    app.after_request(seal)
    app.jinja_env.globals.update(token=token, admitted=admitted)


# hosts


def known_host(host: str, chosen: Settings) -> bool:
    """Whether a Host header names this page, so that no other site's name can point at it.

    On loopback only loopback's names do. Elsewhere an address in numbers does, because a foreign
    site has a name, and this machine's own names.
    """
    name = host.rsplit("]", 1)[0].lstrip("[") if host.startswith("[") else host.partition(":")[0]
    name = name.lower().rstrip(".")
    if name in LOOPBACK:
        return True
    if chosen.local:
        return False
    own = socket.gethostname().lower()
    if name in (chosen.host.lower(), own, f"{own.partition('.')[0]}.local"):
        return True
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def outside(path: str) -> str:
    """The whole address of a path for another device; "" where only this machine has the page."""
    if settings().local or urlsplit(request.host_url).hostname in LOOPBACK:
        return ""
    return f"{request.host_url.rstrip('/')}{path}"


# each request


def check() -> AnyResponse | None:
    """Refuse a foreign host, too much, a missing token, a browser that was not let in."""
    chosen = settings()
    if not known_host(request.environ.get("HTTP_HOST", ""), chosen):
        raise BadRequest("This page is reached by the address that was printed when it started.")
    if len(request.query_string) > MOST_QUERY:
        raise RequestURITooLarge
    _bounded()
    if request.endpoint in FILES:
        return None
    if not admitted() and not _open():
        if SEAT in session:
            raise Forbidden("This browser is in a class and sees its own paper only.")
        if request.method in ("GET", "HEAD"):
            return redirect(url_for("entry.ask", to=_here()))
        raise Forbidden("This browser has not been let in.")
    if request.method not in ("GET", "HEAD", "OPTIONS"):
        _own_form()
    return None


def admitted() -> bool:
    """Whether the browser that asks may use the page; who sits in a class may not."""
    if SEAT in session:
        return False
    return settings().pass_phrase is None or bool(session.get("in"))


def _open() -> bool:
    """Whether what is asked for is open to a browser that was not let in."""
    return request.endpoint in OPEN or request.blueprint == OPEN_TO_CLASSES


def _bounded() -> None:
    """Refuse too many fields or a field that is too long."""
    fields = [*request.args.items(multi=True), *request.form.items(multi=True)]
    if len(fields) > MOST_FIELDS or any(
        len(name) > MOST_LETTERS
        or len(value) > LONG.get((request.endpoint or "", name), MOST_LETTERS)
        for name, value in fields
    ):
        raise RequestEntityTooLarge
    if any("\0" in name or "\0" in value for name, value in fields):
        raise BadRequest("A field holds a character that is not text.")


def _own_form() -> None:
    """Refuse a form that this page did not give to this browser."""
    origin = request.headers.get("Origin")
    if origin is not None and origin != request.host_url.rstrip("/"):
        raise Forbidden("The form came from another site.")
    kept = str(session.get("token", ""))
    if not kept or not compare_digest(kept.encode(), request.form.get("token", "").encode()):
        raise Forbidden(
            "The form is too old or was not made here; open it again and send it once more."
        )


def token() -> str:
    """The token of this browser, to be sent back in a hidden field named "token"."""
    if "token" not in session:
        session["token"] = secrets.token_urlsafe(32)
    return str(session["token"])


def seal(response: Response) -> Response:
    """Security headers on every answer; no answer is stored, the page's files are asked again."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    file = request.endpoint in FILES
    response.headers["Cache-Control"] = "no-cache" if file else "no-store"
    if not file:
        response.headers.update(offline.marks(response.status_code))
    return response


def document(text: str) -> Response:
    """A card, label or sheet as a document of its own, with its style inside and no script."""
    response = Response(text, mimetype="text/html")
    response.headers["Content-Security-Policy"] = DOCUMENT_POLICY
    return response


def _here() -> str:
    return request.full_path.rstrip("?")
