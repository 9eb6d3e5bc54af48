"""The account of the readings as a card shows it, made from its JSON form."""

from __future__ import annotations

from prepkit.render.html import Cells, Warned, source_words
from prepkit.render.measured_text import (
    CHANGE_HEADERS,
    CHANGE_LETTERS,
    GO_ON,
    NOTHING_DRIFTED,
    READING_HEADERS,
    READING_LETTERS,
    cautions_of,
    change_rows,
    correction_words,
    ph_lines,
    reading_rows,
    short_words,
    unstated_lines,
)
from prepkit.render.prose import in_units
from prepkit.sheet import AccountCaution, AccountSheet


def measured_parts(account: AccountSheet | None, system: str) -> dict[str, object] | None:
    """What a card shows of the readings; None where there are none."""
    if account is None:
        return None
    lines = [] if account["beyond"] or account["unread"] else [NOTHING_DRIFTED]
    lines += [correction_words(one, system) for one in account["corrections"]]
    lines += [short_words(one, system) for one in account["short"]]
    lines += [line for one in account["ph"] for line in ph_lines(one, account["file"])]
    told = [*account["cautions"]]
    told += [
        AccountCaution(**caution, item=one["item"], kind="correction")
        for one in account["corrections"]
        for caution in cautions_of(one)
    ]
    return {
        "file": account["file"],
        "cautions": [_warned(one, system) for one in told],
        "readings": Cells(
            "what was read",
            [*READING_HEADERS[:-2], "unit", "so it is"],
            READING_LETTERS,
            reading_rows(account, system),
        ),
        "lines": [*lines, *unstated_lines(account)],
        "changes": Cells(
            GO_ON, [*CHANGE_HEADERS[:-1], "unit"], CHANGE_LETTERS, change_rows(account, system)
        )
        if account["downstream"]
        else None,
    }


def of_item(account: AccountSheet, item: str) -> AccountSheet:
    """The account with what concerns one item."""
    return {
        **account,
        "readings": [one for one in account["readings"] if one["item"] == item],
        "cautions": [one for one in account["cautions"] if one["item"] == item],
        "corrections": [one for one in account["corrections"] if one["item"] == item],
        "short": [one for one in account["short"] if one["item"] == item],
        "ph": [one for one in account["ph"] if one["item"] == item],
        "downstream": [one for one in account["downstream"] if one["item"] == item],
        "beyond": [one for one in account["beyond"] if one == item],
        "unread": [one for one in account["unread"] if one == item],
    }


def _warned(one: AccountCaution, system: str) -> Warned:
    return Warned(
        one["id"],
        one["severity"],
        one["kind"],
        [(one["item"], in_units(one["text"], system), in_units(one["action"], system))],
        "",
        source_words(one["source"]),
    )
