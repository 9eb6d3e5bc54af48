"""The work inside one process, against general libraries on the same work, in alternate rounds.

Gas density against CoolProp's reference equations, pH against a general speciation library
(phreeqc, sit.dat): both answer more than prepkit asks of them, so the ratio says what a table or
an equation made for one purpose saves, not that either is badly made.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable, Iterator
from typing import Any

ROUNDS = 9
SEED = 20261126
FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen"}
ACIDS = {"citric": "Cit", "malic": "Malate", "tartaric": "Tartrate", "lactic": "Lactate"}


def seconds(work: Callable[[], Any], times: int) -> float:
    """Time of one call, s."""
    start = time.perf_counter()
    for _ in range(times):
        work()
    return (time.perf_counter() - start) / times


def compared(name: str, ours: Callable[[], Any], theirs: Callable[[], Any], times: int) -> None:
    """Print the medians of alternate rounds and of their ratio."""
    ours(), theirs()
    pairs = [(seconds(ours, times), seconds(theirs, times)) for _ in range(ROUNDS)]
    here, there = (1e6 * statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(a / b for a, b in pairs)
    print(f"{name:36s} {here:8.1f} us against {there:8.1f} us: ratio {ratio:.3f}")


def alone(name: str, work: Callable[[], Any], times: int, budget_us: float | None = None) -> None:
    """Print the median time of one call beside its budget."""
    work()
    found = 1e6 * statistics.median(seconds(work, times) for _ in range(ROUNDS))
    print(f"{name:36s} {found:8.1f} us" + (f" (budget {budget_us:g} us)" if budget_us else ""))


def gas_density() -> None:
    """300 states of three gases, density from temperature and pressure."""
    from CoolProp.CoolProp import PropsSI

    from prepkit.science import gases

    def states(rng: random.Random) -> Iterator[tuple[str, float, float]]:
        for gas in FLUIDS:
            for _ in range(100):
                yield gas, rng.uniform(0, 40), rng.uniform(1e5, 25e5)

    # new states in each round, the same for both: nothing kept from the last round helps
    mine, other = random.Random(SEED), random.Random(SEED)

    def ours() -> None:
        for gas, t, p in states(mine):
            gases.molar_density_mol_m3(gas, t, p)

    def theirs() -> None:
        for gas, t, p in states(other):
            PropsSI("Dmolar", "T", t + 273.15, "P", p, FLUIDS[gas])

    compared("density of gas, 300 states", ours, theirs, 3)


def ph() -> None:
    """The same 50 mixtures of four acids, partly neutralised with sodium."""
    import phreeqc

    from prepkit.science import acids

    def mixtures(rng: random.Random) -> list[dict[str, float]]:
        return [{name: 10 ** rng.uniform(-3, -0.5) for name in ACIDS} for _ in range(50)]

    mine, other = random.Random(SEED), random.Random(SEED)
    library = phreeqc.Phreeqc()
    assert library.LoadBuiltInDatabase("sit.dat") == 0

    def ours() -> None:
        for mixture in mixtures(mine):
            acids.ph(mixture, 0.2 * sum(mixture.values()))

    def theirs() -> None:
        for mixture in mixtures(other):
            said = [f"{ACIDS[name]} {m:.12g}" for name, m in mixture.items()]
            head = ["SELECTED_OUTPUT 1", "-reset false", "-pH true", "SOLUTION 1", "units mol/kgw"]
            head += ["temp 25", "pH 3 charge", f"Na {0.2 * sum(mixture.values()):.12g}"]
            assert library.RunString("\n".join([*head, *said, "END"])) == 0

    compared("pH of 50 mixtures", ours, theirs, 1)
    one = random.Random(SEED)
    alone("pH of one mixture", lambda: acids.ph({"citric": one.random(), "malic": 0.1}), 200, 50)


def own() -> None:
    """What the design page has a budget for, and a whole answer of each kind."""
    import prepkit
    from prepkit.mixture import Mixture
    from prepkit.pantry import Pantry
    from prepkit.science import charged_vessel, dissolved_gas

    henry = dissolved_gas.henry_mol_m3_pa("n2o", 5.0)
    alone(
        "states of one siphon load",
        lambda: charged_vessel.settled("n2o", 5.0, 0.008, 0.28e-3, 0.5e-3, henry, 1e-5),
        200, 500,
    )  # fmt: skip
    part = Pantry().part("500 ml cream 35 %", "--part").mixture
    masses = dict(part.masses_kg)
    alone("mixture: made, density at 5 C", lambda: Mixture(masses).density_kg_m3(5.0), 200, 50)
    said = {
        "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
        "rated": "17 bar", "gas": "n2o", "chargers": 1, "temperature": "5 C",
    }  # fmt: skip
    alone("siphon, words to answer", lambda: prepkit.run("siphon", said), 20)
    blend = {"part": ["700 ml spirit 43 %", "300 ml water"]}
    alone("blend, words to answer", lambda: prepkit.run("blend", blend), 50)


def main() -> None:
    """Print one line for each piece of work."""
    gas_density()
    ph()
    own()


if __name__ == "__main__":
    main()
