"""Essential oil in a syrup and in the drink: by drop or by weight, and what holds it up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from prepkit import limits
from prepkit.errors import BadInput, OutOfRange, UnknownIngredient, named
from prepkit.mixture import ESSENTIAL_OIL_KG_M3, Mixture
from prepkit.model import Column, Table
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.science import drops, emulsion, water
from prepkit.shared import botanicals, syrup
from prepkit.units import parse_number

DROPPERS = ("bottle insert", "3 mm tip")
_TIP_SPREAD_KG = 1e-6
_MM_DAY = 8.64e7
_ALCOHOLIC_FROM = 0.5  # % vol from which a drink counts as alcoholic here


class Drops(str):
    """Words such as "12 lemon oil": a number of drops of one essential oil."""

    number: float
    ingredient: Ingredient

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str = named("drops")) -> Drops:
        """Read the number and the oil; BadInput where it is no essential oil."""
        count, rest = parse_number(words, field)
        name = rest.removeprefix("drops ").removeprefix("drop ").removeprefix("of ").strip()
        if not name or count <= 0:
            raise BadInput(f'{field} "{words}": write for example "12 lemon oil".', "drops")
        self = cls(words)
        try:
            self.number, self.ingredient = count, pantry.ingredient(name, field)
        except UnknownIngredient:
            nothing = botanicals.refused_part(words, field)
            if nothing is None:
                raise
            self.ingredient = nothing.ingredient
            return self
        check_oil(self.ingredient, words, field)
        return self


class Oil(NamedTuple):
    """One oil of a batch, kg: least and most."""

    name: str
    low_kg: float
    high_kg: float
    how: str

    @property
    def middle_kg(self) -> float:
        """The middle of its range, kg."""
        return 0.5 * (self.low_kg + self.high_kg)


def check_oil(found: Ingredient, words: str, field: str) -> None:
    """BadInput unless an ingredient is an essential oil."""
    if found.mixture.fraction("essential_oil") < 0.5:
        raise BadInput(
            f'{field} "{words}": {found.name} is no essential oil; write for example lemon oil.',
            field.lstrip("-"),
        )


def drop_kg(dropper: str) -> tuple[float, float]:
    """Mass of one drop of citrus oil from a dropper, kg, and its spread."""
    if dropper == "bottle insert":
        return drops.BOTTLE_INSERT_KG, drops.BOTTLE_INSERT_SPREAD_KG
    mass = drops.drop_mass_kg(drops.STANDARD_TIP_RADIUS_M, drops.LIMONENE_N_M, drops.LIMONENE_KG_M3)
    return mass, _TIP_SPREAD_KG


def weighed(parts: Sequence[Part], counted: Sequence[Drops], dropper: str) -> list[Oil]:
    """Oils added by weight or volume, and by the drop."""
    found = []
    for part in parts:
        check_oil(part.ingredient, part.words, named("oil"))
        found.append(Oil(part.name, part.mass_kg, part.mass_kg, "weighed"))
    one, spread = drop_kg(dropper)
    for drop in counted:
        low, high = drop.number * (one - spread), drop.number * (one + spread)
        how = f"{drop.number:g} drops of {1e6 * one:.0f} mg, give or take {1e6 * spread:.0f}"
        found.append(Oil(drop.ingredient.name, low, high, how))
    return found


def marks(counted: Sequence[Drops], dropper: str) -> Mixture:
    """Oil by the drop as a mixture, at the mean drop."""
    one, _ = drop_kg(dropper)
    return Mixture.total(drop.ingredient.mixture.scaled(drop.number * one) for drop in counted)


def use_level(name: str) -> tuple[float, float] | None:
    """Usual level in alcohol-free drinks, kg/kg, least and most, from memory; None if unknown."""
    level = emulsion.USE_LEVEL_KG_KG.get(name)
    if level is None:
        return None
    return level * (1 - emulsion.USE_LEVEL_SPREAD), level * (1 + emulsion.USE_LEVEL_SPREAD)


def oils_table(oils: Sequence[Oil], syrup_kg: float, in_drink: float | None) -> Table:
    """Each oil in the batch, the syrup and the drink beside its usual level."""
    rows: list[tuple[str | float | None, ...]] = []
    for oil in oils:
        level = use_level(oil.name)
        usual = f"{1e6 * level[0]:.0f} to {1e6 * level[1]:.0f} (memory)" if level else "not known"
        load = [1e6 * kg / syrup_kg for kg in (oil.low_kg, oil.high_kg)]
        drink = [x * in_drink for x in load] if in_drink else []
        rows.append((oil.name, oil.how, 1000 * oil.middle_kg, *load, *drink, usual))
    names = ("syrup", "drink") if in_drink else ("syrup",)
    columns = (
        Column("oil"), Column("how"), Column("mass", "g", 3),
        *(Column(f"{name}, {end}", "mg/kg", 0) for name in names for end in ("least", "most")),
        Column("usual in a drink, mg/kg"),
    )  # fmt: skip
    return Table("oils", "essential oil, as a range", columns, tuple(rows))


def settling_table(product: Mixture, droplet_m: float | None) -> Table | None:
    """How far a droplet rises in a day, in this syrup and in a thin drink; None if unknown."""
    viscosity = syrup.viscosity_mpa_s(product, 20.0)
    try:
        density = product.density_kg_m3(20.0)
    except BadInput:
        return None
    sizes = [
        ("studied, 10 % gum arabic", emulsion.DROP_GUM_ARABIC_M),
        ("studied, 1 % polysorbate 80", emulsion.DROP_POLYSORBATE_M),
    ]
    if droplet_m is not None:
        sizes.insert(0, ("yours", droplet_m))
    rows: list[tuple[str | float | None, ...]] = []
    for name, size in sizes:
        thin = drops.creaming_velocity_m_s(
            size, water.density_kg_m3(20.0), ESSENTIAL_OIL_KG_M3, 1.002e-3
        )
        thick = None
        if viscosity:
            thick = _MM_DAY * drops.creaming_velocity_m_s(
                size, density, ESSENTIAL_OIL_KG_M3, viscosity / 1000
            )
        rows.append((name, 1e6 * size, thick, _MM_DAY * thin))
    columns = (
        Column("droplets"), Column("size", "um", 1), Column("rise in this syrup", "mm/d", 1),
        Column("rise in a thin drink", "mm/d", 0),
    )  # fmt: skip
    return Table("settling", "how fast an emulsion creams, at 20 C", columns, tuple(rows))


def applicable(substance: str, jurisdiction: str, alcoholic: bool) -> limits.Limit | None:
    """The limit that holds in a drink: of the jurisdiction, else Codex, else the strictest."""
    rows = [row for row in limits.of(substance) if "drinks" in row.product]
    rows = [row for row in rows if "semi-frozen" not in row.product]
    if any(row.product == "alcoholic drinks" for row in rows):
        kind = "alcoholic drinks" if alcoholic else "drinks and drink bases"
        rows = [row for row in rows if row.product == kind]
    own = [row for row in rows if row.jurisdiction == jurisdiction.upper()]
    if own:
        return own[0]
    if jurisdiction == "eu":  # its own numbers were not readable
        rows = [row for row in rows if row.jurisdiction == "Codex"]
    return min(rows, key=lambda row: row.value, default=None)


_LIMITED = ("gum arabic", "ester gum", "sucrose acetate isobutyrate", "quillaia saponins")


def limits_table(jurisdiction: str, alcoholic: bool) -> Table:
    """What may go into the finished drink to hold up an oil."""
    rows: list[tuple[str | float | None, ...]] = []
    for substance in _LIMITED:
        row = applicable(substance, jurisdiction, alcoholic)
        if row is None:
            rows.append((substance, None, "", "no number read"))
        else:
            rows.append((substance, row.value, row.unit, f"{row.jurisdiction}, {row.product}"))
    columns = (Column("what"), Column("most", "", 1), Column("unit"), Column("under"))
    return Table("limits", "most in the finished drink", columns, tuple(rows))


def emulsifier_facts(
    part: Part | None, in_drink_kg_kg: float | None, jurisdiction: str, strength: float | None
) -> dict[str, Any]:
    """An emulsifier against its limit in the finished drink; `in_drink_kg_kg` is of the part."""
    if part is None:
        return {}
    is_gum = "gum arabic" in part.name
    is_quillaja = "quillaja" in part.name
    substance = "gum arabic" if is_gum else "quillaia saponins" if is_quillaja else ""
    facts: dict[str, Any] = {"emulsifier": part.name}
    if not substance or in_drink_kg_kg is None:
        return facts
    row = applicable(substance, jurisdiction, (strength or 0.0) > _ALCOHOLIC_FROM)
    if row is None:
        return facts
    share = part.mixture.fraction("foamer") if is_quillaja else 1.0
    amount = in_drink_kg_kg * share * (100 if row.unit == "%" else 1e6)
    facts |= {
        "emulsifier_over_limit": amount / row.value,
        "emulsifier_amount": f"{amount:.2f} {row.unit}" if is_gum else f"{amount:.0f} {row.unit}",
        "emulsifier_limit": f"{row.value:g} {row.unit} of {substance} ({row.jurisdiction})",
        "emulsifier_most_g": 1000 * part.mass_kg * row.value / amount if amount else None,
    }
    return facts


def share_in_drink(
    per_drink: tuple[float, str] | None, drink: tuple[float, str] | None, product: Mixture
) -> float | None:
    """kg of syrup in 1 kg of the finished drink; a drink of unknown density counts 1 g/ml."""
    if per_drink is None or drink is None:
        return None
    amount, unit = per_drink
    grams = amount if unit == "g" else amount * product.density_kg_m3(20.0) / 1000
    share = grams / drink[0]
    if share > 1:
        raise OutOfRange(f"{named('per_drink')}", grams, 0.0, drink[0], "g", "the finished drink")
    return share
