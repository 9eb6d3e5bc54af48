"""A bracketed root finder, so that no numeric library is needed at run time."""

from __future__ import annotations

from collections.abc import Callable


def bracketed(
    function: Callable[[float], float],
    low: float,
    high: float,
    tolerance: float = 1e-12,
    most_steps: int = 200,
) -> float:
    """Root of `function` between `low` and `high` (a sign change is required), to `tolerance` in x.

    Illinois variant of false position: keeps the bracket, converges faster than bisection.
    Raises ValueError where the ends do not differ in sign.

    >>> round(bracketed(lambda x: x * x - 2.0, 0.0, 2.0), 9)
    1.414213562
    """
    f_low, f_high = function(low), function(high)
    if f_low == 0.0:
        return low
    if f_high == 0.0:
        return high
    if (f_low > 0.0) == (f_high > 0.0):
        raise ValueError(f"no sign change between {low:g} and {high:g}")
    side = 0
    middle = low
    for _ in range(most_steps):
        if high - low <= tolerance:
            break
        middle = (low * f_high - high * f_low) / (f_high - f_low)
        if not low < middle < high:
            middle = 0.5 * (low + high)
        f_middle = function(middle)
        if f_middle == 0.0:
            return middle
        if (f_middle > 0.0) == (f_high > 0.0):
            high, f_high = middle, f_middle
            if side == -1:
                f_low *= 0.5
            side = -1
        else:
            low, f_low = middle, f_middle
            if side == 1:
                f_high *= 0.5
            side = 1
        if abs(f_middle) < 1e-300:
            break
    return middle
