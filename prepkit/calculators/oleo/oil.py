"""Essential oil in a syrup and in the drink: by drop or by weight, and what holds it up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from prepkit import jurisdictions, limits
from prepkit.calculators.oleo.inputs import Drops, Inputs, check_oil
from prepkit.calculators.oleo.peel import Peel
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.mixture import ESSENTIAL_OIL_KG_M3, Mixture
from prepkit.model import Column, Table
from prepkit.pantry import Part
from prepkit.science import drops, emulsion, water
from prepkit.shared import syrup
from prepkit.units import Measured

_TIP_SPREAD_KG = 1e-6
_MM_DAY = 8.64e7
_ALCOHOLIC_FROM = 0.5  # % vol from which a drink counts as alcoholic here


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


def drop_kg(dropper: str) -> tuple[float, float]:
    """Mass of one drop of citrus oil from a dropper, kg, and its spread."""
    if dropper == "bottle insert":
        return drops.BOTTLE_INSERT_KG, drops.BOTTLE_INSERT_SPREAD_KG
    mass = drops.drop_mass_kg(drops.STANDARD_TIP_RADIUS_M, drops.LIMONENE_N_M, drops.LIMONENE_KG_M3)
    return mass, _TIP_SPREAD_KG


def _weighed(parts: Sequence[Part], counted: Sequence[Drops], dropper: str) -> list[Oil]:
    """Oils added by weight or volume, and by the drop."""
    found = []
    for part in parts:
        check_oil(part.ingredient, part.words, "oil")
        found.append(Oil(part.name, part.mass_kg, part.mass_kg, "weighed"))
    one, spread = drop_kg(dropper)
    for drop in counted:
        low, high = drop.number * (one - spread), drop.number * (one + spread)
        how = f"{drop.number:g} drops of {1e6 * one:.0f} mg ± {1e6 * spread:.0f}"
        found.append(Oil(drop.ingredient.name, low, high, how))
    return found


def marks(counted: Sequence[Drops], dropper: str) -> Mixture:
    """Oil by the drop as a mixture, at the mean drop."""
    one, _ = drop_kg(dropper)
    return Mixture.total(drop.ingredient.mixture.scaled(drop.number * one) for drop in counted)


def _use_level(name: str) -> tuple[float, float] | None:
    """Usual level in alcohol-free drinks, kg/kg, least and most, from memory; None if unknown."""
    level = emulsion.USE_LEVEL_KG_KG.get(name)
    if level is None:
        return None
    return level * (1 - emulsion.USE_LEVEL_SPREAD), level * (1 + emulsion.USE_LEVEL_SPREAD)


def _oils_table(oils: Sequence[Oil], syrup_kg: float, in_drink: float | None) -> Table:
    """Each oil in the batch, the syrup and the drink beside its usual level."""
    rows: list[tuple[str | float | None, ...]] = []
    for oil in oils:
        level = _use_level(oil.name)
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


def _settling_table(product: Mixture, droplet_m: float | None) -> Table | None:
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
    return Table("settling", "how fast an emulsion creams, at 20 °C", columns, tuple(rows))


def applicable(substance: str, jurisdiction: str, alcoholic: bool) -> limits.Limit | None:
    """The limit that holds in a drink of its class: of the place, else Codex, else the strictest.

    Where no figure of that class was read, the other class's stands in, and its row says which.
    """
    rows = [row for row in limits.of(substance) if "drinks" in row.product]
    rows = [row for row in rows if "semi-frozen" not in row.product]
    own_class = [row for row in rows if _of_class(row.product, alcoholic)]
    rows = own_class or rows
    key = jurisdictions.key_of(jurisdiction)
    for place in jurisdictions.chain(key) if key is not None else ():
        own = [row for row in rows if row.jurisdiction == place]
        if own:
            exact = [row for row in own if row.product.startswith("alcohol")]
            return (exact or own)[0]
    if key is not None and key != "US":  # no numbers of its own were read
        rows = [row for row in rows if row.jurisdiction == "Codex"] or rows
    return min(rows, key=lambda row: row.value, default=None)


def _of_class(product: str, alcoholic: bool) -> bool:
    """Whether a product of the limits takes in a drink with, or without, alcohol."""
    if product.startswith("alcoholic"):
        return alcoholic
    return not (alcoholic and product in ("alcohol-free drinks", "drinks and drink bases"))


_LIMITED = ("gum arabic", "ester gum", "sucrose acetate isobutyrate", "quillaia saponins")


def _limits_table(jurisdiction: str, alcoholic: bool) -> Table:
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


def _emulsifier_facts(
    part: Part | None, in_drink_kg_kg: float | None, jurisdiction: str, strength: float | None
) -> dict[str, object]:
    """An emulsifier against its limit in the finished drink; `in_drink_kg_kg` is of the part."""
    if part is None:
        return {}
    is_gum = "gum arabic" in part.name
    is_quillaja = "quillaja" in part.name
    substance = "gum arabic" if is_gum else "quillaia saponins" if is_quillaja else ""
    facts: dict[str, object] = {"emulsifier": part.name}
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


def _share_in_drink(per_drink: Measured, drink: Measured, product: Mixture) -> float:
    """kg of syrup in 1 kg of the finished drink; a drink of unknown density counts 1 g/ml."""
    grams = float(per_drink)
    if per_drink.unit != "g":
        grams *= product.density_kg_m3(20.0) / 1000
    share = grams / float(drink)
    if share > 1:
        raise OutOfRange(named("per_drink"), grams, 0.0, float(drink), "g", "the finished drink")
    return share


# what the syrup and the drink hold


def of_batch(inputs: Inputs, batch: Peel | None) -> list[Oil]:
    """Oil of the peel as published, and what is added."""
    found = _weighed(inputs.oil, inputs.drops, inputs.dropper)
    own = []
    for one in batch.each if batch else ():
        if one.fruit is None:
            continue
        low, high = one.fruit.oil
        how = f"all of {100 * low:g} to {100 * high:g} % of the peel; how much is released is open"
        own.append(
            Oil(f"{one.ingredient.name}, its own", one.mass_kg * low, one.mass_kg * high, how)
        )
    return own + found


def _oil_load(oils: list[Oil], least_kg: float, most_kg: float) -> tuple[float, float]:
    return math.fsum(oil.low_kg for oil in oils) / most_kg, math.fsum(
        oil.high_kg for oil in oils
    ) / least_kg


def _in_drink(inputs: Inputs, product: Mixture) -> float | None:
    if inputs.drink is None or inputs.per_drink is None or not product.mass_kg:
        return None
    return _share_in_drink(inputs.per_drink, inputs.drink, product)


class OilLoad(NamedTuple):
    """Oil in syrup and drink, mg/kg, and the gum arabic that holds it, g; None without oil."""

    least: float | None = None
    most: float | None = None
    times_soluble: float | None = None  # the least over what dissolves
    drink_least: float | None = None
    drink_most: float | None = None
    gum_least: float | None = None
    gum_most: float | None = None


def load(
    inputs: Inputs, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> OilLoad:
    """The oil of the batch in its syrup, from `least_kg` to `most_kg` of it."""
    if not oils or least_kg <= 0:
        return OilLoad()
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    gum_low = emulsion.gum_arabic_needed_kg(math.fsum(oil.low_kg for oil in oils))[0]
    gum_high = emulsion.gum_arabic_needed_kg(math.fsum(oil.high_kg for oil in oils))[1]
    return OilLoad(
        1e6 * low,
        1e6 * high,
        emulsion.times_over_solubility(low),
        1e6 * low * share if share else None,
        1e6 * high * share if share else None,
        1000 * gum_low,
        1000 * gum_high,
    )


def _range(low: float, high: float) -> str:
    """Two ends as words, to two digits, one number where they are shown alike.

    >>> _range(10432.0, 17593.0), _range(8.04, 7.96)
    ('10000 to 18000', '8')
    """
    ends = f"{float(f'{low:.2g}'):.6g}", f"{float(f'{high:.2g}'):.6g}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def facts(
    inputs: Inputs, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> dict[str, object]:
    """What the caution rules judge of the oil and of what holds it up; empty without oil."""
    if not oils or least_kg <= 0:
        return {}
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    strength = float(inputs.drink_strength) if inputs.drink_strength is not None else None
    found: dict[str, object] = {
        "oil_low_mg_kg": 1e6 * low,
        "oil_high_mg_kg": 1e6 * high,
        "oil_range": _range(1e6 * low, 1e6 * high),
        "drink_strength_percent": strength or 0.0,
        "emulsified": 1.0 if inputs.emulsifier else 0.0,
    }
    added = [oil for oil in oils if "its own" not in oil.name]
    levels = [
        oil.high_kg / most_kg * share / level[1]
        for oil in added
        if share and (level := _use_level(oil.name))
    ]
    if levels:
        found["over_use_level"] = max(levels)
    part_share = (
        inputs.emulsifier.mass_kg / most_kg * share if inputs.emulsifier and share else None
    )
    return found | _emulsifier_facts(inputs.emulsifier, part_share, inputs.jurisdiction, strength)


def tables(inputs: Inputs, oils: list[Oil], syrup_kg: float, product: Mixture) -> tuple[Table, ...]:
    """The oils, how an emulsion of them creams, and the limits of what holds it; () without."""
    if not oils or syrup_kg <= 0:
        return ()
    droplet = float(inputs.droplet) * 1e-6 if inputs.droplet is not None else None
    settling = _settling_table(product, droplet)
    alcoholic = inputs.drink_strength is not None and float(inputs.drink_strength) > 0.5
    found = (
        _oils_table(oils, syrup_kg, _in_drink(inputs, product)),
        settling,
        _limits_table(inputs.jurisdiction, alcoholic),
    )
    return tuple(table for table in found if table is not None)
