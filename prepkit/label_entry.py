"""An entry of a house's pantry from the nutrition label of a packet, with a check of its sums."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.pantry_file import house_entries
from prepkit.science import ethanol

# kcal per g on European labels; alcohol, fibre and polyols as there [ENERGY-FACTORS] (memory)
KCAL = {"fat": 9.0, "carbohydrate": 4.0, "protein": 4.0, "fibre": 2.0, "alcohol": 7.0}
_POLYOL_LESS = 4.0 - 2.4  # a gram of polyols stands among the carbohydrate and counts 2.4
KJ_PER_KCAL = 4.184
ENERGY_SHARE, ENERGY_KCAL = 0.15, 8.0  # how far a label may be from its own sums (practice)
NEEDED = ("energy", "fat", "carbohydrate", "sugars", "protein", "salt")
TAKEN = (*NEEDED, "polyols", "fibre")
_ONE = re.compile(r"^(?P<name>[a-z]+)\s+(?P<number>[0-9]+(?:[.,][0-9]+)?)\s*(?P<unit>k?g|kj|kcal)$")
_ALSO = {"fiber": "fibre", "sugar": "sugars", "carbohydrates": "carbohydrate", "carbs":
         "carbohydrate", "proteins": "protein", "polyol": "polyols"}  # fmt: skip
EXAMPLE = "energy 1020 kJ, fat 0 g, carbohydrate 60 g, sugars 60 g, protein 0 g, salt 0 g"


def read(words: str) -> dict[str, float]:
    """The label's words as g, and the energy as kcal; BadInput where one is missing or odd.

    >>> round(read(EXAMPLE)["energy"])
    244
    """
    found: dict[str, float] = {}
    for part in re.split(r"[,;]\s+|;", words.strip().lower()):
        match = _ONE.match(" ".join(part.split()))
        if match is None:
            raise BadInput(f'--label has "{part}"; write it as in "{EXAMPLE}".', "label")
        name = _ALSO.get(match["name"], match["name"])
        if name not in TAKEN:
            raise BadInput(f'--label has "{name}"; it takes {", ".join(TAKEN)}.', "label")
        if name in found:
            raise BadInput(f"--label gives {name} twice; write it once.", "label")
        value, unit = float(match["number"].replace(",", ".")), match["unit"]
        if (name == "energy") != (unit in ("kj", "kcal")) or unit == "kg":
            right = "kJ or kcal" if name == "energy" else "g"
            raise BadInput(f"--label gives {name} in {unit}; it is read in {right}.", "label")
        found[name] = value / KJ_PER_KCAL if unit == "kj" else value
    missing = [name for name in NEEDED if name not in found]
    if missing:
        raise BadInput(
            f"--label does not say {', '.join(missing)}; read it on the packet, and write 0 g only "
            f"where it says so.",
            "label",
        )
    return found


def checked(label: Mapping[str, float], abv: float = 0.0, per_ml: bool = False) -> float:
    """The energy that the label's own parts give, kcal; BadInput where the label is another.

    abv: % vol. per_ml: the label is of 100 ml.
    """
    if label["sugars"] > label["carbohydrate"] + 0.05:
        raise BadInput(
            f"--label has {label['sugars']:g} g of sugars in {label['carbohydrate']:g} g of "
            f"carbohydrate; sugars are part of it.",
            "label",
        )
    polyols = label.get("polyols", 0.0)
    if label["sugars"] + polyols > label["carbohydrate"] + 0.05:
        raise BadInput(
            f"--label has {label['sugars']:g} g of sugars and {polyols:g} g of polyols in "
            f"{label['carbohydrate']:g} g of carbohydrate; both are part of it.",
            "label",
        )
    alcohol_g = abv / 100 * ethanol.PURE_KG_M3 / 10 * (1.0 if per_ml else 1.03)
    parts = {**label, "alcohol": alcohol_g}
    energy = math.fsum(factor * parts.get(name, 0.0) for name, factor in KCAL.items())
    energy -= _POLYOL_LESS * polyols
    told = label["energy"]
    if abs(energy - told) > max(ENERGY_KCAL, ENERGY_SHARE * max(energy, told)):
        raise BadInput(
            f"--label says {told:.0f} kcal, and its own parts give {energy:.0f} kcal; read both "
            f"again (erythritol or acids can be the reason: write the entry by hand).",
            "label",
        )
    return energy


def entry(
    name: str, group: str, form: str, label: Mapping[str, float], allergens: Collection[str],
    *, keeps: str, caffeine_mg: float, per_ml: bool = False, density_g_ml: float | None = None,
    abv: float = 0.0,
) -> dict[str, object]:  # fmt: skip
    """The entry, as a pantry file has it, checked as one.

    `keeps` is a keeping class of the pantry, or "none" for what keeps unopened on a shelf;
    `caffeine_mg` is of 100 g, or of 100 ml as the label is. Both are asked for: cautions rest on
    them. Polyols count as sorbitol, sugars as sucrose, other carbohydrate as other dissolved
    solids, and water is what is left. Raises BadInput where the parts are more than the whole, or a
    density is needed.
    """
    if form != "liquid" and (per_ml or abv):
        raise BadInput(f"a {form} is labelled per 100 g, and has no % vol.", "form")
    checked(label, abv, per_ml)
    density = density_g_ml or 1.0
    for _ in range(60):
        by_volume = density if per_ml else 1.0
        parts = {
            "sucrose": label["sugars"] / by_volume,
            "sorbitol": label.get("polyols", 0.0) / by_volume,
            "other_solubles": max(
                label["carbohydrate"] - label["sugars"] - label.get("polyols", 0.0), 0.0
            )
            / by_volume,
            "caffeine": caffeine_mg / 1000 / by_volume,
            "milk_fat" if keeps == "dairy" else "fat": label["fat"] / by_volume,
            "protein": label["protein"] / by_volume,
            "salt": label["salt"] / by_volume,
            "fibre": label.get("fibre", 0.0) / by_volume,
            "ethanol": abv / 100 * ethanol.PURE_KG_M3 / 10 / density,
        }
        water = 100.0 - sum(parts.values())
        if water < -0.5:
            raise BadInput(
                f"--label sums to {100 - water:.1f} g in 100 g; read it again, and whether it is "
                f"per 100 g or per 100 ml.",
                "label",
            )
        parts["water"] = max(water, 0.0)
        if density_g_ml is not None or form != "liquid":
            break
        made = Mixture({key: grams for key, grams in parts.items() if grams}).density_kg_m3() / 1000
        done = abs(made - density) < 1e-7
        density = made
        if done:
            break
    total = sum(parts.values())
    grams = {key: round(100 * value / total, 4) for key, value in parts.items() if value > 0.00005}
    if keeps == "dairy" and "milk" not in {one.partition(":")[0] for one in allergens}:
        raise BadInput("--keeps is dairy, and --allergens does not say milk; add it.", "allergens")
    hazards = ["dairy"] if keeps == "dairy" else []
    hazards += ["caffeine"] if caffeine_mg else []
    hazards += ["polyol"] if label.get("polyols") else []
    kept = {} if keeps == "none" else {"keeps": keeps}
    row: dict[str, object] = {
        "name": " ".join(name.lower().split()), "group": group, "form": form, "per_100_g": grams,
        "allergens": list(allergens), "hazards": hazards, **kept, "source": "house",
        "obtained": "practice",
        "note": "from the label of the packet; sugars taken as sucrose, acid and minerals unknown",
    }  # fmt: skip
    house_entries({"ingredient": [row]})
    return row


def toml(row: Mapping[str, object]) -> str:
    """The entry as text for a pantry file."""

    def text(value: object) -> str:
        if isinstance(value, Mapping):
            return "{ " + ", ".join(f"{key} = {one:g}" for key, one in value.items()) + " }"
        if isinstance(value, list):
            return "[" + ", ".join(text(one) for one in value) + "]"
        quoted = str(value).replace("\\", "\\\\").replace('"', '\\"')
        return f'"{quoted}"'

    return "\n".join(["[[ingredient]]", *(f"{key} = {text(one)}" for key, one in row.items()), ""])
