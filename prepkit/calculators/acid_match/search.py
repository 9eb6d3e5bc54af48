"""Which amounts of acids and acid salts come nearest to an acidity, a make-up and a pH.

In that order: the titratable acidity is met where anything on the shelf can meet it; then the
kinds of acid, as shares of all acid; the pH as far as minerals on the shelf bring it there. Acids
alone make the pH that they make, and are not exchanged for others to chase it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.mixture import MINERALS, Mixture
from prepkit.science import acids
from prepkit.science.least_squares import non_negative
from prepkit.shared import acidity

# A miss of this size counts as one: share of the acidity, share of the acids' kinds, pH.
ACIDITY_MISS, MAKE_UP_MISS, PH_MISS = 1e-4, 0.02, 0.05
_PASSES = 12
_NO_MINERALS = (
    "nothing on the shelf brings minerals, so it was left out: acidity and kinds of acid come first"
)
_ONLY_UP = "minerals only raise it, so it was left out: acidity and kinds of acid come first"
_NO_NEARER = "this shelf comes no nearer at that acidity"


class Aim(NamedTuple):
    """Per kg of the finished liquid: equivalents, pH, and mol of each acid where a juice says."""

    eq: float
    ph: float | None
    make_up: Mapping[str, float]


class Match(NamedTuple):
    """Kg of each bottle in 1 kg of liquid, and what is to be said where the pH is missed."""

    kg: list[float]
    ph_because: str = _NO_NEARER
    ph_left_out: bool = False


def moles(mixture: Mixture) -> dict[str, float]:
    """Mol of each food acid, its salts included."""
    return {
        a: mixture.of(a) / acids.MOLAR_MASS_KG_MOL[a]
        for a in acids.FOOD_ACIDS
        if mixture.of(a) > 0.0
    }


def make_up_off(aim: Aim, made: Mixture) -> float:
    """Share of the acid, %, that is of another kind than wanted: 0 to 100."""
    found = moles(made)
    whole, wanted = math.fsum(found.values()), math.fsum(aim.make_up.values())
    if not whole or not wanted:
        return 100.0 if wanted else 0.0
    return 50.0 * math.fsum(
        abs(found.get(a, 0.0) / whole - aim.make_up.get(a, 0.0) / wanted)
        for a in {*found, *aim.make_up}
    )


def liquid(bottles: Sequence[Mixture], kg: Sequence[float]) -> Mixture:
    """1 kg of the finished liquid."""
    dry = Mixture.total(b.scaled(x) for b, x in zip(bottles, kg, strict=True))
    return dry + Mixture({"water": max(1.0 - dry.mass_kg, 0.0)})


def matched(bottles: Sequence[Mixture], aim: Aim) -> Match:
    """The amounts that come nearest; bottles as 1 kg of each, as it ends up in the liquid."""
    plain = [place for place, bottle in enumerate(bottles) if not bottle.of(*MINERALS)]
    if aim.ph is None or not aim.make_up or not plain:
        return Match(_fit(bottles, aim))
    of_acids = _fit([bottles[place] for place in plain], Aim(aim.eq, None, aim.make_up))
    kg = [0.0] * len(bottles)
    for place, x in zip(plain, of_acids, strict=True):
        kg[place] = x
    if len(plain) == len(bottles):
        return Match(kg, _NO_MINERALS, True)
    if 0.0 < math.fsum(kg) < 1.0:
        ph = acidity.ph_facts(liquid(bottles, kg))[0]
        if ph is not None and ph >= aim.ph:
            return Match(kg, _ONLY_UP, True)
    return Match(_fit(bottles, aim))


def _fit(bottles: Sequence[Mixture], aim: Aim) -> list[float]:
    """Least squares at the aim's own pH, where both balances are linear in the amounts.

    Repeated, because the activities and the strength in the flask follow from the amounts.
    """
    contents = [moles(bottle) for bottle in bottles]
    cations = [_cations(bottle) for bottle in bottles]
    taken = [
        math.fsum(mol * acids.protons_titrated(a, acidity.END_POINT) for a, mol in own.items()) - c
        for own, c in zip(contents, cations, strict=True)
    ]
    kinds = _make_up_rows(contents, aim)
    kg = [aim.eq * 0.06 / len(bottles)] * len(bottles)
    eq = aim.eq
    for _ in range(_PASSES):
        scale = 1.0 / (ACIDITY_MISS * aim.eq)
        rows = [[scale * value for value in taken], *kinds]
        wanted = [scale * eq, *(0.0 for _ in kinds)]
        if aim.ph is not None:
            row, value = _ph_row(liquid(bottles, kg), contents, cations, aim.ph)
            rows.append(row)
            wanted.append(value)
        kg = non_negative(rows, wanted)
        if not 0.0 < math.fsum(kg) < 1.0:
            break
        found = acidity.titratable_eq_kg(liquid(bottles, kg))
        linear = math.fsum(t * x for t, x in zip(taken, kg, strict=True))
        eq = aim.eq + linear - found  # the flask's own strength, a part in a thousand
    return kg


def _make_up_rows(contents: Sequence[Mapping[str, float]], aim: Aim) -> list[list[float]]:
    """For each acid: how much of it there is beyond its share of all acid."""
    whole = math.fsum(aim.make_up.values())
    if not whole:
        return []
    names = sorted({*aim.make_up, *(a for own in contents for a in own)})
    unit = 1.0 / (MAKE_UP_MISS * whole)
    return [
        [
            unit * (own.get(a, 0.0) - aim.make_up.get(a, 0.0) / whole * math.fsum(own.values()))
            for own in contents
        ]
        for a in names
    ]


def _ph_row(
    made: Mixture, contents: Sequence[Mapping[str, float]], cations: Sequence[float], ph: float
) -> tuple[list[float], float]:
    """Charge balance at the wanted pH in units of a miss of pH, with the activities of now."""
    molal = made.acid_molalities or {"citric": 1e-6}
    strong = acids.at_fixed_ph(molal, ph)
    ionic = min(strong.ionic_strength, acids.IONIC_STRENGTH_HIGH)
    beta = (acids.at_fixed_ph(molal, ph + 0.05).strong_cation
            - acids.at_fixed_ph(molal, ph - 0.05).strong_cation) / 0.1  # fmt: skip
    water = made.of("water")
    unit = 1.0 / (PH_MISS * max(beta * water, 1e-6))
    row = [
        unit * (math.fsum(mol * acids.mean_charge(a, ph, ionic) for a, mol in own.items()) - c)
        for own, c in zip(contents, cations, strict=True)
    ]
    free = (strong.acid_charge - strong.strong_cation) * water  # hydrogen less hydroxide
    return row, unit * free


def _cations(mixture: Mixture) -> float:
    metals = (mixture.of(name) for name in ("potassium", "sodium", "calcium", "magnesium"))
    return acids.strong_cations_mol(*metals).point


def ph_range(bottles: Sequence[Mixture], eq: float) -> tuple[float | None, float | None]:
    """Lowest and highest pH at an acidity: those of single acids; no top where there is a salt."""
    found = []
    plain = [bottle for bottle in bottles if not bottle.of(*MINERALS)]
    for bottle in plain:
        kg = _fit((bottle,), Aim(eq, None, {}))
        ph = acidity.ph_facts(liquid((bottle,), kg))[0] if 0.0 < math.fsum(kg) < 1.0 else None
        if ph is not None:
            found.append(ph)
    if not found:
        return None, None
    return min(found), max(found) if len(plain) == len(bottles) else None


def aim_of(
    like: Mixture | None,
    like_name: str,
    wanted: float | None,
    ph: float | None,
) -> Aim:
    """The aim of a juice, of an own measurement (as citric, mass fraction), or of both."""
    make_up: dict[str, float] = {}
    eq = 0.0
    if like is not None:
        eq = like.titratable_acidity_eq_kg
        if eq < 1e-4:
            raise BadInput(f"{named('like')} {like_name} has no acids to match.", "like")
        whole = like.of(*acids.FOOD_ACIDS)
        make_up = {a: mol for a, mol in moles(like).items() if like.of(a) > 0.01 * whole}
        if ph is None:
            ph = acidity.ph_facts(like)[0]
    if wanted is not None:
        own = wanted / acids.EQUIVALENT_KG["citric"]
        make_up = {a: mol * own / eq for a, mol in make_up.items()}
        eq = own
    return Aim(eq, ph, make_up)
