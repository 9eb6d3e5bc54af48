"""Times of day as people write them, and minutes before service as such times."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import NamedTuple

from prepkit.errors import BadInput

_TIME = re.compile(r"(?:(\d{4}-\d{2}-\d{2})[T ])?(\d{1,2})[:.](\d{2})")
_DAY = datetime(2000, 1, 2)  # of times without a date


class Moment(NamedTuple):
    """A time of day, on a date where one was given."""

    at: datetime
    dated: bool

    @classmethod
    def read(cls, words: str, field: str) -> Moment:
        """Read "18:00" or "2026-12-31 18:00"; BadInput otherwise.

        >>> Moment.read("18.30", "--service").words()
        '18:30'
        """
        match = _TIME.fullmatch(words.strip())
        right = 'write it as "18:00", or with its date as "2026-12-31 18:00"'
        if not match:
            raise BadInput(f'{field} "{words}" is not a time of day; {right}.', field)
        try:
            day = datetime.fromisoformat(match[1]) if match[1] else _DAY
            at = day.replace(hour=int(match[2]), minute=int(match[3]))
        except ValueError as error:
            raise BadInput(f'{field} "{words}" is not a time of day; {right}.', field) from error
        return cls(at, match[1] is not None)

    def words(self) -> str:
        """As it was written."""
        return self.at.isoformat(" ", "minutes") if self.dated else self.at.strftime("%H:%M")

    def before(self, minutes: float) -> str:
        """The time so many minutes before this one, to the minute, with the day if another.

        >>> Moment.read("18:00", "--service").before(1200)
        'the day before, 22:00'
        >>> Moment.read("0001-01-01 00:10", "--service").before(14400)
        '10 days before it'
        """
        try:
            at = self.at - timedelta(minutes=round(minutes))
        except OverflowError:  # before the first day that a calendar has, or after its last
            return f"{abs(minutes) / 1440:.0f} days {'before' if minutes > 0 else 'after'} it"
        if self.dated:
            return at.isoformat(" ", "minutes")
        days = (self.at.date() - at.date()).days
        day = {0: "", 1: "the day before, ", -1: "the day after, "}
        other = f"{abs(days)} days {'before' if days > 0 else 'after'}, "
        return f"{day.get(days, other)}{at.strftime('%H:%M')}"

    def minutes_since(self, other: Moment) -> float:
        """Minutes from the other moment to this one; a time without a date is on its day."""
        if self.dated == other.dated:
            return (self.at - other.at).total_seconds() / 60
        dated, bare = (self, other) if self.dated else (other, self)
        same_day = dated.at.replace(hour=bare.at.hour, minute=bare.at.minute)
        minutes = (dated.at - same_day).total_seconds() / 60
        return minutes if self.dated else -minutes


def length_words(minutes: float) -> str:
    """A length of time in words.

    >>> [length_words(one) for one in (0.5, 10, 150, 2000)]
    ['1 min', '10 min', '2 h 30 min', '1 d 9 h 20 min']
    """
    whole = max(round(minutes), 1 if minutes > 0 else 0)
    days, rest = divmod(whole, 1440)
    hours, mins = divmod(rest, 60)
    said = [f"{days} d"] if days else []
    said += [f"{hours} h"] if hours else []
    said += [f"{mins} min"] if mins or not said else []
    return " ".join(said)
