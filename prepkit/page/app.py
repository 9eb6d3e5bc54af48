"""The page as a Flask application: its home, each calculator's form and answer; its server.

Drawings stand beside words that say the same, and are hidden from what reads a page aloud.
"""

from __future__ import annotations

import errno
import logging
import secrets
import socket
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from flask import (
    Blueprint,
    Flask,
    Response,
    abort,
    current_app,
    redirect,
    render_template,
    request,
    url_for,
)
from jinja2 import ChoiceLoader, FileSystemLoader, PrefixLoader, StrictUndefined
from markupsafe import Markup
from waitress.server import create_server
from werkzeug.exceptions import HTTPException, InternalServerError
from werkzeug.wrappers import Response as AnyResponse

from prepkit import __version__, blocks, cautions, registry, render
from prepkit.cautions import page_line
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.ingredient import REFUSED_GROUP
from prepkit.language import ENGLISH, _, speak, speaking
from prepkit.page import (
    answers,
    class_views,
    drills,
    forms,
    guard,
    recipes,
    requests,
    stock,
    tastings,
)
from prepkit.page.answers import answered
from prepkit.page.drills import FOLDER, Classes
from prepkit.page.guard import Settings, as_json, settings, to_script
from prepkit.page.requests import Request, asked, held_pair, known
from prepkit.page.tastings import Tastings
from prepkit.pantry import Pantry
from prepkit.render import html, signs, wall
from prepkit.render.plan_lists import made_for
from prepkit.render.short import as_printed
from prepkit.render.signs import SYMBOLS
from prepkit.render.text import source_words
from prepkit.workflows.pantry_command import VALUE_WORDS, looked_up, strength_words

# ---- who opens the page, what each is about to do, and the calculator behind the words ----


@dataclass(frozen=True)
class PageTask:
    """Something that a person is about to do; `given` is filled in already.

    `place` is another page of ours than a calculator, by the name of its view. A task with an icon
    stands on the home page; the others open below it.
    """

    words: str
    calculator: str = ""
    icon: str = ""
    given: dict[str, str] = field(default_factory=dict)
    place: str = ""


@dataclass(frozen=True)
class PageUser:
    """One of those whom the page is for."""

    id: str
    words: str
    tasks: tuple[PageTask, ...]

    @property
    def first(self) -> list[PageTask]:
        """What is seen at once."""
        return [task for task in self.tasks if task.icon]

    @property
    def others(self) -> list[PageTask]:
        """What opens below it."""
        return [task for task in self.tasks if not task.icon]


PEOPLE = (
    PageUser(
        "formulating",
        "I write the prep",
        (
            PageTask("Cordial or syrup to a Brix", "cordial", "glass"),
            PageTask("Acid stock by strength", "acid-solution", "acid"),
            PageTask("Oleo from peel and sugar", "oleo", "plant"),
            PageTask("Correct a batch", "correct", "tick"),
            PageTask("Recipes, planned for a service", icon="list", place="recipes.index"),
            PageTask("From the drink that is wanted to amounts", "compose"),
            PageTask("From pour to last sip", "window"),
            PageTask("Ladder of small glasses", place="ladders.index"),
            PageTask("Blind tasting, on phones", place="tastings.index"),
            PageTask("Plants in a spirit", "infuse"),
            PageTask("Spirit washed with fat", "fat-wash"),
            PageTask("Coffee and tea as ingredients", "coffee"),
            PageTask("Milk punch, and other ways to clear a drink", "clarify"),
            PageTask("Juice brought to an acidity", "acid-adjust"),
            PageTask("Saline and umami stocks, by the drop", "salt"),
            PageTask("Base: parts put together", "blend"),
            PageTask("Down to a strength", "dilute"),
            PageTask("Stirred, shaken, or cold from a bottle", "chill"),
            PageTask("Freezer bottles, slush, frozen tubs", "freeze"),
            PageTask("Readings of the instruments", "reading"),
            PageTask("One glass: units, sugar, allergens, cost", "serve"),
        ),
    ),
    PageUser(
        "checking",
        "I check the load",
        (
            PageTask("Siphon, before it is charged", "siphon", "gauge"),
            PageTask("Keg or bottle with carbon dioxide", "carbonate"),
            PageTask("Gas in a room", "room", "air"),
            PageTask("Liquid nitrogen and dry ice", "cryogen", "cold"),
            PageTask("Tonight's batch sheet", icon="clock", place="recipes.index"),
            PageTask("Wall sheets and cautions", icon="care", place="words.walls"),
            PageTask("Vessels and chargers for the evening", "siphon", given={"mode": "plan"}),
            PageTask("Pressure through the service", "siphon", given={"mode": "dispense"}),
            PageTask("Foam that is blended, not charged", "foam"),
            PageTask("Smoke, mist, fog: who breathes what", "cloud"),
            PageTask("Cream that stays on top", "layer"),
            PageTask("Hot drinks: how hot, how long", "warm"),
            PageTask("How long it keeps, by the codes", "keep"),
        ),
    ),
    PageUser(
        "teaching",
        "I teach",
        (
            PageTask("Open a class", icon="trained", place="classes.index"),
            PageTask("A whole lesson, to print", icon="list", place="lessons.index"),
            PageTask("Drill: papers with a key", icon="alarm", place="drills.index"),
            PageTask("Gas set free in a room", "room", "air"),
            PageTask("One load, step by step", "siphon"),
            PageTask("Cold: liquid nitrogen, dry ice", "cryogen"),
            PageTask("Bubble or foam that rises in air", "float"),
        ),
    ),
)


# ---- what the pantry knows, for who types an ingredient ----

_LEAST_BRIX = 0.5


def rows(pantry: Pantry) -> list[tuple[str, str, str]]:
    """Each ingredient: its name, the strength to write after it or "", what is known of it."""
    own = [_row(pantry, str(entry["name"])) for entry in pantry.own_entries()]
    return [*filter(None, own), *_shipped()]


@cache
def _shipped() -> tuple[tuple[str, str, str], ...]:
    """The package's own, read once."""
    pantry = Pantry()
    entries: list[Mapping[str, Any]] = [  # Any: what a TOML table holds
        entry for path in blocks.names("pantry") for entry in blocks.blocks(path, "ingredient")
    ]
    found = (_row(pantry, entry["name"]) for entry in entries if entry["group"] != REFUSED_GROUP)
    return tuple(sorted(filter(None, found)))


def _row(pantry: Pantry, name: str) -> tuple[str, str, str] | None:
    try:
        found = looked_up(name, pantry)
    except PrepkitError:  # what cannot be looked up is not offered
        return None
    if "ingredient" not in found:
        return None
    strength = found.get("strength")
    if strength:
        usual = strength["usual"]
        after = f"{usual:g} {strength['unit']}" if usual is not None else ""
        span = f"{strength['low']:g} to {strength['high']:g} {strength['unit']}"
        return name, after, f"{strength['meaning']}, {span}"
    brix = found.get("values", {}).get("dissolved_solids", 0.0)
    return name, "", f"{brix:.0f} Bx" if found["form"] == "liquid" and brix >= _LEAST_BRIX else ""


# ---- the home page, and each calculator's form and answer ----

blueprint = Blueprint("work", __name__)
BAD_INPUT = 422
PARTS = ("top", "rest", "hold", "foot")  # of an answer, by the names of their templates


@dataclass(frozen=True)
class Section:
    """A place that the bar at the top leads to."""

    name: str
    address: str
    start: str  # how the addresses of the place begin


def sections() -> list[Section]:
    """The places of the page, in the order of a day."""
    kept = [
        Section("Stock", url_for("stock.index"), "/stock"),
        Section("Bench", url_for("bench.index"), "/bench"),
    ]
    return [
        Section("Work", url_for("work.home"), "/make/"),
        Section("Recipes", url_for("recipes.index"), "/recipes/"),
        *(kept if requests.ledger() else ()),
        Section("Drills", url_for("drills.index"), "/drills/"),
        Section("Ingredients", url_for("words.index"), "/words"),
        Section("Cautions", url_for("words.walls"), "/cautions"),
    ]


@blueprint.get("/")
def home() -> str:
    """Where to begin, by who asks and by family."""
    families = [
        (title, [(name, text) for name, (_, of, text) in CALCULATORS.items() if of == family])
        for family, title in FAMILIES.items()
    ]
    return render_template(
        "home.html",
        people=PEOPLE,
        families=families,
        count=len(CALCULATORS),
        edit=forms.EDIT,
    )


@blueprint.get("/make/<name>")
def calculation(name: str) -> AnyResponse | tuple[str, int]:
    """The form, and the answer to what it was filled with."""
    known(name)
    if forms.VESSEL in request.args:
        return _filled_in(name)
    only_form = forms.MORE in request.args or forms.EDIT in request.args
    started = any(not key.startswith(".") for key in request.args) or forms.GO in request.args
    got = asked(name, compute=started and not only_form)
    if got.answer is not None:
        short = [*got.query, *held_pair()]
        if sorted(short) != sorted(request.args.items(multi=True)):
            return redirect(f"{url_for('work.calculation', name=name)}?{urlencode(short)}")
    status = BAD_INPUT if got.wrong else 200
    return render_template("work.html", **_shown(got)), status


def _filled_in(name: str) -> AnyResponse:
    """To the form with the plate of a vessel of the house in it, and all else as it was typed."""
    chosen = request.args[forms.VESSEL]
    facts = dict(_plates(name)).get(chosen)
    if facts is None:
        abort(404, f"The house has no vessel “{chosen[:60]}”.")
    kept = [
        (key, value) for key, value in request.args.items(multi=True)
        if key not in (forms.VESSEL, forms.GO, forms.EDIT)
        and key.removesuffix(forms.UNIT) not in facts
    ]  # fmt: skip
    pairs = [*kept, *forms.query(facts), (forms.EDIT, "1")]
    return redirect(f"{url_for('work.calculation', name=name)}?{urlencode(pairs)}")


def _shown(got: Request) -> dict[str, object]:
    """All that the page of a calculation shows."""
    calculator = registry.load(got.name)
    today = settings().today().isoformat()
    form = forms.form(got.name, request.args, got.wrong, requests.system(request.args), today)
    said: dict[str, object] = {
        "name": got.name,
        "title": got.name.replace("-", " ").capitalize(),
        "summary": calculator.summary,
        "form": form,
        "own": forms,
        "carried": got.carried,
        "example": urlencode([*forms.query(forms.example(got.name)), (forms.EDIT, "1")]),
        "vessels": [
            (id_, current_app.json.dumps(forms.as_typed(got.name, facts)))
            for id_, facts in _plates(got.name)
        ],
        "held_pair": held_pair(),
        "names": _names(form),
        "answer": None,
        "added": request.args.get(forms.MORE, ""),
    }
    if got.answer is not None:
        said |= answered(got, got.answer, form.system)
    return said


def _plates(name: str) -> list[tuple[str, dict[str, object]]]:
    """The vessels of the house, each with what is on its plate that the form asks for."""
    specs = forms.inputs(name)
    if "max_fill" not in specs:
        return []
    plates = (
        (id_, {key: value for key, value in vessel.facts.items() if key in specs})
        for id_, vessel in requests.house().vessels.items()
    )
    return [(id_, facts) for id_, facts in plates if facts]


def _names(form: forms.Form) -> Markup:
    """The names of ingredients to choose from, where a field of the form takes one."""
    if not any(field.names for field in (*form.main, *form.more)):
        return Markup()
    return _options(tuple(requests.house_pantry().own_names()))


@cache
def _options(own: tuple[str, ...]) -> Markup:
    """The package's names and a house's own, written once: there are many."""
    names = sorted({*Pantry().names(), *own})
    return Markup("\n").join(Markup('<option value="{}"></option>').format(name) for name in names)


@blueprint.get("/make/<name>/answer.json")
def as_parts(name: str) -> AnyResponse:
    """The answer as the page shows it, part by part, for a form that is worked out as it changes.

    Where something is wrong: what, at which field, and no part of any answer. Asked for at first
    alone, a stop comes without its ways out, which are the most work, and says that there is more.
    """
    first = forms.FIRST in request.args
    got = asked(known(name), ways=not first)
    if got.answer is None:
        form = forms.form(name, request.args, got.wrong, requests.system(request.args))
        text = render_template("answer/problems.html", form=form, first_look=False)
        return to_script({"problems": list(form.problems), "top": text}, BAD_INPUT)
    said = answered(got, got.answer, requests.system(request.args)) | {"own": forms}
    parts = {part: render_template(f"answer/{part}.html", **said) for part in PARTS}
    address = urlencode([*got.query, *held_pair()])
    found = {
        **parts,
        "more": first and got.answer.verdict == "stop",
        "title": f"{said['verdict'].word}: {said['title']}",
        "address": f"{url_for('work.calculation', name=name)}?{address}",
        "said": f"{said['top'].word}. {said['top'].say.striptags()}",
    }
    return to_script(found)


@blueprint.get("/ingredients.json")
def ingredients() -> AnyResponse:
    """What the pantry knows, for who types: name, strength to write after it, what it is."""
    return to_script({"names": rows(requests.house_pantry())})


@blueprint.get("/make/<name>.json", endpoint="as_json")
def answer_json(name: str) -> AnyResponse:
    """The answer as the command line prints it with --json, letter by letter."""
    got = asked(known(name))
    if got.answer is None:
        wrong = {key or "other": error.message for key, error in (got.wrong or {}).items()} or {
            "other": "No words of a calculation were given."
        }
        return Response(
            render.as_json(_WrongAddress(wrong)), status=BAD_INPUT, mimetype="application/json"
        )
    return Response(render.as_json(got.answer), mimetype="application/json")


@dataclass(frozen=True)
class _WrongAddress:
    """What is wrong with an address, by field."""

    by_field: Mapping[str, str]

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {"error": "bad-input", "problems": dict(self.by_field)}


# ---- what can be written ----

words_blueprint = Blueprint("words", __name__)
_MOST = 100


@words_blueprint.get("/words")
def index() -> str:
    """The names of ingredients that hold the words asked for, or one ingredient in full."""
    asked = " ".join(request.args.get("q", "").split())[:_MOST]
    pantry = requests.house_pantry()
    found: dict[str, Any] = looked_up(asked, pantry)  # Any: what the pantry's JSON holds
    return render_template(
        "words.html",
        asked=asked,
        found=found,
        own=pantry.own_names(),
        value_words=VALUE_WORDS,
        strength=strength_words(found["strength"]) if found.get("strength") else "",
        line=cautions.page_line("pantry"),
    )


@words_blueprint.get("/cautions")
def walls() -> str:
    """The kinds of danger, each with a sheet for the wall."""
    kinds = [(kind, len(wall.selected(kind))) for kind in cautions.KINDS]
    return render_template(
        "cautions.html", kinds=kinds, kind="", levels=[], legend="", line="", prints=True
    )


def _level(row: Mapping[str, object]) -> str:
    """How serious a row of a sheet is, or that it is always said."""
    return "always" if row["standing"] else str(row["severity"])


@words_blueprint.get("/cautions/<kind>")
def sheet(kind: str) -> str:
    """The sheet of one kind."""
    if kind not in cautions.KINDS:
        abort(404, f"No sheet is about “{kind[:60]}”; they are {', '.join(cautions.KINDS)}.")
    rows = [
        {
            **wall.row_dict(row),
            "text": as_printed(wall.plain(row.text)),
            "action": as_printed(wall.plain(row.advice)),
            "obtained": source_words(row.source),
        }
        for row in wall.selected(kind)
    ]
    return render_template(
        "cautions.html",
        kinds=[],
        kind=kind,
        levels=[(level, list(every)) for level, every in groupby(rows, _level)],
        legend=wall.LEGEND,
        line=cautions.page_line("wall"),
        prints=any(kind in wall_sheet.kinds for wall_sheet in wall.sheets()),
    )


@words_blueprint.get("/wall-sheets")
def to_print() -> AnyResponse:
    """Wall sheets to print, of one kind or all."""
    paper = request.args.get("paper", "a4")
    if paper not in wall.SIZES:
        raise BadInput(f"The paper is “{paper[:40]}”; it is one of {', '.join(wall.SIZES)}.")
    found = wall.chosen(request.args.get("kind") or None)
    language = request.args.get("language") or "en"
    return guard.document(wall.wall_sheets(found, settings().today(), paper, language))


# ---- the page as an application ----

# ---- the drawings of the page ----

# in a square of 64 with a pen of 4.5, as the symbols of signs; small parts are filled
OWN = {
    "alarm": '<path d="M6 26v12h10l16 14V12L16 26z"/>'
    '<path d="M40 24a13 13 0 0 1 0 16M47 16a24 24 0 0 1 0 32"/>',
    "arrow": '<path d="M12 32h38M36 17l15 15-15 15"/>',
    "clock": '<circle cx="32" cy="32" r="25"/><path d="M32 16v17l11 8"/>',
    "cylinder": '<path d="M21 60V28c0-7 5-8 7-11h8c2 3 7 4 7 11v32z"/>'
    '<path d="M28 17V9h8v8M23 8h18"/><path d="M21 36h22"/>',
    "glass": '<path d="M16 12h32l-5 40a5 5 0 0 1-5 4H26a5 5 0 0 1-5-4z"/><path d="M19 28h26"/>'
    '<path d="M26 40c3-4 5 4 9 0M29 19c3-4 5 4 9 0" stroke-width="4"/>',
    "list": '<path d="M24 14h32M24 32h32M24 50h32"/><path d="M8 14h4M8 32h4M8 50h4"/>',
    "plant": '<path d="M32 60V20"/><path d="M32 52c-9 0-12-5-12-11 7 0 12 4 12 11zM32 52c9 0 12-5'
    " 12-11-7 0-12 4-12 11zM32 36c-9 0-12-5-12-11 7 0 12 4 12 11zM32 36c9 0 12-5 12-11-7 0-12 4"
    '-12 11zM32 20c-6-5-6-10 0-15 6 5 6 10 0 15z" stroke-width="4"/>',
    "tick": '<path d="M10 34l14 14 30-34"/>',
    "trained": '<circle cx="26" cy="18" r="9"/><path d="M8 56c0-14 8-21 18-21s18 7 18 21z"/>'
    '<path d="M44 24l5 5 9-11"/>',
    **signs.VERDICTS,
}


@cache
def icon(name: str) -> Markup:
    """A drawing by its name, those of the safety signs among them; KeyError where there is none."""
    shape = OWN[name] if name in OWN else SYMBOLS[name]
    return Markup(
        f'<svg class="icon" viewBox="0 0 64 64" aria-hidden="true" focusable="false">{shape}</svg>'
    )


# ---- the page as a Flask application ----

_log = logging.getLogger(__name__)
# what a person is told, by status: what it means, what to do
SAID = {
    400: ("That could not be read", "Go back, look at what was entered, and send it again."),
    403: ("Not allowed", "Nothing was changed."),
    404: ("There is nothing here", "The address may be mistyped, or what it named has moved."),
    405: ("Not this way", "This address does not take what was sent to it."),
    409: ("It has changed meanwhile", "Open it again and look at it before sending once more."),
    413: ("Too much at once", "That is larger than this page takes. Send less."),
    414: ("Too long an address", "Your entries are too long for an address. Enter less."),
    410: ("It is gone", "Ask for a new one."),
    429: ("Too many tries", "Wait a few minutes, then try again."),
    500: ("This page has a fault", "It is ours, not yours. Nothing was changed."),
}


def create_app(settings: Settings | None = None) -> Flask:
    """The page for these settings; nothing is read or opened until somebody asks."""
    chosen = settings if settings is not None else Settings()
    app = Flask(__name__)
    app.config["PREPKIT"] = chosen
    _templates(app)
    guard.protect(app, chosen)
    guard.start(app, chosen)
    for part in (
        blueprint,
        answers.solved_blueprint,
        answers.blueprint,
        words_blueprint,
        recipes.blueprint,
        drills.blueprint,
        class_views.lessons_blueprint,
        stock.bench_blueprint,
        stock.blueprint,
        class_views.blueprint,
        tastings.blueprint,
        answers.ladders_blueprint,
        class_views.join_blueprint,
        guard.offline_blueprint,
    ):
        app.register_blueprint(part)
    app.extensions["prepkit-classes"] = Classes(
        chosen.recipes / FOLDER if chosen.write and chosen.recipes is not None else None
    )
    app.extensions["prepkit-tastings"] = Tastings(chosen.recipes, chosen.write)
    app.extensions["prepkit-codes"] = guard.Tries(class_views.CODES_EACH, class_views.CODES_ALL)
    app.register_error_handler(HTTPException, _told)
    app.register_error_handler(PrepkitError, _refused)
    app.register_error_handler(Exception, _fault)
    return app


def _templates(app: Flask) -> None:
    """The page's own templates, and those of the cards under `render/`."""
    env = app.jinja_env
    beside = FileSystemLoader(Path(render.__file__).with_name("templates"))
    if app.jinja_loader is None:  # Flask has one whenever there is a templates folder
        raise RuntimeError("the page's templates are missing")
    # the last: what a card imports beside itself
    env.loader = ChoiceLoader([app.jinja_loader, PrefixLoader({"render": beside}), beside])
    env.undefined = StrictUndefined
    env.trim_blocks = env.lstrip_blocks = True
    env.finalize = html.plain
    env.filters["svg"] = html.drawn
    env.filters["drawing"] = Markup  # our own, escaped where it was drawn
    env.globals.update(
        version=__version__,
        sections=sections,
        decides=page_line("wall"),
        icon=icon,
        made_for=made_for,
        may_keep=guard.may_keep,
        who=guard.who,
        _=_,
        speaking=speaking,
    )
    app.before_request(lambda: speak(ENGLISH))  # a thread answers one after another


def _page(status: int, why: str) -> tuple[str | Response, int]:
    title, what = SAID.get(status, SAID[400 if status < 500 else 500])
    if request.path.endswith(".json"):
        return as_json(why or title), status
    return render_template("error.html", title=title, why=why, what=what, status=status), status


def _told(error: HTTPException) -> tuple[str | Response, int] | HTTPException:
    """An error that the web knows, in plain words."""
    status = error.code or 500
    if status < 400:
        return error
    own = error.description if error.description != type(error).description else ""
    return _page(status, own or "")


def _refused(error: PrepkitError) -> tuple[str | Response, int]:
    """An error of ours: one sentence."""
    return _page(404 if isinstance(error, FileProblem) else 400, error.message)


def _fault(error: Exception) -> tuple[str | Response, int]:
    """A defect: the reader gets plain words, the terminal the traceback."""
    _log.exception("a fault at %s", request.path, exc_info=error)
    return _page(InternalServerError.code, "")


# ---- the server behind the page ----

THREADS = 4
SLOWEST_S = 20  # a connection that neither sends nor takes anything is closed
CONNECTIONS = 200
WORDS = Path(__file__).with_name("pass_words.txt")
PHRASE = 6  # words of 256: 48 bits, with few tries


def pass_phrase() -> str:
    """Six words by chance."""
    words = WORDS.read_text(encoding="utf-8").split()
    return " ".join(secrets.choice(words) for _ in range(PHRASE))


def listening(chosen: Settings) -> Any:  # Any: waitress has no types
    """A server that holds its address already; one sentence where it cannot."""
    if chosen.house is not None:
        requests.read_house(chosen.house)  # a house that cannot be read is told at the start
    family = socket.AF_INET6 if ":" in chosen.host else socket.AF_INET
    held = socket.socket(family, socket.SOCK_STREAM)
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        held.bind((chosen.host, chosen.port))
    except socket.gaierror as error:
        held.close()
        raise BadInput(
            f'--host is "{chosen.host}", which is no address of a machine; leave it out, or write '
            f"this machine's address in numbers.",
            "host",
        ) from error
    except (OSError, UnicodeError) as error:
        held.close()
        raise _address_refused(chosen, error) from error
    return create_server(
        create_app(chosen),
        sockets=[held],
        threads=THREADS,
        ident=None,
        expose_tracebacks=False,
        connection_limit=CONNECTIONS,
        channel_timeout=SLOWEST_S,
        cleanup_interval=5,
        max_request_header_size=2 * guard.MOST_QUERY,
        max_request_body_size=2 * guard.MOST_BYTES,
        clear_untrusted_proxy_headers=True,
    )


def _address_refused(chosen: Settings, error: Exception) -> Exception:
    number = getattr(error, "errno", None)
    if number == errno.EADDRINUSE:
        return FileProblem(
            f"port {chosen.port} is taken by another program; name another with --port."
        )
    if number == errno.EADDRNOTAVAIL:
        return BadInput(
            f'--host is "{chosen.host}", which is no address of this machine; leave it out, or '
            f"write one of its own.",
            "host",
        )
    if number == errno.EACCES:
        return FileProblem(f"port {chosen.port} may not be opened here; name one above 1023.")
    why = getattr(error, "strerror", None) or str(error)
    return BadInput(f'--host "{chosen.host}" cannot be answered on: {why}.', "host")


def serve(server: Any) -> None:  # Any: waitress has no types
    """Answer until it is stopped."""
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
