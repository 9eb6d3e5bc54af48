"""What a class's answers say of the questions: share right, discrimination, reliability.

Rows are people, columns questions, True where it was right. With few people all of it is noise:
a figure is always shown with the number of people beside it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from prepkit.errors import BadInput

Rows = Sequence[Sequence[bool]]
OUTER_SHARE = 0.27  # [ITEM-ANALYSIS]: the groups that tell most at the least noise
SMALL_CLASS = 20  # [ITEM-ANALYSIS]: below it halves are compared


def _checked(rows: Rows) -> tuple[int, int]:
    people = len(rows)
    if people < 2:
        raise BadInput(f"{people} papers cannot be compared; it takes two.", "rows")
    items = len(rows[0])
    if not items or any(len(row) != items for row in rows):
        raise BadInput("every paper must have the same questions, and one at least.", "rows")
    return people, items


def totals(rows: Rows) -> tuple[int, ...]:
    """How many each person has right.

    >>> totals([[True, False], [True, True]])
    (1, 2)

    Raises: BadInput for fewer than two papers, or papers of unlike length. Source: [DEFINITION].
    """
    _checked(rows)
    return tuple(list(row).count(True) for row in rows)


def share_right(rows: Rows) -> tuple[float, ...]:
    """Share (0-1) of the people who have each question right: its difficulty.

    >>> share_right([[True, False], [True, True]])
    (1.0, 0.5)

    Raises: BadInput as `totals`. Source: [DEFINITION].
    """
    people, items = _checked(rows)
    return tuple(sum(row[item] is True for row in rows) / people for item in range(items))


def discrimination(rows: Rows, without_itself: bool = True) -> tuple[float | None, ...]:
    """Correlation (-1 to 1) of each question with the total: whether the able have it right.

    without_itself: with the total of the other questions. None where all have it right or wrong,
    or where the totals do not differ.

    >>> [round(r, 3) for r in discrimination([[True, True], [True, True], [False, False]])]
    [1.0, 1.0]

    Raises: BadInput as `totals`. Source: [DEFINITION], point-biserial correlation.
    """
    people, items = _checked(rows)
    if len(set(totals(rows))) == 1:  # nobody is abler: without the question they would seem to be
        return (None,) * items
    found: list[float | None] = []
    for item in range(items):
        scores = [list(row).count(True) - (row[item] if without_itself else 0) for row in rows]
        right = [one for one, row in zip(scores, rows, strict=True) if row[item]]
        wrong = [one for one, row in zip(scores, rows, strict=True) if not row[item]]
        mean = math.fsum(scores) / people
        spread = math.sqrt(math.fsum((one - mean) ** 2 for one in scores) / people)
        if not right or not wrong or spread == 0.0:
            found.append(None)
            continue
        apart = math.fsum(right) / len(right) - math.fsum(wrong) / len(wrong)
        share = len(right) / people
        found.append(apart / spread * math.sqrt(share * (1.0 - share)))
    return tuple(found)


def upper_less_lower(rows: Rows) -> tuple[float, ...]:
    """Share right in the best group less that in the weakest, for each question.

    The groups are 27 % of the people each, halves in a class under 20. People of one total at a
    group's edge count in part, so that no order of the papers changes it.

    >>> upper_less_lower([[True, True], [False, True]])
    (1.0, 0.0)

    Raises: BadInput as `totals`. Source: [ITEM-ANALYSIS].
    """
    people, _ = _checked(rows)
    size = people // 2 if people < SMALL_CLASS else max(1, round(OUTER_SHARE * people))
    return groups_apart(rows, size)


def groups_apart(rows: Rows, size: int) -> tuple[float, ...]:
    """As `upper_less_lower`, with groups of `size` people (1 to half of them).

    >>> groups_apart([[True], [True], [False], [False]], 1)
    (1.0,)

    Raises: BadInput as `totals`, and for a group larger than half. Source: [DEFINITION].
    """
    people, items = _checked(rows)
    if not 1 <= size <= people // 2:
        raise BadInput(f"a group of {size} is not from 1 to {people // 2} of {people}.", "size")
    scores = totals(rows)

    def weights(sign: int) -> list[float]:
        ranked = sorted((sign * one for one in scores), reverse=True)
        edge = ranked[size - 1]
        inside = sum(sign * one > edge for one in scores)
        at_edge = sum(sign * one == edge for one in scores)
        part = (size - inside) / at_edge
        return [1.0 if sign * one > edge else part if sign * one == edge else 0.0 for one in scores]

    upper, lower = weights(1), weights(-1)
    return tuple(
        math.fsum(
            (high - low) * row[item] for high, low, row in zip(upper, lower, rows, strict=True)
        )
        / size
        for item in range(items)
    )


def _moments(rows: Rows) -> tuple[float, float]:
    scores = totals(rows)
    mean = math.fsum(scores) / len(scores)
    return mean, math.fsum((one - mean) ** 2 for one in scores) / len(scores)


def kuder_richardson_20(rows: Rows) -> float | None:
    """Reliability of the total (1 at best), from each question's difficulty.

    None for one question, or where the totals do not differ. With the variance of the population.

    >>> round(kuder_richardson_20([[True, True], [False, False]]), 3)
    1.0

    Raises: BadInput as `totals`. Source: [DEFINITION], formula 20 of Kuder and Richardson.
    """
    _, items = _checked(rows)
    _, variance = _moments(rows)
    if items < 2 or variance == 0.0:
        return None
    within = math.fsum(share * (1.0 - share) for share in share_right(rows))
    return items / (items - 1) * (1.0 - within / variance)


def standard_error(rows: Rows) -> float | None:
    """Standard error of one person's total, in questions; None where there is no reliability.

    >>> standard_error([[True, True], [False, False]])
    0.0

    Raises: BadInput as `totals`. Source: [DEFINITION].
    """
    reliability = kuder_richardson_20(rows)
    if reliability is None:
        return None
    return math.sqrt(_moments(rows)[1] * max(0.0, 1.0 - reliability))


def without_guessing(right: int, wrong: int, options: int) -> float:
    """Right answers less those that guessing gives: right - wrong/(options - 1).

    >>> without_guessing(32, 18, 4)
    26.0

    Raises: BadInput for fewer than two options or a negative count. Source: [DEFINITION].
    """
    if options < 2 or right < 0 or wrong < 0:
        raise BadInput(f"{right} right, {wrong} wrong of {options} options cannot be.", "options")
    return right - wrong / (options - 1)
