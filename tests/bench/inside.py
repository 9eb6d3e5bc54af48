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

import menus
from figures import Figure

ROUNDS = 9
SEED = 20261126
FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen"}
ACIDS = {"citric": "Cit", "malic": "Malate", "tartaric": "Tartrate", "lactic": "Lactate"}


def seconds(work: Callable[[], Any], times: int) -> float:
    """Processor time of one call, s."""
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times


def compared(name: str, ours: Callable[[], Any], theirs: Callable[[], Any], times: int) -> Figure:
    """The median ratio of alternate rounds."""
    ours(), theirs()
    pairs = [(seconds(ours, times), seconds(theirs, times)) for _ in range(ROUNDS)]
    here, there = (1e6 * statistics.median(column) for column in zip(*pairs, strict=True))
    ratio = statistics.median(a / b for a, b in pairs)
    return Figure("library", name, ratio, f"{here:.1f} us over {there:.1f} us")


def alone(name: str, work: Callable[[], Any], times: int) -> Figure:
    """The median time of one call."""
    work()
    found = 1e6 * statistics.median(seconds(work, times) for _ in range(ROUNDS))
    return Figure("inside_us", name, found)


def gas_density() -> Figure:
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

    return compared("density of gas, 300 states", ours, theirs, 3)


def ph() -> Iterator[Figure]:
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

    yield compared("pH of 50 mixtures", ours, theirs, 1)


def own() -> Iterator[Figure]:
    """What the design page has a budget for, and a whole answer of each kind."""
    import prepkit
    from prepkit.mixture import Mixture
    from prepkit.pantry import Pantry
    from prepkit.science import acids, charged_vessel, dissolved_gas

    one = random.Random(SEED)
    yield alone("pH of one mixture", lambda: acids.ph({"citric": one.random(), "malic": 0.1}), 200)
    henry = dissolved_gas.henry_mol_m3_pa("n2o", 5.0)
    yield alone(
        "states of one siphon load",
        lambda: charged_vessel.settled("n2o", 5.0, 0.008, 0.28e-3, 0.5e-3, henry, 1e-5),
        200,
    )  # fmt: skip
    part = Pantry().part("500 ml cream 35 %", "--part").mixture
    masses = dict(part.masses_kg)
    yield alone("mixture: made, density at 5 C", lambda: Mixture(masses).density_kg_m3(5.0), 200)
    said = {
        "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
        "rated": "17 bar", "gas": "n2o", "chargers": 1, "temperature": "5 C",
    }  # fmt: skip
    yield alone("siphon, words to answer", lambda: prepkit.run("siphon", said), 20)
    blend = {"part": ["700 ml spirit 43 %", "300 ml water"]}
    yield alone("blend, words to answer", lambda: prepkit.run("blend", blend), 50)


def plans() -> Iterator[Figure]:
    """A plan of 1,000 items, the most that are taken, each of the one before; over one of 100."""
    from prepkit.plan import make_plan
    from prepkit.plan.plan import read_recipe

    def took(count: int) -> float:
        first = '[items.a0]\ncalculator = "blend"\npart = ["1 kg water", "1 kg white sugar"]\n'
        items = "".join(
            f'[items.a{n}]\ncalculator = "blend"\npart = ["100 g a{n - 1}", "1 g water"]\n'
            for n in range(1, count)
        )
        serve = f'[[serve]]\nname = "n"\npart = "1 g a{count - 1}"\n'
        recipe = read_recipe(f'title = "t"\nserves = 1\n{first}{items}{serve}')
        return seconds(lambda: make_plan(recipe, 10).to_dict(), 1)

    took(10)
    pairs = [(took(1000), took(100)) for _ in range(3)]
    large = statistics.median(one for one, _ in pairs)
    yield Figure("inside_us", "plan of 1,000 items", 1e6 * large)
    growth = statistics.median(one / other for one, other in pairs)
    yield Figure("ratio", "plan of 1,000 items over 100", growth)


def measured() -> Iterator[Figure]:
    """One figure for each piece of work; what compares with a library only where it is there."""
    yield from own()
    yield from plans()
    yield from menus.measured()
    try:
        yield gas_density()
        yield from ph()
    except ModuleNotFoundError as missing:
        print(f"{missing.name} is not installed: nothing compared with it")
