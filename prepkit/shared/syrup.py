"""A sweet liquid that stands: crystals, viscosity, inversion."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

from prepkit import derived
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import inversion, keeping, sucrose
from prepkit.science.acids import KEEPING_ABV_HIGH

_TOO_LITTLE_SUCROSE = 0.02  # its inversion then changes nothing that can be read
_HOLDS_SPIRIT = 0.01  # fraction by volume above which the viscosity of syrup says nothing


Place = Literal["fridge", "room"]


class Store(NamedTuple):
    """Where it stands, how long, and its pH (None where it is not known)."""

    fridge_c: float
    room_c: float
    days: float
    ph: float | None
    ph_measured: bool

    def places(self) -> tuple[tuple[Place, float], tuple[Place, float]]:
        """Fridge and room with their temperatures."""
        return ("fridge", self.fridge_c), ("room", self.room_c)


def _is_spirit(product: Mixture) -> bool:
    """Whether it is too strong for what a pH in water says: of keeping, of splitting sucrose."""
    return product.abv > KEEPING_ABV_HIGH


class Stored(NamedTuple):
    """What was found, by place; None where a relation does not hold for this mixture."""

    supersaturation: dict[Place, float | None]
    viscosity: dict[Place, float | None]  # mPa s
    split: dict[Place, tuple[float | None, float | None]]  # %, least and most


def _or_none(call: Callable[[], float]) -> float | None:
    """A value, or None where its relation refuses the mixture."""
    try:
        return call()
    except BadInput:
        return None


def stored(product: Mixture, store: Store) -> Stored:
    """Crystals, viscosity and inversion in the fridge and in the room."""
    return Stored(
        {place: supersaturation(product, t) for place, t in store.places()},
        {place: viscosity_mpa_s(product, t) for place, t in store.places()},
        {place: split_percent(product, store, t) for place, t in store.places()},
    )


def supersaturation(product: Mixture, temperature_c: float) -> float | None:
    """Sucrose over what its water can hold; glucose, fructose and ethanol change what it holds."""
    return derived.sucrose_saturation(product, temperature_c)


def viscosity_mpa_s(product: Mixture, temperature_c: float) -> float | None:
    """As of a sucrose syrup of the same solids; not with spirit, which thickens too."""
    if product.abv > _HOLDS_SPIRIT:
        return None
    return _or_none(lambda: 1000 * sucrose.viscosity_pa_s(product.dissolved_solids, temperature_c))


def split_percent(
    product: Mixture, store: Store, temperature_c: float
) -> tuple[float | None, float | None]:
    """Sucrose split by acid in the time stored, %: least and most of the stated range.

    A rich syrup goes faster; that counts only where the pH was calculated, since a meter in the
    syrup has it already.
    """
    ph, sucrose_kg = store.ph, product.of("sucrose")
    if ph is None or product.fraction("sucrose") < _TOO_LITTLE_SUCROSE or _is_spirit(product):
        return None, None
    g_l = 0.0 if store.ph_measured else sucrose_kg / product.volume_20_m3

    def share(factor: float) -> float | None:
        return _or_none(
            lambda: 100 * inversion.inverted_share(ph, temperature_c, factor * store.days, g_l)
        )

    return share(1.0), share(inversion.RANGE_FACTOR)


def inverted(product: Mixture, share: float) -> Mixture:
    """The same with a share of its sucrose split, which takes up water."""
    left, glucose, fructose, water = inversion.after(product.of("sucrose"), share)
    masses = dict(product.masses_kg)
    masses["sucrose"] = left
    masses["glucose"] = masses.get("glucose", 0.0) + glucose
    masses["fructose"] = masses.get("fructose", 0.0) + fructose
    masses["water"] = masses.get("water", 0.0) - water
    return Mixture(masses, product.allergens, product.tags, product.keeps)


def drift(product: Mixture, store: Store, found: Stored) -> tuple[Table, ...]:
    """What inversion does to the readings in the time stored."""
    rows: list[tuple[str | float | None, ...]] = []
    for place, temperature_c in store.places():
        for word, share in zip(("least", "most"), found.split[place], strict=True):
            if share is not None:
                later, _ = derived.of(
                    inverted(product, share / 100), "dissolved_solids", "refractometer",
                    "density", "water_activity",
                )  # fmt: skip
                where = f"{place}, {temperature_c:g} °C, {word}"
                rows.append((where, share, *later.values()))
    if not rows:
        return ()
    columns = (
        Column(f"after {store.days:g} d"), Column("sucrose split", "%", 1),
        Column("true solids", "Bx", 2), Column("refractometer", "Bx", 1),
        Column("density", "kg/m3", 1), Column("water activity", "", 3),
    )  # fmt: skip
    return (Table("drift", "what acid does to the sugar", columns, tuple(rows)),)


def crystal_steps(product: Mixture, *temperatures_c: float) -> list[Step]:
    """The working of the supersaturation at each temperature, or why it is not shown."""
    if not product.of("sucrose") or not product.of("water"):
        return []
    steps = []
    has = product.of("sucrose") / product.of("water")
    for temperature_c in temperatures_c:
        label = f"crystals at {temperature_c:g} °C"
        try:
            y = derived.supersaturation(product, temperature_c)
        except BadInput as error:
            steps.append(Step(label, f"not shown: {error.message}"))
            continue
        said = f"{has:.3f} g sucrose per g water / {has / y:.3f} saturated"
        steps.append(Step(label, said, y, "", "VAVRINECZ"))
    return steps


def facts(product: Mixture, store: Store, found: Stored) -> dict[str, object]:
    """What the caution rules judge of a sweet liquid that stands."""
    known = derived.facts(product)
    ph_known = store.ph is not None and not _is_spirit(product)
    if ph_known:
        known["ph"] = store.ph
    others = product.of("glucose", "fructose", "maltose", "other_solubles", "ethanol")
    known |= {
        "supersaturation_fridge": found.supersaturation["fridge"],
        "supersaturation_room": found.supersaturation["room"],
        "crystals_estimated": others > 0.01 * product.of("sucrose"),
        "viscosity_fridge": found.viscosity["fridge"],
        "inverted_room": found.split["room"][0],
        "inverted_room_most": found.split["room"][1],
        "fridge_c": store.fridge_c,
        "room_c": store.room_c,
        "stored_d": store.days,
        "sucrose_percent": 100 * product.fraction("sucrose"),
        "acid_without_ph": not ph_known and product.acidity_as_citric > 1e-4,
    }
    ph, water_activity = known.get("ph"), known.get("water_activity")
    if isinstance(ph, float) and isinstance(water_activity, float):
        known["food_code"] = keeping.time_temperature_control(ph, water_activity, False)
    return {name: value for name, value in known.items() if value is not None}
