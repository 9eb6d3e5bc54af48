"""acid-solution: a stock of one acid or a blend, at a strength, to a mass or a volume."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Self

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import split
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, number, quantity, read, words
from prepkit.mixture import Mixture
from prepkit.model import Caution, Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import acids
from prepkit.shared import acidity
from prepkit.shared.acidity import ShelfAcid, read_shelf
from prepkit.units import Measured

EXAMPLE = (
    'prepkit acid-solution --acid "2 parts citric acid" --acid "1 part malic acid" '
    '--strength "6 % w/w" --make "500 ml"'
)
_RATIO_WORDS = {
    "mass": "by mass of pure acid",
    "titratable": "by titratable acidity",
    "molarity": "by moles",
}


class Inputs(BaseInputs):
    """What the stock is to be."""

    groups = (
        ("Most needed", "acid strength make"),
        ("How it is said", "ratio_by strength_as"),
        ("Conditions", "storage end_point"),
    )
    takes = (("acid", "acid"),)

    acid: tuple[ShelfAcid, ...] = words(
        "acids",
        "An acid with its parts, or with its weight. One entry for each. Name the grade, such "
        "as citric acid monohydrate or lactic acid 80 %.",
        "2 parts citric acid",
        many=True,
        several=True,
    )
    strength: Measured = quantity(
        ("% w/w", "% w/v"),
        "strength of the stock",
        "Pure acid in the finished stock: grams in 100 g (% w/w) or in 100 ml (% w/v).",
        "6 % w/w",
        above=0,
        high=100,
        because="pure acid is 100 %",
    )
    make: Measured = quantity(
        ("ml", "g"),
        "how much to make",
        "The finished stock, by volume at 20 °C or by mass.",
        "500 ml",
        above=0,
        high=1e6,
        because="a batch of at most a tonne",
        extensive=True,
    )
    ratio_by: str = choice(
        ("mass", "titratable", "molarity"),
        "parts counted by",
        "Mass of pure acid, titratable acidity, or moles.",
        default="mass",
    )
    strength_as: str = choice(
        ("acid", *acidity.WRITTEN_AS),
        "strength counted as",
        "The acid itself, or titratable acidity written as one of the usual acids.",
        default="acid",
    )
    storage: Measured = quantity(
        "C",
        "storage temperature",
        "Where the stock is kept. Solubility is checked there.",
        "4 C",
        default=4.0,
        low=0,
        high=50,
        because="no solubility is known outside",
    )
    end_point: float = number(
        "end point of the titration",
        "pH to which acidity is titrated: 7 (wine), 8.1 (juice), 8.2 or 8.3.",
        "8.2",
        default=acidity.END_POINT,
        low=6.5,
        high=9,
    )

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: acids by weight, which with the amount tell the strength or with the
        strength the amount."""
        given = said.get("acid")
        words_of = [given] if isinstance(given, str) else given
        if not isinstance(words_of, list | tuple):
            return said
        many = [word for words in words_of if isinstance(words, str) for word in split(words)]
        weighed = [acidity.read_weight(text, pantry, named("acid")) for text in many]
        found = [pair for pair in weighed if pair is not None]
        if not many or len(found) < len(many):
            return said  # by parts, or mixed and then refused as it is read
        basis = (str(said.get("ratio_by", "mass")), str(said.get("strength_as", "acid")))
        if basis != ("mass", "acid"):
            raise BadInput(
                f"{named('acid')} by weight already fixes the pure acid. Leave out "
                f"{named('ratio_by')} and {named('strength_as')}, or give the acids in parts.",
                "acid",
            )
        both = said.get("strength") is not None, said.get("make") is not None
        if all(both) or not any(both):
            raise BadInput(
                f"{named('acid')} by weight needs either {named('strength')} or "
                f"{named('make')}. Write for example {named('make', '500 ml')}.",
                "make",
            )
        pure_g = math.fsum(grams for grams, _ in found)
        told = dict(said) | {"acid": [f"{grams!r} parts {name}" for grams, name in found]}
        if both[1]:
            make = read(cls.spec("make"), said["make"], "make", pantry)
            unit = "% w/v" if make.unit == "ml" else "% w/w"
            return told | {"strength": Measured(100 * pure_g / float(make), unit)}
        strength = read(cls.spec("strength"), said["strength"], "strength", pantry)
        unit = "ml" if strength.unit == "% w/v" else "g"
        return told | {"make": Measured(100 * pure_g / float(strength), unit)}

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: the acids by their words, one at least."""
        if name == "acid" and not value:
            raise BadInput(
                f'{named("acid")} is empty; write for example "2 parts citric acid".', "acid"
            )
        return read_shelf(name, value, pantry, so_far)


class Result(BaseResult):
    """The weights and the results; the weigh-outs are in the table."""

    screen = Screen(
        headline=(
            "{volume} of stock, {acidity} titratable acidity as citric.",
            "{volume} of stock, {acid_w_w} pure acid.",
        ),
        primary=(
            Figure("volume", "volume"),
            "mass",
            "acid_w_w",
            Figure("acidity, as citric", "acidity"),
            "acidity_at_first",
            Figure("share of what can dissolve", "saturation"),
        ),
        check=("ph", Figure("density", "density"), Figure("refractometer", "refractometer")),
        weigh="weigh",
    )

    mass: float | None = output("mass of the stock", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 1, extensive=True)
    water: float | None = output("water to weigh", "g", 1, extensive=True)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    acid_w_w: float | None = output("pure acid", "% w/w", 2)
    acid_w_v: float | None = output("pure acid", "% w/v", 2)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity, as citric", "g/l", 1)
    acidity_meq: float | None = output("titratable acidity", "meq/l", 0)
    acidity_at_first: float | None = output("acidity at first, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    saturation: float | None = output("share of saturation", "%", 0)

    def with_cautions(self, found: tuple[Caution, ...]) -> Self:
        """Hook of the base: the label of the bottle bears its hazards."""
        lines = tuple(
            (caution.kind, caution.text)
            for caution in found
            if caution.id.startswith("acid-stock-") or caution.id.endswith("-acid-burns")
        )
        tables = (
            table._replace(rows=(*table.rows[:1], *lines, *table.rows[1:]))
            if table.name == "label"
            else table
            for table in self.tables
        )
        return self.replaced(tables=tuple(tables))


def compute(inputs: Inputs) -> Result:
    """Shares of acid, then the acid for the strength, then the grades and the water."""
    shelf = inputs.acid
    shares = acidity.by_mass(shelf, inputs.ratio_by)
    counted = _counted_per_acid(shelf, shares, inputs)
    fraction = acidity.acid_fraction(shelf, shares, inputs.strength, counted)
    stock = acidity.made_up(shelf, shares, fraction)
    saturated = acidity.saturation_facts(stock, float(inputs.storage))
    facts: Facts = {**saturated, **acidity.shelf_facts((acid.acid, acid.purity) for acid in shelf)}
    if saturated.get("saturation", 0.0) > 1.0:
        return Result(facts=facts, working=tuple(_how(shelf, shares, inputs, fraction)))
    return _answer(shelf, shares, fraction, stock, facts, inputs)


def _counted_per_acid(shelf: tuple[ShelfAcid, ...], shares: list[float], inputs: Inputs) -> float:
    """What 1 kg of the acids counts towards the strength: itself, or its titration."""
    if inputs.strength_as == "acid":
        return 1.0
    molal: dict[str, float] = {}
    for acid, share in zip(shelf, shares, strict=True):
        molal[acid.acid] = molal.get(acid.acid, 0.0) + share / acids.MOLAR_MASS_KG_MOL[acid.acid]
    taken = acids.titratable_acidity_eq_kg(molal, 0.0, inputs.end_point)
    return taken * acids.EQUIVALENT_KG[inputs.strength_as]


def _how(
    shelf: tuple[ShelfAcid, ...], shares: list[float], inputs: Inputs, fraction: float
) -> list[Step]:
    """The steps up to the strength."""
    ratio = " : ".join(f"{one.parts:g} {one.acid}" for one in shelf)
    split = ", ".join(
        f"{100.0 * share:.2f} % {one.acid}" for one, share in zip(shelf, shares, strict=True)
    )
    counts = (
        "pure acid, no water of the grade"
        if inputs.strength_as == "acid"
        else f"titratable acidity to pH {inputs.end_point:g} as {inputs.strength_as} acid"
    )
    return [
        Step(f"ratio {_RATIO_WORDS[inputs.ratio_by]}", f"{ratio} -> {split} of the acid by mass"),
        Step(
            "strength",
            f"{float(inputs.strength):g} {inputs.strength.unit} counts {counts}",
            100.0 * fraction,
            "% w/w pure acid",
            "DEFINITION" if inputs.strength_as == "acid" else "PREPKIT-ACID",
        ),
    ]


def _answer(
    shelf: tuple[ShelfAcid, ...],
    shares: list[float],
    fraction: float,
    stock: Mixture,
    facts: Facts,
    inputs: Inputs,
) -> Result:
    density = acidity.density_kg_m3(stock)
    made = float(inputs.make)
    mass_kg = 1e-3 * made if inputs.make.unit == "g" else 1e-6 * made * density
    weigh = [
        (acid, mass_kg * fraction * share / acid.purity)
        for acid, share in zip(shelf, shares, strict=True)
    ]
    water_kg = max(mass_kg - math.fsum(kg for _, kg in weigh), 0.0)
    eq_kg = acidity.titratable_eq_kg(stock, inputs.end_point)
    bound = math.fsum(
        acidity.bound_at_first_mol(acid.acid, acid.purity, fraction * share)
        for acid, share in zip(shelf, shares, strict=True)
    )
    ph, ph_error, ph_facts = acidity.ph_facts(stock)
    shown, errors = derived.of(stock, "refractometer")
    errors["density"] = acidity.density_error_kg_m3(stock)
    if ph is not None:
        errors["ph"] = ph_error
    citric = acids.EQUIVALENT_KG["citric"]
    steps = _how(shelf, shares, inputs, fraction)
    steps += [
        Step(
            acid.ingredient.name,
            f"{1000.0 * mass_kg:.1f} g x {100.0 * fraction:.3f} % x {100.0 * share:.2f} % / "
            f"{100.0 * acid.purity:.2f} % pure",
            1000.0 * kg,
            "g",
            "DEFINITION",
        )
        for (acid, kg), share in zip(weigh, shares, strict=True)
    ]
    steps += [
        Step("water", "mass of the stock less what was weighed", 1000.0 * water_kg, "g"),
        Step(
            "titratable acidity",
            f"protons to pH {inputs.end_point:g}, x {1000.0 * citric:.3f} g per equivalent",
            100.0 * eq_kg * citric,
            "% w/w as citric",
            "PREPKIT-ACID",
        ),
        Step("pH", ph_facts.get("ph_reason", "charge balance per kg of water"), ph, "",
             "PREPKIT-ACID"),
    ]  # fmt: skip
    refused = derived.refusals(stock, "refractometer")
    steps += [Step(name, f"not shown: {why}") for name, why in refused.items()]
    worst = max(facts.get("saturation", 0.0), facts.get("cold_saturation", 0.0))
    facts = {**facts, **ph_facts}
    return Result(
        product=stock.scaled(mass_kg),
        mass=1000.0 * mass_kg,
        volume=1e6 * mass_kg / density,
        water=1000.0 * water_kg,
        density=density,
        acid_w_w=100.0 * fraction,
        acid_w_v=0.1 * fraction * density,
        acidity=100.0 * eq_kg * citric,
        acidity_g_l=eq_kg * citric * density,
        acidity_meq=eq_kg * density,
        acidity_at_first=100.0 * (eq_kg - bound) * citric if bound > 0.0 else None,
        ph=ph,
        refractometer=shown["refractometer"],
        saturation=100.0 * worst or None,
        facts=facts,
        working=tuple(steps),
        tables=(
            _weigh_table(weigh, water_kg),
            acidity.acidity_table(eq_kg, density, inputs.end_point),
            _label(shelf, shares, fraction),
        ),
        model_error=errors,
    )


def _label(
    shelf: tuple[ShelfAcid, ...],
    shares: list[float],
    fraction: float,
) -> Table:
    """What to write on the bottle; `with_cautions` adds the hazard lines that it triggers."""
    of_acid = ", ".join(
        f"{100.0 * fraction * share:.2f} % {one.acid} acid"
        for one, share in zip(shelf, shares, strict=True)
    )
    rows = (("contents", f"water with {of_acid}, by mass"), ("made on", ""))
    return Table("label", "label for the bottle", (Column("line"), Column("words")), rows)


def _weigh_table(weigh: list[tuple[ShelfAcid, float]], water_kg: float) -> Table:
    rows: list[tuple[str | float | None, ...]] = [
        (
            "1",
            "water",
            1000.0 * water_kg,
            1e6 * water_kg / acids.WATER_20_C,
            "all of it, in the jug",
        )
    ]
    for place, (acid, kg) in enumerate(acidity.dissolving_order(weigh), 2):
        density = None if acid.powder else acidity.density_or_none(acid.ingredient.mixture)
        how = "in portions, stirring until clear" if acid.powder else "slowly into it, stirring"
        volume = 1e6 * kg / density if density else None
        rows.append((str(place), acid.ingredient.name, 1000.0 * kg, volume, how))
    return Table(
        "weigh",
        "weigh, in this order",
        (
            Column("order"),
            Column("what"),
            Column("mass", "g", 2),
            Column("volume at 20 °C", "ml", 1),
            Column("how"),
        ),
        tuple(rows),
    )
