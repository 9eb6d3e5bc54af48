"""A run chart as text with its figures, and as a picture."""

from __future__ import annotations

from datetime import date

from prepkit.learn.using import Point, RunChart
from prepkit.render.charts import Course, Level, line_svg

_WIDE = 31  # places of the row of a batch
_LABEL = 10  # letters of a batch at the axis


def chart_text(chart: RunChart) -> str:
    """The answer, the limits, then each batch on a line of its own with a mark at its place."""
    of = chart.of
    out = [f"{chart.item}, {of.label}: {chart.verdict()}", *chart.sentences(), ""]
    if chart.limits is not None:
        low, centre, high = chart.limits
        out += [
            f"Next batch: {low:.{of.digits}f} to {chart.value(high)}, "
            f"mean {chart.value(centre)}.",
            "",
        ]  # fmt: skip
    name = max(len("batch"), *(len(one.batch) for one in chart.points))
    wide = max(len(of.unit), *(len(f"{one.value:.{of.digits}f}") for one in chart.points))
    out.append(f"{'batch':<{name}}  {of.unit:>{wide}}  {_axis(chart)}".rstrip())
    for one in chart.points:
        value = f"{one.value:>{wide}.{of.digits}f}"
        line = f"{one.batch:<{name}}  {value}  {_row(chart, one.value)}  {', '.join(one.breaks)}"
        out.append(line.rstrip())
    return "\n".join(out).rstrip() + "\n"


def _ends(chart: RunChart) -> tuple[float, float]:
    values = [one.value for one in chart.points]
    values += chart.limits or ()
    return min(values), max(values)


def _place(chart: RunChart, value: float) -> int:
    low, high = _ends(chart)
    return round((_WIDE - 1) * (value - low) / (high - low)) if high > low else _WIDE // 2


def _lines(chart: RunChart) -> dict[int, str]:
    if chart.limits is None:
        return {}
    low, centre, high = chart.limits
    return {_place(chart, centre): ":", _place(chart, low): "|", _place(chart, high): "|"}


def _row(chart: RunChart, value: float) -> str:
    marks = {**_lines(chart), _place(chart, value): "o"}
    return "".join(marks.get(place, " ") for place in range(_WIDE))


def _axis(chart: RunChart) -> str:
    return "| limits, : mean" if chart.limits is not None else ""


def chart_svg(chart: RunChart, key: str = "run", touch: bool = False) -> str:
    """The picture; its title and description say the same in words.

    `touch`: a page shows the figures of the batch that is touched, by its own style sheet.
    """
    return line_svg(course(chart, touch), key)


def course(chart: RunChart, touch: bool = False) -> Course:
    """What is drawn: the batches in order, the limits and the mean."""
    of = chart.of
    levels = []
    if chart.limits is not None:
        low, centre, high = chart.limits
        levels = [
            Level(high, f"upper limit {high:.{of.digits}f}"),
            Level(centre, f"mean {centre:.{of.digits}f}"),
            Level(low, f"lower limit {low:.{of.digits}f}"),
        ]
    points = [(_short(one.batch), one.value) for one in chart.points]
    out = [place for place, one in enumerate(chart.points) if one.breaks]
    return Course(
        f"{chart.item}, {of.label}: {chart.verdict()}", of.unit, points, levels,
        digits=of.digits, from_zero=False, marked=out,
        touched=[_point(chart, one) for one in chart.points] if touch else (),
    )  # fmt: skip


def _point(chart: RunChart, one: Point) -> str:
    """The figures of one batch."""
    rules = f", {', '.join(one.breaks)}" if one.breaks else ""
    return f"{one.batch}: {chart.value(one.value)}{rules}"


def _short(batch: str) -> str:
    """A batch as the axis has room for it: of a day month and day, else its end.

    >>> _short("2026-11-09"), _short("2026-11-09-2"), _short("flower cordial 17"), _short("b7")
    ('11-09', '11-09-2', '...dial 17', 'b7')
    """
    try:
        date.fromisoformat(batch[:10])
    except ValueError:
        return batch if len(batch) <= _LABEL else f"...{batch[3 - _LABEL :]}"
    return batch[5:]
