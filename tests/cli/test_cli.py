"""The command line as a person meets it: real words, bad words, exit status, no traceback."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys

import pytest

from prepkit.cli import main
from prepkit.index import CALCULATORS, WORKFLOWS
from prepkit.registry import load


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def test_help_lists_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("--help", capsys)
    assert code == 0
    for name in (*CALCULATORS, *WORKFLOWS):
        assert f"\n  {name} " in out


@pytest.mark.parametrize("name", [*CALCULATORS, *WORKFLOWS])
def test_each_command_has_help(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"{name} --help", capsys)
    assert code == 0
    assert "Usage: prepkit" in out
    assert "e+0" not in out  # a range is written out, not as a power of ten


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_example_in_the_help_runs(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    example = load(name).example
    code, out, err = call(example.removeprefix("prepkit "), capsys)
    assert code in (0, 3), err
    assert out.startswith(f"{name}: ")
    _, out, _ = call(f"{example.removeprefix('prepkit ')} --full", capsys)
    assert "Verdict" in out


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_same_answer_as_json(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    example = load(name).example.removeprefix("prepkit ")
    _, out, _ = call(f"{example} --json", capsys)
    said = json.loads(out)
    assert set(said) >= {
        "calculator", "inputs", "values", "verdict", "cautions", "working", "sources",
    }  # fmt: skip
    assert said["calculator"] == name
    assert {c["kind"] for c in said["cautions"]} >= {"pressure", "cryogen", "inhalation"}


@pytest.mark.parametrize("name", CALCULATORS)
def test_inputs_of_an_answer_give_the_same_answer(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    from prepkit.registry import run

    example = load(name).example.removeprefix("prepkit ")
    _, out, _ = call(f"{example} --json", capsys)
    said = json.loads(out)
    again = run(name, said["inputs"]).to_dict()
    assert again["values"] == said["values"]
    assert again["verdict"] == said["verdict"]


@pytest.mark.parametrize(
    ("words", "because"),
    [
        ("blend", "needs --part"),
        ("blend --part '700 ml spirit'", "needs its strength"),
        ("blend --part '700 ml spirit 43 Bx'", "given in % vol"),
        ("blend --part '700 ml spirit 430 %'", "from"),
        ("blend --part '700 ml spirt 43 %'", "spirit"),
        ("blend --part '700 ml'", "names no ingredient"),
        ("blend --part 'lemon juice'", "does not start with a number"),
        ("blend --part '2 oz lemon juice'", "weight or fluid"),
        ("blend --part '-2 g lemon juice'", "must not be negative"),
        ("blend --part 'nan g lemon juice'", "finite"),
        ("blend --part '1,500 ml lemon juice'", "could be 1.5 or 1500"),
        ("blend --part '100 ml white sugar'", "by weight"),
        ("blend --part '1 l water' --temperature '90 C'", "between -20 and 40"),
        ("blend --part '1 l water' --temperature 5", "no unit"),
        ("blend --part '1 l water' --colour red", "--colour"),
        ("blnd --part '1 l water'", "blend"),
        ("blend '1 l water'", "unexpected extra argument (1 l water)."),
        ("plan ''", "prepkit: FILE is empty; write the name of a file."),
        ("drill --check ' '", "--check is empty; write the name of a file."),
    ],
)
def test_bad_words_get_one_sentence(
    words: str, because: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(words, capsys)
    assert code == 2
    assert out == ""
    assert err.startswith("prepkit: ")
    assert err.strip().count("\n") == 0
    assert err.strip().endswith((".", "?"))
    assert because in err


def test_us_units_change_only_what_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    _, metric, _ = call("blend --part '1 lb water'", capsys)
    _, us, _ = call("blend --part '1 lb water' --units us", capsys)
    assert "453.6" in metric
    assert "16.00" in us


def test_python_dash_m() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "prepkit", "blend", "--part", "nonsense"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
