"""Every command line printed in the README runs, and its exit status is the one printed."""

from __future__ import annotations

import doctest
import io
import re
import shlex
import shutil
from pathlib import Path

import pytest

from prepkit.cli import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
_ALL = re.findall(r"^prepkit [^\n]+", README, re.MULTILINE)
HISTORY = [line for line in _ALL if line.startswith("prepkit history ")]  # each writes, in order
STOCK = [line for line in _ALL if line.startswith("prepkit stock ")]  # the same
BENCH = [line for line in _ALL if line.startswith("prepkit bench ")]  # the same
LINES = [line for line in _ALL if line not in (*HISTORY, *STOCK, *BENCH)]


@pytest.mark.parametrize("line", LINES)
def test_readme_line_runs(
    line: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    words, _, comment = line.partition("  # exit ")
    words = re.sub(r" > \S+$", "", words)  # what a shell writes to a file is shown here
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words)[1:])
    out, err = capsys.readouterr()
    assert (ended.value.code or 0) == int(comment or 0), err
    assert out.strip() or ended.value.code == 2


def test_readme_line_of_a_new_recipe_runs(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Enter to every question, as `yes ""` answers; what is written then passes its check."""
    found = re.search(r'^yes "" \| prepkit ([^\n#]+?)  # ', README, re.MULTILINE)
    assert found
    words = shlex.split(found[1])
    monkeypatch.chdir(tmp_path)
    for said in (words, ["plan", words[-1], "--check"]):
        monkeypatch.setattr("sys.stdin", io.StringIO("\n" * 100))
        with pytest.raises(SystemExit) as ended:
            main(said)
        assert not ended.value.code, capsys.readouterr().err
    assert (tmp_path / words[-1]).read_text(encoding="utf-8").strip()


def test_readme_lines_of_versions_run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "my-recipe.toml"
    text = (ROOT / "recipes/free-otter.toml").read_text(encoding="utf-8")
    file.write_text(text.replace("house = ", "# house = "), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for line in HISTORY:
        with pytest.raises(SystemExit) as ended:
            main(shlex.split(line)[1:])
        assert not ended.value.code, capsys.readouterr().err


def test_readme_lines_of_the_stock_run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    for line in STOCK:
        with pytest.raises(SystemExit) as ended:
            main(shlex.split(line, comments=True)[1:])
        assert not ended.value.code, f"{line}: {capsys.readouterr().err}"


def test_readme_lines_of_the_bench_run(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    shutil.copytree(ROOT / "recipes", tmp_path / "recipes")
    monkeypatch.chdir(tmp_path)
    for line in BENCH:
        with pytest.raises(SystemExit) as ended:
            main(shlex.split(line)[1:])
        assert not ended.value.code, f"{line}: {capsys.readouterr().err}"


def test_readme_python_runs() -> None:
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL)
    assert code
    exec(compile(code[1], "README.md", "exec"), {})


def test_first_paragraph_states_the_job() -> None:
    first = README.split("\n\n")[1]
    for word in ("oleo-saccharum", "acid", "nitrogen", "weigh", "chargers", "cautions"):
        assert word in first


def test_safety_page_defers() -> None:
    text = (ROOT / "SAFETY.md").read_text(encoding="utf-8").lower()
    for who in ("local codes", "maker's manual", "gas supplier", "competent"):
        assert who in text


def test_root_holds_only_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "SAFETY.md", "LICENSE", "pyproject.toml",
              "prepkit", "tests", "recipes"}  # fmt: skip
    made = {"build", "dist", "PKG-INFO", "setup.cfg", "MANIFEST.in"}  # by a build, in an archive
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}
    assert {name for name in found if not name.endswith(".egg-info")} - made <= agreed


def test_public_docstring_examples() -> None:
    import prepkit

    assert doctest.testmod(prepkit).failed == 0


def test_what_is_waved_through_says_why() -> None:
    """A lint or type rule is set aside, or a test skipped, only with its reason beside it."""
    rule = r"(?:noqa(?:: [A-Z]+[0-9]+(?:, ?[A-Z]+[0-9]+)*)?|type: ignore(?:\[[a-z, -]+\])?)"
    waved = re.compile(rf"# ?{rule}\s*(?:# ?fmt.*)?$")
    for path in (*ROOT.glob("prepkit/**/*.py"), *ROOT.glob("tests/**/*.py")):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            assert not waved.search(line), f"{path.name}:{number}: {line.strip()}"


@pytest.mark.parametrize("folder", ["", "shared", "page"])
def test_every_module_is_named_for_developers(folder: str) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    told = set(re.findall(r"`(?:\w+/)?(\w+)(?:\.py)?`", text))
    found = {p.stem for p in (ROOT / "prepkit" / folder).glob("*.py") if p.stem[:2] != "__"}
    assert found <= told, sorted(found - told)
