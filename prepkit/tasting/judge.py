"""The result of a tasting: the exact chance, who can tell, and what it does not prove."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from prepkit.errors import BadInput, require
from prepkit.science import ranking, tasting
from prepkit.tasting.design import ALPHA, POWER, Tasting, sheets
from prepkit.tasting.file import ranks

BY_CHANCE = "chance alone gives that at most 1 time in 20"  # ALPHA in words
_SHARE_OF_INTEREST = 0.30  # who can tell, where the user names no share for likeness


@dataclass(frozen=True, kw_only=True)
class Judged:
    """What the answers say: sentences with the answer first, and the figures in them."""

    found: bool  # a difference; chance alone gives it at most 1 time in 20
    sentences: tuple[str, ...]
    figures: Mapping[str, Any]  # Any: numbers and lists of numbers, for JSON


def judge(one: Tasting, answers: Mapping[int, str], alike_below: float | None = None) -> Judged:
    """What the answers say; `alike_below` asks for likeness: fewer than this share can tell.

    Raises BadInput where nobody has answered, or likeness is asked of a test that cannot show it.
    """
    if not answers:
        raise BadInput("nobody has answered yet.", "answers")
    if one.test == "ranking":
        if alike_below is not None:
            raise BadInput("a ranking cannot prove likeness; use a triangle test.", "alike_below")
        found = _ranked(one, answers)
    else:
        found = _picked(one, answers, alike_below)
    missing = one.tasters - len(answers)
    if not missing:
        return found
    open_ = f"{missing} of {one.tasters} tasters have not answered; they are left out."
    return Judged(
        found=found.found, sentences=(*found.sentences, open_),
        figures={**found.figures, "not_answered": missing},
    )  # fmt: skip


def _picked(one: Tasting, answers: Mapping[int, str], alike_below: float | None) -> Judged:
    """A test with one code as its answer."""
    by_taster = {sheet.taster: sheet for sheet in sheets(one)}
    count, chance = len(answers), one.kind.chance
    if one.two_sided:
        if alike_below is not None:
            raise BadInput(
                "likeness needs a test with a right answer, such as a triangle test.", "alike_below"
            )
        return _two_sided(one, answers)
    correct = sum(by_taster[taster].right == code for taster, code in answers.items())
    p = tasting.chance_p_value(correct, count, chance)
    who = tasting.discriminators(correct, count, chance)
    figures: dict[str, Any] = {
        "right": correct, "answers": count, "chance": chance, "p_value": p,
        "share_who_can_tell": who.share, "share_low": who.low, "share_high": who.high,
        "right_needed": tasting.least_correct(count, chance, ALPHA),
    }  # fmt: skip
    found = p <= ALPHA
    sure = f"they differ; {BY_CHANCE}" if found else "not enough to be sure"
    told = "picked the expected glass" if one.test in ("pair", "three") else "told them apart"
    out = [f"{correct} of {count} {told}, p = {_p(p)}: {sure}."]
    out.append(
        f"Between {_share(who.low)} and {_share(who.high)} of people may be able to tell "
        "(95 % interval)."
    )
    if not found:
        out += _power(one, count, who.share, figures)
        if alike_below is None:
            out.append('Not sure is not "the same": this is no test of likeness.')
    if alike_below is not None:
        out.append(_likeness(correct, count, chance, alike_below, figures))
    return Judged(found=found, sentences=tuple(out), figures=figures)


def _power(one: Tasting, count: int, share: float, figures: dict[str, Any]) -> list[str]:
    """What this panel could have found, and the panel that would decide."""
    chance = one.kind.chance
    seen = share if share > 0.0 else _SHARE_OF_INTEREST
    power = tasting.power(count, seen, chance, ALPHA)
    panel = tasting.panel_size(POWER, chance + seen * (1.0 - chance), chance, ALPHA)
    of = "as seen here" if share > 0.0 else "for example"
    out = [
        f"If {_share(seen)} can tell, {of}, {count} tasters find it {100 * power:.0f} times in 100."
    ]
    figures |= {"power": power, "power_at_share": seen}
    if panel is not None:
        figures |= {"tasters_first": panel.first, "tasters_stable": panel.stable}
        out.append(
            f"{panel.stable} tasters would find it 80 times in 100 (at least {panel.first})."
        )
    return out


def _likeness(
    correct: int, count: int, chance: float, share: float, figures: dict[str, Any]
) -> str:
    """Whether fewer than `share` of people can tell, at p of at most 5 %."""
    require("alike_below", share, 0.01, 0.99, "", "likeness")
    most = tasting.most_correct_for_similarity(count, chance, share, ALPHA)
    p = tasting.similarity_p_value(correct, count, chance, share)
    figures |= {"alike_below": share, "alike_p_value": p, "alike_most_right": most}
    if most is None:
        return f"{count} tasters are too few to show that fewer than {_share(share)} can tell."
    if correct < count * chance:
        return f"Fewer were right than by guessing: likeness below {_share(share)} stays open."
    if correct <= most:
        return (
            f"Alike: fewer than {_share(share)} of people can tell, p = {_p(p)}. If more could, so "
            "few would be right at most 1 time in 20."
        )
    return (
        f"Likeness below {_share(share)} is not shown: at most {most} right answers would show it."
    )


def _two_sided(one: Tasting, answers: Mapping[int, str]) -> Judged:
    """A pair without a right answer: how uneven the choice is."""
    first_glass = sum(
        pour.glass == 0
        for sheet in sheets(one) if sheet.taster in answers
        for pour in sheet.pours if pour.code == answers[sheet.taster]
    )  # fmt: skip
    count = len(answers)
    p = tasting.two_sided_p_value(first_glass, count)
    ahead, behind = one.glasses if 2 * first_glass >= count else one.glasses[::-1]
    most = max(first_glass, count - first_glass)
    found = p <= ALPHA
    chose = "like better" if one.test == "preference" else f"find more {one.taste}"
    sure = BY_CHANCE if found else "not enough to be sure"
    out = [f"{most} of {count} {chose} {ahead} than {behind}, p = {_p(p)}: {sure}."]
    if not found:
        out.append('Not sure is not "the same": this is no test of likeness.')
    figures = {"for_first_glass": first_glass, "answers": count, "p_value": p}
    return Judged(found=found, sentences=tuple(out), figures=figures)


def _ranked(one: Tasting, answers: Mapping[int, str]) -> Judged:
    """A ranking: Page's test where the order was known, else Friedman's and the pairs apart."""
    by_taster = {sheet.taster: sheet for sheet in sheets(one)}
    rows = [ranks(by_taster[taster], said) for taster, said in sorted(answers.items())]
    count, samples = len(rows), len(one.glasses)
    sums = [math.fsum(row[at] for row in rows) for at in range(samples)]
    figures: dict[str, Any] = {
        "answers": count,
        "rank_sums": dict(zip(one.glasses, sums, strict=True)),
    }
    if one.in_order:
        page = ranking.page(rows)
        found = page.p_value <= ALPHA
        figures |= {"page_l": page.statistic, "p_value": page.p_value, "exact": True}
        sure = f"they follow the order; {BY_CHANCE}" if found else "not enough to be sure"
        out = [f"{count} rankings against the expected order, p = {_p(page.p_value)}: {sure}."]
    else:
        test = ranking.ranked(rows)
        found = test.p_value <= ALPHA
        figures |= {"friedman": test.statistic, "p_value": test.p_value, "exact": test.exact}
        sure = f"they differ; {BY_CHANCE}" if found else "not enough to be sure"
        about = "" if test.exact else "about "
        out = [f"{count} rankings of {samples} glasses, p = {about}{_p(test.p_value)}: {sure}."]
    order = sorted(range(samples), key=lambda at: sums[at])
    said = ", ".join(f"{one.glasses[at]} {sums[at]:g}" for at in order)
    out.append(f"Rank sums, least first: {said}.")
    if found:
        apart = ranking.all_pairs_difference(count, samples)
        pairs = [
            f"{one.glasses[a]} and {one.glasses[b]}"
            for a, b in combinations(order, 2) if sums[b] - sums[a] >= apart
        ]  # fmt: skip
        figures |= {"apart_from": apart, "pairs_apart": pairs}
        said = "; ".join(pairs) or "no single pair"
        out.append(f"Apart by {apart} or more in rank sum, all pairs at once: {said}.")
    else:
        out.append('Not sure is not "the same": this is no test of likeness.')
    return Judged(found=found, sentences=tuple(out), figures=figures)


def _p(p: float) -> str:
    return f"{p:.3f}" if p >= 0.001 else "less than 0.001"


def _share(share: float) -> str:
    return "none" if share < 0.005 else f"{100 * share:.0f} %"
