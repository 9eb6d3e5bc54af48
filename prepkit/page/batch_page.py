"""The batch sheet as a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from urllib.parse import urlencode

from flask import render_template, request, url_for

from prepkit.page.batch_made import Made, address, held, query
from prepkit.page.batches import DONE, FEW, Work, clock_of, stale, works
from prepkit.page.desk import NOT_PLANNED, recent
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.render.amounts import UNITS, made_for
from prepkit.render.measured_html import measured_parts
from prepkit.render.plan_html import narrowed, plan_verdict, wall
from prepkit.sheet import PlanSheet


def counted(found: Sequence[Work]) -> str:
    """How many of all lines are done."""
    return f"{sum(one.done for one in found)} of {sum(len(one.ticks) for one in found)}"


def stopped(found: Sequence[Work]) -> str:
    """The items that must not be gone on with, one after the other."""
    return " ".join(one.id for one in found if one.stops or one.held)


def short_title(said: PlanSheet) -> str:
    """What is served, in a word or two."""
    return said["serve"][0]["name"] if len(said["serve"]) == 1 else said["title"]


def plan_address(made: Made) -> str:
    """The plan that the batch is made by, for the serves and the service that it has now."""
    said = replace(made.said, serves=made.serves, have=())
    query = urlencode(said.query(on=made.batch.day.isoformat()))
    return f"{url_for('recipes.view', name=made.name)}?{query}"


def page(made: Made, status: int = 200) -> tuple[str, int]:
    """The sheet of a batch with its status."""
    sheet = made.sheet()
    come_to = sheet.worked
    again = "again" in request.args and come_to.account is not None
    found = works(sheet, made.state, again=again)
    only = request.args.get("item", "")
    if only and only not in {one.id for one in found}:
        made.why, only = f'"{only[:60]}" is no item of this sheet.', ""
    shown = [one for one in found if one.id == only] if only else found
    if made.state.problems and status == 200:
        status = NOT_PLANNED
    said = come_to.said
    return render_template(
        "recipes/batch.html",
        name=made.name,
        title=said["title"],
        batch=made.batch,
        day=f"{made.batch.day:%a %d %b}",
        serves=made.serves,
        plain_serves=made.serves.isdigit(),
        made=made_for(said),
        recent=recent(
            address(made, item=""),
            f"Batch: {said['title']}",
            said["verdict"],
            f"{made.batch.day:%a %d %b}, {made_for(said)}",
        ),
        service=made.said.service,
        service_clock=clock_of(made.said.service),
        said_serves=made.said.serves,
        short_title=short_title(said),
        plan_address=plan_address(made),
        places={one.id: place for place, one in enumerate(found)},
        next_up=next((one.id for one in found if one.done < len(one.ticks)), ""),
        query=query(made, serves="", item="", again=""),
        to_do=any(one.ticks for one in found),
        other_serves=made.other_serves,
        kept=made.state.kept,
        **plan_verdict(said, sheet.units),
        care=said["care"],
        before_service=said["timetable"] is not None and not made.said.service,
        account=None if come_to.account is None else measured_parts(come_to.account, sheet.units),
        stopped=stopped(found),
        drifted=[one.id for one in found if one.drifted],
        unread=[one.id for one in found if one.unread],
        again=again,
        works=shown,
        listed=not only and len(found) > FEW,
        only=only,
        all=found,
        progress=counted(found),
        stale=stale(found, made.state),
        why=made.book.plain(made.why),
        write=made.book.write,
        read_only=READ_ONLY,
        hidden=_hidden(made, shown),
        address=address(made),
        address_of=lambda **more: address(made, **more),
        json_query=query(made, item="", again=""),
        ledger=bool(come_to.plan.recipe.house.stock.ledger),
        unit=UNITS[sheet.units][0],
        **wall(narrowed(said, only) if only else said, sheet.units),
    ), status


def _hidden(made: Made, shown: list[Work]) -> list[tuple[str, str]]:
    """What a form of the address must carry on: what is asked, and what other items hold."""
    if made.book.write:
        return []
    ticks = {tick.id for work in shown for tick in work.ticks}
    own = {key: request.args.get(key, "") for key in ("item", "again")}
    pairs = made.said.query(on=made.batch.day.isoformat(), serves="", service="", **own)
    return pairs + [
        (name, value)
        for name, value in held()
        if name != DONE or value.partition("~")[0] not in ticks
    ]
