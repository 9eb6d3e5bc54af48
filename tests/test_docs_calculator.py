"""The calculator printed in DEVELOPERS.md, put into a copy of the tree, passes every check."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = PAGE.partition("\n## Add a calculator\n")[2].partition("\n## ")[0]
PATHS = re.findall(r"`((?:prepkit|tests)/[\w/]*strain\.\w+)`", SECTION)
COPIED = (
    "prepkit",
    "tests",
    "recipes",
    "pyproject.toml",
    "README.md",
    "SAFETY.md",
    "DEVELOPERS.md",
)
# what is asked of any calculator by name
ASKED = (
    "tests/test_cautions.py", "tests/test_model.py",
    "tests/test_registry.py",
    "tests/cli/test_cli.py", "tests/cli/test_help.py",
    "tests/render/test_short.py", "tests/plan/test_items.py", "tests/plan/test_recipe_file.py",
    "tests/proof/test_cautions_exact.py", "tests/calculators/test_strain.py",
)  # fmt: skip
TESTS = '''"""strain: balance and scaling, each caution from words, bad input."""

import pytest
from calculators.helpers_drink import assert_finite, assert_scales, ids, value

from prepkit.errors import BadInput
from prepkit.registry import run

PARTS = ["200 g whole milk", "800 g spirit 50 %"]


def test_strain() -> None:
    answer = run("strain", {"part": PARTS, "kept": "60 g"})
    assert value(answer, "mass") == pytest.approx(940.0)
    assert answer.verdict == "clear"
    assert_finite(answer)
    twice = run("strain", {"part": PARTS * 2, "kept": "120 g"})
    assert_scales(answer, twice, 2.0)
    assert "strain-keeps-much" in ids(run("strain", {"part": PARTS, "kept": "250 g"}))
    with pytest.raises(BadInput, match="less than the 1000 g"):
        run("strain", {"part": PARTS, "kept": "1 kg"})


def test_strain_not_weighed() -> None:
    answer = run("strain", {"part": PARTS})
    assert set(answer.values) == {"abv"}
    assert answer.verdict == "care"
    assert {"strain-not-weighed", "allergens-to-declare", "alcohol-content"} <= ids(answer)
'''


def printed(language: str) -> list[str]:
    """The blocks of the section in one language, as a file has them."""
    blocks = re.findall(rf"^( *)```{language}\n(.*?)^\1```$", SECTION, re.DOTALL | re.MULTILINE)
    return [textwrap.dedent(text) for _, text in blocks]


def run(tree: Path, *words: str) -> str:
    """What a command of the section prints in the copy."""
    # without what a worker of pytest-xdist, or an option of this run, would pass on
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    env["PYTHONPATH"] = "."
    done = subprocess.run(
        [sys.executable, *words], cwd=tree, env=env, capture_output=True, text=True, timeout=500,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-3000:]
    return done.stdout


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the tree with what the five steps print in it."""
    copy = tmp_path_factory.mktemp("tree")
    for name in COPIED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, copy / name)  # with what Python has compiled of it
        else:
            shutil.copy(ROOT / name, copy / name)
    code, line = printed("python")
    rows, always = printed("toml")
    calculator, cautions, tests = (copy / path for path in PATHS)
    calculator.write_text(code, encoding="utf-8")
    standing = rows.partition("\n\n")[0]
    for kind in ("cryogen", "inhalation"):  # the page prints one of the three
        rows += "\n" + standing.replace("pressure", kind).replace("A sieve", f"({kind}) A sieve")
        rows += "\n"
    cautions.write_text(rows, encoding="utf-8")
    tests.write_text(TESTS, encoding="utf-8")
    index = copy / "prepkit/index.py"
    before, opened, after = index.read_text(encoding="utf-8").partition("]] = {\n")
    index.write_text(before + opened + textwrap.indent(line, "    ") + after, encoding="utf-8")
    with (copy / "prepkit/data/always.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n{always}")
    facts = copy / "prepkit/facts.py"
    names = facts.read_text(encoding="utf-8").replace(
        "    kept_unknown: Flag\n", "    kept_percent: Number\n    kept_unknown: Flag\n"
    )
    facts.write_text(names, encoding="utf-8")
    run(copy, "-m", "prepkit.blocks")
    run(copy, "tests/published/rests.py")
    run(copy, "-m", "cogapp", "-r", "README.md", "SAFETY.md", "DEVELOPERS.md")
    return copy


def test_it_names_its_three_files() -> None:
    assert PATHS == [
        "prepkit/calculators/strain.py",
        "prepkit/data/cautions/strain.toml",
        "tests/calculators/test_strain.py",
    ]


def test_it_answers(tree: Path) -> None:
    said = json.loads(
        run(
            tree,
            "-m",
            "prepkit",
            "strain",
            "--part",
            "1 kg lemon juice",
            "--kept",
            "60 g",
            "--json",
        )
    )
    assert said["values"]["mass"]["value"] == pytest.approx(940.0)


def test_it_passes_what_is_asked_of_every_calculator(tree: Path) -> None:
    run(tree, "-m", "pytest", "-p", "no:cacheprovider", *ASKED, "-k", "strain or rests")


def test_it_is_in_the_documents(tree: Path) -> None:
    assert "| `strain` | What runs through" in (tree / "README.md").read_text(encoding="utf-8")
    assert "`strain-keeps-much`" in (tree / "SAFETY.md").read_text(encoding="utf-8")


def test_it_is_formatted_linted_and_typed(tree: Path) -> None:
    files = [*PATHS[::2], "prepkit/index.py"]
    run(tree, "-m", "ruff", "check", *files)
    run(tree, "-m", "ruff", "format", "--check", *files)
    run(tree, "-m", "mypy", PATHS[0])
