"""Who may ask, who gets in, how much, how answers are sealed; what the page was started with.

The service worker asks the page first, always; what it kept it shows only where nothing answers,
with the time it was kept. Each answer says whose it is, so that what one person kept is gone once
another uses the browser. Keys, papers, classes and forms carry no leave to be kept.

Every request passes `check` before it is looked at; every answer passes `seal`. Nothing here knows
a calculator or a recipe.

A wrong try is counted for ten minutes, by address and in all. Who has not failed in that time is
always heard, however many others have, so that the right words are never locked out for good.
"""

from __future__ import annotations

import hmac
import ipaddress
import math
import secrets
import socket
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from hmac import compare_digest
from pathlib import Path
from threading import Lock
from typing import Any
from urllib.parse import urlsplit

from flask import (
    Blueprint,
    Flask,
    Response,
    abort,
    current_app,
    has_request_context,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from werkzeug.exceptions import BadRequest, Forbidden, RequestEntityTooLarge, RequestURITooLarge
from werkzeug.wrappers import Response as AnyResponse

from prepkit.language import _
from prepkit.render import signs

# ---- what the page was started with ----

LOOPBACK = ("127.0.0.1", "::1", "localhost")
PORT = 8642


@dataclass(frozen=True)
class Settings:
    """Folders, address and rights of one run of the page.

    `recipes` and `house` are the only folders that are read; None where none was named. `write`
    allows recipes to be saved. `pass_phrase` is asked of every browser that comes from elsewhere;
    None where only this machine can reach the page. `link` is the word of the one-time link that is
    printed at the start. `today` is a clock that tests can set.
    """

    recipes: Path | None = None
    house: Path | None = None
    write: bool = False
    host: str = "127.0.0.1"
    port: int = PORT
    pass_phrase: str | None = None
    link: str | None = None
    today: Callable[[], date] = date.today

    @property
    def local(self) -> bool:
        """Whether only this machine can reach the page."""
        return self.host in LOOPBACK


def settings() -> Settings:
    """The settings of the page that answers the present request."""
    found: Settings = current_app.config["PREPKIT"]
    return found


# ---- what is said to a program, as JSON that is said to be JSON ----


def as_json(said: str) -> Response:
    """What was wrong: one sentence as {"error": ...}."""
    return to_script({"error": said})


def to_script(said: Mapping[str, Any], status: int = 200) -> Response:  # Any: text, rows of text
    """What the page's own script asked for."""
    text = current_app.json.dumps(said) + "\n"
    return Response(text, status, mimetype="application/json")


# ---- what a browser may keep for the time when the laptop does not answer ----

offline_blueprint = Blueprint("offline", __name__)
BATCH = "recipes.batch.view"
KEPT = frozenset(
    {
        "recipes.view", "recipes.whole", "recipes.card", BATCH, "prints.card",
        "words.walls", "words.sheet",
    }
)  # fmt: skip
NOBODY = "nobody"


@offline_blueprint.get("/keep.js")
def worker() -> Response:
    """The service worker; it stands at the top because it may only keep what lies below it."""
    return current_app.send_static_file("keep.js")


def marks(status: int) -> dict[str, str]:
    """Whose an answer is, and whether it may be kept, for the service worker."""

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


# ---- who may ask, how much, and how answers are sealed ----

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
        response.headers.update(marks(response.status_code))
    return response


def document(text: str) -> Response:
    """A card, label or sheet as a document of its own, with its style inside and no script."""
    response = Response(text, mimetype="text/html")
    response.headers["Content-Security-Policy"] = DOCUMENT_POLICY
    return response


def _here() -> str:
    return request.full_path.rstrip("?")


# ---- how a browser gets in ----

entry_blueprint = Blueprint("entry", __name__)
TRIES_EACH, TRIES_ALL, TRIES_S = 5, 100, 600.0
MOST_REMEMBERED = 10_000  # wrong tries
LINK_S = 600.0  # how long a link of the page waits for its telephone
MOST_LINKS = 20
EVERYWHERE = ("0.0.0.0", "::")
NOT_THE_WORDS = "These are not the words that were printed where the page was started."
USED = "This link was used already, or it is too old. Each link lets one browser in, once."


def start(app: Flask, chosen: Settings) -> None:
    """Give an app its counts of tries and its links."""
    app.extensions["prepkit-tries"] = Tries()
    app.extensions["prepkit-links"] = Links(chosen.link)
    app.jinja_env.globals["invites"] = not chosen.local
    app.register_blueprint(entry_blueprint)


# wrong tries


class Tries:
    """Wrong tries of the last ten minutes, by address and in all."""

    def __init__(
        self,
        each: int = TRIES_EACH,
        in_all: int = TRIES_ALL,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.each, self.in_all, self.clock = each, in_all, clock
        self._wrong: deque[tuple[float, str]] = deque(maxlen=MOST_REMEMBERED)
        self._lock = Lock()

    def wait_s(self, address: str) -> float:
        """Seconds until this address is heard again; 0 where it is heard now."""
        with self._lock:
            now = self.clock()
            while self._wrong and self._wrong[0][0] <= now - TRIES_S:
                self._wrong.popleft()
            own = place_of(address)
            mine = [at for at, place in self._wrong if place == own]
            allowed = self.each if len(self._wrong) < self.in_all else 1
            return 0.0 if len(mine) < allowed else min(TRIES_S, mine[-allowed] + TRIES_S - now)

    def wrong(self, address: str) -> None:
        """Count one."""
        with self._lock:
            self._wrong.append((self.clock(), place_of(address)))


def place_of(address: str) -> str:
    """What counts as one address: of the long ones the half that names a network.

    >>> place_of("2001:db8::1") == place_of("2001:db8::ffff:2"), place_of("192.0.2.7")
    (True, '192.0.2.7')
    """
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((found, 64), strict=False).network_address)


def wait_words(seconds: float) -> str:
    """A wait in whole minutes.

    >>> wait_words(61), wait_words(2)
    ('2 minutes', '1 minute')
    """
    minutes = max(1, math.ceil(seconds / 60))
    return _("1 minute") if minutes == 1 else _("{n} minutes", n=minutes)


# links


class Links:
    """Links that let one browser in, once; of each only a digest is kept.

    The first, printed in the terminal, waits until it is used; the others for ten minutes.
    """

    def __init__(self, first: str | None = None, clock: Callable[[], float] = time.monotonic):
        self.clock = clock
        self._open: dict[str, float] = {} if first is None else {_digest(first): math.inf}
        self._lock = Lock()

    def new(self) -> str:
        """The word of a new link; where too many wait, the oldest is closed."""
        word = new_word()
        with self._lock:
            passing = [name for name, until in self._open.items() if until < math.inf]
            for old in passing[: max(0, len(passing) - MOST_LINKS + 1)]:
                del self._open[old]
            self._open[_digest(word)] = self.clock() + LINK_S
        return word

    def waits(self, word: str) -> bool:
        """Whether a link still lets a browser in."""
        with self._lock:
            return self._open.get(_digest(word), -math.inf) > self.clock()

    def take(self, word: str) -> bool:
        """Use a link up; False where it lets nobody in."""
        with self._lock:
            return self._open.pop(_digest(word), -math.inf) > self.clock()


def new_word() -> str:
    """The word of a link: 128 bits by chance."""
    return secrets.token_urlsafe(16)


def _digest(word: str) -> str:
    return sha256(word.encode("utf-8", "replace")).hexdigest()


# addresses that a telephone reaches


def own_address(chosen: Settings) -> str:
    """This machine's address in numbers, where it answers on all of them; else the one named."""
    if chosen.host not in EVERYWHERE:
        return chosen.host
    family = socket.AF_INET6 if ":" in chosen.host else socket.AF_INET
    documentation = "2001:db8::1" if ":" in chosen.host else "192.0.2.1"
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((documentation, 9))  # nothing is sent: it only chooses the own address
            return str(probe.getsockname()[0])
    except OSError:
        return socket.gethostname()


def reached(chosen: Settings) -> str:
    """The start of the page's addresses, as another device reaches them."""
    name = own_address(chosen)
    return f"http://{f'[{name}]' if ':' in name else name}:{chosen.port}"


def for_a_phone(path: str) -> str:
    """The whole address of a path, for a telephone; "" where only this machine has the page."""
    chosen = settings()
    if chosen.local:
        return ""
    here = request.host_url.rstrip("/")
    start = reached(chosen) if urlsplit(here).hostname in LOOPBACK else here
    return f"{start}{path}"


def code(address: str) -> dict[str, str | int]:
    """The drawn code of an address for `qr.html`: its path and how many modules wide it is."""
    found = signs.rows(address)
    return {"path": signs.path(found), "size": len(found), "address": address}


def blocks(address: str) -> str:
    """The code of an address in characters of a terminal, two rows a line, black on white."""
    found = signs.rows(address)
    lines = []
    for top, below in zip(found[::2], (*found[1::2], "0" * len(found))[: (len(found) + 1) // 2],
                          strict=True):  # fmt: skip
        drawn = "".join(" ▄▀█"[2 * int(a) + int(b)] for a, b in zip(top, below, strict=True))
        lines.append(f"\x1b[30;107m{drawn}\x1b[0m\n")
    return "".join(lines)


# views


def let_in() -> None:
    """Open the page to the browser that asks, until it is stopped."""
    session.clear()
    session["in"] = True
    session["who"] = secrets.token_hex(8)


@entry_blueprint.get("/pass")
def ask() -> str:
    """Ask for the pass words."""
    _asked_at_all()
    return render_template("pass.html", to=inside(request.args.get("to", "")), problem="")


@entry_blueprint.post("/pass")
def answer() -> AnyResponse | tuple[str, int] | tuple[str, int, dict[str, str]]:
    """The right words open the page to this browser."""
    phrase = _asked_at_all()
    to = inside(request.form.get("to", ""))
    tries: Tries = current_app.extensions["prepkit-tries"]
    address = request.remote_addr or ""
    wait = tries.wait_s(address)
    if wait > 0:
        problem = (
            f"Too many wrong tries from here. Try again in {wait_words(wait)}, or scan a code: "
            f"a browser that is in shows one."
        )
        later = {"Retry-After": str(math.ceil(wait))}
        return render_template("pass.html", to=to, problem=problem), 429, later
    said = " ".join(request.form.get("words", "").lower().split())
    if not compare_digest(said.encode(), phrase.encode()):
        tries.wrong(address)
        return render_template("pass.html", to=to, problem=NOT_THE_WORDS), 403
    let_in()
    return redirect(to, 303)


def _asked_at_all() -> str:
    phrase = settings().pass_phrase
    if phrase is None:
        abort(404)
    return phrase


def inside(to: str) -> str:
    """A path of this page, never another site's."""
    return to if to.startswith("/") and not to.startswith(("//", "/\\")) and "\\" not in to else "/"


@entry_blueprint.get("/in/<word>")
def link(word: str) -> tuple[str, int]:
    """A page with one button: a program that only looks at links must not use one up."""
    _asked_at_all()
    waits = _links().waits(word)
    return render_template("in.html", word=word, problem="" if waits else USED), (
        200 if waits else 410
    )


@entry_blueprint.post("/in/<word>")
def use(word: str) -> AnyResponse | tuple[str, int]:
    """Let this browser in, once."""
    _asked_at_all()
    if not _links().take(word):
        return render_template("in.html", word=word, problem=USED), 410
    let_in()
    return redirect(url_for("work.home"), 303)


@entry_blueprint.get("/in")
def invite() -> str:
    """The code that lets one more telephone in, for a browser that is in itself."""
    chosen = settings()
    if chosen.local or chosen.pass_phrase is None:
        return render_template("invite.html", code=None, phrase="", minutes=0)
    address = for_a_phone(url_for("entry.link", word=_links().new()))
    return render_template(
        "invite.html", code=code(address), phrase=chosen.pass_phrase, minutes=int(LINK_S // 60)
    )


def _links() -> Links:
    found: Links = current_app.extensions["prepkit-links"]
    return found
