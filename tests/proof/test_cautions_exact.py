"""What the rules are judged on and what is said: every row as it stands in its file, no other."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from prepkit import cautions, derived, jurisdictions
from prepkit.cautions import Condition, Row
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Caution

ROWS = cautions.rows()
TRIGGERED = [row for row in ROWS if not row.standing]


class Facts(dict[str, Any]):
    """Facts that have a 1 for whatever a text may name; only what was set is judged."""

    def __missing__(self, name: str) -> float:
        return 1.0


def past(condition: Condition) -> Any:
    """A fact just past a limit."""
    rule, limit = condition.rule, condition.limit
    if rule == "missing":
        return None
    if rule in ("is", "has"):
        one = limit[0] if isinstance(limit, tuple) else limit
        return {one} if rule == "has" else one
    assert isinstance(limit, int | float)
    return limit + {"above": 1e-6, "at_least": 0, "below": -1e-6, "at_most": 0}[rule]


def facts_of(row: Row) -> Facts:
    facts = Facts()
    for condition in row.when:
        facts.setdefault(condition.fact, past(condition))
    for name in facts:  # a window on one fact: its middle
        limits = [c.limit for c in row.when if c.fact == name and c.limit is not None]
        if len(limits) == 2 and all(isinstance(one, int | float) for one in limits):
            facts[name] = sum(limits) / 2
    facts.update(jurisdictions.rules(facts.get("tags") or frozenset(), None))
    return facts


def named_in(row: Row) -> Sequence[str]:
    names = row.calculators
    return ["blend", "siphon"] if cautions.ANY in names else names


def strictly(facts: Facts) -> Facts:
    """The facts as a text has them: a highest figure never less than it is, a lowest never more."""
    shown = Facts(facts)
    for name, value in facts.items():
        tenths = 100 if name in cautions.BOUNDS and value < 1 else 10
        if name in cautions.BOUNDS:
            shown[name] = math.ceil(value * tenths - 1e-9) / tenths
        elif name in cautions.LEASTS:
            shown[name] = math.floor(value * tenths + 1e-9) / tenths
    return shown


def test_a_row_that_holds_is_said_as_it_stands() -> None:
    worse = {"stop": ("stop",), "care": ("care", "stop"), "note": cautions.VERDICTS}
    for row in TRIGGERED:
        facts = facts_of(row)
        shown = strictly(facts)
        expected = Caution(
            row.id, row.kind, row.severity, row.text.format_map(shown),
            row.action.format_map(shown), str(facts.get(row.source_from) or row.source), False,
            row.more.format_map(shown),
        )  # fmt: skip
        for name in named_in(row):
            found = {one.id: one for one in cautions.judge(name, facts)}
            assert found[row.id] == expected
            assert cautions.verdict(found.values()) in worse[row.severity], row.id


def test_a_row_speaks_to_the_calculators_it_names_alone() -> None:
    for row in TRIGGERED:
        others = [name for name in CALCULATORS if name not in row.calculators]
        if cautions.ANY in row.calculators:
            continue
        for name in others[:2]:
            found = {one.id for one in cautions.judge(name, facts_of(row))}
            assert row.id not in found, (row.id, name)


@pytest.mark.parametrize("name", CALCULATORS)
def test_standing_lines_stand_whatever_the_facts(name: str) -> None:
    found = cautions.judge(name, {})
    assert [(one.kind, one.standing) for one in found if one.standing] == [
        (kind, True) for kind in ("pressure", "cryogen", "inhalation")
    ]
    own = {row.id: row for row in ROWS if row.standing and name in row.calculators}
    for one in found:
        if one.standing:
            row = own[one.id]
            assert (one.text, one.action, one.source, one.severity) == (
                row.text.format_map({"gas_breath": cautions.GAS_BREATH[""]}), row.action,
                row.source, "note",
            )  # fmt: skip
    assert cautions.verdict(found) == "clear"


def test_most_serious_first_standing_last_and_each_once() -> None:
    def line(name: str, kind: str, severity: str, standing: bool = False) -> Caution:
        return Caution(name, kind, severity, name, "", "", standing)

    expected = [
        line("a", "pressure", "stop"), line("b", "equipment", "stop"), line("c", "fire", "care"),
        line("d", "keeping", "care"), line("e", "pressure", "note"),
        line("f", "pressure", "note", True), line("g", "inhalation", "note", True),
    ]  # fmt: skip
    shuffled = [expected[i] for i in (6, 3, 0, 4, 2, 5, 1, 0, 3)]
    assert list(cautions.ordered(shuffled)) == expected
    # one row that speaks of two things is two cautions
    other = Caution("a", "pressure", "stop", "of something else", "", "", False)
    assert len(cautions.ordered([expected[0], other])) == 2


@pytest.mark.parametrize(
    ("rule", "limit", "fact", "expected"),
    [
        ("is", "co2", "co2", True), ("is", "co2", "n2o", False),
        ("is", ["co2", "n2"], "n2", True), ("is", ["co2", "n2"], "n2o", False),
        ("is", True, True, True), ("is", True, False, False),
        ("has", "milk", {"milk", "eggs"}, True), ("has", "milk", {"eggs"}, False),
        ("has", ["milk", "nuts"], {"nuts"}, True), ("has", ["milk", "nuts"], {"eggs"}, False),
        ("has", "milk", set(), False),
        ("above", 5, 5.1, True), ("above", 5, 5, False),
        ("at_least", 5, 5, True), ("at_least", 5, 4.9, False),
        ("below", 5, 4.9, True), ("below", 5, 5, False),
        ("at_most", 5, 5, True), ("at_most", 5, 5.1, False),
    ],
)  # fmt: skip
def test_a_rule_and_its_limit(rule: str, limit: Any, fact: Any, expected: bool) -> None:
    condition = Condition("x", rule, tuple(limit) if isinstance(limit, list) else limit)
    assert cautions.holds(condition, {"x": fact}) is expected
    # nothing is judged on what is not known
    assert not cautions.holds(condition, {"x": None})
    assert not cautions.holds(condition, {})


def test_the_dust_of_a_sum_decides_nothing() -> None:
    """A row from 20 % on holds where a sum came to 19.999999999999996, and not at 19.99999999."""

    def said(percent: float) -> bool:
        facts = Facts(stock_citric_percent=percent)
        return "acid-stock-strong" in {one.id for one in cautions.judge("blend", facts)}

    assert said(20.0)
    assert said(20.0 - 4e-15)
    assert not said(20.0 - 1e-8)


def test_missing_is_what_is_asked_for_and_not_told() -> None:
    condition = Condition("x", "missing")
    assert cautions.holds(condition, {"x": None})
    assert not cautions.holds(condition, {"x": 0.0})
    assert not cautions.holds(condition, {})


# what every mixture says


def test_facts_of_a_mixture_by_hand() -> None:
    """400 g milky spirit: 100 g of ethanol, 20 g fat, 4 g oil of peel, 0.2 g caffeine."""
    mixture = Mixture(
        {"water": 0.2758, "ethanol": 0.1, "milk_fat": 0.012, "fat": 0.008, "essential_oil": 0.004,
         "caffeine": 0.0002},
        frozenset({"milk", "nuts:almond", "nuts:hazelnut"}), frozenset({"raw-egg"}),
        frozenset({"dairy"}),
    )  # fmt: skip
    facts = cautions.about(mixture)
    assert facts["allergens"] == {"milk", "nuts"}
    assert facts["allergen_list"] == "milk, nuts: almond, nuts: hazelnut"
    assert facts["tags"] == {"raw-egg"}
    assert facts["keeps"] == {"dairy"}
    assert facts["abv_percent"] == pytest.approx(100 * mixture.abv)
    assert facts["abv_percent"] > 20.0
    assert facts["ethanol_g"] == pytest.approx(100.0)
    assert facts["caffeine_mg"] == pytest.approx(200.0)
    assert facts["fat_percent"] == pytest.approx(5.0)
    assert facts["essential_oil_percent"] == pytest.approx(1.0)
    assert facts["acid_percent"] == 0.0
    assert cautions.about(None) == {}
    assert cautions.about(Mixture({})) == {}


def test_facts_of_acids_by_hand() -> None:
    """1 kg: 2 % citric, 1 malic, 0.5 fumaric, 3 tartaric, 1 succinic, 4 lactic, 0.07 phosphoric."""
    masses = {"citric": 0.02, "malic": 0.01, "fumaric": 0.005, "tartaric": 0.03, "succinic": 0.01,
              "lactic": 0.04, "phosphoric": 0.0007, "acetic": 0.006}  # fmt: skip
    mixture = Mixture({**masses, "water": 1.0 - sum(masses.values())})
    facts = derived.of_acids(mixture)
    for acid, mass in masses.items():
        assert facts[f"{acid}_percent"] == pytest.approx(100.0 * mass)
    assert facts["acid_percent"] == pytest.approx(12.17)
    assert facts["eye_irritant_percent"] == pytest.approx(3.5)
    assert facts["eye_damage_percent"] == pytest.approx(4.0)
    assert facts["stock_citric_percent"] == pytest.approx(100.0 * mixture.acidity_as_citric)
    litres = 1000.0 * mixture.volume_20_m3
    assert facts["phosphoric_mg_l"] == pytest.approx(700.0 / litres, rel=1e-9)
    assert facts["ph_at_most"] is None
    # fumaric acid is the one that stays undissolved: about 0.5 g in 100 g of water at 20 C
    assert facts["undissolved_acid"] == "fumaric acid"
    most = facts["undissolved_most_percent"]
    assert 0.3 < most < 0.7
    water = 1.0 - sum(masses.values())
    assert facts["undissolved"] == pytest.approx(0.005 / water * (100.0 - most) / most)
    assert facts["undissolved_known_c"] == 25.0  # nothing colder was read


def test_phosphoric_acid_of_no_known_density_counts_as_a_kilogram_a_litre() -> None:
    strong = Mixture({"phosphoric": 0.9, "water": 0.1})
    assert derived.of_acids(strong)["phosphoric_mg_l"] == pytest.approx(900_000.0, rel=1e-9)


def test_what_dissolves_is_asked_at_20_c() -> None:
    mixture = Mixture({"water": 0.5, "citric": 0.5})
    at_20_c = derived.saturation(mixture, 20.0)["citric"]
    facts = derived.of_acids(mixture)
    assert (facts["undissolved"], facts["undissolved_known_c"]) == (at_20_c[0], 20.0)


def test_garlic_is_asked_for_its_ph_at_the_worse_end() -> None:
    garlic = frozenset({"garlic-family"})
    sour = Mixture({"water": 0.98, "citric": 0.02}, frozenset(), garlic)
    assert derived.of_acids(sour)["ph_at_most"] == sour.ph.value + sour.ph.plus_minus
    # with nothing sour in it no pH is known, and the worst is taken
    assert derived.of_acids(Mixture({"water": 1.0}, frozenset(), garlic))["ph_at_most"] == 14.0
    assert derived.of_acids(Mixture({"water": 1.0}))["ph_at_most"] is None


def test_saturation_by_hand() -> None:
    from prepkit.science import acids

    mixture = Mixture({"water": 0.5, "citric": 0.4, "lactic": 0.1})
    found = derived.saturation(mixture, 20.0)
    assert set(found) == {"citric"}  # lactic acid mixes with water in any share
    most = acids.solubility_mass_fraction("citric", 20.0)
    ratio, known, at_c = found["citric"]
    assert ratio == pytest.approx(0.4 / 0.5 / (most / (1.0 - most)))
    assert (known, at_c) == (True, 20.0)
    low, high = acids.solubility_range_c("citric")
    # colder than is known: the lowest known figure, and said so; warmer, what is known holds too
    cold, warm = (derived.saturation(mixture, t)["citric"] for t in (low - 5.0, high + 5.0))
    assert (cold[1], cold[2]) == (False, low)
    assert (warm[1], warm[2]) == (True, high)
    assert derived.saturation(mixture, low)["citric"][1] is True
    dry = derived.saturation(Mixture({"citric": 1.0}), 20.0)
    assert dry["citric"][0] == float("inf")
    assert derived.of_acids(Mixture({"citric": 1.0}))["undissolved"] is None
    nothing = derived.of_acids(Mixture({"water": 1.0}))
    for name in ("undissolved", "undissolved_acid", "undissolved_most_percent",
                 "undissolved_known_c"):  # fmt: skip
        assert nothing[name] is None
    assert nothing["phosphoric_mg_l"] == 0.0


# the rows themselves


def as_written(row: Row) -> dict[str, Any]:
    """A row as its file has it."""
    plain = {
        name: getattr(row, name) for name in ("id", "kind", "severity", "text", "action", "source")
    }
    for name in ("more", "source_from"):
        if getattr(row, name):
            plain[name] = getattr(row, name)
    if row.unless_stop:
        plain["unless_stop"] = True
    if row.standing:
        return {**plain, "standing": list(row.calculators)}
    when: list[dict[str, Any]] = []
    for one in row.when:
        limit = list(one.limit) if isinstance(one.limit, tuple) else one.limit
        missing = {} if one.rule == "missing" else {"limit": limit}
        when.append({"fact": one.fact, "rule": one.rule, **missing})
    return {**plain, "calculators": list(row.calculators), "when": when}


def test_rows_are_those_of_the_files_in_their_order() -> None:
    folder = Path(cautions.__file__).parent / "data" / "cautions"
    limits = tomllib.loads((folder.parent / "air_limits.toml").read_text(encoding="utf-8"))

    def named(text: str) -> str:
        """The files with each limit of the air put in by its name."""
        for name, one in limits.items():
            text = text.replace(f'"@{name}"', f"{one['value']}")
            text = text.replace(f"@{name}", f"{one['value']}")
        return text

    written = [
        row
        for path in sorted(folder.glob("*.toml"))
        for row in tomllib.loads(named(path.read_text(encoding="utf-8")))["caution"]
    ]
    assert [as_written(row) for row in cautions.rows()] == written
    assert len(written) > 200


def test_the_line_of_a_page_is_that_of_its_file_and_no_page_goes_without() -> None:
    path = Path(cautions.__file__).parent / "data" / "page_lines.toml"
    tables = tomllib.loads(path.read_text(encoding="utf-8"))
    assert {"pantry", "wall", "drill"} <= set(tables)
    for page, row in tables.items():
        assert cautions.page_line(page) == row["text"]
    with pytest.raises(KeyError, match="cellar"):
        cautions.page_line("cellar")
