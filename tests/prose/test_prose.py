"""The words that a person reads: no idiom, short sentences, short labels, two short caution lines.

`open.toml` holds the faults that each file still has: a number only goes down. It is written anew
by `python tests/prose/test_prose.py`, which refuses to raise one.
"""

from __future__ import annotations

import re
import shlex
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from prepkit import plan, registry
from prepkit.errors import PrepkitError
from prepkit.index import CALCULATORS
from prepkit.model import Answer, Caution
from prepkit.plan.plan import load_recipe
from prose import faults

HERE = Path(__file__).parent
OPEN_FILE = HERE / "open.toml"
LABEL = 5  # words of a label; what is in parentheses is its unit or condition
CAUTION = 20
# told whole, or a name: one word each
NAMES = ("allergen_list", "contents", "flagged_plants", "jurisdiction", "keg_missing", "not_known",
         "not_told", "unpriced", "gas_name", "order", "cryogen", "cryogens", "foamer")  # fmt: skip
UNITS = (
    "% vol|% w/w|%|bar|°C|°F|K|kg/m3|g/kg|mg/kg|mg/l|g/l|mg|kg|g|ml|l|m3|cm|mm|m|ppm|Bx|"
    "seconds|minutes|minute|min|hours|hour|h|days|day|times"
)
MEASURE = re.compile(rf"(\d[\d.,]*(?: (?:±|to) [\d.,]+)?) (?:{UNITS})(?![\w%/])")
OPTION = re.compile(r"(?:^|[\s\"'(])--?[a-z]")


@cache
def allowed() -> dict[str, dict[str, int]]:
    held: dict[str, dict[str, int]] = tomllib.loads(OPEN_FILE.read_text(encoding="utf-8"))
    return held


def words(text: str) -> int:
    """How many words, a number with its unit being one.

    >>> words("At 8 g and 40 % vol it burns."), words("13.1 ± 0.7 bar")
    (6, 1)
    """
    return len(MEASURE.sub(lambda found: found[1].replace(" ", ""), text).split())


def labels(name: str) -> Iterator[str]:
    """The labels of a calculator that are longer than a label is."""
    calculator = registry.load(name)
    said = {key: spec.label for key, spec in calculator.inputs.specs().items()}
    said |= {key: output.label for key, output in calculator.result.outputs().items()}
    for key, label in said.items():
        if len(re.sub(r"\([^)]*\)", "", label).split()) > LABEL:
            yield f"{name} {key}: {label}"


def answers() -> Iterator[tuple[str, Answer]]:
    """Every calculator's example, every situation, every item of the demo plans."""
    for name in CALCULATORS:
        said: dict[str, list[str]] = {}
        line = shlex.split(registry.load(name).example)[2:]
        for option, word in zip(line[::2], line[1::2], strict=True):
            said.setdefault(option[2:].replace("-", "_"), []).append(word)
        yield name, registry.run(name, {k: v if len(v) > 1 else v[0] for k, v in said.items()})
    for file in sorted((HERE.parent / "situations").glob("*.toml")):
        held = tomllib.loads(file.read_text(encoding="utf-8"))
        for one in held["situation"]:
            usual = held.get("words", {}).get(one["calculator"], {})
            told = {k: v for k, v in {**usual, **one["words"]}.items() if v != ""}
            try:
                yield one["id"], registry.run(one["calculator"], told)
            except PrepkitError:
                continue  # its sentence is judged with the code
    for file in sorted((HERE.parent.parent / "recipes").glob("*.toml")):
        for one in plan.make_plan(load_recipe(file), serves=40).made:
            yield f"{file.name} {one.item.id}", one.answer


def long(caution: Caution, known: dict[str, object]) -> Iterator[str]:
    """What is wrong with the words of a caution as it comes out."""
    for part, text in (("text", caution.text), ("do", caution.action)):
        short = text.removeprefix(registry.WITHIN).removeprefix("Within the bench's ±:")
        for name in NAMES:
            if known.get(name):
                short = short.replace(str(known[name]), "name")
        if (found := words(short)) > CAUTION:
            yield f"{caution.id} {part}, {found} words: {text}"
    if OPTION.search(f"{caution.text} {caution.action} {caution.more}"):
        yield f"{caution.id} names an option: {caution.text} {caution.action} {caution.more}"


@cache
def said_too_long() -> dict[str, str]:
    """The worst fault of each caution that comes out of any answer, by its id."""
    found: dict[str, str] = {}
    for where, answer in answers():
        facts = dict(answer.result.facts)
        for caution in answer.cautions:
            known = {**facts, **_about(answer)}
            for fault in long(caution, known):
                found.setdefault(caution.id, f"{where}: {fault}")
    return found


def _about(answer: Answer) -> dict[str, object]:
    from prepkit import cautions

    return dict(cautions.about(answer.result.product))


def test_faults_are_found() -> None:
    for bad in (
        "It comes to nothing.",
        "Kept at 5 C or colder.",
        "It is warm: too warm; leave it out, or: cool it.",
        "What is diluted.",
        "word " * 19,
    ):
        assert faults.faults(faults.Text(1, bad, True)), bad
    for good in ("Keep it at 5 °C or colder.", "What holds it?", 'Write "5 C".', "5 C"):
        assert not faults.faults(faults.Text(1, good, True)), good


@pytest.mark.parametrize("name", faults.paths())
def test_words_of_a_file(name: str) -> None:
    found = faults.faults_of(name)
    assert len(found) <= allowed()["files"].get(name, 0), "\n".join(found)


@pytest.mark.parametrize("name", CALCULATORS)
def test_labels_of_a_calculator(name: str) -> None:
    found = list(labels(name))
    assert len(found) <= allowed()["labels"].get(name, 0), "\n".join(found)


def test_cautions_come_out_as_two_short_lines() -> None:
    found = said_too_long()
    unknown = found.keys() - allowed()["cautions"].keys()
    assert not unknown, "\n".join(found[one] for one in sorted(unknown))


def write() -> None:
    """Write `open.toml` anew; a number that would rise is an error."""
    now = {
        "files": {name: len(found) for name in faults.paths() if (found := faults.faults_of(name))},
        "labels": {name: len(found) for name in CALCULATORS if (found := list(labels(name)))},
        "cautions": dict.fromkeys(sorted(said_too_long()), 1),
    }
    before = allowed() if OPEN_FILE.exists() else {}
    risen = [
        f"{key}: {count}, was {before[of].get(key, 0)}"
        for of, counts in now.items()
        for key, count in counts.items()
        if of in before and count > before[of].get(key, 0)
    ]
    if risen:
        sys.exit("risen:\n" + "\n".join(risen))
    lines = ["# Faults that are still there: a number only goes down (test_prose.py writes this)."]
    for of, counts in now.items():
        lines += ["", f"[{of}]", *(f'"{key}" = {count}' for key, count in counts.items())]
    OPEN_FILE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()


def test_a_formula_is_read_and_only_a_file_to_begin_with_is_not() -> None:
    long = "and a " * 20 + "sum."
    assert faults.faults(faults.Text(1, f"p = n R T / V {long}", True))
    assert faults.faults(faults.Text(1, f"Write\nrated = 17\n{long}", True))
    assert faults.faults(faults.Text(1, f"# It is {long}\ntitle = 3\n", True))
    assert not faults.faults(faults.Text(1, f'# A file.\ntitle = "{long}"\npart = {long}', True))
