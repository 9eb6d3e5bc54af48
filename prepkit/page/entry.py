"""How a browser gets in: the pass words, typed and seen, or a link that opens the page once.

A wrong try is counted for ten minutes, by address and in all. Who has not failed in that time is
always heard, however many others have, so that the right words are never locked out for good.
"""

from __future__ import annotations

import ipaddress
import math
import secrets
import socket
import time
from collections import deque
from collections.abc import Callable
from hashlib import sha256
from hmac import compare_digest
from threading import Lock
from urllib.parse import urlsplit

from flask import (
    Blueprint,
    Flask,
    abort,
    current_app,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from werkzeug.wrappers import Response as AnyResponse

from prepkit.page.settings import LOOPBACK, Settings, settings
from prepkit.render import qr

blueprint = Blueprint("entry", __name__)
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
    app.register_blueprint(blueprint)


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
    return f"{minutes} minute{'s' if minutes > 1 else ''}"


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
            passing = [one for one, until in self._open.items() if until < math.inf]
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
    found = qr.rows(address)
    return {"path": qr.path(found), "size": len(found), "address": address}


def blocks(address: str) -> str:
    """The code of an address in characters of a terminal, two rows a line, black on white."""
    found = qr.rows(address)
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


@blueprint.get("/pass")
def ask() -> str:
    """Ask for the pass words."""
    _asked_at_all()
    return render_template("pass.html", to=inside(request.args.get("to", "")), problem="")


@blueprint.post("/pass")
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


@blueprint.get("/in/<word>")
def link(word: str) -> tuple[str, int]:
    """A page with one button: a program that only looks at links must not use one up."""
    _asked_at_all()
    waits = _links().waits(word)
    return render_template("in.html", word=word, problem="" if waits else USED), (
        200 if waits else 410
    )


@blueprint.post("/in/<word>")
def use(word: str) -> AnyResponse | tuple[str, int]:
    """Let this browser in, once."""
    _asked_at_all()
    if not _links().take(word):
        return render_template("in.html", word=word, problem=USED), 410
    let_in()
    return redirect(url_for("work.home"), 303)


@blueprint.get("/in")
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
