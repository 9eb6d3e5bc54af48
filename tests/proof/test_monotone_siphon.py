"""siphon where it works out the chargers itself, and portion by portion: nothing worse is milder.

The load that is told charge by charge is in tests/calculators/test_siphon_monotone.py. How warm it
is filled and how much goes in also decide how many chargers are taken, fewer where they push harder
or a second vessel is used, and so are left out here; all that speaks of the vessel alone is not.
"""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from proof.ranks import deeply, never_milder, rank

from prepkit.numbers import written

PLATE = {
    "allowed_charger": "9 g", "most_chargers": 12, "hottest": "70 C", "head": "metal",
    "inspection_due": "2027-03-01", "date": "2026-11-25", "strained": True,
}  # fmt: skip
STYLE = {"n2o": ("whipped-cream", "cold-foam"), "co2": ("soda",), "n2": ("nitro",)}


@settings(deeply, max_examples=30)
@given(
    mode=st.sampled_from(["plan", "dispense", "targets"]),
    gas=st.sampled_from(["n2o", "co2", "n2"]),
    liquid=st.sampled_from(["cream 35 %", "water", "spirit 20 %", "syrup 30 Bx"]),
    total=st.floats(0.4, 1.6), mark=st.floats(0.4, 0.9), share=st.floats(0.4, 1.1),
    rated=st.floats(6.0, 45.0), t=st.floats(2.0, 20.0), warmer=st.floats(0.0, 15.0),
    portion=st.floats(20.0, 80.0), portions=st.integers(1, 30), over=st.floats(0.0, 15.0),
    altitude=st.floats(0.0, 2500.0), wanted=st.floats(1.0, 12.0), step=st.floats(1.001, 1.5),
)  # fmt: skip
def test_siphon(
    mode: str, gas: str, liquid: str, total: float, mark: float, share: float, rated: float,
    t: float, warmer: float, portion: float, portions: int, over: float, altitude: float,
    wanted: float, step: float,
) -> None:  # fmt: skip
    fill_l = mark * total
    said: dict[str, Any] = {
        **PLATE, "mode": mode, "allowed_gas": gas, "gas": gas, "vessel_volume": f"{total:.9f} l",
        "max_fill": f"{fill_l:.9f} l", "rated": f"{rated:.9f} bar", "temperature": f"{t:.9f} C",
        "warmest": f"{t + warmer:.9f} C", "charger_tolerance": over, "altitude": f"{altitude} m",
        "contents": f"{1e3 * share * fill_l:.6f} ml {liquid}", "charger_gas_mass":
        "2.4 g" if gas == "n2" else "8 g",
    }  # fmt: skip
    if mode == "plan":
        said |= {
            "portions": portions,
            "portion_size": f"{written(portion, 'ml')} ml",
            "style": STYLE[gas][0],
        }
    elif mode == "dispense":
        said |= {"chargers": 1, "portion_size": f"{written(portion, 'ml')} ml"}
    else:
        said["target_dissolved"] = f"{wanted if gas != 'n2' else 0.02 * wanted} g/l"
    never_milder(
        "siphon", said,
        {"rated": f"{rated / step:.9f} bar"}, {"rated": f"{rated:.9f} bar ± {0.1 * rated:.9f} bar"},
        {"warmest": f"{t + warmer + 10.0 * (step - 1.0):.9f} C"},
        {"charger_tolerance": min(20.0, over * step)},
        {"allowed_gas": "ar"}, {"allowed_charger": "1 g"}, {"hottest": f"{t + 0.5 * warmer} C"},
        {"inspection_due": "2026-11-24"}, {"head": "plastic", "allowed_gas": None},
        {"rated": None}, {"vessel_volume": None}, {"max_fill": None},
        {"charger_temperature": "55 C"},
    )  # fmt: skip


def test_every_verdict_comes_up() -> None:
    said = {
        **PLATE, "mode": "plan", "gas": "n2o", "allowed_gas": "n2o", "vessel_volume": "0.78 l",
        "max_fill": "0.5 l", "rated": "30 bar", "temperature": "5 C", "warmest": "8 C",
        "contents": "500 ml syrup 30 Bx", "charger_gas_mass": "8 g", "portions": 8,
        "portion_size": "50 ml", "style": "cold-foam",
    }  # fmt: skip
    assert rank("siphon", said) in (0, 1)
    assert rank("siphon", {**said, "rated": "6 bar"}) == 2
