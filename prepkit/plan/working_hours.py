"""The hours in which a house works: read from its file, and the latest time in them for a job."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.file_values import shown
from prepkit.plan.fields import Reader

EARLIEST, LATEST = "earliest_start", "latest_finish"
KEYS = (EARLIEST, LATEST)
DAY_MIN = 1440
_TIME = re.compile(r"([01]\d|2[0-3]):([0-5]\d)")
_DUST = 1e-6


class Hours(NamedTuple):
    """A working day: minutes after midnight; the finish may lie on the day after."""

    earliest_min: int
    latest_min: int

    @property
    def length_min(self) -> int:
        """How long a working day is."""
        return self.latest_min - self.earliest_min

    def words(self) -> tuple[str, str]:
        """Both ends as times of day.

        >>> Hours(600, 1560).words()
        ('10:00', '02:00')
        """
        return _words(self.earliest_min), _words(self.latest_min)

    def latest(self, start_min: float, length_min: float) -> float:
        """The latest start, no later than `start_min`, of a job that lies within one working day.

        Minutes after a midnight, before it negative. A job that is longer than a working day
        starts as asked: `fits` is False for it.

        >>> Hours(600, 1320).latest(1310, 40), Hours(600, 1320).latest(30, 40)
        (1280, -160)
        """
        if length_min > self.length_min:
            return start_min
        day = math.floor((start_min - self.earliest_min + _DUST) / DAY_MIN)
        return min(start_min, self.latest_min + DAY_MIN * day - length_min)

    def fits(self, start_min: float, length_min: float) -> bool:
        """Whether a job lies within one working day."""
        if length_min <= 0:
            return True
        return abs(self.latest(start_min, length_min) - start_min) <= _DUST and (
            length_min <= self.length_min
        )


def read_hours(reader: Reader, where: str, table: Mapping[str, object]) -> Hours | None:
    """The working hours of one table of a house; None where it has none. Both ends or neither."""
    given = [key for key in KEYS if key in table]
    if not given:
        return None
    ends = [_minutes(reader, f"{where}.{key}".lstrip("."), key, table[key]) for key in given]
    if len(given) < len(KEYS):
        (other,) = set(KEYS) - set(given)
        raise reader.wrong(
            f"{where}.{given[0]}".lstrip("."),
            f'a working day has both ends. Write {other} too, such as {other} = "{_SUCH[other]}".',
        )
    earliest, latest = ends
    if earliest == latest:
        raise reader.wrong(
            f"{where}.{LATEST}".lstrip("."),
            f"it is the same as {EARLIEST}, {_words(latest)}; write when the last work ends.",
        )
    return Hours(earliest, latest if latest > earliest else latest + DAY_MIN)


_SUCH = {EARLIEST: "10:00", LATEST: "22:00"}


def _minutes(reader: Reader, where: str, key: str, value: object) -> int:
    match = _TIME.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise reader.wrong(
            where, f'it is {shown(value)}; write a time of day, such as {key} = "{_SUCH[key]}".'
        )
    return 60 * int(match[1]) + int(match[2])


def _words(minutes: int) -> str:
    hours, rest = divmod(minutes % DAY_MIN, 60)
    return f"{hours:02}:{rest:02}"
