"""Exposure limits of gases by jurisdiction, and how the air of a room compares with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit.science import room_air
from prepkit.science.room_air import Release
from prepkit.shared import room_check
from prepkit.shared.room_check import Limit

SHIFT_S, SHORT_S = 8 * 3600.0, 15 * 60.0
KINDS = {
    "twa": "mean of a shift, 8 h",
    "twa-in-use": "mean while the gas is in use",
    "stel": "mean of 15 min",
    "danger": "immediate danger to life or health",
    "alarm": "alarm",
    "alarm-main": "main alarm: leave",
}
_WORK = {"twa", "stel"}


class Course(NamedTuple):
    """One gas in one room over time; `factor` for the corner that is worse than the mean."""

    gas: str
    room_m3: float
    releases: tuple[Release, ...]
    air_changes_h: float
    supply: float
    factor: float

    @property
    def _air(self) -> tuple[float, float, float]:
        return self.air_changes_h, self.supply, self.supply

    def peak(self) -> float:
        """Highest fraction."""
        return self._worse(room_air.highest(self.room_m3, self.releases, *self._air)[1])

    def at(self, time_s: float) -> float:
        """Fraction at a time."""
        found = room_air.concentration(time_s, self.room_m3, self.releases, *self._air)
        return self._worse(found)

    def mean(self, window_s: float) -> float:
        """Highest mean over a window."""
        found = room_air.highest_average(window_s, self.room_m3, self.releases, *self._air)
        return self._worse(found)

    def mean_in_use(self) -> float:
        """Mean from the first gas to the last, over 15 minutes at least."""
        starts = [one.start_s for one in self.releases]
        ends = [one.start_s + one.duration_s for one in self.releases]
        from_s, to_s = min(starts), max(*ends, min(starts) + SHORT_S)
        found = room_air.average_concentration(
            from_s, to_s, self.room_m3, self.releases, *self._air
        )
        return self._worse(max(found, 0.0))

    def reached_s(self, limit: float) -> float | None:
        """First time at a fraction."""
        within = self.supply + (limit - self.supply) / self.factor
        if within <= self.supply:
            return 0.0
        return room_air.hazard_time_s(min(within, 1.0), self.room_m3, self.releases, *self._air)

    def clear_s(self, limit: float) -> float | None:
        """Time from which it stays below a fraction; None where it never does."""
        within = self.supply + (limit - self.supply) / self.factor
        if within <= self.supply:
            return None
        return room_air.clear_time_s(
            min(within, 1.0), self.room_m3, self.releases, *self._air,
            mixing_factor=min(self.factor, room_air.MIXING_FACTOR_HIGH),
        )  # fmt: skip

    def _worse(self, fraction: float) -> float:
        return min(self.supply + self.factor * (fraction - self.supply), 1.0)


class Against(NamedTuple):
    """A limit, and the fraction found to compare with it."""

    row: Limit
    found: float
    reached_s: float | None

    @property
    def share(self) -> float:
        """Found over limit."""
        return self.found / room_check.ppm(self.row)


def chosen(gas: str, jurisdiction: str | None) -> list[Limit]:
    """The upper limits that apply, the binding ones of the jurisdiction first.

    Where it has none of this gas, or none was told, the strictest row of each kind stands in.
    """
    rows = [row for row in room_check.limits(gas) if row["kind"] in KINDS]
    own = [row for row in rows if row["jurisdiction"] == jurisdiction]
    kinds = {row["kind"] for row in own}
    if kinds & _WORK:  # it has limits at work of its own, and no others bind there
        kinds |= _WORK
    others: dict[str, Limit] = {}
    for row in rows:
        kind = row["kind"]
        if kind not in kinds and (kind not in others or _order(row) < _order(others[kind])):
            others[kind] = row
    return own + [others[kind] for kind in KINDS if kind in others]


def _order(row: Limit) -> tuple[float, bool, bool]:
    """The strictest first; of two alike the one that was read, and that binds."""
    return row["value"], row["obtained"] != "read", not row["binding"]


def against(course: Course, rows: Sequence[Limit]) -> list[Against]:
    """Each limit with what is found and when it is reached."""
    found = []
    for row in rows:
        limit = room_check.ppm(row)
        value = _found(course, row["kind"])
        found.append(Against(row, value, course.reached_s(limit)))
    return found


def _found(course: Course, kind: str) -> float:
    """What a limit of a kind is held against."""
    if kind == "twa":
        return course.mean(SHIFT_S)
    if kind == "twa-in-use":
        return course.mean_in_use()
    return course.mean(SHORT_S) if kind == "stel" else course.peak()


def worst(found: Sequence[Against], *kinds: str) -> float:
    """Largest share of any limit of those kinds; 0 where there is none."""
    return max((one.share for one in found if one.row["kind"] in kinds), default=0.0)


def from_memory(found: Mapping[str, Sequence[Against]]) -> dict[str, object]:
    """Facts of the limits that were used and not read."""
    rows = [one.row for of_gas in found.values() for one in of_gas]
    said = [f"{row['body']} ({row['jurisdiction']})" for row in rows if row["obtained"] == "memory"]
    return {"memory_count": len(said), "memory_limits": "; ".join(dict.fromkeys(said))}


def caps(jurisdiction: str | None) -> dict[str, float]:
    """Fraction of a gas, at once in a room without fresh air, at which a limit at work stops."""
    found = {}
    for gas in ("co2", "n2o"):
        outside = room_check.OUTSIDE_CO2 if gas == "co2" else 0.0
        rows = chosen(gas, jurisdiction)
        short = [room_check.ppm(row) for row in rows if row["kind"] == "stel"]
        shift = [
            room_check.SHIFT_STOP * room_check.ppm(row) for row in rows if row["kind"] == "twa"
        ]
        found[gas] = min((*short, *shift), default=1.0) - outside
    return found


def least_room_m3(
    gas: str, gas_m3: float, room_m3: float, air_changes_h: float, jurisdiction: str | None
) -> float:
    """Least room that takes all of one gas at once without a stop, m3, as far as limits bind.

    By oxygen and effects as in fresh air, and by the limits at work of the place in a room with so
    many air changes an hour; judged at `room_m3`, of which the excess over fresh air is linear.
    """
    needed = room_check.least_room_m3({gas: gas_m3})
    outside = room_check.OUTSIDE_CO2 if gas == "co2" else 0.0
    release = Release(min(gas_m3, room_m3))
    more = gas_m3 / release.gas_m3  # what a full room cannot show
    course = Course(gas, room_m3, (release,), air_changes_h, outside, 1.0)
    for one in against(course, [row for row in chosen(gas, jurisdiction) if row["kind"] in _WORK]):
        times = room_check.SHIFT_STOP if one.row["kind"] == "twa" else 1.0
        most = times * room_check.ppm(one.row) - outside
        needed = max(needed, room_m3 * more * (one.found - outside) / most)
    return needed


def at_once(
    jurisdiction: str | None, room_m3: float, co2_m3: float, air_changes_h: float
) -> tuple[dict[str, list[Against]], dict[str, float]]:
    """Limits and facts of carbon dioxide that is set free at once in a ventilated room."""
    course = Course(
        "co2", room_m3, (Release(min(co2_m3, room_m3)),), air_changes_h, room_check.OUTSIDE_CO2, 1.0
    )
    found = {"co2": against(course, chosen("co2", jurisdiction))}
    return found, {
        "short_share": worst(found["co2"], "stel"),
        "co2_shift_share": worst(found["co2"], "twa"),
    }
