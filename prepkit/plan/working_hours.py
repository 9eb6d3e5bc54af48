"""The hours in which a house works: read from its file, and the latest time in them for a job."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit.plan.fields import Reader

EARLIEST, LATEST = "earliest_start", "latest_finish"
SUCH = {EARLIEST: "10:00", LATEST: "22:00"}
DAY_MIN = 1440
UNREAD = -1  # in the place of an end that was refused
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


def hours_of(
    reader: Reader, place: tuple[str, ...], earliest: int | None, latest: int | None
) -> Hours | None:
    """The working hours of one table of a house; None where it has none. Both ends or neither."""
    if (earliest is None and latest is None) or UNREAD in (earliest, latest):
        return None
    if earliest is None or latest is None:
        given, other = (EARLIEST, LATEST) if latest is None else (LATEST, EARLIEST)
        reader.tell(
            reader.wrong(
                (*place, given),
                f"a working day has both ends. Write {other} too, such as {other} = "
                f'"{SUCH[other]}".',
            )
        )
        return None
    if earliest == latest:
        reader.tell(
            reader.wrong(
                (*place, LATEST),
                f"it is the same as {EARLIEST}, {_words(latest)}; write when the last work ends.",
            )
        )
        return None
    return Hours(earliest, latest if latest > earliest else latest + DAY_MIN)


def _words(minutes: int) -> str:
    hours, rest = divmod(minutes % DAY_MIN, 60)
    return f"{hours:02}:{rest:02}"
