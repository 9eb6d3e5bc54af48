"""The instruments of a house: what each may be off by, and which scale weighs what."""

from __future__ import annotations

from collections.abc import Mapping


def scale_step_kg(bench: Mapping[str, float], kg: float) -> float | None:
    """What a weighing is off by: one step of the finest scale that takes so much."""
    most = bench.get("fine_scale_most")
    fine = most is not None and 1000 * kg <= most
    step = bench.get("fine_scale" if fine else "scale")
    return None if step is None else float(step) / 1000
