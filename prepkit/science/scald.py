"""Hot drinks and skin: burn times, and the temperatures of serving and drinking in print."""

from __future__ import annotations

from math import exp, log

from prepkit.errors import require

# [MORITZ-HENRIQUES] (read): C, seconds without lasting damage, seconds to a full-thickness burn
BURN_TABLE = (
    (45.0, 7200.0, 10800.0),
    (47.0, 1200.0, 2700.0),
    (48.0, 900.0, 1200.0),
    (49.0, 480.0, 600.0),
    (51.0, 120.0, 252.0),
    (55.0, 17.0, 30.0),
    (60.0, 3.0, 5.0),
)
WARN_C = 60.0  # 5 s to a full-thickness burn [MORITZ-HENRIQUES]
VERY_HOT_C = 65.0  # [IARC-2016] (read)
PREFERRED_C, PREFERRED_SPREAD_C = 60.0, 8.3  # [LEE-OMAHONY-2002] (read), mean and deviation
OPTIMUM_C = 57.8  # of scald and taste [BROWN-DILLER-2008] (read)
SERVICE_LOW_C, SERVICE_HIGH_C = 54.0, 71.0  # [ABRAHAM-DILLER-2019] (read)
SURVEY_MEAN_C, SURVEY_SPREAD_C = 75.0, 5.0  # [COFFEE-SERVICE-SURVEY] (read)


def full_thickness_burn_s(temperature_c: float) -> float:
    """Contact with water until a full-thickness burn of adult skin, s.

    temperature_c: 45 to 60 C; hotter takes less than 5 s. Children burn faster. Error: a factor
    of 2 between persons and places of skin (judgement).

    >>> round(full_thickness_burn_s(55.0))
    30

    Raises: OutOfRange. Source: [MORITZ-HENRIQUES] (read), straight in the logarithm between rows.
    """
    return _seconds(temperature_c, 2)


def no_lasting_damage_s(temperature_c: float) -> float:
    """Longest contact with water that leaves no lasting damage to adult skin, s.

    temperature_c: 45 to 60 C; hotter takes less than 3 s. Children burn faster. Error: a factor
    of 2 between persons and places of skin (judgement).

    >>> round(no_lasting_damage_s(55.0))
    17

    Raises: OutOfRange. Source: [MORITZ-HENRIQUES] (read), straight in the logarithm between rows.
    """
    return _seconds(temperature_c, 1)


def facts(served_c: float) -> dict[str, float]:
    """What the cautions of a hot drink ask of its temperature as it is handed over.

    served_c: any; the seconds are those of the nearest row of the table, 45 to 60 C.

    >>> {name: round(value) for name, value in facts(80.0).items()}
    {'served_c': 80, 'seconds': 5, 'hurt_seconds': 3}

    Source: [MORITZ-HENRIQUES] (read).
    """
    within_c = min(max(served_c, BURN_TABLE[0][0]), BURN_TABLE[-1][0])
    return {
        "served_c": served_c,
        "seconds": full_thickness_burn_s(within_c),
        "hurt_seconds": no_lasting_damage_s(within_c),
    }


def _seconds(temperature_c: float, column: int) -> float:
    """A column of the table at a temperature."""
    low, high = BURN_TABLE[0][0], BURN_TABLE[-1][0]
    require("temperature_c", temperature_c, low, high, "C", "MORITZ-HENRIQUES")
    place = next(i for i in range(1, len(BURN_TABLE)) if temperature_c <= BURN_TABLE[i][0])
    before, after = BURN_TABLE[place - 1], BURN_TABLE[place]
    share = (temperature_c - before[0]) / (after[0] - before[0])
    s0, s1 = before[column], after[column]
    return exp(log(s0) + share * (log(s1) - log(s0)))
