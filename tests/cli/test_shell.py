"""prepkit in a shell: completion, environment, quiet, errors as JSON, standard input, versions."""

from __future__ import annotations

import io
import json
from pathlib import Path

import click
import pytest
from cli.asking import BLEND, ROOT, STOP, call, ran
from cli.test_bare import ALL

from prepkit import __version__, cli, errors
from prepkit.calculators.foam.inputs import WHERE
from prepkit.index import VERSIONS
from prepkit.registry import load

RECIPE = ROOT / "recipes" / "free-otter.toml"
HOUSE = ROOT / "recipes"
NAMES_A_FILE = {"file", "measured", "new", "out", "check"}
NAMES_A_FOLDER = {"house", "recipes"}


# completion


def completed(words: str, begun: str) -> list[str]:
    """What a shell is offered after the words, for what is begun."""
    from click.shell_completion import ShellComplete

    from prepkit.cli import cli

    shell = ShellComplete(cli, {}, "prepkit", "_PREPKIT_COMPLETE")
    found = shell.get_completions(words.split(), begun)
    return [f"{one.type}:{one.value}" if one.type != "plain" else one.value for one in found]


def test_names_are_completed_behind_their_amount() -> None:
    assert "700 ml lemon juice" in completed("blend --part", "700 ml lem")
    assert "1.5 kg white sugar" in completed("oleo --peel", "1.5 kg white s")
    assert "2 lemons" in completed("blend --part", "2 lem")
    assert "white sugar" in completed("cordial --sweeten", "white")
    assert all(one.startswith("1 l ") for one in completed("siphon --contents", "1 l c"))
    assert completed("blend --part", "") == []
    assert completed("blend --part", "700 ml zzz") == []


def test_choices_files_and_folders_are_completed() -> None:
    assert set(completed("siphon --gas", "n")) == {"n2o", "n2"}
    assert completed("plan", "rec") == ["file:rec"]
    assert completed("plan --house", "rec") == ["dir:rec"]
    assert completed("plan --demo", "w") == ["warm-brasswick"]
    assert {"eu", "us"} <= set(completed("label recipe x.toml --jurisdiction", ""))
    assert "cordial" in completed("", "co")
    assert "--vessel-volume" in completed("siphon", "--vess")
    assert completed("schema", "a") == ["answer"]


@pytest.mark.parametrize("words", ALL)
def test_every_file_folder_and_choice_has_its_type(words: str) -> None:
    name = words.rsplit(maxsplit=1)[-1] if words else ""
    specs = load(name).inputs.specs() if name in console_calculators() else {}
    for one in ALL[words].params:
        if one.name in NAMES_A_FILE - {*specs} and not isinstance(
            one.type, click.types.BoolParamType
        ):
            assert isinstance(one.type, click.Path), one.name
        if one.name in NAMES_A_FOLDER:
            assert isinstance(one.type, cli.FolderName), one.name
        spec = specs.get(one.name or "")
        if spec is not None and spec.choices:
            assert isinstance(one.type, click.Choice), one.name
            assert tuple(one.type.choices) == tuple(spec.choices)
        if spec is not None and spec.kind in ("part", "parts", "ingredient"):
            assert isinstance(one.type, cli.IngredientWords), one.name


def console_calculators() -> tuple[str, ...]:
    from prepkit.index import CALCULATORS

    return tuple(CALCULATORS)


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_script_for_each_shell(shell: str) -> None:
    code, out, _ = ran("", more={"_PREPKIT_COMPLETE": f"{shell}_source"})
    assert code == 0 or shell == "bash"  # an old or missing bash is told by click
    assert b"_PREPKIT_COMPLETE" in out


# environment


def test_units_by_the_environment(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    _, us, _ = call(f"{BLEND} --units us", capsys)
    monkeypatch.setenv(cli.UNITS, "us")
    assert call(BLEND, capsys)[1] == us
    _, metric, _ = call(f"{BLEND} --units metric", capsys)
    assert metric != us
    monkeypatch.setenv(cli.UNITS, "")
    assert call(BLEND, capsys)[1] == metric
    monkeypatch.setenv(cli.UNITS, "cubits")
    code, _, err = call(BLEND, capsys)
    assert code == 2
    assert cli.UNITS in err
    assert "cubits" in err


def test_the_environment_goes_before_the_house_and_the_option_before_both(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = f"plan {RECIPE} --serves 4"
    _, us, _ = call(f"{words} --units us", capsys)
    _, metric, _ = call(f"{words} --units metric", capsys)
    monkeypatch.setenv(cli.UNITS, "us")
    assert call(words, capsys)[1] == us
    assert call(f"{words} --units metric", capsys)[1] == metric


def test_house_by_the_environment(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    alone = tmp_path / "alone.toml"
    alone.write_bytes((ROOT / "recipes" / "cold-semaphore.toml").read_bytes())
    assert call(f"plan {alone} --serves 4", capsys)[0] == 4
    monkeypatch.setenv(cli.HOUSE, str(HOUSE))
    assert call(f"plan {alone} --serves 4", capsys)[0] == 0
    assert call(f"label {alone} --made 2026-11-25", capsys)[0] == 0
    assert call(f"card plan {alone} --serves 4 --date 2026-11-25", capsys)[0] == 0
    monkeypatch.setenv(cli.HOUSE, str(tmp_path / "nowhere"))
    assert call(f"plan {alone} --serves 4", capsys)[0] == 4


def test_jurisdiction_by_the_environment(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    words = "keep --part '1 kg lemon juice' --ph 2.6 --json"
    monkeypatch.setenv(cli.JURISDICTION, "us")
    assert json.loads(call(words, capsys)[1])["inputs"]["jurisdiction"] == "us"
    label = f"label {RECIPE} --made 2026-11-25 --json"
    found = json.loads(call(label, capsys)[1])["labels"]
    assert {one["allergens"]["jurisdiction"] for one in found} == {"us"}
    found = json.loads(call(f"{label} --jurisdiction eu", capsys)[1])["labels"]
    assert {one["allergens"]["jurisdiction"] for one in found} == {"eu"}
    monkeypatch.setenv(cli.JURISDICTION, "atlantis")
    for refused in (words, "oleo --peel '1 kg lemon peel' --sugar '1 kg'", label):
        code, out, err = call(refused, capsys)
        assert (code, out) == (2, "")
        assert "atlantis" in err
        assert cli.JURISDICTION in err
    assert call(BLEND, capsys)[0] == 0  # it takes none
    assert WHERE


# quiet


@pytest.mark.parametrize(
    ("words", "code", "verdict"),
    [
        (BLEND, 0, "CLEAR"),
        (STOP, 3, "STOP"),
        ("plan recipes/cold-semaphore.toml --serves 12", 0, "CARE"),
        ("plan --demo --measured recipes/measured/cold-semaphore.toml", 0, "CARE"),
    ],
)
def test_quiet_is_the_verdict_line_alone(
    words: str, code: int, verdict: str, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(ROOT)
    found, out, err = call(f"{words} --quiet", capsys)
    assert (found, err) == (code, "")
    assert out.startswith(f"Verdict: {verdict} ")
    assert out.count("\n") == 1


@pytest.mark.parametrize("other", ["--json", "--csv", "--batch", "--compare 2,4"])
def test_quiet_goes_alone(other: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"plan {RECIPE} --quiet {other}", capsys)
    assert (code, out) == (2, "")
    assert "does not go with" in err
    assert call(f"{BLEND} --json --quiet", capsys)[0] == 2


# errors as JSON


def codes() -> dict[str, int]:
    """Every code of the tree with its exit status."""
    found: dict[str, int] = {}
    left: list[type[errors.PrepkitError]] = [errors.PrepkitError]
    while left:
        one = left.pop()
        found[one.code] = one.exit_status
        left += [other for other in one.__subclasses__() if other.__module__.startswith("prepkit")]
    return found


@pytest.mark.parametrize(
    ("words", "code", "field"),
    [
        ("blend --json", "bad-input", "part"),
        ("blend --part '700 ml spirt 43 %' --json", "unknown-name", "part"),
        ("blend --json --part '1 l water' --temperature 5", "bad-quantity", None),
        ("blend --part '1 l water' --colour red --json", "bad-input", None),
        ("blend --part '1 l water' --units feet --json", "bad-input", "units"),
        ("blnd --json", "bad-input", None),
        ("plan nowhere.toml --json", "file-problem", None),
        ("plan pyproject.toml --json", "bad-recipe", None),
        ("pantry zzzz --json", "unknown-name", None),
        ("label nowhere.toml --json", "file-problem", None),
    ],
)
def test_an_error_under_json_is_json(
    words: str, code: str, field: str | None, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(ROOT)
    status, out, err = call(words, capsys)
    assert out == ""
    assert err.count("\n") == 1
    said = json.loads(err)["error"]
    assert said["code"] == code
    assert said["exit_status"] == status == codes()[code]
    assert said["message"].endswith((".", "?", '"'))
    if field is not None:
        assert said["field"] == field


# standard input, versions


def test_a_plan_from_standard_input(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = (ROOT / "recipes" / "cold-semaphore.toml").read_bytes()
    _, expected, _ = call("plan recipes/cold-semaphore.toml --serves 12", capsys)
    code, out, err = ran("plan - --house recipes --serves 12", text)
    assert (code, err) == (0, "")
    shown = out.decode().replace("standard input", "recipes/cold-semaphore.toml")
    assert shown.split() == expected.split()
    for words, status in (
        (f"plan - --house {HOUSE} --check", 0),
        (f"label - --house {HOUSE} --made 2026-11-25", 0),
        (f"card plan - --house {HOUSE}", 0),
    ):
        monkeypatch.setattr("sys.stdin", io.StringIO(text.decode()))
        assert call(words, capsys)[0] == status


@pytest.mark.parametrize(
    ("given", "because"),
    [
        (b"", "standard input"),
        (b"\xff\xfe", "not UTF-8 text"),
        (b"title = ", "standard input: it is not valid TOML"),
        (b"a" * (1 << 20), "at most"),
    ],
)
def test_standard_input_that_is_no_recipe(given: bytes, because: str) -> None:
    code, out, err = ran("plan -", given)
    assert (code, out) == (2, b"")
    assert because in err
    assert err.count("\n") == 1


def test_one_standard_input_is_not_two_files(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("plan - --measured -", capsys)[0] == 2


def test_versions(capsys: pytest.CaptureFixture[str]) -> None:
    assert call("--version", capsys)[1] == f"prepkit, version {__version__}\n"
    for words in ("--version --json", "--json --version"):
        said = json.loads(call(words, capsys)[1])
        assert said == {"prepkit": __version__, "formats": VERSIONS}
    assert call(f"--json {BLEND}", capsys)[0] == 2


# what travels with the program


def test_the_demo_runs_from_anywhere(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from prepkit.workflows.plan_command import DEMOS

    monkeypatch.chdir(tmp_path)
    assert call("plan --demo --serves 40", capsys)[0] == 0
    for name in DEMOS:
        assert call(f"plan --demo {name} --quiet", capsys)[0] == 0
    assert sorted(DEMOS) == sorted(one.stem for one in (ROOT / "recipes").glob("*.toml"))
    for refused in ("plan x.toml --demo", "plan --demo --new x.toml", "plan --demo nothing"):
        assert call(refused, capsys)[0] == 2


def test_the_safety_page_is_printed_without_what_makes_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Every line of the page that a reader sees, and no comment of the program that fills it."""
    code, out, _ = call("safety", capsys)
    assert code == 0
    for mark in ("<!--", "-->", "[[[", "cog", "\n\n\n"):
        assert mark not in out, mark
    lines, inside = [], False
    for line in (ROOT / "SAFETY.md").read_text(encoding="utf-8").splitlines():
        inside = inside or line.startswith("<!--")
        if not inside and line:
            lines.append(line)
        inside = inside and not line.endswith("-->")
    assert [line for line in out.splitlines() if line] == lines
